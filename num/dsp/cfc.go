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
		return CFC{}, fmt.Errorf("%w: class %d is none of CFC 60, 180, 600, 1000", ErrRange, class)
	}
	if !(rate >= RatePerClass*float64(class)) || math.IsInf(rate, 0) {
		return CFC{}, fmt.Errorf("%w: CFC %d needs at least %d samples a second, there are %.6g",
			ErrRange, class, RatePerClass*class, rate)
	}
	return design(class, rate), nil
}

func design(class int, rate float64) CFC {
	f := butterworth(2*math.Pi*float64(class)*designConstant, rate)
	f.class = class
	return f
}

// butterworth is one pass for a design frequency ωd in rad/s.
func butterworth(omega, rate float64) CFC {
	wa := math.Tan(omega / (2 * rate))
	d := 1 + math.Sqrt2*wa + wa*wa
	a0 := wa * wa / d
	return CFC{
		A0: a0, A1: 2 * a0, A2: a0,
		B1: -2 * (wa*wa - 1) / d, B2: (-1 + math.Sqrt2*wa - wa*wa) / d,
		rate: rate,
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
