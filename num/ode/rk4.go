// Package ode integrates ordinary differential equations y' = f(t, y) step by
// step, knows the state between steps, and finds when a condition on the state
// stops holding.
//
//	y   the state, any number of components, SI
//	t   s
//	h   s, the step
//
// The caller owns the loop: it takes a step, looks for events inside it, and
// starts again from an event when the equation changes there. A step never
// crosses a jump of f with full order, so jumps belong at events.
package ode

// Func writes the derivative of state y at time t into rate. It must not keep
// or alter y.
type Func func(t float64, y, rate []float64)

// RK4 is the classic Runge-Kutta method of fourth order:
//
//	k1 = f(t, y)             k2 = f(t+h/2, y+h·k1/2)
//	k3 = f(t+h/2, y+h·k2/2)  k4 = f(t+h, y+h·k3)
//	y(t+h) = y + h·(k1 + 2·k2 + 2·k3 + k4)/6
//
// The global error is of order h⁴. It is stable for a decay of time constant τ
// up to h = 2.78·τ, and for an oscillation of angular frequency ω up to
// h = 2.82/ω; accuracy asks for far less. It does not watch its own error.
//
// Four evaluations of f a step, the derivative at the end being the next k1.
// Nothing is allocated after NewRK4.
//
// Source: [Hairer1993], II.1, table 1.2.
type RK4 struct {
	f              Func
	last           Interval
	k2, k3, k4, at []float64
}

// NewRK4 returns the method for f on n components. Call Start before Step.
func NewRK4(f Func, n int) *RK4 {
	return &RK4{
		f: f, last: newInterval(n),
		k2: make([]float64, n), k3: make([]float64, n), k4: make([]float64, n), at: make([]float64, n),
	}
}

// Start puts the method at time t in state y, which is copied.
func (m *RK4) Start(t float64, y []float64) {
	m.last.From, m.last.To = t, t
	copy(m.last.end, y)
	m.f(t, m.last.end, m.last.endRate)
	copy(m.last.start, m.last.end)
	copy(m.last.startRate, m.last.endRate)
}

// Step goes on by h and returns the interval gone through.
func (m *RK4) Step(h float64) *Interval {
	iv := &m.last
	iv.From = iv.To
	iv.start, iv.end = iv.end, iv.start
	iv.startRate, iv.endRate = iv.endRate, iv.startRate
	t, y, k1 := iv.From, iv.start, iv.startRate

	along(m.at, y, h/2, k1)
	m.f(t+h/2, m.at, m.k2)
	along(m.at, y, h/2, m.k2)
	m.f(t+h/2, m.at, m.k3)
	along(m.at, y, h, m.k3)
	m.f(t+h, m.at, m.k4)
	for i := range y {
		iv.end[i] = y[i] + h/6*(k1[i]+2*m.k2[i]+2*m.k3[i]+m.k4[i])
	}
	iv.To = t + h
	m.f(iv.To, iv.end, iv.endRate)
	return iv
}

// along writes y + h·k into out.
func along(out, y []float64, h float64, k []float64) {
	for i := range out {
		out[i] = y[i] + h*k[i]
	}
}
