package dsp

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

func spectrum(t *testing.T, x []float64, rate float64) Lines {
	t.Helper()
	s, err := Spectrum(x, rate)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func noisy(n int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 3))
	x := make([]float64, n)
	for i := range x {
		x[i] = 40 + 2*r.NormFloat64()
	}
	return x
}

// Parseval: the density sums to Σ(w·(x − x̄))²/Σw², for smooth, prime and odd
// lengths alike. The window here is written with a cosine, the code's with a
// squared sine.
func TestParseval(t *testing.T) {
	for _, n := range []int{8, 9, 64, 97, 1000, 1009, 4093} {
		x := noisy(n, 1)
		mean := 0.0
		for _, v := range x {
			mean += v / float64(n)
		}
		var squares, windows float64
		for i, v := range x {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
			squares += w * w * (v - mean) * (v - mean)
			windows += w * w
		}
		s := spectrum(t, x, 2000.5)
		sum := 0.0
		for _, d := range s.Density {
			sum += d * s.Step
		}
		if !near.Rel(sum, squares/windows, 1e-12) {
			t.Errorf("%d samples: the density sums to %.15g, the signal to %.15g", n, sum, squares/windows)
		}
	}
}

// A sine of 3 on 500: on a line of the spectrum its amplitude is exact; midway
// between two lines each shows 8/(3π) = 0.8488 of it (Hann: the transform of
// the window at half a line, sinc(½)/(1 − ¼)); never less than that, and never
// more than all.
func TestAmplitudeOfASine(t *testing.T) {
	const n, rate = 1000, 1000.0
	checked := 0
	for _, c := range []struct{ hz, want, tol float64 }{
		{50, 3, 1e-12},
		// The line's image at −f adds up to 1/(2·50.5)³ or so.
		{50.5, 3 * 8 / (3 * math.Pi), 1e-5},
		{333, 3, 1e-12},
	} {
		x := make([]float64, n)
		for i := range x {
			x[i] = 500 + 3*math.Sin(2*math.Pi*c.hz*float64(i)/rate+0.3)
		}
		s := spectrum(t, x, rate)
		at := int(c.hz / s.Step)
		if !near.Rel(s.Amplitude[at], c.want, c.tol) {
			t.Errorf("%g Hz: amplitude %.9g, want %.9g", c.hz, s.Amplitude[at], c.want)
		}
		if whole := c.hz == math.Trunc(c.hz); whole && s.Amplitude[0] > 1e-12 {
			t.Errorf("%g Hz: the mean shows as %g", c.hz, s.Amplitude[0])
		}
		checked++
	}
	for hz := 50.0; hz < 52; hz += 0.05 { // any place between lines, on a length that is padded
		x := make([]float64, 997)
		for i := range x {
			x[i] = 3 * math.Sin(2*math.Pi*hz*float64(i)/rate)
		}
		most := 0.0
		for _, a := range spectrum(t, x, rate).Amplitude {
			most = max(most, a)
		}
		if most < 3*0.8487 || most > 3.0003 {
			t.Errorf("%g Hz: amplitude %g of 3", hz, most)
		}
		checked++
	}
	if checked < 40 {
		t.Fatal(checked)
	}
}

// A prime length must cost no digits: against the sum that defines the
// transform, at a few lines of 20 011 samples.
func TestPrimeLengthsAreExact(t *testing.T) {
	const n = 20011
	x := noisy(n, 5)
	s := spectrum(t, x, 1000)
	mean := 0.0
	for _, v := range x {
		mean += v / n
	}
	for _, k := range []int{1, 17, 4999, 9876} {
		var sum complex128
		total := 0.0
		for i, v := range x {
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n)
			total += w
			cycles := math.Mod(float64(i)*float64(k)*s.Step/1000, 1)
			sum += complex(w*(v-mean), 0) * cmplx.Exp(complex(0, -2*math.Pi*cycles))
		}
		if want := 2 * cmplx.Abs(sum) / total; !near.Rel(s.Amplitude[k], want, 1e-9) {
			t.Errorf("line %d: amplitude %.13g, the sum gives %.13g", k, s.Amplitude[k], want)
		}
	}
}

// White noise of variance 4 at 1000 Hz has the density 2·4/1000 at every line.
// The mean over lines and segments scatters by 1/√(independent values), of
// which there are at least n/2: 4 standard errors.
func TestDensityOfWhiteNoise(t *testing.T) {
	const n = 100_000
	s, err := Welch(noisy(n, 9), 1000, 1000)
	if err != nil {
		t.Fatal(err)
	}
	if s.Segments != 199 {
		t.Fatalf("%d segments, 199 fit", s.Segments)
	}
	sum := 0.0
	for _, d := range s.Density[5 : len(s.Density)-5] {
		sum += d / float64(len(s.Density)-10)
	}
	if !near.Rel(sum, 0.008, 4/math.Sqrt(n/2)) {
		t.Errorf("density %g, want 0.008", sum)
	}
}

func TestSmooth(t *testing.T) {
	want := []int{8, 9, 10, 12, 15, 16, 18, 20, 24, 25, 27, 30, 32, 36, 40, 45, 48, 50, 54, 60}
	n := 8
	for _, w := range want { // every number without a prime factor above 5, by hand
		if got := smooth(n); got != w {
			t.Fatalf("after %d comes %d, want %d", n-1, got, w)
		}
		n = w + 1
	}
}

func TestSpectrumRefuses(t *testing.T) {
	x := noisy(100, 1)
	_, err := Spectrum(x[:7], 1000)
	refused(t, "7 samples", err, ErrTooFew)
	_, err = Spectrum(x, 0)
	refused(t, "rate 0", err, ErrRange)
	_, err = Spectrum(x, math.NaN())
	refused(t, "rate NaN", err, ErrRange)
	_, err = Welch(x, 1000, 101)
	refused(t, "a segment longer than the signal", err, ErrRange)
	_, err = Welch(x, 1000, 7)
	refused(t, "a segment of 7", err, ErrRange)
	x[50] = math.Inf(1)
	_, err = Spectrum(x, 1000)
	refused(t, "an infinite sample", err, ErrNotFinite)
}

func BenchmarkSpectrumMillion(b *testing.B) {
	x := noisy(999_983, 1) // a prime
	for b.Loop() {
		if _, err := Spectrum(x, 1e4); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWelchMillion(b *testing.B) {
	x := noisy(1_000_000, 1)
	for b.Loop() {
		if _, err := Welch(x, 1e4, 4096); err != nil {
			b.Fatal(err)
		}
	}
}
