package fall

import (
	"math"
	"math/rand/v2"

	"fallwright.example/problem"
)

// Logger is a cell with its amplifier and converter.
type Logger struct {
	PreTrigger float64 // s of baseline before the first sample of the force
	Offset     float64 // N, of a cell with nothing on it
	Noise      float64 // N rms, white
	FullScale  float64 // N; it reads from -FullScale to just below +FullScale
	Bits       int     // of the converter, 1 to 32
	LowPass    float64 // Hz, −3 dB corner of the amplifier's filter; 0 for none
}

// Resolution is one step of the converter in newtons: 2·FullScale/2^Bits.
func (l Logger) Resolution() float64 { return math.Ldexp(2*l.FullScale, -l.Bits) }

// Record returns what the logger writes down, in newtons, for a force sampled
// at rate (Hz): PreTrigger seconds of nothing and then the force, each with
// offset and noise, rounded to the converter's steps and held at the ends of
// its range. The noise is normal, drawn from PCG seeded with seed: the same
// arguments give the same record. The amplifier's filter acts on the force; the
// noise is that of the converter behind it.
//
// It does not lose samples.
func (l Logger) Record(force []float64, rate float64, seed uint64) ([]float64, error) {
	if err := refuse(positive("rate", rate, "Hz"), zeroOrMore("pre-trigger", l.PreTrigger, "s"),
		zeroOrMore("noise", l.Noise, "N"), positive("full scale", l.FullScale, "N")); err != nil {
		return nil, err
	}
	if l.Bits < 1 || l.Bits > 32 {
		return nil, problem.New(problem.Invalid, "bits", "%d, a converter here has 1 to 32", l.Bits)
	}
	before := int(math.Round(l.PreTrigger * rate))
	out := make([]float64, before+len(force))
	copy(out[before:], force)
	if err := LowPass(out, rate, l.LowPass); err != nil {
		return nil, err
	}
	noise := rand.New(rand.NewPCG(seed, noiseStream))
	step, top := l.Resolution(), math.Ldexp(1, l.Bits-1)
	for i, f := range out {
		code := math.Round((f + l.Offset + l.Noise*noise.NormFloat64()) / step)
		out[i] = step * min(max(code, -top), top-1)
	}
	return out, nil
}

// LowPass filters force in place as the amplifier of a cell does: once through,
// so that it comes late, by two poles after Butterworth with a corner (Hz) of
// -3 dB, from rest at the first sample. A corner of 0 leaves it alone. It is one
// pass of the filter of docs/METHODS.md, Filter, with ω = 2π·corner.
//
// Refuses a corner that is not below half the rate.
func LowPass(force []float64, rate, corner float64) error {
	if corner == 0 || len(force) == 0 {
		return zeroOrMore("low-pass corner", corner, "Hz")
	}
	if err := positive("low-pass corner", corner, "Hz"); err != nil {
		return err
	}
	if corner >= rate/2 {
		return problem.New(problem.Invalid, "low-pass corner", "%g Hz is not below half the rate of %g Hz", corner, rate)
	}
	w := math.Tan(math.Pi * corner / rate)
	d := 1 + math.Sqrt2*w + w*w
	a, b1, b2 := w*w/d, -2*(w*w-1)/d, (-1+math.Sqrt2*w-w*w)/d
	x1, y1 := force[0], force[0]
	x2, y2 := x1, y1
	for i, x := range force {
		y := a*(x+2*x1+x2) + b1*y1 + b2*y2
		x2, x1, y2, y1 = x1, x, y1, y
		force[i] = y
	}
	return nil
}

// noiseStream keeps the logger's noise apart from other uses of the same seed.
const noiseStream = 0x6c6f67676572 // "logger"
