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

import (
	"errors"
	"math"
)

// Func writes the derivative of state y at time t into rate. It must not keep
// or alter y.
type Func func(t float64, y, rate []float64)

// ErrStep says that no step short enough to meet the tolerance is left between
// two numbers of time, or that f is not finite.
var ErrStep = errors.New("no step is short enough")

// Tolerance is what the error of a step may be: Absolute + Relative·|y| in each
// component, as a root mean square over the components. The error of the whole
// is of the same size as the sum over the steps.
type Tolerance struct {
	Relative float64
	Absolute []float64 // one a component; positive where a component may be zero
}

// Adaptive chooses its steps: an explicit method, Dormand-Prince's by itself, while the equation lets it, and
// Rosenbrock's method once stability rather than accuracy keeps the steps
// short. Nothing is allocated after NewAdaptive but for the first stiff step.
type Adaptive struct {
	f        Func
	n        int
	tol      Tolerance
	explicit explicit
	stages   *stages     // of explicit
	stiff    *rosenbrock // nil until needed
	inStiff  bool

	iv      Interval
	now     []float64
	rate    []float64 // f at now
	time    float64
	h       float64 // to be tried next; 0 to be found
	last    float64 // log2 of the error of the step before, for the controller
	slow    int     // steps that looked stiff
	easy    int     // steps since then that did not
	taken   int
	inverse []float64 // 1/Absolute, where no tolerance is relative
}

// NewAdaptive returns the method for f on n components. Call Start before Step.
func NewAdaptive(f Func, n int, tol Tolerance) *Adaptive {
	return newAdaptive(f, n, tol, &dormandPrince{newStages(f, n)})
}

// NewCoarse is NewAdaptive with the classical method of order 4 in place of
// Dormand-Prince: for errors of a step above 1e-4 or so, and where quick swings
// that matter to nobody keep the steps short. Its dense output is of order 3.
func NewCoarse(f Func, n int, tol Tolerance) *Adaptive {
	return newAdaptive(f, n, tol, &classical{newStages(f, n)})
}

func newAdaptive(f Func, n int, tol Tolerance, method explicit) *Adaptive {
	m := &Adaptive{
		f: f, n: n, explicit: method, stages: method.scratch(), iv: newInterval(n),
		now: make([]float64, n), rate: make([]float64, n), inverse: make([]float64, n),
	}
	m.iv.method = m
	m.Renew(tol)
	return m
}

// Renew makes the method as NewAdaptive returned it, with another tolerance, in
// the memory that it has.
func (m *Adaptive) Renew(tol Tolerance) {
	m.h, m.taken, m.inStiff = 0, 0, false
	m.Tolerate(tol)
}

// Tolerate sets another tolerance from the next step on.
func (m *Adaptive) Tolerate(tol Tolerance) {
	m.tol = tol
	for i, v := range tol.Absolute {
		m.inverse[i] = 1 / v
	}
}

// Start puts the method at time t in state y, which is copied. The step that
// was last in use is tried first.
func (m *Adaptive) Start(t float64, y []float64) {
	m.time = t
	copy(m.now, y)
	m.f(t, m.now, m.rate)
	m.last, m.slow, m.easy = leastLast, 0, 0
}

// Rate is the derivative at the present state. It must not be altered or kept.
func (m *Adaptive) Rate() []float64 { return m.rate }

// Steps is how many steps were taken since NewAdaptive.
func (m *Adaptive) Steps() int { return m.taken }

// Stiff reports whether the last step was taken by Rosenbrock's method.
func (m *Adaptive) Stiff() bool { return m.inStiff }

// Step goes on by one step that meets the tolerance, no further than until, and
// returns the interval gone through. It returns ErrStep when there is none. The
// last state that it asks f about is that at the end of the step.
func (m *Adaptive) Step(until float64) (*Interval, error) {
	if m.h == 0 {
		m.h = m.firstStep(until - m.time)
	}
	for {
		h, last := m.h, false
		if left := until - m.time; h >= left {
			h, last = left, true
		} else if h > left/2 {
			h = left / 2 // two alike rather than one and a sliver
		}
		if m.time+h <= m.time {
			return nil, ErrStep
		}
		err := m.try(h)
		if err <= 1 {
			m.accept(h, err, last, until)
			return &m.iv, nil
		}
		m.h = h * m.shrink(err)
	}
}

// try takes a trial step and returns its error over the tolerance.
func (m *Adaptive) try(h float64) float64 {
	if m.inStiff {
		return m.stiff.try(m, h)
	}
	return m.explicit.try(m, h)
}

func (m *Adaptive) accept(h, err float64, last bool, until float64) {
	m.taken++
	m.iv.From, m.iv.To = m.time, m.time+h
	if last {
		m.iv.To = until
	}
	size := log2(max(err, 1e-10))
	if wanted := h * m.grow(size); !last || wanted > m.h {
		m.h = wanted
	}
	m.last = max(size, leastLast)
	m.time = m.iv.To
	if m.inStiff {
		m.iv.bent = true
		copy(m.now, m.iv.end)
		copy(m.rate, m.iv.endRate)
		return
	}
	m.watch(h)
	m.stages.accept(m)
}

// grow is the factor to the next step, by log2 of the error of this one and of
// the one before (a PI controller, [Hairer1993] II.4, [Gustafsson1991]). Where
// errors stay alike they stay at aim.
func (m *Adaptive) grow(size float64) float64 {
	order := m.order()
	return min(max(exp2((0.85*(aim-size)-0.2*(aim-m.last))/order), 0.2), 8)
}

func (m *Adaptive) shrink(err float64) float64 {
	if !(err < 1e300) { // not finite
		return 0.1
	}
	return max(exp2((aim-log2(err))/m.order()), 0.1)
}

// The error that steps are chosen for, and the least that one counts for in the
// choice of the next but one: both log2 of the share of the tolerance.
const (
	aim       = -1.0
	leastLast = -13.0
)

// log2 is the binary logarithm of a positive normal number, to 0.01: all that
// the choice of a step needs.
func log2(x float64) float64 {
	bits := math.Float64bits(x)
	f := math.Float64frombits(bits&(1<<52-1)|1023<<52) - 1
	return float64(int(bits>>52)-1023) + f + 0.3466*f*(1-f)
}

// exp2 is 2^x between -1000 and 1000, to 0.3 %.
func exp2(x float64) float64 {
	whole := math.Floor(x)
	f := x - whole
	return math.Float64frombits(uint64(int(whole)+1023)<<52) * (1 + f - 0.3372*f*(1-f))
}

// share is the square of the error of a component over its tolerance.
func (a *Adaptive) share(i int, e float64) float64 {
	if a.tol.Relative == 0 {
		e *= a.inverse[i]
		return e * e
	}
	e /= a.tol.Absolute[i] + a.tol.Relative*max(math.Abs(a.now[i]), math.Abs(a.iv.end[i]))
	return e * e
}

func (m *Adaptive) order() float64 {
	if m.inStiff {
		return 4
	}
	return m.explicit.order()
}

// firstStep is a step whose error is likely to meet the tolerance, from the
// state and how fast its rate changes ([Hairer1993] II.4).
func (m *Adaptive) firstStep(most float64) float64 {
	size, pace := 0.0, 0.0
	copy(m.iv.end, m.now)
	for i := range m.now {
		size += m.share(i, m.now[i])
		pace += m.share(i, m.rate[i])
	}
	h := 1e-6 * most
	if size > 1e-10 && pace > 1e-10 {
		h = min(0.01*math.Sqrt(size/pace), most)
	}
	probe, rate := m.stages.at, m.stages.k[6]
	for i := range probe {
		probe[i] = m.now[i] + h*m.rate[i]
	}
	m.f(m.time+h, probe, rate)
	bend := 0.0
	for i := range rate {
		bend += m.share(i, (rate[i]-m.rate[i])/h)
	}
	largest := math.Sqrt(max(pace, bend) / float64(m.n))
	if !(largest > 1e-15) {
		return min(max(1e-6*most, 1e3*h), most)
	}
	return min(100*h, math.Pow(0.01/largest, 0.2), most)
}

// watchEvery is how many steps are taken between looks, until one looks stiff.
const watchEvery = 8

// watch counts steps that look stiff: h·|λ| at the edge of stability, λ from the
// two last stages. Fifteen of them and more the larger the system, for which the
// stiff method's steps are dear, with never six others in a row between, end the
// explicit method ([Hairer1996] IV.2).
func (m *Adaptive) watch(h float64) {
	if m.slow == 0 && m.taken%watchEvery != 0 {
		return
	}
	if h*m.stages.pace(m) > m.explicit.edge() {
		m.slow, m.easy = m.slow+1, 0
	} else if m.easy++; m.easy == 6 {
		m.slow = 0
	}
	if m.slow == 15+m.n*m.n/4 {
		if m.stiff == nil {
			m.stiff = newRosenbrock(m.f, m.n)
		}
		m.inStiff = true
	}
}
