// Package dsp filters sampled signals. It knows time and samples, not ropes.
package dsp

import (
	"fmt"
	"math"
	"slices"
)

// designConstant relates a channel frequency class to the design frequency of
// one pass: ωd = 2π·CFC·2.0775. With it the −3 dB point of both passes lies at
// CFC/0.6, since 2.0775·0.6 = (√2−1)^(−1/4). Source: [J211].
const designConstant = 2.0775

// RatePerClass is the smallest sampling rate over the class, fs ≥ 10·CFC.
// Source: [J211].
const RatePerClass = 10

// Classes lists the channel frequency classes of [J211] and [ISO6487].
func Classes() []int { return []int{60, 180, 600, 1000} }

// CFC is one pass of the two-pole Butterworth low-pass of a channel frequency
// class at a sampling rate:
//
//	y[n] = A0·x[n] + A1·x[n-1] + A2·x[n-2] + B1·y[n-1] + B2·y[n-2]
//
// B1 and B2 are added: libraries that write the denominator 1 + a1·z⁻¹ + a2·z⁻²
// have a1 = −B1, a2 = −B2. Run forward and then backward it is the four-pole
// phaseless filter of the standard.
type CFC struct {
	A0, A1, A2, B1, B2 float64
	class              int
	rate               float64
}

// NewCFC designs the filter of a class at a rate in Hz:
//
//	ωd = 2π·CFC·2.0775,  ωa = tan(ωd/(2·fs)),  D = 1 + √2·ωa + ωa²
//	A0 = A2 = ωa²/D,  A1 = 2·A0,  B1 = −2·(ωa²−1)/D,  B2 = (−1+√2·ωa−ωa²)/D
//
// It returns an error for a class that the standard does not list and for a
// rate below 10 times the class. Source: [J211].
func NewCFC(class int, rate float64) (CFC, error) {
	if !slices.Contains(Classes(), class) {
		return CFC{}, fmt.Errorf("dsp: class %d is none of CFC 60, 180, 600, 1000", class)
	}
	if !(rate >= RatePerClass*float64(class)) || math.IsInf(rate, 0) {
		return CFC{}, fmt.Errorf("dsp: CFC %d needs at least %d samples a second, there are %.6g",
			class, RatePerClass*class, rate)
	}
	return design(class, rate), nil
}

func design(class int, rate float64) CFC {
	wa := math.Tan(2 * math.Pi * float64(class) * designConstant / (2 * rate))
	d := 1 + math.Sqrt2*wa + wa*wa
	a0 := wa * wa / d
	return CFC{
		A0: a0, A1: 2 * a0, A2: a0,
		B1: -2 * (wa*wa - 1) / d, B2: (-1 + math.Sqrt2*wa - wa*wa) / d,
		class: class, rate: rate,
	}
}

// Gain is the amplitude ratio of both passes together at a frequency in Hz:
// |H(e^{jω})|², H from the coefficients, ω = 2π·f/fs.
func (f CFC) Gain(frequency float64) float64 {
	sin, cos := math.Sincos(2 * math.Pi * frequency / f.rate)
	z1 := complex(cos, -sin)
	z2 := z1 * z1
	num := complex(f.A0, 0) + complex(f.A1, 0)*z1 + complex(f.A2, 0)*z2
	den := 1 - complex(f.B1, 0)*z1 - complex(f.B2, 0)*z2
	h := num / den
	return real(h)*real(h) + imag(h)*imag(h)
}

// Padding is the number of samples put before and after a signal so that the
// filter's start does not reach it: 10 ms as [J211] recommends, or five time
// constants 1/ωd where that is longer.
func (f CFC) Padding() int {
	seconds := max(0.010, 5/(2*math.Pi*float64(f.class)*designConstant))
	return int(math.Ceil(seconds * f.rate))
}

// Phaseless returns src after a forward and a backward pass; src is not
// changed. Both ends are continued by reflection through the end value
// (2·x₀ − x₁, 2·x₀ − x₂, …) over pad samples, at most len(src)−1, and each
// pass starts as if its first value had always been there. So a constant and a
// straight line come back unchanged, and a signal that ends high does not ring.
// The padded samples are discarded. pad 0 is allowed.
func (f CFC) Phaseless(src []float64, pad int) []float64 {
	n := len(src)
	if n == 0 {
		return nil
	}
	pad = max(0, min(pad, n-1))
	work := make([]float64, n+2*pad)
	copy(work[pad:], src)
	for i := 1; i <= pad; i++ {
		work[pad-i] = 2*src[0] - src[i]
		work[pad+n-1+i] = 2*src[n-1] - src[n-1-i]
	}
	f.forward(work)
	f.backward(work)
	return work[pad : pad+n : pad+n]
}

// forward filters x in place. The terms in y[n-1] are added last: they alone
// wait for the sample before.
func (f CFC) forward(x []float64) {
	x1, x2, y1, y2 := x[0], x[0], x[0], x[0]
	for i, x0 := range x {
		y0 := f.A0*x0 + f.A1*x1 + f.A2*x2 + f.B2*y2 + f.B1*y1
		x[i] = y0
		x2, x1, y2, y1 = x1, x0, y1, y0
	}
}

func (f CFC) backward(x []float64) {
	last := x[len(x)-1]
	x1, x2, y1, y2 := last, last, last, last
	for i := len(x) - 1; i >= 0; i-- {
		x0 := x[i]
		y0 := f.A0*x0 + f.A1*x1 + f.A2*x2 + f.B2*y2 + f.B1*y1
		x[i] = y0
		x2, x1, y2, y1 = x1, x0, y1, y0
	}
}
