package lmm

import (
	"testing"

	"fallwright.example/internal/near"
)

// One term of intercepts worked through eigenvalues against the definition and
// against the engine for any model: two routes that share no step of the
// deviance. Tolerance: rounding, and that of differences for the slope.
func TestSingleAgreesWithTheDefinition(t *testing.T) {
	checked := 0
	for _, method := range []Method{REML, ML} {
		for _, every := range []int{7, 100} {
			m, _ := invented(5, 9, 5, every)
			m.Random = m.Random[:1]
			m.Random[0].Slope = nil
			f, a, _ := engines(t, m, method)
			o := newSingle(newSwept(f))
			rest := append([]float64(nil), m.Y...)
			f.basis.project(rest)
			o.response(rest)
			for _, x := range [][]float64{{0}, {0.03}, {0.9}, {40}} {
				grad, want := []float64{0}, []float64{0}
				got, swept := o.at(x, grad), a.at(x, want)
				if d := byDefinition(f, m.Y, x); !near.Abs(got, d, 1e-9) || !near.Abs(got, swept, 1e-9) {
					t.Errorf("%v at %g: %.12g, %.12g swept, %.12g by definition", method, x, got, swept, d)
				}
				if !near.Abs(grad[0], want[0], 1e-9) || !near.Abs(grad[0], slope(o, x, 0), 1e-6) {
					t.Errorf("%v at %g: slope %.12g, %.12g swept, %.9g by differences", method, x, grad[0], want[0], slope(o, x, 0))
				}
				sameSolution(t, o, a, x)
				checked++
			}
		}
	}
	if checked != 16 {
		t.Fatalf("%d points looked at", checked)
	}
}

// Any other shape is not single.
func TestSingleIsOneTerm(t *testing.T) {
	m, _ := invented(5, 9, 5, 7)
	for terms := 1; terms <= 2; terms++ {
		m.Random = m.Random[:terms]
		f, err := newFrame(m, REML)
		if err != nil {
			t.Fatal(err)
		}
		if newSingle(newSwept(f)) != nil {
			t.Errorf("%d terms with a slope are taken as one of intercepts", terms)
		}
		m, _ = invented(5, 9, 5, 7)
	}
}
