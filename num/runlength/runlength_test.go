package runlength

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
)

// Tables as remembered from the sources named; each is printed to the digits
// given, and the tolerance is one in the last of them.
func TestPublished(t *testing.T) {
	checked := 0
	check := func(what string, got, want, tol float64) {
		t.Helper()
		checked++
		if !near.Abs(got, want, tol) {
			t.Errorf("%s: %.4f, published %g", what, got, want)
		}
	}
	check("3 standard deviations", Shewhart(3, 0), 370.40, 0.005)
	check("shift 1", Shewhart(3, 1), 43.89, 0.006)
	// [LucasCrosier1982], zero start, k 0.5.
	for _, c := range []struct{ h, shift, want, tol float64 }{
		{4, 0, 168, 0.5}, {4, 0.5, 26.6, 0.06}, {4, 1, 8.38, 0.006}, {4, 2, 3.34, 0.006}, {5, 0, 465, 0.5}, {5, 1, 10.4, 0.06}, {5, 2, 4.01, 0.006},
	} {
		check("CUSUM", CUSUM(0.5, c.h, c.shift), c.want, c.tol)
	}
	// [LucasSaccucci1990]: pairs that give 500.
	for _, c := range []struct{ lambda, limit float64 }{{0.4, 3.054}, {0.25, 2.998}, {0.2, 2.962}, {0.1, 2.814}, {0.05, 2.615}} {
		check("EWMA", EWMA(c.lambda, c.limit, 0), 500, 1)
	}
	check("EWMA shift 1", EWMA(0.1, 2.814, 1), 10.3, 0.06)
	// λ 1 is a chart of single points.
	check("EWMA λ 1", EWMA(1, 3, 0.7), Shewhart(3, 0.7), 1e-6)
	if checked != 16 {
		t.Fatalf("%d checks ran", checked)
	}
}

// [ChampWoodall1987] table 1 at no shift and at one standard deviation, from
// memory; printed to two decimals.
func TestRulesPublished(t *testing.T) {
	one, two, four, eight := Rule{1, 1, 3}, Rule{2, 3, 2}, Rule{4, 5, 1}, Rule{8, 8, 0}
	for _, c := range []struct {
		rules []Rule
		want  float64
	}{
		{[]Rule{one}, 370.40},
		{[]Rule{one, two}, 225.44},
		{[]Rule{one, four}, 166.05},
		{[]Rule{one, eight}, 152.73},
		{[]Rule{one, two, four}, 132.89},
		{[]Rule{one, two, eight}, 122.05},
		{[]Rule{one, four, eight}, 105.78},
		{[]Rule{one, two, four, eight}, 91.75},
	} {
		if got := Rules(c.rules, 0); !near.Abs(got, c.want, 0.006) {
			t.Errorf("%v: %.4f, published %.2f", c.rules, got, c.want)
		}
	}
	if got := Rules([]Rule{one}, 1.3); !near.Rel(got, Shewhart(3, 1.3), 1e-9) {
		t.Errorf("one rule: %g, %g", got, Shewhart(3, 1.3))
	}
	for _, bad := range [][]Rule{nil, {{3, 2, 1}}, {{0, 1, 1}}, {{1, 17, 1}}, {{1, 1, math.NaN()}}} {
		if !math.IsNaN(Rules(bad, 0)) {
			t.Errorf("%v is a chart", bad)
		}
	}
}

func TestNoChart(t *testing.T) {
	for i, got := range []float64{EWMA(0, 3, 0), EWMA(1.1, 3, 0), EWMA(0.2, 0, 0), CUSUM(-1, 4, 0), CUSUM(0.5, 0, 0)} {
		if !math.IsNaN(got) {
			t.Errorf("case %d is a chart of %g", i, got)
		}
	}
}

func BenchmarkRules(b *testing.B) {
	for b.Loop() {
		Rules([]Rule{{1, 1, 3}, {2, 3, 2}, {4, 5, 1}, {8, 8, 0}}, 0)
	}
}

func BenchmarkEWMA(b *testing.B) {
	for b.Loop() {
		EWMA(0.1, 2.7, 0)
	}
}

func BenchmarkCUSUM(b *testing.B) {
	for b.Loop() {
		CUSUM(0.5, 5, 0)
	}
}
