package dsp

import (
	"fmt"
	"math"
)

// Derivative returns the smoothed first derivative of x, per second: at each
// sample the slope of the polynomial of that order through the 2·half + 1
// samples around it, by least squares. The first and last half samples take
// the polynomial of the first and last whole window. Exact for a polynomial of
// that order. It costs n·(2·half + 1).
//
// It refuses fewer samples than a window, one that is not finite, a rate that
// is not above 0, and an order that is not between 1 and 2·half.
// Source: [SavitzkyGolay1964]; the weights by [Gorry1990].
func Derivative(x []float64, rate float64, half, order int) ([]float64, error) {
	if err := usableWindow(rate, half, order); err != nil {
		return nil, err
	}
	width := 2*half + 1
	if err := usable(x, width, "the window"); err != nil {
		return nil, err
	}
	n := len(x)
	out := make([]float64, n)
	middle := slopeWeights(half, order, 0)
	for i := half; i < n-half; i++ {
		// The weights are odd: w[half−k] = −w[half+k].
		sum := 0.0
		for k := 1; k <= half; k++ {
			sum += middle[half+k] * (x[i+k] - x[i-k])
		}
		out[i] = sum * rate
	}
	for i := range half {
		w := slopeWeights(half, order, half-i) // the last i places mirror the first
		start, end := 0.0, 0.0
		for j := range width {
			end += w[j] * (x[n-width+j] - x[n-1-half])
			start -= w[width-1-j] * (x[j] - x[half])
		}
		out[i], out[n-1-i] = start*rate, end*rate
	}
	return out, nil
}

// DerivativeNoise is the standard deviation of Derivative, away from the ends,
// for white noise of standard deviation 1: fs·√Σw². For orders 1 and 2 that is
// fs·√(3/(half·(half+1)·(2·half+1))). It refuses as Derivative does.
func DerivativeNoise(rate float64, half, order int) (float64, error) {
	if err := usableWindow(rate, half, order); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, w := range slopeWeights(half, order, 0) {
		sum += w * w
	}
	return rate * math.Sqrt(sum), nil
}

func usableWindow(rate float64, half, order int) error {
	if err := usableRate(rate); err != nil {
		return err
	}
	if half < 1 || order < 1 || order > 2*half {
		return fmt.Errorf("%w: order %d over %d samples each side, an order lies between 1 and twice that", ErrRange, order, half)
	}
	return nil
}

// slopeWeights are the weights of the samples −half … half in the slope of the
// polynomial at place t, per sample:
//
//	w[j] = Σ_k p_k(j)·p_k′(t)/Σᵢp_k(i)²
//
// over the polynomials p_k that are orthogonal on those samples, scaled to a
// unit sum of squares as they are made.
func slopeWeights(half, order, t int) []float64 {
	width := 2*half + 1
	w := make([]float64, width)
	last, now := make([]float64, width), make([]float64, width)
	lastSlope, slope := 0.0, 0.0
	for j := range now {
		now[j] = 1 / math.Sqrt(float64(width))
	}
	step := 0.0 // β of t·p_k = β_(k+1)·p_(k+1) + β_k·p_(k−1)
	for k := 1; k <= order; k++ {
		before := step
		step = jacobi(k, width)
		at := now[half+t]
		for j := range now {
			last[j], now[j] = now[j], (float64(j-half)*now[j]-before*last[j])/step
		}
		lastSlope, slope = slope, (at+float64(t)*slope-before*lastSlope)/step
		for j, p := range now {
			w[j] += p * slope
		}
	}
	return w
}

// jacobi is β_k of the orthonormal polynomials on n equally spaced points,
// β_k² = k²(n² − k²)/(4(4k² − 1)). Source: [Gorry1990], scaled.
func jacobi(k, n int) float64 {
	kk, nn := float64(k)*float64(k), float64(n)*float64(n)
	return math.Sqrt(kk * (nn - kk) / (4 * (4*kk - 1)))
}
