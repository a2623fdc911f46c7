package figure

import "sort"

// Thin returns the samples of a trace between two times that a drawing of so
// many buckets needs: the smallest and the largest value of each bucket, in
// time order, and the window's first and last sample. The extremes of any
// window are therefore those of the data, and every peak is kept.
//
// time must be increasing and as long as value. A window of at most two samples
// a bucket is returned whole. NaN values are passed over. The arguments are not
// written to, and the results do not share memory with them. Cost is
// proportional to the samples in the window.
func Thin(time, value []float64, from, to float64, buckets int) (t, v []float64) {
	first := sort.SearchFloat64s(time, from)
	end := sort.Search(len(time), func(i int) bool { return time[i] > to })
	if first >= end || buckets < 1 {
		return nil, nil
	}
	keep := func(i int) {
		if value[i] == value[i] { // not NaN
			t, v = append(t, time[i]), append(v, value[i])
		}
	}
	if end-first <= 2*buckets {
		for i := first; i < end; i++ {
			keep(i)
		}
		return t, v
	}

	last := -1
	once := func(i int) {
		if i > last {
			keep(i)
			last = i
		}
	}
	start, span := time[first], time[end-1]-time[first]
	i := first
	once(first)
	for b := 1; b <= buckets && i < end; b++ {
		limit := start + span*float64(b)/float64(buckets)
		low, high := -1, -1
		for ; i < end && (time[i] < limit || b == buckets); i++ {
			if low < 0 || value[i] < value[low] || value[low] != value[low] {
				low = i
			}
			if high < 0 || value[i] > value[high] || value[high] != value[high] {
				high = i
			}
		}
		if low >= 0 {
			once(min(low, high))
			once(max(low, high))
		}
	}
	once(end - 1)
	return t, v
}
