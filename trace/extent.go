package trace

import "math"

// extent is the range of some samples, where each end of it is first reached and
// by how many, and the largest and the least step from one sample to the next, those
// of nothing left out.
type extent struct {
	low, high     float64
	lowAt, highAt int
	lows, highs   int
	jump, least   float64 // least is infinite where all are equal
}

func (e extent) span() float64 { return e.high - e.low }

// largest is the largest distance from zero.
func (e extent) largest() float64 { return max(e.high, -e.low) }

// extentOf is the extent of one sample or more.
func extentOf(x []float64) extent {
	var of [bigParts]extent
	inParts(len(x), func(k, from, to int) { of[k] = extentFrom(x, from, to) })
	all := of[0]
	if len(x) < bigTrace {
		return all
	}
	for _, e := range of[1:] {
		all.join(e)
	}
	return all
}

// extentFrom is the extent of the samples from one on, with the step to the first
// from the one before.
func extentFrom(x []float64, from, to int) extent {
	low, high, before, jump, least := x[from], x[from], x[max(0, from-1)], 0.0, math.Inf(1)
	lowAt, highAt, lows, highs := from, from, 0, 0
	for i, v := range x[from:to] {
		if v >= high {
			if v > high {
				high, highAt, highs = v, from+i, 0
			}
			highs++
		}
		if v <= low {
			if v < low {
				low, lowAt, lows = v, from+i, 0
			}
			lows++
		}
		d := math.Abs(v - before)
		if d > jump {
			jump = d
		}
		if d < least && d > 0 {
			least = d
		}
		before = v
	}
	return extent{low, high, lowAt, highAt, lows, highs, jump, least}
}

// join takes in the samples that follow.
func (e *extent) join(next extent) {
	switch {
	case next.high > e.high:
		e.high, e.highAt, e.highs = next.high, next.highAt, next.highs
	case next.high == e.high:
		e.highs += next.highs
	}
	switch {
	case next.low < e.low:
		e.low, e.lowAt, e.lows = next.low, next.lowAt, next.lows
	case next.low == e.low:
		e.lows += next.lows
	}
	e.jump, e.least = max(e.jump, next.jump), min(e.least, next.least)
}

// scaled is the extent after a shift and a factor, which may turn it over; the
// jump is no less than it then is, rounding and all. The least step is left out.
func (e extent) scaled(shift, factor float64) extent {
	s := extent{factor * (e.low - shift), factor * (e.high - shift), e.lowAt, e.highAt, e.lows, e.highs, 0, 0}
	if factor < 0 {
		s = extent{s.high, s.low, s.highAt, s.lowAt, s.highs, s.lows, 0, 0}
	}
	s.jump = math.Abs(factor)*e.jump + 1e-12*s.largest()
	return s
}
