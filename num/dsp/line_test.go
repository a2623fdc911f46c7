package dsp

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

func hum(n int, rate, hz, amplitude, noise float64, r *rand.Rand) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 800 + 0.3*float64(i) + amplitude*math.Cos(2*math.Pi*hz*float64(i)/rate-0.7)
		if noise > 0 {
			x[i] += noise * r.NormFloat64()
		}
	}
	return x
}

// Without noise everything comes back, offset and slope notwithstanding.
func TestLineIsExact(t *testing.T) {
	for _, c := range []struct{ n, rate, hz float64 }{{200, 2000, 50}, {1501, 1999.7, 60}, {50, 1000, 20.1}, {100000, 10000, 4999}} {
		l, err := LineAmplitude(hum(int(c.n), c.rate, c.hz, 2.5, 0, nil), c.rate, c.hz)
		if err != nil {
			t.Fatal(err)
		}
		// Values of up to 3e4 hold 12 digits of a sine of 2.5.
		if !near.Rel(l.Amplitude, 2.5, 1e-9) || !near.Abs(l.Phase, -0.7, 1e-9) || l.Standard > 1e-9 {
			t.Errorf("%g Hz: %+v", c.hz, l)
		}
	}
}

// The stated uncertainty against what 4000 draws do: (amplitude − true)/u has
// mean square 1 within 4 standard errors, √(2/4000) each, with an allowance of
// 2 % for the tails of t on 96 degrees of freedom. And for noise alone the
// amplitude is Rayleigh, of mean √(π/2)·u = 1.2533·u.
func TestLineUncertainty(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	const trials = 4000
	squares, alone := 0.0, 0.0
	for range trials {
		l, err := LineAmplitude(hum(100, 1000, 50, 6, 1, r), 1000, 50)
		if err != nil {
			t.Fatal(err)
		}
		squares += math.Pow((l.Amplitude-6)/l.Standard, 2) / trials
		l, err = LineAmplitude(hum(100, 1000, 50, 0, 1, r), 1000, 50)
		if err != nil {
			t.Fatal(err)
		}
		alone += l.Amplitude / l.Standard / trials
	}
	if !near.Abs(squares, 1.02, 4*math.Sqrt(2.0/trials)) {
		t.Errorf("errors over stated uncertainties have mean square %g", squares)
	}
	if !near.Abs(alone, math.Sqrt(math.Pi/2), 0.04) {
		t.Errorf("noise alone has an amplitude of %g u", alone)
	}
}

func TestLineRefuses(t *testing.T) {
	x := hum(100, 1000, 50, 1, 0, nil)
	for _, c := range []struct {
		rate, hz float64
		kind     error
	}{{1000, 0, ErrRange}, {1000, 500, ErrRange}, {1000, -50, ErrRange}, {1000, math.NaN(), ErrRange}, {0, 50, ErrRange}, {1000, 9.9, ErrTooFew}} {
		_, err := LineAmplitude(x, c.rate, c.hz)
		refused(t, "a line", err, c.kind)
	}
	_, err := LineAmplitude(x[:7], 1000, 400)
	refused(t, "7 samples", err, ErrTooFew)
	x[3] = math.NaN()
	_, err = LineAmplitude(x, 1000, 50)
	refused(t, "NaN", err, ErrNotFinite)
}

func BenchmarkLineAmplitudeMillion(b *testing.B) {
	x := hum(1_000_000, 1e4, 50, 1, 0, nil)
	for b.Loop() {
		if _, err := LineAmplitude(x, 1e4, 50); err != nil {
			b.Fatal(err)
		}
	}
}
