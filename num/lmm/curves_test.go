package lmm_test

import (
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Source: the integral itself, which joint_test.go holds against mvtnorm; and
// for three treatments against one control the exact two-sided point of
// [Dunnett1955] at 8 degrees of freedom, 2.8796615 (see joint_test.go).
// Tolerance: what the curves say they cost, and 5e-5 where the lattice's own
// error comes in.
func TestCurvesAreTheIntegral(t *testing.T) {
	half := mat.NewSymDense(3, []float64{1, 0.5, 0.5, 0.5, 1, 0.5, 0.5, 0.5, 1})
	other := mat.NewSymDense(3, []float64{1, 0.8, 0.1, 0.8, 1, -0.2, 0.1, -0.2, 1})
	checked := 0
	for _, r := range []*mat.SymDense{half, other} {
		j, err := lmm.NewJoint(r)
		if err != nil {
			t.Fatal(err)
		}
		dfs, bounds := [][]float64{{8}, {8, 8.5, 8.2}, {8, 15, 11}, {3, 40, 8}}, []float64{0.3, 1.1, 1.61, 2.5, -3.3, 6}
		if r == other { // the lattice takes its time
			dfs, bounds = dfs[:1], bounds[2:4]
		}
		for _, df := range dfs {
			c := j.Curves(df)
			for _, bound := range bounds {
				at := df[len(df)-1]
				want, err := j.Adjusted(bound, at, lmm.TwoSided)
				if err != nil {
					t.Fatal(err)
				}
				if got := c.Beyond(bound, at); !near.Abs(got, want, 5e-5) || r == half && !near.Abs(got, want, 1e-5) {
					t.Errorf("beyond %g at %g of %v: %.8f, want %.8f", bound, at, df, got, want)
				}
				checked++
			}
		}
	}
	j, _ := lmm.NewJoint(half)
	if got := j.Curves([]float64{8}).Quantile(0.05, 8); !near.Abs(got, 2.8796615, 2e-5) {
		t.Errorf("Dunnett's point %g, want 2.8796615", got)
	}
	if checked != 26 {
		t.Fatalf("%d looked at", checked)
	}
}
