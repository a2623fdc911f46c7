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
}

// Resolution is one step of the converter in newtons: 2·FullScale/2^Bits.
func (l Logger) Resolution() float64 { return math.Ldexp(2*l.FullScale, -l.Bits) }

// Record returns what the logger writes down, in newtons, for a force sampled
// at rate (Hz): PreTrigger seconds of nothing and then the force, each with
// offset and noise, rounded to the converter's steps and held at the ends of
// its range. The noise is normal, drawn from PCG seeded with seed: the same
// arguments give the same record.
//
// It filters nothing and does not lose samples.
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
	noise := rand.New(rand.NewPCG(seed, noiseStream))
	step, top := l.Resolution(), math.Ldexp(1, l.Bits-1)
	for i, f := range out {
		code := math.Round((f + l.Offset + l.Noise*noise.NormFloat64()) / step)
		out[i] = step * min(max(code, -top), top-1)
	}
	return out, nil
}

// noiseStream keeps the logger's noise apart from other uses of the same seed.
const noiseStream = 0x6c6f67676572 // "logger"
