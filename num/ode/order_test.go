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

// methods are NewAdaptive's, NewCoarse's and the stiff one.
var methods = []struct {
	name  string
	make  func(f Func, n int, tol Tolerance) *Adaptive
	stiff bool
	order float64
}{{"Dormand-Prince", NewAdaptive, false, 5}, {"classical", NewCoarse, false, 4}, {"Rosenbrock", NewAdaptive, true, 4}}

// fixed is a method that takes whatever step it is given.
func fixed(kind func(Func, int, Tolerance) *Adaptive, f Func, n int, stiff bool) *Adaptive {
	loose := make([]float64, n)
	for i := range loose {
		loose[i] = 1e9
	}
	m := kind(f, n, Tolerance{Absolute: loose})
	m.h = 1e9
	if stiff {
		m.stiff, m.inStiff = newRosenbrock(f, n), true
	}
	return m
}

// worst integrates to t = 2 in n steps and returns the largest error at the
// ends of steps, and at three points inside each.
func worst(t *testing.T, kind func(Func, int, Tolerance) *Adaptive, f Func, start []float64, exact func(float64) float64, n int, stiff bool) (ends, inside float64) {
	t.Helper()
	m := fixed(kind, f, len(start), stiff)
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
	for _, method := range methods {
		for _, p := range problems {
			e1, i1 := worst(t, method.make, p.f, p.start, p.exact, 40, method.stiff)
			e2, i2 := worst(t, method.make, p.f, p.start, p.exact, 80, method.stiff)
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
	if checked != 18 {
		t.Fatalf("checked %d orders", checked)
	}
}

// The error that a step of the classical method is taken to have is that of order
// 3, ŷ: for y' = −y the two differ by (z³/12 − z⁴/24)·z/6, z = h, by the polynomials
// of the stages.
func TestClassicalEstimate(t *testing.T) {
	for _, h := range []float64{0.05, 0.2, 1} {
		m := NewCoarse(func(_ float64, y, d []float64) { d[0] = -y[0] }, 1, Tolerance{Absolute: []float64{1}})
		m.Start(0, []float64{1})
		if got, want := m.try(h), h/6*(h*h*h/12+h*h*h*h/24); !(math.Abs(got/want-1) < 1e-9) {
			t.Errorf("step of %g: %.12g, want %.12g", h, got, want)
		}
	}
}

// Source: |R(i·y)| ≤ 1 up to y = √8 for the classical method, and up to about 1 for
// Dormand and Prince's, R the polynomial by which a step multiplies y' = λ·y: a
// swing neither dies away nor grows below, and grows above.
func TestSwingStaysBounded(t *testing.T) {
	swing := problems[0]
	for _, c := range []struct {
		kind  func(Func, int, Tolerance) *Adaptive
		step  float64
		grows bool
	}{{NewCoarse, 2.8, false}, {NewCoarse, 2.85, true}, {NewAdaptive, 0.9, false}, {NewAdaptive, 1.2, true}} {
		m := fixed(c.kind, swing.f, 2, false)
		m.Start(0, swing.start)
		for i := range 200 {
			m.slow = 0 // it looks stiff
			if _, err := m.Step(c.step * float64(i+1)); err != nil {
				t.Fatal(err)
			}
		}
		if size := math.Hypot(m.now[0], m.now[1]); (size > 1) != c.grows {
			t.Errorf("steps of %g: size %g after 200, grows: want %v", c.step, size, c.grows)
		}
	}
}

// The last state that a step asks about is that at its end, whatever the method:
// callers that keep what they worked out there rely on it.
func TestLastAskedIsTheEnd(t *testing.T) {
	for _, method := range methods {
		asked := [2]float64{}
		f := func(_ float64, y, d []float64) { asked = [2]float64{y[0], y[1]}; d[0], d[1] = y[1], -y[0] }
		m := method.make(f, 2, Tolerance{Absolute: []float64{1e-5, 1e-5}})
		if method.stiff {
			m.stiff, m.inStiff = newRosenbrock(f, 2), true
		}
		m.Start(0, []float64{0, 1})
		for m.time < 9 {
			if iv, err := m.Step(9); err != nil || asked != [2]float64(iv.End()) {
				t.Fatalf("%s: asked about %v last, the step ends at %v (%v)", method.name, asked, iv.End(), err)
			}
		}
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
