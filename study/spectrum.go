package study

import (
	"math"

	"fallwright.example/num/dsp"
	"fallwright.example/problem"
)

// spectrumSegment is how many samples the segments of a spectrum have at most:
// enough for lines 0.6 Hz apart at 10 kHz.
const spectrumSegment = 1 << 14

// spectrumMost is how many samples a spectrum is of at most.
const spectrumMost = 1 << 20

// Spectrum is the power of a force by frequency.
type Spectrum struct {
	Frequency []float64 // Hz
	Density   []float64 // N/√Hz
}

// Spectrum is the spectrum of the force over the whole trace, or, of more than a
// million samples, over the 2²⁰ from a little before first contact: the mean of
// segments of up to 16384 samples under a Hann window. It is made once. Invalid
// when the samples are not evenly spaced.
func (c *Curves) Spectrum() (*Spectrum, error) { return c.spectrum() }

// SpectrumOfAll reports whether the spectrum is of every sample.
func (c *Curves) SpectrumOfAll() bool { return len(c.Signal.Time) <= spectrumMost }

// spectrumPart is where the samples lie that a spectrum is of.
func (c *Curves) spectrumPart() (from, to int) {
	n := len(c.Signal.Time)
	if n <= spectrumMost {
		return 0, n
	}
	if c.Reading != nil && len(c.Reading.Contacts) > 0 {
		from = c.Reading.Contacts[0].From - spectrumMost/16
	}
	from = max(0, min(from, n-spectrumMost))
	return from, from + spectrumMost
}

func (c *Curves) makeSpectrum() (*Spectrum, error) {
	from, to := c.spectrumPart()
	time, force := c.Signal.Time[from:to], c.Signal.Force[from:to]
	if len(time) < 16 {
		return nil, problem.New(problem.TooFew, "spectrum", "the trace has %d samples, a spectrum needs 16", len(time))
	}
	step := (time[len(time)-1] - time[0]) / float64(len(time)-1)
	for i := 1; i < len(time); i++ {
		if math.Abs(time[i]-time[i-1]-step) > 0.05*step {
			return nil, problem.New(problem.Invalid, "spectrum", "the samples are not evenly spaced, so there is no spectrum of them")
		}
	}
	lines, err := dsp.Welch(force, 1/step, min(len(force), spectrumSegment))
	if err != nil {
		return nil, problem.New(problem.Invalid, "spectrum", "%v", err)
	}
	s := &Spectrum{Frequency: make([]float64, len(lines.Density)), Density: make([]float64, len(lines.Density))}
	for k, d := range lines.Density {
		s.Frequency[k], s.Density[k] = float64(k)*lines.Step, math.Sqrt(d)
	}
	return s, nil
}
