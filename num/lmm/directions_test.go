package lmm_test

import (
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Source: mvtnorm's pmvt with 4 million points, whose own error is 3.4e-5 and
// 1.8e-5: five conditions at five falls against a baseline, specimens and residual
// spread alike. Tolerance: that error and 1e-4.
func TestCurvesOfTwentyFive(t *testing.T) {
	r := mat.NewSymDense(25, nil)
	for a := range 25 {
		for b := range 25 {
			v := 1.0
			if a%5 == b%5 {
				v++
			}
			if a/5 == b/5 {
				v *= 2
			}
			r.SetSym(a, b, v/4)
		}
	}
	j, err := lmm.NewJoint(r)
	if err != nil {
		t.Fatal(err)
	}
	c := j.Curves([]float64{10, 20})
	for _, x := range []struct{ bound, df, want, tol float64 }{{3, 10, 0.154120822, 1.34e-4}, {3.5, 20, 0.0377090324, 1.18e-4}} {
		if got := c.Beyond(x.bound, x.df); !near.Abs(got, x.want, x.tol) {
			t.Errorf("beyond %g at %g: %.7f, want %.7f", x.bound, x.df, got, x.want)
		}
	}
}
