package dsp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Line is a sine of known frequency found in a signal.
type Line struct {
	Amplitude float64 // in the unit of x
	Standard  float64 // its standard uncertainty
	Phase     float64 // rad, of a cosine at the first sample
	Noise     float64 // standard deviation of what is left
}

// LineAmplitude finds the amplitude of a sine of frequency f (Hz) in x: a, b, c
// and d of
//
//	x[i] = a + b·i + c·cos(2πf·i/fs) + d·sin(2πf·i/fs)
//
// by least squares, amplitude √(c² + d²), so that offset and drift do not look
// like hum. The uncertainty takes what is left for white noise with n − 4
// degrees of freedom, u² = s²·gᵀ(XᵀX)⁻¹g with g = (c, d)/amplitude. Noise alone
// has an amplitude too, of about 1.25 times its u: below 3 u there is no line
// to speak of.
//
// It refuses fewer than 8 samples, one that is not finite, a rate that is not
// above 0, a frequency not between 0 and fs/2 and less than one period.
func LineAmplitude(x []float64, rate, f float64) (Line, error) {
	if err := usableRate(rate); err != nil {
		return Line{}, err
	}
	if err := usable(x, 8, "a line"); err != nil {
		return Line{}, err
	}
	n := len(x)
	switch {
	case !(f > 0 && f < rate/2):
		return Line{}, fmt.Errorf("%w: %g Hz at %g samples a second, a line lies between 0 and half of that", ErrRange, f, rate)
	case f*float64(n)/rate < 1:
		return Line{}, fmt.Errorf("%w: %d are %.3g periods of %g Hz, a line needs one", ErrTooFew, n, f*float64(n)/rate, f)
	}
	var normal [16]float64 // XᵀX, its upper half
	var right [4]float64
	rows := make([][4]float64, n)
	for i, v := range x {
		row := regressors(i, n, f/rate)
		rows[i] = row
		for j, r := range row {
			right[j] += r * (v - x[0])
			for k := j; k < 4; k++ {
				normal[4*j+k] += r * row[k]
			}
		}
	}
	var cholesky mat.Cholesky
	var beta mat.VecDense
	if !cholesky.Factorize(mat.NewSymDense(4, normal[:])) || cholesky.SolveVecTo(&beta, mat.NewVecDense(4, right[:])) != nil {
		return Line{}, fmt.Errorf("%w: %d samples do not tell %g Hz from a slope", ErrTooFew, n, f)
	}
	return line(x, rows, &cholesky, &beta)
}

// regressors are the four functions at sample i. The slope runs from −1 to 1.
func regressors(i, n int, cycles float64) [4]float64 {
	sin, cos := math.Sincos(2 * math.Pi * cycles * float64(i))
	return [4]float64{1, (2*float64(i) - float64(n-1)) / float64(n), cos, sin}
}

func line(x []float64, rows [][4]float64, cholesky *mat.Cholesky, beta *mat.VecDense) (Line, error) {
	squares := 0.0
	b := beta.RawVector().Data
	for i, v := range x {
		r := &rows[i]
		left := v - x[0] - b[0]*r[0] - b[1]*r[1] - b[2]*r[2] - b[3]*r[3]
		squares += left * left
	}
	var inverse mat.SymDense
	if err := cholesky.InverseTo(&inverse); err != nil {
		return Line{}, fmt.Errorf("%w: the line and the slope are one here", ErrTooFew)
	}
	c, d := b[2], b[3]
	l := Line{Amplitude: math.Hypot(c, d), Phase: math.Atan2(-d, c), Noise: math.Sqrt(squares / float64(len(x)-4))}
	variance := (inverse.At(2, 2) + inverse.At(3, 3)) / 2
	if l.Amplitude > 0 {
		c, d = c/l.Amplitude, d/l.Amplitude
		variance = c*c*inverse.At(2, 2) + 2*c*d*inverse.At(2, 3) + d*d*inverse.At(3, 3)
	}
	l.Standard = l.Noise * math.Sqrt(variance)
	return l, nil
}
