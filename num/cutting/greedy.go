package cutting

import "slices"

// greedy fills one stock after the other, in three orders of stocks, each with
// the longest pieces that still fit, and keeps the best of the three.
func (s scaled) greedy() packing {
	best := s.priced(nil, s.want)
	for _, places := range s.orders() {
		if p := s.fill(nil, s.want, places, nil); p.total < best.total {
			best = p
		}
	}
	return best
}

// orders of stocks: the longest first, the shortest first, the cheapest for its
// length first.
func (s scaled) orders() [][]int {
	var out [][]int
	for _, order := range [...]func(a, b Stock) int{
		func(a, b Stock) int { return b.Length - a.Length },
		func(a, b Stock) int { return a.Length - b.Length },
		func(a, b Stock) int { return a.Cost*b.Length - b.Cost*a.Length },
	} {
		places := make([]int, len(s.stocks))
		for i := range places {
			places[i] = i
		}
		slices.SortStableFunc(places, func(a, b int) int { return order(s.stocks[a], s.stocks[b]) })
		out = append(out, places)
	}
	return out
}

// fill goes on from the cuts made and the pieces left, through the stocks in the
// order of places; used says how many of each stock the cuts have taken.
func (s scaled) fill(cuts []pattern, left []int, places, used []int) packing {
	cuts, left = slices.Clone(cuts), slices.Clone(left)
	for _, place := range places {
		n := s.stocks[place].Count
		if used != nil {
			n -= used[place]
		}
		for range n {
			count, any := make([]int, len(left)), false
			room := s.stocks[place].Length
			for i, l := range s.length {
				count[i] = min(left[i], room/l)
				room -= count[i] * l
				left[i] -= count[i]
				any = any || count[i] > 0
			}
			if !any {
				break
			}
			cuts = append(cuts, pattern{place, count})
		}
	}
	return s.priced(cuts, left)
}

// maximal calls yield with every way to cut a length so that no piece that is
// left could be added. Ways are given most of the longest first; yield returns
// false to stop. The slice is yield's to read only.
func (s scaled) maximal(room int, left []int, yield func(count []int) bool) {
	count := make([]int, len(left))
	s.extend(0, room, left, count, yield)
}

func (s scaled) extend(i, room int, left, count []int, yield func([]int) bool) bool {
	if i == len(left) {
		for j, l := range s.length {
			if count[j] < left[j] && l <= room {
				return true
			}
		}
		return yield(count)
	}
	for n := min(left[i], room/s.length[i]); n >= 0; n-- {
		count[i] = n
		if !s.extend(i+1, room-n*s.length[i], left, count, yield) {
			return false
		}
	}
	count[i] = 0
	return true
}
