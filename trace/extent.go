package trace

import "math"

// extent is the range of some samples, where each end of it is first reached and
// by how many, and the largest step from one sample to the next.
type extent struct {
	low, high     float64
	lowAt, highAt int
	lows, highs   int
	jump          float64
}

func (e extent) span() float64 { return e.high - e.low }

// largest is the largest distance from zero.
func (e extent) largest() float64 { return max(e.high, -e.low) }

// extentOf is the extent of one sample or more.
func extentOf(x []float64) extent {
	low, high, before, jump := x[0], x[0], x[0], 0.0
	lowAt, highAt, lows, highs := 0, 0, 0, 0
	for i, v := range x {
		if v >= high {
			if v > high {
				high, highAt, highs = v, i, 0
			}
			highs++
		}
		if v <= low {
			if v < low {
				low, lowAt, lows = v, i, 0
			}
			lows++
		}
		if d := math.Abs(v - before); d > jump {
			jump = d
		}
		before = v
	}
	return extent{low, high, lowAt, highAt, lows, highs, jump}
}

// scaled is the extent after a shift and a factor, which may turn it over; the
// jump is no less than it then is, rounding and all.
func (e extent) scaled(shift, factor float64) extent {
	s := extent{factor * (e.low - shift), factor * (e.high - shift), e.lowAt, e.highAt, e.lows, e.highs, 0}
	if factor < 0 {
		s = extent{s.high, s.low, s.highAt, s.lowAt, s.highs, s.lows, 0}
	}
	s.jump = math.Abs(factor)*e.jump + 1e-12*s.largest()
	return s
}
