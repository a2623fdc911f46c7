package compare

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/dist"
)

// The chances of findings of one balanced contrast: those of testdata/power.R, which
// R 4.2.2 integrates over the variance; R's integral and this one stop at 1e-9.
func TestExactAgainstR(t *testing.T) {
	lo, up := math.Log(0.95), math.Log(1.05)
	checked := 0
	for _, c := range []struct {
		truth, se, df, lower, upper, alpha, want float64
		of                                       Verdict
	}{
		{0, math.Sqrt(2 * 0.03 * 0.03 / 7), 12, lo, up, 0.05, 0.802779331201, NoDifference},
		{-50, math.Sqrt(2 * 120 * 120 / 3.0), 4, -200, 200, 0.05, 0.198861167124, NoDifference},
		{0.09, math.Sqrt(2 * 0.03 * 0.03 / 4), 6, lo, up, 0.05, 0.930979681850, Higher},
		{230, math.Sqrt(2 * 120 * 120 / 12.0), 22, -200, 200, 0.05, 0.729854312651, Higher},
		{-400, math.Sqrt(2 * 150 * 150 / 3.0), 4, -200, 200, 0.025, 0.505801354728, Lower},
	} {
		x := Exact(c.truth, c.se, c.df, c.lower, c.upper, c.alpha, c.alpha)
		got := map[Verdict]float64{Higher: x.Higher, Lower: x.Lower, NoDifference: x.NoDifference}[c.of]
		if !near.Abs(got, c.want, 2e-9) || !near.Abs(x.Higher+x.Lower+x.NoDifference+x.NotSettled, 1, 1e-9) {
			t.Errorf("%+v: %+v", c, x)
		}
		checked++
	}
	if checked != 5 {
		t.Fatalf("%d checked", checked)
	}
}

// With next to no margin higher and lower are the tails of the noncentral t, which
// num/dist has by another integral. 1e-9: where this one stops.
func TestExactIsNoncentralT(t *testing.T) {
	checked := 0
	for _, df := range []float64{2, 5, 14, 80} {
		for _, truth := range []float64{-3, 0, 0.5, 2, 6} {
			x := Exact(truth, 1, df, -1e-12, 1e-12, 0.05, 0.05)
			q := dist.T(0.025, df)
			if !near.Abs(x.Higher, dist.NoncentralTTail(q, df, truth), 1e-9) || !near.Abs(x.Lower, dist.NoncentralTBelow(-q, df, truth), 1e-9) {
				t.Errorf("df %g, truth %g: %+v", df, truth, x)
			}
			a, b := Exact(truth, 1, df, -0.7, 1.2, 0.05, 0.05), Exact(-truth, 1, df, -1.2, 0.7, 0.05, 0.05)
			if !near.Abs(a.Lower, b.Higher, 1e-9) || !near.Abs(a.NoDifference, b.NoDifference, 1e-9) {
				t.Errorf("df %g, truth %g: %+v, turned over %+v", df, truth, a, b)
			}
			checked++
		}
	}
	if checked != 20 {
		t.Fatalf("%d checked", checked)
	}
}
