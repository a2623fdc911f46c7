package dsp

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// A parabola comes back wherever its top lies between the samples.
func TestLocalPeakIsExact(t *testing.T) {
	checked := 0
	for half := 1; half <= 12; half++ {
		for _, place := range []float64{19.6, 20, 20.25, 20.9} {
			x := make([]float64, 41)
			for i := range x {
				x[i] = 4000 - 1.5*math.Pow(float64(i)-place, 2)
			}
			top, err := LocalPeak(x, 20, half)
			if err != nil {
				t.Fatal(err)
			}
			if !near.Abs(top.Value, 4000, 1e-9) || !near.Abs(top.Place, place, 1e-9) || !near.Rel(top.Bend, -3, 1e-10) {
				t.Errorf("half %d, top at %g: %+v", half, place, top)
			}
			if half > 1 && !(top.Residual < 1e-9) || half == 1 && !math.IsNaN(top.Residual) {
				t.Errorf("half %d: residual %g", half, top.Residual)
			}
			checked++
		}
	}
	if checked != 48 {
		t.Fatal(checked)
	}
}

// Three samples are met exactly, so a top on the middle one has its variance:
// factor 1. Five give 17/35, the centre weight of the classic five-point
// quadratic smoother. And what 20 000 draws do, within 4 standard errors.
func TestFactorOfTheTop(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for _, c := range []struct {
		half        int
		place, want float64
	}{{1, 20, 1}, {2, 20, 17.0 / 35}, {10, 23.5, math.NaN()}} {
		x := make([]float64, 41)
		const trials = 20_000
		var sum, squares, factor, residual float64
		for k := range trials + 1 {
			for i := range x {
				x[i] = -math.Pow(float64(i)-c.place, 2)
				if k > 0 {
					x[i] += 0.1 * r.NormFloat64()
				}
			}
			top, err := LocalPeak(x, 20, c.half)
			if err != nil {
				t.Fatal(err)
			}
			if k == 0 {
				factor = top.Factor
				continue
			}
			if c.half == 1 && !math.IsNaN(top.Residual) {
				t.Fatalf("three samples have the residual %g", top.Residual)
			}
			sum, squares = sum+top.Value, squares+top.Value*top.Value
			residual += top.Residual * top.Residual / trials
		}
		mean := sum / trials
		if !math.IsNaN(c.want) && !near.Rel(factor, c.want, 1e-12) {
			t.Errorf("half %d: factor %.15g, want %.15g", c.half, factor, c.want)
		}
		// Mean square of the residual: the variance of the noise; none for 3.
		if c.half == 1 != math.IsNaN(residual) || c.half > 1 && !near.Rel(residual, 0.01, 4*math.Sqrt(2.0/trials/float64(2*c.half-2))) {
			t.Errorf("half %d: mean square of the residual %g, want 0.01", c.half, residual)
		}
		if got := (squares/trials - mean*mean) / 0.01; !near.Rel(got, factor, 4*math.Sqrt(2.0/trials)) {
			t.Errorf("half %d: the top's variance is %g of the noise's, stated %g", c.half, got, factor)
		}
	}
}

// On a sine's top the parabola reads low or high by its fourth-order part: with
// h samples each side of a top on a sample, the fit of 1 − s²/2 + s⁴/24 has the
// centre weight of s⁴, so the error goes with h⁴: sixteen times for twice the
// window, to leading order.
func TestLocalPeakConverges(t *testing.T) {
	before := 0.0
	for _, half := range []int{20, 40, 80} {
		x := make([]float64, 401)
		for i := range x {
			x[i] = math.Cos(float64(i-200) / 500)
		}
		top, err := LocalPeak(x, 200, half)
		if err != nil {
			t.Fatal(err)
		}
		off := top.Value - 1
		if before != 0 && !near.Rel(off/before, 16, 0.1) {
			t.Errorf("half %d: the error grew by %g", half, off/before)
		}
		before = off
	}
}

func TestLocalPeakRefuses(t *testing.T) {
	up, line := make([]float64, 21), make([]float64, 21)
	for i := range up {
		up[i] = math.Pow(float64(i-10), 2)
		line[i] = 3 * float64(i)
	}
	_, err := LocalPeak(up, 10, 3)
	refused(t, "a hollow", err, ErrNoTop)
	_, err = LocalPeak(line, 10, 3)
	refused(t, "a line", err, ErrNoTop)
	_, err = LocalPeak(make([]float64, 21), 10, 3)
	refused(t, "a level", err, ErrNoTop)
	for i := range up {
		up[i] = -up[i]
	}
	_, err = LocalPeak(up, 16, 3)
	refused(t, "a top outside the window", err, ErrNoTop)
	_, err = LocalPeak(up, 2, 3)
	refused(t, "a window over the start", err, ErrTooFew)
	_, err = LocalPeak(up, 18, 3)
	refused(t, "a window over the end", err, ErrTooFew)
	_, err = LocalPeak(up, 10, 0)
	refused(t, "no window", err, ErrRange)
	up[9] = math.NaN()
	_, err = LocalPeak(up, 10, 3)
	refused(t, "NaN", err, ErrNotFinite)
}

func BenchmarkLocalPeak(b *testing.B) {
	x := make([]float64, 2001)
	for i := range x {
		x[i] = 4000 - math.Pow(float64(i-1000)/50, 2)
	}
	for b.Loop() {
		if _, err := LocalPeak(x, 1000, 500); err != nil {
			b.Fatal(err)
		}
	}
}
