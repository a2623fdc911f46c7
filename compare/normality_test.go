package compare

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
)

// Source: R 4.2.2, shapiro.test; the first is the example of [ShapiroWilk1965],
// weights of eleven men in pounds (there W = 0.79), the last two are R's cars$dist and
// sin(1:2000) + (1:2000)/1000. Tolerance: R works W from its complement, which
// costs some digits at most.
func TestShapiroWilk(t *testing.T) {
	men := []float64{148, 154, 158, 160, 161, 162, 166, 170, 182, 195, 236}
	distances := []float64{
		2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26,
		54, 32, 40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85,
	}
	var far, logs, waves []float64
	for _, m := range men {
		far, logs = append(far, 1e6+m), append(logs, math.Log(m))
	}
	for i := 1; i <= 2000; i++ {
		waves = append(waves, math.Sin(float64(i))+float64(i)/1000)
	}
	checked := 0
	for _, c := range []struct {
		values []float64
		w, p   float64
	}{
		{men, 0.788814694835, 0.0067038140565},
		{far, 0.788814694835, 0.0067038140565},
		{logs, 0.83620871948, 0.0281656315516},
		{append(men[:11:11], 150), 0.781541984032, 0.00582273795726},
		{[]float64{1, 2, 4}, 0.964285714286, 0.636886845029},
		{[]float64{1, 2, 4, 9}, 0.894686270839, 0.405147211174},
		{[]float64{3, 1, 4, 1, 5}, 0.893924493793, 0.377222469026},
		{[]float64{3, 1, 4, 1, 5, 9}, 0.900767315194, 0.378485363943},
		{[]float64{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1}, 0.326927536275, 1.20728455911e-06},
		{distances, 0.951438478494, 0.0390996836932},
		{waves, 0.987230663072, 2.3723603893e-12},
	} {
		w, p := shapiroWilk(c.values)
		checked++
		if !near.Rel(w, c.w, 1e-9) || !near.Rel(p, c.p, 1e-7) {
			t.Errorf("%d values: W = %.12g, p = %.12g; want %.12g, %.12g", len(c.values), w, p, c.w, c.p)
		}
	}
	for _, none := range [][]float64{nil, {1, 2}, {4, 4, 4, 4}, make([]float64, 5001)} {
		checked++
		if w, p := shapiroWilk(none); !math.IsNaN(w) || !math.IsNaN(p) {
			t.Errorf("%d values: W = %g, p = %g, want none", len(none), w, p)
		}
	}
	if checked != 15 {
		t.Fatalf("%d looked at", checked)
	}
}

// Exact: two values of −1 and 1 a side have no skewness and kurtosis 1 − 3; of
// 0, 0, 0, 1 the moments are those of a coin with chance ¼, (1 − 2q)/√(q(1 − q))
// and (1 − 6q(1 − q))/(q(1 − q)).
func TestShape(t *testing.T) {
	for _, c := range []struct {
		values             []float64
		skewness, kurtosis float64
	}{
		{[]float64{-1, 1, -1, 1}, 0, -2},
		{[]float64{0, 0, 0, 1}, 0.5 / math.Sqrt(3.0/16), (1 - 6*3.0/16) / (3.0 / 16)},
	} {
		s, k := shape(c.values)
		if !near.Abs(s, c.skewness, 1e-12) || !near.Abs(k, c.kurtosis, 1e-12) {
			t.Errorf("%v: %g and %g, want %g and %g", c.values, s, k, c.skewness, c.kurtosis)
		}
	}
	if s, k := shape([]float64{3, 3}); !math.IsNaN(s) || !math.IsNaN(k) {
		t.Errorf("no spread: %g and %g", s, k)
	}
}
