package ode

import "math"

// Interval is one step taken, with what is needed to know the state anywhere
// inside it. It belongs to the method that made it and is overwritten by the
// next Step or Start.
type Interval struct {
	From, To float64

	start, end []float64 // states
	endRate    []float64 // derivative at the end
	bend       [4][]float64
	bent       bool // bend is worked out
	method     *Adaptive
	probe      []float64 // scratch of Root
}

func newInterval(n int) Interval {
	flat := make([]float64, 8*n)
	cut := func(i int) []float64 { return flat[i*n : (i+1)*n : (i+1)*n] }
	return Interval{
		start: cut(0), end: cut(1), endRate: cut(2), probe: cut(3),
		bend: [4][]float64{cut(4), cut(5), cut(6), cut(7)},
	}
}

// Start is the state at From. It must not be altered or kept.
func (iv *Interval) Start() []float64 { return iv.start }

// End is the state at To. It must not be altered or kept.
func (iv *Interval) End() []float64 { return iv.end }

// EndRate is the derivative at To. It must not be altered or kept.
func (iv *Interval) EndRate() []float64 { return iv.method.rate }

// At writes the state at time t into y, by the method's own dense output: with
// u = (t − From)/h and w = 1 − u,
//
//	y = y0 + u·(b0 + w·(b1 + u·(b2 + w·b3)))
//
// It is of fourth order after a Dormand-Prince step ([Hairer1993] II.6) and of
// third after one of Rosenbrock's method. Outside From..To it extrapolates;
// callers do not ask there.
func (iv *Interval) At(t float64, y []float64) {
	h := iv.To - iv.From
	if h == 0 || t == iv.To {
		copy(y, iv.end)
		return
	}
	if !iv.bent {
		iv.method.explicit.bend(iv)
		iv.bent = true
	}
	u := (t - iv.From) / h
	w := 1 - u
	n := len(iv.start)
	b0, b1, b2, b3 := iv.bend[0][:n], iv.bend[1][:n], iv.bend[2][:n], iv.bend[3][:n]
	y = y[:n]
	for i, y0 := range iv.start {
		y[i] = y0 + u*(b0[i]+w*(b1[i]+u*(b2[i]+w*b3[i])))
	}
}

// Root returns the time inside the interval at which g, a function of the
// state, falls to zero. It needs g > 0 at the start and g <= 0 at the end, and
// reports false otherwise: an event is a condition that holds and then stops
// holding. Of several crossings it finds one; a step must be short beside the
// events looked for.
func (iv *Interval) Root(g func(y []float64) float64, tol float64) (float64, bool) {
	return iv.RootWithin(iv.From, iv.To, g, tol)
}

// RootWithin is Root from one time of the interval to a later one.
//
// False position on the dense output, an end that stays twice counting half
// (the Illinois rule), until the bracket is no longer than tol. The time
// returned is the bracket's later end, where g <= 0 already holds, so that a
// caller who starts again from there does not meet the same event twice.
func (iv *Interval) RootWithin(before, after float64, g func(y []float64) float64, tol float64) (float64, bool) {
	gb, ga := iv.value(before, g), iv.value(after, g)
	if !(gb > 0) || ga > 0 || math.IsNaN(ga) {
		return 0, false
	}
	kept := 0
	for after-before > tol {
		t := after - ga*(after-before)/(ga-gb)
		t = min(max(t, before+tol/2), after-tol/2)
		if t <= before || t >= after || math.IsNaN(t) {
			if t = before + (after-before)/2; t <= before || t >= after {
				break // no number lies between them
			}
		}
		if v := iv.value(t, g); v > 0 {
			before, gb = t, v
			if kept > 0 {
				ga /= 2
			}
			kept = 1
		} else {
			after, ga = t, v
			if kept < 0 {
				gb /= 2
			}
			kept = -1
		}
	}
	return after, true
}

// value is g at a time of the interval.
func (iv *Interval) value(t float64, g func(y []float64) float64) float64 {
	switch t {
	case iv.From:
		return g(iv.start)
	case iv.To:
		return g(iv.end)
	}
	iv.At(t, iv.probe)
	return g(iv.probe)
}
