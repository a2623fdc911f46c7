package trace

import (
	"fmt"
	"math"

	"fallwright.example/num/dsp"
)

const (
	humSure  = 6     // standard uncertainties of its amplitude from which hum is there
	humShare = 0.002 // share of the peak from which it is remarked
	humRate  = 1000  // samples a second that it is looked for in
	humMost  = 2000  // samples, likewise
	humRoom  = 4     // times the deviation of a stretch that no line in it exceeds: √2 for a pure one
)

// judgeHum looks for the mains, 50 or 60 Hz, in the quiet stretch, and remarks
// on a stretch that wanders otherwise.
func (t *take) judgeHum() {
	z := t.zero
	if !z.known {
		return
	}
	every := max(1, int(t.pace.rate/humRate))
	part := max(1, float64(z.to-z.from)/float64(every)/humMost) // of the stretch, that is looked at
	if humRoom*z.noise*math.Sqrt(part) < humShare*float64(t.r.PeakForce) && z.noise <= 0.003*t.over.span() {
		return // whatever is in it is too small for either remark
	}
	quiet, rate := blockMeans(t.rec.Force[z.from:z.to], every), t.pace.rate/float64(every)
	best, at := dsp.Line{}, 0.0
	for _, f := range []float64{50, 60} {
		if rate < 4*f || float64(len(quiet)) < 2*rate/f {
			continue
		}
		line, err := dsp.LineAmplitude(quiet[max(0, len(quiet)-humMost):], rate, f)
		if err == nil && line.Amplitude > best.Amplitude {
			best, at = line, f
		}
	}
	amplitude := best.Amplitude * t.scale
	if best.Amplitude > humSure*best.Standard && amplitude > humShare*float64(t.r.PeakForce) {
		t.note(Doubtful, "mains hum of %.3g N at %.0f Hz is in the quiet stretch: no filter class takes it out; keep the cell's cable away from mains leads", amplitude, at)
		t.mains = at
		return
	}
	if wander := t.jitter * t.scale; z.noise > 3*wander && z.noise > 0.003*t.over.span() && !z.drift.taken {
		t.note(Doubtful, "the quiet stretch wanders by %.3g N, from sample to sample by %.3g N: mains hum or drift, which no reading here takes out", z.noise, wander)
	}
}

// blockMeans is the mean of each so many samples.
func blockMeans(x []float64, every int) []float64 {
	if every == 1 {
		return x
	}
	out := make([]float64, len(x)/every)
	for k := range out {
		out[k] = mean(x[k*every : (k+1)*every])
	}
	return out
}

// spectrumMost is the samples of a stretch that ringing is looked for in.
const spectrumMost = 1 << 14

// lineIn is the frequency and amplitude of the largest line above a frequency in
// a stretch of the trace, its slow part taken off; and the resolution in Hz. ok
// is false when the stretch is too short, carries less than least, or nothing
// stands clear of the rest.
func (t *take) lineIn(from, to int, above, least float64) (l ring, ok bool) {
	n := to - from
	if n < 64 || n > spectrumMost {
		to = min(to, from+spectrumMost)
		n = to - from
		if n < 64 {
			return ring{}, false
		}
	}
	half := int(t.pace.rate / above / 4) // a window of half a period leaves 1.5 periods and faster whole enough
	if half < 2 || 4*half > n {
		return ring{}, false
	}
	rest := runningMean(t.raw[from:to], half)
	for i := range rest {
		rest[i] = t.raw[from+i] - rest[i]
	}
	rest = rest[half : len(rest)-half]
	if math.Sqrt2*deviation(rest, 0) < least {
		return ring{}, false
	}
	s, err := dsp.Spectrum(rest, t.pace.rate)
	if err != nil {
		return ring{}, false
	}
	best, sum := 0, 0.0
	for k, a := range s.Amplitude {
		sum += a
		if float64(k)*s.Step > 1.5*above && a > s.Amplitude[best] {
			best = k
		}
	}
	l = ring{frequency: float64(best) * s.Step, amplitude: s.Amplitude[best], width: 2 * t.pace.rate / float64(len(rest))}
	return l, best > 0 && l.amplitude > 6*sum/float64(len(s.Amplitude))
}

// ring is a line in a spectrum.
type ring struct {
	frequency, amplitude float64 // Hz, N
	width                float64 // Hz, to which the frequency is known
}

func (r ring) like(o ring) bool {
	return math.Abs(r.frequency-o.frequency) < max(r.width, o.width)
}

func (r ring) String() string { return fmt.Sprintf("%.3g Hz, %.3g N", r.frequency, r.amplitude) }
