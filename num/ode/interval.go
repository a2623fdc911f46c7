package ode

// Interval is one step taken, with what is needed to know the state anywhere
// inside it. It belongs to the method that made it and is overwritten by the
// next step.
type Interval struct {
	From, To float64

	start, end         []float64 // states
	startRate, endRate []float64 // their derivatives
	probe              []float64 // scratch of Root
}

func newInterval(n int) Interval {
	flat := make([]float64, 5*n)
	cut := func(i int) []float64 { return flat[i*n : (i+1)*n : (i+1)*n] }
	return Interval{start: cut(0), end: cut(1), startRate: cut(2), endRate: cut(3), probe: cut(4)}
}

// Start is the state at From. It must not be altered or kept.
func (iv *Interval) Start() []float64 { return iv.start }

// End is the state at To. It must not be altered or kept.
func (iv *Interval) End() []float64 { return iv.end }

// At writes the state at time t into y. It is the cubic that meets states and
// derivatives at both ends (Hermite): with u = (t-From)/h,
//
//	y = y0 + u·(y1-y0) + u·(u-1)·((1-2u)·(y1-y0) + (u-1)·h·d0 + u·h·d1)
//
// Its error inside a step is h⁴·y⁗/384 at most, so dense output keeps the
// fourth order of the method. Outside From..To it extrapolates; callers do not
// ask there.
//
// Source: [Hairer1993], II.6, eq. 6.7.
func (iv *Interval) At(t float64, y []float64) {
	h := iv.To - iv.From
	if h == 0 {
		copy(y, iv.end)
		return
	}
	u := (t - iv.From) / h
	w := u * (u - 1)
	for i, y0 := range iv.start {
		rise := iv.end[i] - y0
		y[i] = y0 + u*rise + w*((1-2*u)*rise+(u-1)*h*iv.startRate[i]+u*h*iv.endRate[i])
	}
}

// Root returns the time inside the interval at which g, a function of the
// state, falls to zero. It needs g > 0 at the start and g <= 0 at the end, and
// reports false otherwise: an event is a condition that holds and then stops
// holding. Of several crossings it finds one; a step must be short beside the
// events looked for.
//
// The bracket is halved on the dense output until it is no longer than tol.
// The time returned is the bracket's later end, where g <= 0 already holds, so
// that a caller who starts again from there does not meet the same event twice.
func (iv *Interval) Root(g func(y []float64) float64, tol float64) (float64, bool) {
	if !(g(iv.start) > 0) || g(iv.end) > 0 {
		return 0, false
	}
	before, after := iv.From, iv.To
	for after-before > tol {
		middle := before + (after-before)/2
		if middle <= before || middle >= after {
			break // no number lies between them
		}
		iv.At(middle, iv.probe)
		if g(iv.probe) > 0 {
			before = middle
		} else {
			after = middle
		}
	}
	return after, true
}
