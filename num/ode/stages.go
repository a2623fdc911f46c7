package ode

import "math"

// explicit is a method that works out a step from rates at states that it
// already has.
type explicit interface {
	try(a *Adaptive, h float64) float64 // takes a step from a.now into a.iv.end; its error over the tolerance
	bend(iv *Interval)                  // dense output of the step just accepted
	order() float64                     // one more than that of the error estimate's method
	edge() float64                      // h·|λ| above which a step looks stiff
	scratch() *stages
}

// stages are the rates that an explicit method has worked out. The last of a
// step is the first of the next one.
type stages struct {
	f  Func
	k  [7][]float64 // k[0] is f at the start, k[6] at the end
	at []float64    // after a step the state of k[5], at the end too
}

func newStages(f Func, n int) stages {
	m := stages{f: f, at: make([]float64, n)}
	flat := make([]float64, 7*n)
	for i := range m.k {
		m.k[i] = flat[i*n : (i+1)*n : (i+1)*n]
	}
	return m
}

func (m *stages) scratch() *stages { return m }

// accept goes on to the end of the step just tried.
func (m *stages) accept(a *Adaptive) {
	iv := &a.iv
	copy(iv.start, a.now)
	copy(a.now, iv.end)
	m.k[0], a.rate, m.k[6] = a.rate, m.k[6], m.k[0]
	iv.bent = false
}

// hermite bends the interval as states and rates at its ends say.
func (m *stages) hermite(iv *Interval) {
	h := iv.To - iv.From
	k0, k1 := m.k[0], iv.EndRate()
	for i, y0 := range iv.start {
		rise := iv.end[i] - y0
		first := h*k0[i] - rise
		iv.bend[0][i] = rise
		iv.bend[1][i] = first
		iv.bend[2][i] = rise - h*k1[i] - first
		iv.bend[3][i] = 0
	}
}

// pace estimates the largest |λ| from the last two stages, both at the end of
// the step: |k7 − k6|/|y7 − y6|, each component over its tolerance.
func (m *stages) pace(a *Adaptive) float64 {
	rates, states := 0.0, 0.0
	for i := range m.at {
		rates += a.share(i, m.k[6][i]-m.k[5][i])
		states += a.share(i, a.iv.end[i]-m.at[i])
	}
	if states == 0 {
		return 0
	}
	return math.Sqrt(rates / states)
}
