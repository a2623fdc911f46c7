package uncert

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// The series and its step against the inversion of the distribution by gonum, and
// against the distribution itself, which gonum rounds to some 1e-13. Its inversion stops up
// to 2e-11 short at p = 0.9, where the distribution says that ours is nearer.
func TestStudentQuantileIsThatOfTheDistribution(t *testing.T) {
	checked := 0
	for _, p := range []float64{0.75, 0.9, 0.975, 0.995, 0.9995} {
		for freedom := 30.0; freedom <= 1e4; freedom = math.Ceil(freedom * 1.13) {
			exact := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}
			got, want := studentQuantile(p, freedom), exact.Quantile(p)
			if math.Abs(got-want) > 5e-11*want {
				t.Errorf("p %g, %g degrees of freedom: %.16g, by inversion %.16g", p, freedom, got, want)
			}
			if back := exact.CDF(got); math.Abs(back-p) > 3e-13 {
				t.Errorf("p %g, %g degrees of freedom: %.16g has the probability %.16g", p, freedom, got, back)
			}
			checked++
		}
	}
	if checked < 200 {
		t.Errorf("only %d were checked", checked)
	}
	if got, want := studentQuantile(0.999999, 30), (distuv.StudentsT{Mu: 0, Sigma: 1, Nu: 30}).Quantile(0.999999); got != want {
		t.Errorf("far out: %v, want %v", got, want)
	}
}
