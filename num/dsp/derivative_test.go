package dsp

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// Exact on polynomials up to its order, at every sample and so at the ends, for
// every order that a window takes: the slope of Σ (t/10)^k worked by hand.
func TestDerivativeOfPolynomials(t *testing.T) {
	const rate = 1000.0
	checked := 0
	for half := 1; half <= 6; half++ {
		for order := 1; order <= 2*half; order++ {
			x, want := make([]float64, 40), make([]float64, 40)
			for i := range x {
				s := (float64(i) - 20) / 10
				for k := order; k >= 0; k-- {
					want[i] = want[i]*s + x[i] // Horner's rule and its derivative
					x[i] = x[i]*s + 1
				}
				want[i] *= rate / 10
			}
			y, err := Derivative(x, rate, half, order)
			if err != nil {
				t.Fatal(err)
			}
			for i := range y {
				// The ends of a high order amplify rounding: digits of the largest.
				if !near.Abs(y[i], want[i], 1e-9*span(want)) {
					t.Fatalf("half %d order %d: slope %.15g at %d, want %.15g", half, order, y[i], i, want[i])
				}
				checked++
			}
		}
	}
	if checked != 42*40 {
		t.Fatal(checked)
	}
}

// On a sine the error of orders 1 and 2 is x‴·(3h² + 3h − 1)/30 for a window of
// h samples each side, to leading order; doubling the rate at the same h makes
// it four times smaller.
func TestDerivativeConverges(t *testing.T) {
	before := 0.0
	for k, rate := range []float64{1000, 2000, 4000, 8000} {
		const half = 5
		omega := 2 * math.Pi * 3
		x := make([]float64, 101)
		for i := range x {
			x[i] = math.Sin(omega * float64(i-50) / rate)
		}
		y, err := Derivative(x, rate, half, 2)
		if err != nil {
			t.Fatal(err)
		}
		off := y[50] - omega
		if want := -math.Pow(omega, 3) * (3*half*half + 3*half - 1) / 30 / rate / rate; !near.Rel(off, want, 0.01) {
			t.Errorf("at %g Hz the slope is off by %g, the formula gives %g", rate, off, want)
		}
		if k > 0 && !near.Abs(before/off, 4, 0.02) {
			t.Errorf("at %g Hz the error fell by %g", rate, before/off)
		}
		before = off
	}
}

// The closed form of orders 1 and 2, and what noise does: 20 000 slopes, every
// eleventh independent, within 4 standard errors.
func TestDerivativeNoise(t *testing.T) {
	for half := 1; half < 40; half++ {
		h := float64(half)
		want := 1000 * math.Sqrt(3/(h*(h+1)*(2*h+1)))
		for order := 1; order <= 2; order++ {
			if got, err := DerivativeNoise(1000, half, order); err != nil || !near.Rel(got, want, 1e-13) {
				t.Errorf("half %d order %d: %.15g, want %.15g, %v", half, order, got, want, err)
			}
		}
	}
	r := rand.New(rand.NewPCG(8, 8))
	x := make([]float64, 20_000)
	for i := range x {
		x[i] = 2 * r.NormFloat64()
	}
	for _, order := range []int{2, 4} {
		y, err := Derivative(x, 1000, 5, order)
		if err != nil {
			t.Fatal(err)
		}
		squares := 0.0
		for _, v := range y[5 : len(y)-5] {
			squares += v * v / float64(len(y)-10)
		}
		one, err := DerivativeNoise(1000, 5, order)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(math.Sqrt(squares), 2*one, 4/math.Sqrt(2*20_000/11)) {
			t.Errorf("order %d: the slopes scatter by %g, want %g", order, math.Sqrt(squares), 2*one)
		}
	}
}

func TestDerivativeRefuses(t *testing.T) {
	x := noisy(20, 1)
	for _, c := range []struct {
		rate        float64
		half, order int
		kind        error
	}{{1000, 0, 1, ErrRange}, {1000, 3, 0, ErrRange}, {1000, 3, 7, ErrRange}, {-1, 3, 2, ErrRange}, {1000, 10, 2, ErrTooFew}} {
		_, err := Derivative(x, c.rate, c.half, c.order)
		refused(t, "a derivative", err, c.kind)
	}
	_, err := DerivativeNoise(1000, 3, 7)
	refused(t, "noise of order 7 on 7", err, ErrRange)
	x[0] = math.NaN()
	_, err = Derivative(x, 1000, 2, 2)
	refused(t, "NaN", err, ErrNotFinite)
}

func BenchmarkDerivativeMillion(b *testing.B) {
	x := noisy(1_000_000, 1)
	for b.Loop() {
		if _, err := Derivative(x, 1e4, 10, 2); err != nil {
			b.Fatal(err)
		}
	}
}
