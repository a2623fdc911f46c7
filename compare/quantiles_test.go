package compare

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
)

// Curves against the quantiles themselves, whose own test is against R. Between
// nodes and at the ends, for chances from none of 0.2 to a small share of 0.05.
func TestQuantileCurves(t *testing.T) {
	q, checked := quantiles{}, 0
	for _, beyond := range []float64{0.2, 0.1, 0.05, 0.025, 0.01, 0.05 / 25, 0.1 / 300} {
		for df := 1.0; df < 1e5; df *= 1.0137 {
			want := memo{}.critical(beyond, df)
			if got := q.critical(beyond, df); !near.Rel(got, want, 1e-9) {
				t.Errorf("beyond %g, df %g: %.12g, want %.12g", beyond, df, got, want)
			}
			checked++
		}
		// The library's quantile is right to some 1e-9 only from a million degrees of
		// freedom on, so there it is the normal's, -√2·erfc⁻¹, with Fisher's first term.
		z := math.Sqrt2 * math.Erfcinv(beyond)
		want := z + (z*z*z+z)/(4*1e7)
		if got := q.critical(beyond, 1e7); !near.Rel(got, want, 1e-9) {
			t.Errorf("beyond %g, df 1e7: %.12g, want %.12g", beyond, got, want)
		}
	}
	if got, want := q.critical(0.05, 0.7), (memo{}).critical(0.05, 0.7); got != want {
		t.Errorf("below one degree of freedom %g, want %g", got, want)
	}
	if got := q.critical(0.05, math.NaN()); !math.IsNaN(got) {
		t.Errorf("%g", got)
	}
	if checked < 4000 {
		t.Fatalf("%d checked", checked)
	}
}

func BenchmarkQuantileCurve(b *testing.B) {
	q := quantiles{}
	q.critical(0.05, 5)
	sum := 0.0
	for i := range b.N {
		sum += q.critical(0.05, 3+float64(i%1000)/37)
	}
	if math.IsNaN(sum) {
		b.Fatal()
	}
}
