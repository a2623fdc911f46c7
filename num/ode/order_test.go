package ode

import (
	"math"
	"testing"
)

// problems have exact solutions, worked by hand: the oscillator x” = -x from
// (0, 1), the logistic equation y' = y·(1-y) from 1/2, and y' = -2·t·y from 1,
// the last because it depends on time.
var problems = []struct {
	name  string
	f     Func
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

// fixed is a method that takes whatever step it is given.
func fixed(f Func, n int, stiff bool) *Adaptive {
	loose := make([]float64, n)
	for i := range loose {
		loose[i] = 1e9
	}
	m := NewAdaptive(f, n, Tolerance{Absolute: loose})
	m.h = 1e9
	if stiff {
		m.stiff, m.inStiff = newRosenbrock(f, n), true
	}
	return m
}

// worst integrates to t = 2 in n steps and returns the largest error at the
// ends of steps, and at three points inside each.
func worst(t *testing.T, f Func, start []float64, exact func(float64) float64, n int, stiff bool) (ends, inside float64) {
	t.Helper()
	m := fixed(f, len(start), stiff)
	m.Start(0, start)
	y := make([]float64, len(start))
	for k := range n {
		iv, err := m.Step(2 / float64(n) * float64(k+1))
		if err != nil {
			t.Fatal(err)
		}
		ends = max(ends, math.Abs(iv.End()[0]-exact(iv.To)))
		for _, u := range []float64{0.25, 0.5, 0.8} {
			at := iv.From + u*(iv.To-iv.From)
			iv.At(at, y)
			inside = max(inside, math.Abs(y[0]-exact(at)))
		}
	}
	if m.Steps() != n {
		t.Fatalf("%d steps, want %d", m.Steps(), n)
	}
	return ends, inside
}

// Source: the definition of order p. Halving the step divides the error by 2^p;
// at these steps the next term of the error moves the observed order by less
// than 0.3. Dense output one order lower has an error inside a step of the same
// power, since that is not summed over the steps.
func TestObservedOrder(t *testing.T) {
	checked := 0
	for _, method := range []struct {
		name  string
		stiff bool
		order float64
	}{{"Dormand-Prince", false, 5}, {"Rosenbrock", true, 4}} {
		for _, p := range problems {
			e1, i1 := worst(t, p.f, p.start, p.exact, 40, method.stiff)
			e2, i2 := worst(t, p.f, p.start, p.exact, 80, method.stiff)
			for _, c := range []struct {
				where        string
				coarse, fine float64
			}{{"ends", e1, e2}, {"inside", i1, i2}} {
				if order := math.Log2(c.coarse / c.fine); !(math.Abs(order-method.order) < 0.3) {
					t.Errorf("%s, %s, %s: observed order %.3f, want %g", method.name, p.name, c.where, order, method.order)
				}
				checked++
			}
		}
	}
	if checked != 12 {
		t.Fatalf("checked %d orders", checked)
	}
}

// What the choice of steps uses in the place of math.Log2 and math.Exp2 keeps to
// what it says, over the sizes that errors have.
func TestRoughPowers(t *testing.T) {
	checked := 0
	for x := 1e-10; x < 1e12; x *= 1.07 {
		if out := log2(x) - math.Log2(x); !(math.Abs(out) < 0.01) {
			t.Errorf("log2 of %g is out by %g", x, out)
		}
		checked++
	}
	for x := -40.0; x < 40; x += 0.013 {
		if out := exp2(x)/math.Exp2(x) - 1; !(math.Abs(out) < 0.003) {
			t.Errorf("2 to the power of %g is out by %g", x, out)
		}
		checked++
	}
	if checked < 6000 {
		t.Fatalf("checked %d", checked)
	}
}
