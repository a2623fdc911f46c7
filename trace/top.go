package trace

import (
	"math"
	"sync"

	"fallwright.example/num/dsp"
)

// top is the surroundings of a peak: how bent it is, and what noise, sampling
// and filter do to its largest sample.
type top struct {
	bend  float64 // N/s², of the parabola through it, taken positive
	lift  float64 // N, by which noise raises the largest sample on average
	wave  float64 // N, by how much that varies, standard deviation
	when  float64 // s, by how much noise moves its moment, standard deviation
	miss  float64 // N, lost between two samples on average
	gap   float64 // N, by how much that varies
	loss  float64 // N, lost in the filter
	noise float64 // N, standard deviation left by the filter

	change float64 // how fast that noise changes, a sample; 0 for independent samples
}

// topWander is how far noise moves the moment of the largest sample, over the
// time in which the top falls by the noise's standard deviation: 1/√(2z) where
// the largest of many samples stands z ≈ 2.5 standard deviations high.
const topWander = 0.6

// A top is no parabola when what is left exceeds the noise so many times and by
// that share of the peak.
const cuspOver, cuspShare = 3, 0.002

// topShare is the half width of the parabola over the length of the contact.
const topShare = 0.06

// topOf looks at a contact's peak. The parabola is that of least squares through
// the force within topShare of the contact to either side.
func (t *take) topOf(c Contact) top {
	p := top{noise: t.smoothNoise()}
	dt := t.pace.usual
	at := t.sampleAt(c.PeakAt)
	half := max(2, int(topShare*(c.End-c.Start)/dt))
	half = min(half, at, len(t.sig.Force)-1-at)
	fit, err := dsp.LocalPeak(t.sig.Force, at, half)
	if err != nil {
		p.lift, p.wave = 0, p.noise
		return p
	}
	if fit.Residual > cuspOver*p.noise+cuspShare*c.Peak { // no parabola: nothing is known of what noise adds
		p.wave = p.noise
		return p
	}
	p.bend = -fit.Bend / (dt * dt)
	p.miss, p.gap = p.bend*dt*dt/24, p.bend*dt*dt/math.Sqrt(720)
	p.change = t.noiseChange()
	p.lift, p.wave = t.liftOf(p.noise, p.bend, p.change)
	if p.bend > 0 && p.noise > 0 {
		p.when = topWander * math.Sqrt(2*p.noise/p.bend)
	}
	if t.filter != nil {
		p.loss = t.filterLoss(c, at)
	}
	return p
}

// smoothNoise is the standard deviation of the noise after the filter, taking it
// to be white: that before it times √Σh², h the filter's response to one sample.
func (t *take) smoothNoise() float64 {
	if noise, _, ok := t.quietNoise(); ok {
		return noise
	}
	share, _ := t.response()
	return t.zero.noise * share
}

// quietNoise is the noise that the signal has in the quiet stretch, filter and
// all, and how fast it changes, a sample: so noise need not be white. ok is false
// where the stretch is too short to tell, and change is 0 for noise that is white
// to the eye.
func (t *take) quietNoise() (noise, change float64, ok bool) {
	z := t.zero
	if !z.known || z.to-z.from < quietTells {
		return 0, 0, false
	}
	if t.quiet == nil {
		t.quiet = restless(t.sig.Force[z.from:z.to])
	}
	noise, change = t.quiet.noise, t.quiet.change
	if t.filter == nil && change > whiteChange {
		change = 0
	}
	return noise, change, noise > 0
}

// unrest is the standard deviation of some samples, and that of the steps between
// them over it.
type unrest struct{ noise, change float64 }

func restless(x []float64) *unrest {
	noise, steps := deviation(x, mean(x)), 0.0
	for i := 1; i < len(x); i++ {
		steps += (x[i] - x[i-1]) * (x[i] - x[i-1])
	}
	return &unrest{noise, math.Sqrt(steps/float64(len(x)-1)) / noise}
}

const (
	quietTells  = 200 // samples from which the quiet stretch tells its noise
	whiteChange = 1.2 // of white noise it is √2
)

// response is √Σh² of the filter and how fast filtered white noise changes,
// √(Σ(Δh)²/Σh²) a sample; 1 and 0 without a filter.
func (t *take) response() (share, change float64) {
	if t.filter == nil {
		return 1, 0
	}
	if t.share > 0 {
		return t.share, t.change
	}
	n := int(8*t.filter.DecayTime()*t.pace.rate) + 8
	x := make([]float64, 2*n+1)
	x[n] = 1
	h := t.filter.Phaseless(x, 0)
	squares, steps := 0.0, 0.0
	for i, v := range h {
		squares += v * v
		if i > 0 {
			steps += (v - h[i-1]) * (v - h[i-1])
		}
	}
	t.share, t.change = math.Sqrt(squares), math.Sqrt(steps/squares)
	return t.share, t.change
}

// noiseChange is how fast the signal's noise changes, a sample.
func (t *take) noiseChange() float64 {
	if _, change, ok := t.quietNoise(); ok {
		return change
	}
	_, change := t.response()
	return change
}

// liftOf is the mean and the standard deviation of the largest of F − bend·t²/2
// plus noise, over F. The chance that nothing exceeds level u is
//
//	P(u) = exp(−∫ r(u + bend·t²/2) dt)
//
// where r is how often noise exceeds a level: Q(u/σ)/dt for samples that are
// independent, and √(Σ(Δh)²/Σh²)/(2π·dt)·e^(−u²/2σ²) up-crossings for filtered
// ones [Rice1945], which also may stand above it at the top itself, Q(u/σ).
//
// change is how fast the noise changes, a sample; 0 for independent samples.
func (t *take) liftOf(noise, bend, change float64) (lift, wave float64) {
	if !(noise > 0) {
		return 0, 0
	}
	if !(bend > 0) {
		return 0, noise
	}
	dt := t.pace.usual
	width := math.Sqrt(2 * noise / bend) // time in which the parabola falls by σ
	if change == 0 && width < dt {
		return 0, noise // no neighbour comes near: the peak is one sample with its noise
	}
	often, at := width/dt, levelsOf()
	if change > 0 {
		often *= change / (2 * math.Pi)
	}
	// Mean and variance from the distribution by parts.
	m1, m2, before := 0.0, 0.0, 0.0
	for _, l := range at {
		exceed := often * l.samples
		if change > 0 {
			exceed = often*l.crossings + l.top
		}
		chance := math.Exp(-exceed)
		mid := l.z - levelStep/2
		m1 += (chance - before) * mid
		m2 += (chance - before) * mid * mid
		before = chance
	}
	return noise * m1, noise * math.Sqrt(max(0, m2-m1*m1))
}

// levelStep is how far the levels are apart at which liftOf looks, in standard
// deviations of the noise.
const levelStep = 0.2

// level is how often noise exceeds z standard deviations above a parabola that
// falls as s², over all s: independent samples, up-crossings, and the top itself.
type level struct{ z, samples, crossings, top float64 }

// levelsOf are the levels from 4 below to 7 above, the integrals over s by the
// trapezoidal rule out to where nothing is left.
var levelsOf = sync.OnceValue(func() (out []level) {
	const lowest, highest, reach, parts = -4.0, 7.0, 2.6, 13
	for z := lowest; z <= highest; z += levelStep {
		l := level{z: z, top: -math.Log1p(-min(1-1e-12, math.Erfc(z/math.Sqrt2)/2))}
		for k := range parts + 1 {
			s, w := reach*float64(k)/parts, 2*reach/parts // both sides
			if k == 0 || k == parts {
				w /= 2
			}
			up := z + s*s
			l.samples += w * math.Erfc(up/math.Sqrt2) / 2
			l.crossings += w * math.Exp(-up*up/2)
		}
		out = append(out, l)
	}
	return out
})

// filterLoss is what filtering the filtered peak once more takes off it: about
// what the first time took, as both passes flatten the same bend.
func (t *take) filterLoss(c Contact, at int) float64 {
	reach := int(math.Max(0.5*(c.End-c.Start), 6*t.filter.DecayTime()) * t.pace.rate)
	near := reach / 4
	reach = min(reach, near+t.filter.Padding()) // from further off nothing comes through
	from, to := max(0, at-reach), min(len(t.sig.Force), at+reach+1)
	again := t.filter.Phaseless(t.sig.Force[from:to], min(t.filter.Padding(), to-from-1))
	highest := math.Inf(-1)
	for i := max(from, at-near); i < min(to, at+near+1); i++ {
		highest = math.Max(highest, again[i-from])
	}
	return max(0, c.Peak-highest)
}

// peaksMost is the number of contacts whose peaks are looked at so closely.
const peaksMost = 20

// doubtPeaks fills the uncertainty of the peak and of every bounce's.
func (t *take) doubtPeaks() {
	for k, c := range t.r.Contacts[:min(peaksMost, len(t.r.Contacts))] {
		if k == t.best && t.lost {
			continue
		}
		p := t.topOf(c)
		if k == 0 {
			t.firstTop = p
		}
		bias := p.lift - p.miss - p.loss
		parts := append(t.common(c.PeakAt, c.Peak, 1),
			part{"noise", p.wave, "N", 0, 1},
			part{"sampling", p.gap, "N", 0, 1},
			part{"filter", p.loss / 2, "N", 0, 1},
			part{"noise's lift", p.lift / 20, "N", 0, 1},
		)
		if k == t.best {
			t.top = p
			t.keep("peak_force_N", t.r.PeakForce, bias, parts)
		}
		if k > 0 {
			t.keep(bounceKey(k-1), Value(c.Peak), bias, parts)
		}
	}
}
