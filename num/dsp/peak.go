package dsp

import (
	"fmt"
	"math"
)

// Top is the top of a parabola through samples.
type Top struct {
	Value    float64 // in the unit of x
	Place    float64 // in samples from the start of x, between samples
	Factor   float64 // variance of Value over the variance of white noise on x
	Bend     float64 // second derivative, per sample squared; negative
	Residual float64 // standard deviation about the parabola, n − 3; NaN for 3 samples
}

// LocalPeak fits a parabola a + b·t + c·t² by least squares to the 2·half + 1
// samples around sample at, t counting from there, and returns its top: place
// −b/(2c), value a − b²/(4c). At the top the value does not depend on the place
// to first order, so its variance under white noise is that of the parabola
// there: with n samples, S₂ = Σt², S₄ = Σt⁴ and D = n·S₄ − S₂²
//
//	factor = S₄/D + t²/S₂ − 2·t²·S₂/D + t⁴·n/D
//
// What noise adds to the largest sample alone, it does not add here. A peak
// that is no parabola over the window is read low or high by its fourth-order
// part: choose the window by that.
//
// It refuses a window that is not within x, half below 1, samples that are not
// finite, and ErrNoTop where the parabola opens upward or its top is outside
// the window.
func LocalPeak(x []float64, at, half int) (Top, error) {
	if half < 1 {
		return Top{}, fmt.Errorf("%w: %d samples each side, a parabola needs 1", ErrRange, half)
	}
	if at-half < 0 || at+half >= len(x) {
		return Top{}, fmt.Errorf("%w: %d each side of sample %d, there are samples 0 to %d", ErrTooFew, half, at, len(x)-1)
	}
	window := x[at-half : at+half+1]
	if err := usable(window, 3, "a parabola"); err != nil {
		return Top{}, err
	}
	h := float64(half)
	n := 2*h + 1
	s2 := h * (h + 1) * n / 3
	s4 := s2 * (3*h*h + 3*h - 1) / 5
	d := n*s4 - s2*s2
	base := x[at]
	var m0, m1, m2 float64
	for j, v := range window {
		t := float64(j - half)
		v -= base
		m0, m1, m2 = m0+v, m1+t*v, m2+t*t*v
	}
	a, b, c := (s4*m0-s2*m2)/d, m1/s2, (n*m2-s2*m0)/d
	t := -b / (2 * c)
	if !(c < 0) || !(math.Abs(t) <= h) {
		return Top{}, fmt.Errorf("%w: the parabola through %d samples around sample %d has its top elsewhere", ErrNoTop, len(window), at)
	}
	top := Top{Value: base + a + b*t/2, Place: float64(at) + t, Bend: 2 * c}
	top.Factor = s4/d + t*t*(1/s2-2*s2/d+t*t*n/d)
	if half == 1 {
		top.Residual = math.NaN()
		return top, nil
	}
	squares := 0.0
	for j, v := range window {
		t := float64(j - half)
		left := v - base - (a + t*(b+t*c))
		squares += left * left
	}
	top.Residual = math.Sqrt(squares / (n - 3))
	return top, nil
}
