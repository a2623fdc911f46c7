package trace

import "math"

const (
	unevenShare = 0.02 // an interval this share off the usual one makes a trace uneven
	gapFactor   = 2.5  // an interval this many times the usual one has lost samples
	evenMost    = 4    // samples made even for a filter, over those recorded
)

// pace is how the samples follow each other.
type pace struct {
	rate              float64 // Hz; of the whole trace, or of the usual interval when samples are lost
	even              bool
	usual             float64 // s, the median interval
	shortest, longest float64 // s
	gaps              []int   // samples after which others are lost
}

// paceOf is the pace of times; seen are their steps, 0 where nobody has looked.
func paceOf(time []float64, seen [2]float64) pace {
	n := len(time)
	whole := (time[n-1] - time[0]) / float64(n-1)
	p := pace{rate: 1 / whole, even: true, usual: whole}
	if p.shortest, p.longest = seen[0], seen[1]; p.longest == 0 {
		p.shortest, p.longest = intervals(time)
	}
	if p.shortest >= (1-unevenShare)*whole && p.longest <= (1+unevenShare)*whole {
		return p
	}
	p.even, p.usual = false, medianInterval(time)
	for i := 1; i < n; i++ {
		if time[i]-time[i-1] > gapFactor*p.usual {
			p.gaps = append(p.gaps, i-1)
		}
	}
	if len(p.gaps) > 0 {
		p.rate = 1 / p.usual
	}
	return p
}

// intervals are the shortest and the longest from one time to the next; the longest
// is no less than 0.
func intervals(time []float64) (shortest, longest float64) {
	var of [bigParts][2]float64
	for k := range of {
		of[k][0] = math.Inf(1)
	}
	inParts(len(time)-1, func(k, from, to int) {
		least, most, before := math.Inf(1), 0.0, time[from]
		for _, now := range time[from+1 : to+1] {
			dt := now - before
			if dt < least {
				least = dt
			}
			if dt > most {
				most = dt
			}
			before = now
		}
		of[k] = [2]float64{least, most}
	})
	shortest = math.Inf(1)
	for _, o := range of {
		shortest, longest = math.Min(shortest, o[0]), math.Max(longest, o[1])
	}
	return shortest, longest
}

func medianInterval(time []float64) float64 {
	d := make([]float64, len(time)-1)
	for i := range d {
		d[i] = time[i+1] - time[i]
	}
	return middle(d)
}

// resample puts values on even times from the first sample on, along straight
// lines.
func resample(time, value []float64, dt float64) []float64 {
	n := int((time[len(time)-1]-time[0])/dt) + 1
	out := make([]float64, n)
	k := 0
	for i := range out {
		t := time[0] + float64(i)*dt
		for k+2 < len(time) && time[k+1] < t {
			k++
		}
		share := (t - time[k]) / (time[k+1] - time[k])
		out[i] = value[k] + share*(value[k+1]-value[k])
	}
	return out
}

// at reads even values, dt apart from time[0] on, back at the time stamps.
func at(time, even []float64, dt float64) []float64 {
	out := make([]float64, len(time))
	for i, t := range time {
		p := (t - time[0]) / dt
		k := min(int(p), len(even)-2)
		out[i] = even[k] + (p-float64(k))*(even[k+1]-even[k])
	}
	return out
}
