package ode_test

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/num/ode"
)

func oscillator(_ float64, y, d []float64) { d[0], d[1] = y[1], -y[0] }

func at(n int, tolerance float64) ode.Tolerance {
	t := ode.Tolerance{Relative: tolerance, Absolute: make([]float64, n)}
	for i := range t.Absolute {
		t.Absolute[i] = tolerance
	}
	return t
}

// along integrates from a start to an end and returns the state there.
func along(t *testing.T, m *ode.Adaptive, start []float64, end float64) []float64 {
	t.Helper()
	m.Start(0, start)
	for {
		iv, err := m.Step(end)
		if err != nil {
			t.Fatal(err)
		}
		if iv.To == end {
			return append([]float64(nil), iv.End()...)
		}
	}
}

// The error follows the tolerance: over ten turns of the oscillator it stays
// within some tens of it, the number of steps, and is not idly far below.
func TestErrorFollowsTheTolerance(t *testing.T) {
	for _, tolerance := range []float64{1e-4, 1e-6, 1e-8, 1e-10, 1e-12} {
		m := ode.NewAdaptive(oscillator, 2, at(2, tolerance))
		y := along(t, m, []float64{0, 1}, 20*math.Pi)
		out := math.Hypot(y[0], y[1]-1)
		if !(out < 100*tolerance && out > tolerance/10) {
			t.Errorf("tolerance %g: out by %g after %d steps", tolerance, out, m.Steps())
		}
		if m.Stiff() {
			t.Errorf("tolerance %g: taken for stiff", tolerance)
		}
	}
}

// Robertson's chemical kinetics, the classic stiff problem. The values at t = 40
// are those of [Hairer1996] (problem ROBER, from memory), seven digits.
func TestStiff(t *testing.T) {
	kinetics := func(_ float64, y, d []float64) {
		d[0] = -0.04*y[0] + 1e4*y[1]*y[2]
		d[2] = 3e7 * y[1] * y[1]
		d[1] = -d[0] - d[2]
	}
	tolerance := ode.Tolerance{Relative: 1e-8, Absolute: []float64{1e-10, 1e-14, 1e-10}}
	m := ode.NewAdaptive(kinetics, 3, tolerance)
	y := along(t, m, []float64{1, 0, 0}, 40)
	for i, want := range []float64{0.7158271, 9.185535e-6, 0.2841637} {
		if !(math.Abs(y[i]/want-1) < 2e-7) {
			t.Errorf("component %d is %.8g, want %.7g", i, y[i], want)
		}
	}
	if !m.Stiff() || m.Steps() > 1000 {
		t.Errorf("%d steps, stiff %v: the explicit method alone needs some hundred thousand", m.Steps(), m.Stiff())
	}
}

// A decay that is over at once, then a slow curve: y' = −λ(y − cos t) − sin t
// has the solution cos t from 1, whatever λ is.
func TestStiffDecayFollowsTheSlowCurve(t *testing.T) {
	f := func(t float64, y, d []float64) { d[0] = -1e6*(y[0]-math.Cos(t)) - math.Sin(t) }
	m := ode.NewAdaptive(f, 1, at(1, 1e-8))
	y := along(t, m, []float64{1.5}, 3)
	if !(math.Abs(y[0]-math.Cos(3)) < 1e-7) || !m.Stiff() {
		t.Errorf("%.12g, want %.12g; stiff %v after %d steps", y[0], math.Cos(3), m.Stiff(), m.Steps())
	}
}

// The oscillator from (1, 0) crosses zero downward at π/2 and 5π/2, by
// definition of the cosine; at a tolerance of 1e-12 it is placed to 1e-10.
func TestRootOfOscillator(t *testing.T) {
	m := ode.NewAdaptive(oscillator, 2, at(2, 1e-12))
	m.Start(0, []float64{1, 0})
	var found []float64
	y := make([]float64, 2)
	for end := 0.0; end < 10; {
		iv, err := m.Step(10)
		if err != nil {
			t.Fatal(err)
		}
		end = iv.To
		if when, ok := iv.Root(func(y []float64) float64 { return y[0] }, 1e-13); ok {
			found = append(found, when)
			if iv.At(when, y); y[0] > 0 {
				t.Errorf("at %g the condition still holds: %g", when, y[0])
			}
		}
	}
	want := []float64{math.Pi / 2, 5 * math.Pi / 2}
	if len(found) != len(want) {
		t.Fatalf("found %v, want two crossings", found)
	}
	for i, w := range want {
		if !(math.Abs(found[i]-w) < 1e-10) {
			t.Errorf("crossing %d at %.12f, want %.12f", i, found[i], w)
		}
	}
}

func TestRootNeedsAConditionThatStops(t *testing.T) {
	m := ode.NewAdaptive(func(_ float64, _, d []float64) { d[0] = 1 }, 1, at(1, 1e-6))
	m.Start(0, []float64{0})
	var iv *ode.Interval
	for iv == nil || iv.To < 1 {
		var err error
		if iv, err = m.Step(1); err != nil {
			t.Fatal(err)
		}
	}
	from, to := iv.Start()[0], iv.End()[0]
	middle := (from + to) / 2
	for name, g := range map[string]func([]float64) float64{
		"holds throughout": func(y []float64) float64 { return 2 - y[0] },
		"never held":       func(y []float64) float64 { return -1 - y[0] },
		"begins to hold":   func(y []float64) float64 { return y[0] - middle },
		"is not a number":  func([]float64) float64 { return math.NaN() },
	} {
		if when, ok := iv.Root(g, 1e-12); ok {
			t.Errorf("a condition that %s gave an event at %g", name, when)
		}
	}
	when, ok := iv.RootWithin(iv.From, (iv.From+iv.To)/2, func(y []float64) float64 { return from + (to-from)/4 - y[0] }, 1e-12)
	if want := iv.From + (iv.To-iv.From)/4; !ok || !(math.Abs(when-want) < 2e-12) {
		t.Errorf("in the first half: %g %v, want %g", when, ok, want)
	}
}

// A step never goes beyond its limit and meets it to the digit.
func TestStepsMeetTheLimit(t *testing.T) {
	m := ode.NewAdaptive(oscillator, 2, at(2, 1e-8))
	m.Start(0, []float64{0, 1})
	for _, until := range []float64{1e-6, 0.1, 0.7, 3} {
		for {
			iv, err := m.Step(until)
			if err != nil {
				t.Fatal(err)
			}
			if iv.To > until {
				t.Fatalf("went to %g, limit %g", iv.To, until)
			}
			if iv.To == until {
				break
			}
		}
	}
}

// y' = y² from 1 is infinite at t = 1.
func TestNoStepThroughInfinity(t *testing.T) {
	m := ode.NewAdaptive(func(_ float64, y, d []float64) { d[0] = y[0] * y[0] }, 1, at(1, 1e-8))
	m.Start(0, []float64{1})
	for range 100_000 {
		iv, err := m.Step(2)
		if errors.Is(err, ode.ErrStep) {
			return
		}
		if err != nil || iv.To >= 2 {
			t.Fatalf("went to %g, %v", iv.To, err)
		}
	}
	t.Error("100 000 steps and no refusal")
}

func TestNothingIsAllocatedPerStep(t *testing.T) {
	m := ode.NewAdaptive(oscillator, 2, at(2, 1e-8))
	m.Start(0, []float64{1, 0})
	y := make([]float64, 2)
	falling := func(y []float64) float64 { return y[0] }
	if n := testing.AllocsPerRun(1000, func() {
		iv, err := m.Step(1e9)
		if err != nil {
			t.Fatal(err)
		}
		iv.At(iv.From+0.005, y)
		iv.Root(falling, 1e-12)
	}); n != 0 {
		t.Errorf("%v allocations a step, want none", n)
	}
}

// A method made new goes the same way as a new one, also from a stiff problem;
// and a coarser tolerance from the middle on takes fewer steps.
func TestRenew(t *testing.T) {
	f := func(t float64, y, d []float64) { d[0] = -1e6*(y[0]-math.Cos(t)) - math.Sin(t) }
	m := ode.NewAdaptive(f, 1, at(1, 1e-8))
	once := along(t, m, []float64{1.5}, 3)[0]
	steps := m.Steps()
	m.Renew(at(1, 1e-8))
	if twice := along(t, m, []float64{1.5}, 3)[0]; twice != once || m.Steps() != steps {
		t.Errorf("%.17g after %d steps, the first time %.17g after %d", twice, m.Steps(), once, steps)
	}
	fine, coarse := ode.NewAdaptive(oscillator, 2, at(2, 1e-10)), ode.NewAdaptive(oscillator, 2, at(2, 1e-10))
	half := along(t, fine, []float64{0, 1}, 10)
	along(t, coarse, []float64{0, 1}, 10)
	before := coarse.Steps()
	coarse.Tolerate(at(2, 1e-5))
	along(t, fine, half, 10)
	along(t, coarse, half, 10)
	if !(coarse.Steps()-before < before/4) || fine.Steps() < 2*before-5 || fine.Steps() > 2*before+5 {
		t.Errorf("%d steps, then %d at a coarser tolerance; %d at the same", before, coarse.Steps()-before, fine.Steps()-before)
	}
}

// The derivative at the end of a step is that of the equation.
func TestEndRate(t *testing.T) {
	m := ode.NewAdaptive(oscillator, 2, at(2, 1e-8))
	m.Start(0, []float64{0, 1})
	for range 5 {
		iv, err := m.Step(10)
		if err != nil {
			t.Fatal(err)
		}
		if y, d := iv.End(), iv.EndRate(); d[0] != y[1] || d[1] != -y[0] {
			t.Fatalf("%v at %v", d, y)
		}
	}
}

// Question: what does the method itself cost beside the equation?
func BenchmarkStep(b *testing.B) {
	m := ode.NewAdaptive(oscillator, 2, ode.Tolerance{Relative: 1e-8, Absolute: []float64{1e-8, 1e-8}})
	m.Start(0, []float64{1, 0})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Step(1e12); err != nil {
			b.Fatal(err)
		}
	}
}
