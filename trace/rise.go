package trace

import (
	"math"
	"slices"
)

// steadyTop says what noise, means and filter do to the largest of the steady
// force of the first contact, from which its levels are taken: by how much it
// stands too high on average, how much that varies, and the noise there with how
// fast it changes, a sample.
func (t *take) steadyTopDoubt() (high, wave, noise, change float64) {
	p := t.firstTop
	if t.filter != nil || t.limit.blur == 0 {
		return p.lift - p.miss - p.loss, math.Hypot(p.wave, math.Hypot(p.gap, p.loss/2)), p.noise, p.change
	}
	width := 2 * t.limit.blur
	noise, change = t.limit.noise, math.Sqrt(2*t.pace.usual/width)
	lift, wave := t.liftOf(noise, p.bend, change)
	return lift - p.bend*width*width/24, wave, noise, change
}

// slopeShare is the part of the rise, to either side, over which its slope at a
// level is taken.
const slopeShare = 0.05

// slopeAt is the slope of a steady force at a moment of the rise.
func (t *take) slopeAt(at float64, steady []float64) float64 {
	i := t.sampleAt(at)
	half := max(1, int(slopeShare*(t.rise[1]-t.rise[0])*t.pace.rate))
	first := t.r.Contacts[0]
	from, to := max(i-half, first.From), min(i+1+half, first.To)
	if to-from < 1 {
		return math.NaN()
	}
	slope, _ := flank(t.rec.Time, steady, from, to, 1)
	return slope
}

// lead is by how much noise brings the first sample that reaches a level forward
// on a slope, in s. The force crosses it N = Φ(k) + φ(k)/k times, k the slope over
// that of the noise [Rice1945]; the first of N that are spread by σ/slope comes
// z((N − 3/8)/(N + 1/4)) of that early, after [Blom1958].
func (t *take) lead(noise, change, slope float64) float64 {
	if change == 0 {
		change = math.Sqrt2
	}
	if !(noise > 0) {
		return 0
	}
	k := slope * t.pace.usual / (noise * change)
	n := math.Max(1, math.Erfc(-k/math.Sqrt2)/2+math.Exp(-k*k/2)/(k*math.Sqrt(2*math.Pi)))
	return noise / slope * firstOf(n)
}

// firstOf is how many standard deviations the first of n stands out, about.
func firstOf(n float64) float64 {
	return math.Sqrt2 * math.Erfinv(2*(n-0.375)/(n+0.25)-1)
}

// doubtRise fills the rise time. With slopes a and b of the force at 10 and 90 %,
// a level that is off by d moves it by d·(0.9/a − 0.1/b), a top that is by
// d·(0.9/b − 0.1/a). Where the force jumps past the lower level, that is reached at
// first contact; where it jumps about as far, anywhere from there on.
func (t *take) doubtRise(c course) {
	if !t.r.RiseTime.Known() || !(t.firstTop.bend > 0) {
		return
	}
	high, wave, noise, change := t.steadyTopDoubt()
	foot, below, slower := t.steady(), noise, change
	if c.jumps[0] && t.filter != nil {
		foot, below, slower = t.calm, t.limit.noise, math.Sqrt2
		if t.limit.blur > 0 {
			slower = math.Sqrt(t.pace.usual / t.limit.blur)
		}
	}
	low, up := t.slopeAt(t.rise[0], foot), t.slopeAt(t.rise[1], t.steady())
	if !(low > 0) || !(up > 0) {
		return
	}
	bias := t.lead(below, slower, low) - t.lead(noise, change, up)
	level, top := 0.9/low-0.1/up, 0.9/up-0.1/low
	grain := math.Hypot(below/low, noise/up)
	begin := 0.0
	if jump := t.jumpOf(c) / (0.1 * t.steadyTop(t.r.Contacts[0])); jump > 1-jumpNear {
		late := t.rise[0] - c.start
		bias = -t.lead(noise, change, up)
		level, top, grain, begin = -0.1/up, 0.9/up, noise/up, t.edgeDoubt(c)[0]
		if jump > 1+jumpNear {
			bias -= late
		} else {
			begin = math.Hypot(begin, late/math.Sqrt(3))
		}
	}
	bias += top * high
	dt := t.pace.usual
	t.keep("rise_time_s", t.r.RiseTime, bias, append(t.shifts(level),
		part{"noise", grain, "s", 0, 1},
		part{"noise on the peak", wave, "N", 0, top},
		part{"start of contact", begin, "s", 0, -1},
		part{"sampling", t.firstTop.bend * dt * dt / 8 / up, "s", 0, 1},
		part{"steps", t.converterStep() * math.Hypot(math.Hypot(1/up, top), level), "s", 0, 1},
	))
}

// jumpNear is how near to the lower level a jump may end, as a share of that, for
// the one or the other to be the moment looked for.
const jumpNear = 0.1

// shifts are the sources that shift a force at the first peak.
func (t *take) shifts(slope float64) []part {
	return slices.DeleteFunc(t.common(t.r.Contacts[0].PeakAt, 0, slope), func(p part) bool { return p.slope == 0 })
}

// jumpOf is the force that is there at once at first contact; 0 for none.
func (t *take) jumpOf(c course) float64 {
	if !c.jumps[0] {
		return 0
	}
	first := t.r.Contacts[0]
	from := min(t.sampleAt(first.Start)+1, first.To)
	return mean(t.raw[from:min(from+3, first.To+1)])
}

// doubtJerk fills the peak jerk: the largest of some slopes with noise. As many
// count as their windows are apart among those near the largest.
func (t *take) doubtJerk() {
	j, largest := t.jerk, float64(t.r.PeakJerk)
	if !(largest > 0) || !t.r.RiseTime.Known() {
		return
	}
	n, dt := float64(2*j.half+1), t.pace.usual
	noise := t.zero.noise * math.Sqrt(12/(n*(n*n-1))) / dt
	near, at := 0.0, 0
	for k, s := range j.slopes {
		if s > largest-2*noise {
			near++
		}
		if s == largest {
			at = k
		}
	}
	lift := noise * firstOf(1+(near-1)*float64(j.step)/float64(j.half))
	// A window that is longer by a share takes in slopes of so much less.
	reach := max(1, j.half/j.step)
	less := 0.0
	if k := at + reach; k < len(j.slopes) {
		less = largest - j.slopes[k]
	}
	if k := at - reach; k >= 0 {
		less = math.Min(less, largest-j.slopes[k])
	}
	rise := t.r.Uncertainty["rise_time_s"]
	window := math.Hypot(rise.Standard/float64(t.r.RiseTime), 1/(2*math.Sqrt(3)*float64(j.half)))
	t.keep("peak_jerk_Nps", t.r.PeakJerk, lift, []part{
		{"cell", t.set.Doubt.Cell, "1", 0, largest},
		{"edge", t.set.Edge.Angle * t.set.Doubt.Friction, "1", 0, largest},
		{"mass", t.massDoubt(), "1", 0, largest},
		{"noise", noise, "N/s", 0, 1},
		{"rise time", window, "1", 0, less},
	})
}
