package near

import (
	"math"
	"testing"
)

var nan, inf = math.NaN(), math.Inf(1)

// Every row is exact algebra: a hit just inside, a near miss just outside, and
// the values that a comparison with < or > would wave through.
func TestAbs(t *testing.T) {
	for _, c := range []struct {
		got, want, tol float64
		near           bool
	}{
		{1.25, 1, 0.25, true},
		{1.2500001, 1, 0.25, false},
		{0.7499999, 1, 0.25, false},
		{3, 3, 0, true},
		{3, math.Nextafter(3, 4), 0, false},
		{nan, 1, 1, false},
		{1, nan, 1, false},
		{nan, nan, 1, false},
		{1, 1, nan, false},
		{nan, nan, inf, false},
		{1, 1, -1e-9, false},
		{inf, inf, 0, true},
		{inf, -inf, 1, false},
		{inf, 1, inf, false},
		{1, inf, inf, false},
		{inf, inf, nan, false},
	} {
		if Abs(c.got, c.want, c.tol) != c.near {
			t.Errorf("Abs(%g, %g, %g) = %v", c.got, c.want, c.tol, !c.near)
		}
	}
}

func TestRel(t *testing.T) {
	for _, c := range []struct {
		got, want, tol float64
		near           bool
	}{
		{5000, 4000, 0.25, true},
		{5000.001, 4000, 0.25, false},
		{-5000, -4000, 0.25, true},
		{-5000.001, -4000, 0.25, false},
		{4000, -4000, 0.25, false},
		{0, 0, 0.1, true},
		{1e-300, 0, 0.1, false},
		{nan, 1, 1, false},
		{1, nan, 1, false},
		{1, 1, nan, false},
		{1, 1, -0.1, false},
	} {
		if Rel(c.got, c.want, c.tol) != c.near {
			t.Errorf("Rel(%g, %g, %g) = %v", c.got, c.want, c.tol, !c.near)
		}
	}
}

func TestDigits(t *testing.T) {
	for _, c := range []struct{ got, want, digits float64 }{
		{1001, 1000, 3},
		{999, 1000, 3},
		{-1001, -1000, 3},
		{1.00001e-7, 1e-7, 5},
		{1e-6, 0, 6},
		{42, 42, Most},
		{0, 0, Most},
		{-1, 1, 0},
		{1e9, 1, 0},
		{nan, 1, 0},
		{1, nan, 0},
		{nan, nan, 0},
		{inf, inf, 0},
		{inf, 1, 0},
		{1, inf, 0},
	} {
		// 1e-9: −log10 of a difference that is itself rounded.
		if d := Digits(c.got, c.want); !(math.Abs(d-c.digits) < 1e-9) {
			t.Errorf("Digits(%g, %g) = %g, want %g", c.got, c.want, d, c.digits)
		}
	}
}
