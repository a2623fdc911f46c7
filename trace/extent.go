package trace

// extent is the range of some samples, and where each end of it is first reached.
type extent struct {
	low, high     float64
	lowAt, highAt int
}

func (e extent) span() float64 { return e.high - e.low }

// largest is the largest distance from zero.
func (e extent) largest() float64 { return max(e.high, -e.low) }

// extentOf is the extent of one sample or more.
func extentOf(x []float64) extent {
	e := extent{low: x[0], high: x[0]}
	for i, v := range x {
		if v > e.high {
			e.high, e.highAt = v, i
		} else if v < e.low {
			e.low, e.lowAt = v, i
		}
	}
	return e
}
