package ode_test

import (
	"math"
	"testing"

	"fallwright.example/num/ode"
)

// problems have exact solutions, worked by hand: the oscillator x” = -x from
// (0, 1), the logistic equation y' = y·(1-y) from 1/2, and y' = -2·t·y from 1,
// the last because it depends on time.
var problems = []struct {
	name  string
	f     ode.Func
	start []float64
	exact func(t float64) float64 // first component
}{
	{"oscillator", func(_ float64, y, d []float64) { d[0], d[1] = y[1], -y[0] }, []float64{0, 1}, math.Sin},
	{
		"logistic", func(_ float64, y, d []float64) { d[0] = y[0] * (1 - y[0]) },
		[]float64{0.5},
		func(t float64) float64 { return 1 / (1 + math.Exp(-t)) },
	},
	{
		"bell", func(t float64, y, d []float64) { d[0] = -2 * t * y[0] },
		[]float64{1},
		func(t float64) float64 { return math.Exp(-t * t) },
	},
}

// worst integrates to t = 2 in n steps and returns the largest error at the
// ends of steps, and at three points inside each.
func worst(f ode.Func, start []float64, exact func(float64) float64, n int) (ends, inside float64) {
	m := ode.NewRK4(f, len(start))
	m.Start(0, start)
	y := make([]float64, len(start))
	h := 2 / float64(n)
	for range n {
		iv := m.Step(h)
		ends = max(ends, math.Abs(iv.End()[0]-exact(iv.To)))
		for _, u := range []float64{0.25, 0.5, 0.8} {
			t := iv.From + u*h
			iv.At(t, y)
			inside = max(inside, math.Abs(y[0]-exact(t)))
		}
	}
	return ends, inside
}

// Source: the definition of order. Halving the step divides the error by 2⁴;
// at these steps the next term of the error is below 6 % of the first, which
// moves the observed order by less than 0.1.
func TestObservedOrderIsFour(t *testing.T) {
	checked := 0
	for _, p := range problems {
		e1, i1 := worst(p.f, p.start, p.exact, 80)
		e2, i2 := worst(p.f, p.start, p.exact, 160)
		for _, c := range []struct {
			where        string
			coarse, fine float64
		}{{"ends", e1, e2}, {"inside", i1, i2}} {
			if order := math.Log2(c.coarse / c.fine); !(math.Abs(order-4) < 0.1) {
				t.Errorf("%s, %s: observed order %.3f, want 4", p.name, c.where, order)
			}
			checked++
		}
	}
	if checked != 6 {
		t.Fatalf("checked %d orders, want 6", checked)
	}
}

// Cubics are met exactly by the method and by its dense output, both being of
// degree three at least: only rounding is left.
func TestCubicIsExact(t *testing.T) {
	exact := func(t float64) float64 { return 1 - 2*t + 3*t*t - 4*t*t*t }
	f := func(t float64, _, d []float64) { d[0] = -2 + 6*t - 12*t*t }
	ends, inside := worst(f, []float64{1}, exact, 7)
	if !(ends < 1e-13 && inside < 1e-13) {
		t.Errorf("errors %g at ends, %g inside; want rounding only", ends, inside)
	}
}

// The oscillator from (1, 0) crosses zero downward at t = π/2 and 5π/2, by
// definition of the cosine. At h = 0.01 the method and the cubic are each good
// to about 1e-10 there, the bracket to 1e-13.
func TestRootOfOscillator(t *testing.T) {
	m := ode.NewRK4(problems[0].f, 2)
	m.Start(0, []float64{1, 0})
	position := func(y []float64) float64 { return y[0] }
	var found []float64
	y := make([]float64, 2)
	for range 1000 {
		iv := m.Step(0.01)
		at, ok := iv.Root(position, 1e-13)
		if !ok {
			continue
		}
		found = append(found, at)
		iv.At(at, y)
		if y[0] > 0 {
			t.Errorf("at %g the condition still holds: %g", at, y[0])
		}
	}
	want := []float64{math.Pi / 2, 5 * math.Pi / 2}
	if len(found) != len(want) {
		t.Fatalf("found %v, want two crossings", found)
	}
	for i, w := range want {
		if !(math.Abs(found[i]-w) < 2e-9) {
			t.Errorf("crossing %d at %.12f, want %.12f", i, found[i], w)
		}
	}
}

// The error of a located event falls with the fourth power of the step as well:
// the event is where the dense output puts it.
func TestRootObservedOrder(t *testing.T) {
	locate := func(n int) float64 {
		m := ode.NewRK4(problems[0].f, 2)
		m.Start(0, []float64{1, 0})
		for range 2 * n {
			iv := m.Step(1 / float64(n))
			if at, ok := iv.Root(func(y []float64) float64 { return y[0] - 0.25 }, 1e-15); ok {
				return math.Abs(at - math.Acos(0.25))
			}
		}
		return math.NaN()
	}
	// Where in its step the event falls changes the error's factor, so the
	// order is taken over a wide range of steps: 1/8 to 1/256.
	if order := math.Log2(locate(8)/locate(256)) / 5; !(math.Abs(order-4) < 0.35) {
		t.Errorf("observed order %.2f, want 4", order)
	}
}

func TestRootNeedsAConditionThatStops(t *testing.T) {
	m := ode.NewRK4(func(_ float64, _, d []float64) { d[0] = 1 }, 1)
	m.Start(0, []float64{0})
	iv := m.Step(1)
	for name, g := range map[string]func([]float64) float64{
		"holds throughout": func(y []float64) float64 { return 2 - y[0] },
		"never held":       func(y []float64) float64 { return -1 - y[0] },
		"begins to hold":   func(y []float64) float64 { return y[0] - 0.5 },
		"is not a number":  func([]float64) float64 { return math.NaN() },
	} {
		if at, ok := iv.Root(g, 1e-12); ok {
			t.Errorf("a condition that %s gave an event at %g", name, at)
		}
	}
}

// A step from an event must not see what was integrated before it.
func TestStartForgets(t *testing.T) {
	m := ode.NewRK4(problems[1].f, 1)
	m.Start(0, []float64{0.5})
	m.Step(0.3)
	m.Start(0, []float64{0.5})
	again := m.Step(0.1).End()[0]
	fresh := ode.NewRK4(problems[1].f, 1)
	fresh.Start(0, []float64{0.5})
	if want := fresh.Step(0.1).End()[0]; again != want {
		t.Errorf("after Start %.17g, from new %.17g", again, want)
	}
}

func TestNothingIsAllocatedPerStep(t *testing.T) {
	m := ode.NewRK4(problems[0].f, 2)
	m.Start(0, []float64{1, 0})
	y := make([]float64, 2)
	falling := func(y []float64) float64 { return y[0] }
	if n := testing.AllocsPerRun(1000, func() {
		iv := m.Step(0.01)
		iv.At(iv.From+0.005, y)
		iv.Root(falling, 1e-12)
	}); n != 0 {
		t.Errorf("%v allocations a step, want none", n)
	}
}

// Question: what does the method itself cost beside the equation? About 30 ns
// a step of two components on the machine this was written on.
func BenchmarkStep(b *testing.B) {
	m := ode.NewRK4(problems[0].f, 2)
	m.Start(0, []float64{1, 0})
	b.ReportAllocs()
	for b.Loop() {
		m.Step(0.001)
	}
}
