package compare

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/oneway"
)

func sides(seen, base []float64) [2]brought {
	return [2]brought{{value: seen}, {value: base}}
}

// In logarithms and amounts the test against the margin is that of num/oneway on
// the bounds, and so is the verdict; asking two questions doubles each p.
func TestCrossIsWelch(t *testing.T) {
	logs := func(values []float64) []float64 {
		out := []float64{}
		for _, v := range values {
			out = append(out, math.Log(v))
		}
		return out
	}
	checked := 0
	for _, c := range []struct {
		q          Question
		scale      Scale
		seen, base []float64
		asked      int
		want       Verdict
	}{
		{salt, Log, logs(lognormalValues(3, 1.098*3500, 0.015)), logs(lognormalValues(3, 3500, 0.015)), 1, Higher},
		{salt, Log, logs(lognormalValues(3, 1.098*3500, 0.015)), logs(lognormalValues(3, 3500, 0.015)), 40, NotSettled},
		{salt, Log, logs(lognormalValues(3, 0.94*3500, 0.015)), logs(lognormalValues(3, 3500, 0.015)), 1, Lower},
		{salt, Log, logs(lognormalValues(3, 1.008*3500, 0.015)), logs(lognormalValues(3, 3500, 0.015)), 1, NoDifference},
		{salt, Log, logs(lognormalValues(3, 1.008*3500, 0.015)), logs(lognormalValues(3, 3500, 0.015)), 4, NotSettled},
		{salt, Log, logs(lognormalValues(3, 0.98*3500, 0.04)), logs(lognormalValues(3, 3500, 0.04)), 1, NotSettled},
		{inN(), Linear, normalValues(3, 3800, 60), normalValues(3, 3500, 60), 1, Higher},
		{inN(), Linear, normalValues(3, 3490, 60), normalValues(3, 3500, 60), 1, NoDifference},
		{salt, Linear, normalValues(4, 3500*1.04, 20), normalValues(4, 3500, 20), 1, NoDifference},
		{salt, Linear, normalValues(4, 3500*0.96, 20), normalValues(4, 3500, 20), 1, NoDifference},
		{salt, Linear, normalValues(4, 3500*1.06, 20), normalValues(4, 3500, 20), 1, Higher},
	} {
		got := cross(c.q, sides(c.seen, c.base), c.scale, c.asked)
		a, _ := oneway.Summarise(c.seen)
		b, _ := oneway.Summarise(c.base)
		want, err := oneway.Welch(a, b)
		if err != nil || got == nil || got.Verdict != c.want || got.Amount != want.Amount || got.DF != want.DF || got.P != want.P {
			t.Errorf("%+v, %v, want %s and %+v", got, err, c.want, want)
		}
		checked++
	}
	if checked != 11 {
		t.Fatalf("%d checked", checked)
	}
	for _, s := range [][2]brought{sides([]float64{1}, []float64{1, 2}), sides(nil, []float64{1, 2}), sides([]float64{1, 1}, []float64{2, 2})} {
		if got := cross(salt, s, Linear, 1); got != nil {
			t.Errorf("%+v", got)
		}
	}
}

// The share of a mean that is itself estimated: μa − r·μb at the bounds of the
// ratio, by hand. Means 1040 and 1000, SD 10 and 10, three each: against 1.05,
// t = (1040 − 1050)/√(100/3·(1 + 1.1025)), Welch's degrees of freedom
// (1 + 1.1025)²/(1/2 + 1.1025²/2).
func TestCrossShareOfAMean(t *testing.T) {
	both := sides([]float64{1030, 1040, 1050}, []float64{990, 1000, 1010})
	upper, mean, ok := apartFrom(both, 1.05)
	lower, _, _ := apartFrom(both, 0.95)
	if !ok || mean != 1000 || !near.Rel(upper.T, -10/math.Sqrt(100./3*2.1025), 1e-12) || !near.Rel(upper.DF, 2.1025*2.1025/(0.5+1.1025*1.1025/2), 1e-12) || !near.Rel(lower.Amount, 90, 1e-12) {
		t.Errorf("%+v, %+v, %v", upper, lower, ok)
	}
	// By Student's t on 1 degree of freedom, P(T < −1) is a quarter.
	if p := below(oneway.Contrast{Amount: 1, SE: 2, DF: 1}, 3); !near.Abs(p, 0.25, 1e-12) {
		t.Errorf("%g", p)
	}
	if p := below(oneway.Contrast{Amount: 5, SE: 2, DF: 1}, 3); !near.Abs(p, 0.75, 1e-12) {
		t.Errorf("%g", p)
	}
}
