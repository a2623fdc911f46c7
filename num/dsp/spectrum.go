package dsp

import (
	"fmt"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Lines is a one-sided spectrum: value k belongs to the frequency k·Step.
type Lines struct {
	Step      float64   // Hz between two lines
	Amplitude []float64 // of the sine at that frequency, in the unit of x
	Density   []float64 // power density, that unit squared per Hz
	Segments  int       // that were averaged
}

// Spectrum is the spectrum of all of x, its mean taken off, under a Hann
// window: with w[i] = ½ − ½·cos(2πi/n) and X the Fourier transform of w·(x − x̄),
//
//	amplitude[k] = 2·|X[k]|/Σw      density[k] = 2·|X[k]|²/(fs·Σw²)
//
// without the 2 at 0 and at fs/2. The density sums to the mean square of the
// windowed signal, Σ density·Step = Σ(w·(x − x̄))²/Σw². A sine between two lines
// shows up to 15 % too low (the scalloping loss of this window, 1.42 dB); see
// LineAmplitude for a frequency that is known.
//
// Zeros are put after the samples up to a length of factors 2, 3 and 5, the only
// ones that the transform is quick and exact at. It refuses fewer than 8
// samples, one that is not finite and a rate that is not above 0. Source:
// [Welch1967], one segment.
func Spectrum(x []float64, rate float64) (Lines, error) { return Welch(x, rate, len(x)) }

// Welch is the mean spectrum of the segments of x of that many samples, each
// overlapping the next by half; samples at the end that fill no segment are
// left out. Density and the square of the amplitude are averaged, so the
// scatter of a noise floor falls with the number of segments. It refuses what
// Spectrum refuses, and a segment longer than x. Source: [Welch1967].
func Welch(x []float64, rate float64, segment int) (Lines, error) {
	if err := usableRate(rate); err != nil {
		return Lines{}, err
	}
	if err := usable(x, 8, "a spectrum"); err != nil {
		return Lines{}, err
	}
	if segment < 8 || segment > len(x) {
		return Lines{}, fmt.Errorf("%w: segments of %d samples in %d, they have 8 or more", ErrRange, segment, len(x))
	}
	window, sum, squares := hann(segment)
	size := smooth(segment)
	transform := fourier.NewFFT(size)
	work := make([]float64, size)
	coefficients := make([]complex128, size/2+1)
	s := Lines{Step: rate / float64(size), Amplitude: make([]float64, size/2+1), Density: make([]float64, size/2+1)}
	for from := 0; from+segment <= len(x); from += segment - segment/2 {
		centred(work, x[from:from+segment], window)
		transform.Coefficients(coefficients, work)
		for k, c := range coefficients {
			a := cmplx.Abs(c)
			s.Density[k] += a * a
		}
		s.Segments++
	}
	for k, power := range s.Density {
		sides := 2.0
		if k == 0 || 2*k == size {
			sides = 1
		}
		power /= float64(s.Segments)
		s.Amplitude[k] = sides * math.Sqrt(power) / sum
		s.Density[k] = sides * power / (rate * squares)
	}
	return s, nil
}

// centred puts x less its mean, times the window, at the start of work.
func centred(work, x, window []float64) {
	mean := 0.0
	for _, v := range x {
		mean += (v - x[0]) / float64(len(x))
	}
	for i, v := range x {
		work[i] = (v - x[0] - mean) * window[i]
	}
}

// hann is the periodic Hann window with its sum and sum of squares.
func hann(n int) (w []float64, sum, squares float64) {
	w = make([]float64, n)
	for i := range w {
		s := math.Sin(math.Pi * float64(i) / float64(n))
		w[i] = s * s
		sum += w[i]
		squares += w[i] * w[i]
	}
	return w, sum, squares
}

// smooth is the smallest number from n up without a prime factor above 5.
func smooth(n int) int {
	for ; ; n++ {
		rest := n
		for _, p := range []int{2, 3, 5} {
			for rest%p == 0 {
				rest /= p
			}
		}
		if rest == 1 {
			return n
		}
	}
}
