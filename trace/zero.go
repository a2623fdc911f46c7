package trace

import (
	"cmp"
	"math"
)

// zero is where the unloaded cell stands in a trace, and which way a pull goes.
type zero struct {
	sign    float64 // +1 when a pull is positive in the recording, −1 when not
	tare    float64 // N as recorded; 0 when none was found
	known   bool    // a quiet unloaded stretch was found
	loaded  bool    // the recording begins under load
	guess   bool    // the sign could as well be the other
	machine bool    // zero is the testing machine's own
	noise   float64 // N, standard deviation of the quiet stretch, or from differences
	from    int     // the quiet stretch
	to      int

	doubt  float64 // N, standard uncertainty of the tare
	blocks int     // means that it comes from
	drift  drift
}

// drift is a slope of zero over the quiet stretch.
type drift struct {
	slope float64 // N/s, as recorded
	doubt float64 // N/s, its standard uncertainty
	mid   float64 // s, the middle of the quiet stretch, where zero is the tare
	taken bool    // it was taken off
}

const (
	quietFewest  = 10     // samples that make a quiet stretch
	quietSeconds = 0.04   // of it, two periods of the mains, below which it is doubtful
	quietTrim    = 0.2    // share of it left out next to the event
	quietBand    = 0.05   // share of the range by which the event leaves the quiet stretch
	stayBand     = 0.02   // share of the range that a stay at the lowest level may wander
	loadedShare  = 0.05   // share of the range that tells load from a shift of zero
	quietSlope   = 0.0005 // share of the range by which the halves of a quiet stretch may differ
	wanderMost   = 0.005  // likewise, whatever slow noise they carry
	quietBlocks  = 20     // means of equal parts, from which the tare's uncertainty comes
	driftSure    = 4.5    // standard uncertainties from which a drift is taken off
	driftSeen    = 2.5    // from which it is in the budget
	driftReach   = 5      // lengths of the quiet stretch over which it is carried
	machineQuiet = 0.05   // share of the samples below which a quiet stretch beside a recorded displacement is none
)

// findZero looks for the quiet stretch before the event. A trace that later
// stays well below its beginning began under load, and one without a quiet
// beginning may still come to rest unloaded: then zero is the level at which it
// stays. Without a quiet beginning the pull is the larger side of the recorder's
// own zero, and a guess when the two sides are alike.
func findZero(force []float64, wide extent, jitter float64) zero {
	low, high, span := wide.low, wide.high, wide.span()
	z := zero{sign: 1, noise: jitter}

	end := quietEnd(force, max(8*jitter, quietBand*span))
	level := force[0]
	if end > 0 {
		level = mean(force[:end])
	}
	trimmed := end - int(math.Ceil(quietTrim*float64(end)))
	begins := trimmed >= quietFewest && !sloped(force[:trimmed], jitter, span)
	if begins {
		z.set(force, 0, trimmed)
	}
	if level-low > high-level && begins || !begins && -low > high {
		z.sign = -1
	}
	z.guess = !begins && min(high, -low) > 0.5*max(high, -low)
	bottom := low
	if z.sign < 0 {
		bottom = -high
	}
	below := longestStay(force, z.sign, bottom+stayBand*span, jitter, span)
	if below.len() == 0 {
		return z
	}
	under := z.sign * (level - mean(force[below.from:below.to]))
	clear := under > max(8*jitter, loadedShare*span)
	if clear || !begins {
		z.loaded = clear
		z.set(force, below.from, below.to)
	}
	return z
}

func (z *zero) set(force []float64, from, to int) {
	z.known, z.from, z.to = true, from, to
	z.tare = mean(force[from:to])
	z.noise = deviation(force[from:to], z.tare)
	z.doubt, z.blocks = doubtOfMean(force[from:to])
}

// differenceNoise is the standard deviation of white noise as the second
// differences of the first samples show it: median |x[i−1] − 2x[i] + x[i+1]|
// over 0.6745·√6. It does not see a slope, and a median does not see an event
// in fewer than half of the samples.
func differenceNoise(force []float64) float64 {
	n := min(len(force), 400)
	if n < 3 {
		return 0
	}
	d := make([]float64, 0, n)
	for i := 1; i < n-1; i++ {
		d = append(d, math.Abs(force[i-1]-2*force[i]+force[i+1]))
	}
	return middle(d) / (0.6745 * math.Sqrt(6))
}

// quietEnd is the first sample that leaves the running mean by more than band.
func quietEnd(force []float64, band float64) int {
	sum := 0.0
	for i, f := range force {
		if n := float64(i); math.Abs(f*n-sum) > band*n && i > 0 {
			return i
		}
		sum += f
	}
	return len(force)
}

// stay is a run of samples; an empty one is none.
type stay struct{ from, to int }

func (s stay) len() int { return s.to - s.from }

// longestStay is the longest run of samples at or below a level, seen in the
// direction of the pull, with a fifth trimmed off each end; none when it is
// short, or when it slopes and so is the toe of a slow rise.
func longestStay(force []float64, sign, level, jitter, span float64) stay {
	best := longestRun(force, sign, level)
	trim := int(quietTrim * float64(best.len()))
	best.from, best.to = best.from+trim, best.to-trim
	if best.len() < quietFewest || sloped(force[best.from:best.to], jitter, span) {
		return stay{}
	}
	return best
}

// longestRun is the first of the longest runs at or below a level. A run longer
// than the best so far holds the sample that many further on, and begins behind
// the last before that which is above the level: most need no look.
func longestRun(force []float64, sign, level float64) (best stay) {
	for start := 0; start+best.len() < len(force); {
		end := start + best.len()
		i := end
		for i >= start && sign*force[i] <= level {
			i--
		}
		if i >= start {
			start = i + 1
			continue
		}
		for end < len(force) && sign*force[end] <= level {
			end++
		}
		best, start = stay{start, end}, end+1
	}
	return best
}

// sloped reports whether the halves of a run differ by more than noise and a
// small share of the range.
func sloped(run []float64, jitter, span float64) bool {
	half := len(run) / 2
	return math.Abs(mean(run[:half])-mean(run[half:])) > max(3*jitter, quietSlope*span, min(4*wander(run), wanderMost*span))
}

// wander is the standard uncertainty of the difference between the halves of a
// run, from how its blocks scatter about a straight line: noise slower than a
// sample moves the halves apart without a slope.
func wander(run []float64) float64 {
	blocks := min(quietBlocks, len(run)/5)
	if blocks < 8 {
		return 0
	}
	fit := line{}
	for k := range blocks {
		fit.add(float64(k), mean(run[k*len(run)/blocks:(k+1)*len(run)/blocks]))
	}
	return fit.doubt() * float64(blocks) / 2
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// deviation is the sample standard deviation about a mean.
func deviation(x []float64, mean float64) float64 {
	if len(x) < 2 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(x)-1))
}

// doubtOfMean is the standard uncertainty of a mean (JCGM 100, 4.2.3) from the
// means of up to quietBlocks equal parts, which noise slower than a sample does
// not fool, and their number; never below that of white noise.
func doubtOfMean(x []float64) (doubt float64, blocks int) {
	white := deviation(x, mean(x)) / math.Sqrt(float64(len(x)))
	blocks = min(quietBlocks, len(x)/5)
	if blocks < 4 {
		return white, len(x)
	}
	means := make([]float64, blocks)
	for k := range means {
		means[k] = mean(x[k*len(x)/blocks : (k+1)*len(x)/blocks])
	}
	return max(white, deviation(means, mean(means))/math.Sqrt(float64(blocks))), blocks
}

// lineThrough is the slope of the line of least squares through samples and its
// standard uncertainty, taken from the means of blocks as doubtOfMean is.
func lineThrough(time, x []float64) (slope, doubt float64) {
	blocks := min(quietBlocks, len(x)/5)
	if blocks < 5 {
		return 0, math.Inf(1)
	}
	at, level := make([]float64, blocks), make([]float64, blocks)
	for k := range at {
		from, to := k*len(x)/blocks, (k+1)*len(x)/blocks
		at[k], level[k] = mean(time[from:to]), mean(x[from:to])
	}
	midT, midX := mean(at), mean(level)
	tt, tx := 0.0, 0.0
	for k := range at {
		tt += (at[k] - midT) * (at[k] - midT)
		tx += (at[k] - midT) * (level[k] - midX)
	}
	slope = tx / tt
	rest := 0.0
	for k := range at {
		r := level[k] - midX - slope*(at[k]-midT)
		rest += r * r
	}
	return slope, math.Sqrt(rest / float64(blocks-2) / tt)
}

// setZero finds the zero and fills raw: the rope's force before any filter.
func (t *take) setZero() {
	t.scale = 1
	if t.rec.PerMass {
		t.scale = t.set.Mass
		t.step("mass", "the recorded acceleration times the falling mass", Param{"mass", t.set.Mass, "kg"})
	}
	t.jitter = differenceNoise(t.rec.Force)
	t.zero = findZero(t.rec.Force, t.wide, t.jitter)
	z := &t.zero
	if pull := cmp.Or(t.set.Pull, t.rec.Pull); pull != PullFound {
		z.sign, z.guess = float64(pull), false
	}
	if t.rec.Stretch != nil && float64(z.to-z.from) < machineQuiet*float64(len(t.rec.Force)) {
		t.keepZero()
	}
	if z.known {
		z.drift.mid = (t.rec.Time[z.from] + t.rec.Time[z.to-1]) / 2
		z.drift.slope, z.drift.doubt = lineThrough(t.rec.Time[z.from:z.to], t.rec.Force[z.from:z.to])
		z.drift.taken = math.Abs(z.drift.slope) > driftSure*z.drift.doubt && t.driftReaches()
		if !math.IsInf(z.drift.doubt, 1) {
			t.r.Drift = Value(z.drift.slope * t.scale)
		}
	}
	t.r.Noise = Value(z.noise * t.scale)
	t.r.PeakRecorded = Value(t.largestRecorded() * t.scale)
	t.r.Resolution = Value(t.resolution() * t.scale)
	t.sayZero()
	lift := math.Exp(t.set.Edge.Friction * t.set.Edge.Angle)
	if lift != 1 {
		t.step("edge", "the cell behind an edge reads T·e^(−μθ); the force is brought to the rope's T before it",
			Param{"friction", t.set.Edge.Friction, ""}, Param{"angle", t.set.Edge.Angle, "rad"}, Param{"factor", lift, ""})
	}
	t.scale *= lift
	t.unload()
	z.noise *= t.scale
	z.doubt *= t.scale
}

// keepZero leaves zero as the recorder had it: a file that records a displacement
// and begins to load at once is a testing machine's, which balances its cell
// before a test.
func (t *take) keepZero() {
	z := &t.zero
	z.tare, z.known, z.loaded, z.machine, z.noise = 0, false, false, true, t.jitter
	z.doubt, z.blocks, z.from, z.to = 0, 0, 0, 0
}

// driftReaches reports whether the largest force is near enough to the quiet
// stretch for a line through that to be carried to it.
func (t *take) driftReaches() bool {
	at := t.wide.highAt
	if t.zero.sign < 0 {
		at = t.wide.lowAt
	}
	quiet := t.rec.Time[t.zero.to-1] - t.rec.Time[t.zero.from]
	return quiet > quietSeconds && math.Abs(t.rec.Time[at]-t.zero.drift.mid) < driftReach*quiet
}

// unload fills raw with the force of the rope.
func (t *take) unload() {
	z, f := t.zero, t.zero.sign*t.scale
	t.raw = t.room(rawRoom)
	if !z.drift.taken {
		inParts(len(t.raw), func(_, from, to int) {
			raw := t.raw[from:to]
			for i, v := range t.rec.Force[from:to] {
				raw[i] = f * (v - z.tare)
			}
		})
		t.over = t.wide.scaled(z.tare, f)
		return
	}
	defer func() { t.over = extentOf(t.raw) }()
	for i, v := range t.rec.Force {
		t.raw[i] = f * (v - z.tare - z.drift.slope*(t.rec.Time[i]-z.drift.mid))
	}
}

func (t *take) largestRecorded() float64 {
	if t.zero.sign < 0 {
		return -t.wide.low
	}
	return t.wide.high
}

// resolution is the smallest step between neighbouring values among up to 20 000
// of the recording: the converter's, or the last digit written. Less than a
// billionth of the largest is rounding.
func (t *take) resolution() float64 {
	least, clear := math.Inf(1), 1e-9*t.wide.largest()
	force := t.rec.Force
	every := max(1, len(force)/20000)
	if every == 1 && t.wide.least > clear {
		least, every = t.wide.least, len(force) // it was seen already
	}
	for i := every; i < len(force); i += every {
		if d := math.Abs(force[i] - force[i-1]); d < least && d > clear {
			least = d
		}
	}
	if math.IsInf(least, 1) {
		return math.NaN()
	}
	return least
}

// sayZero records what was done about zero, and what is doubtful in it.
func (t *take) sayZero() {
	z := t.zero
	switch {
	case z.machine:
		t.note(Said, "zero is the machine's own: the file records a displacement and begins to load at once")
	case !z.known:
		t.note(Doubtful, "no quiet stretch of %d samples before the event, so the force is used as recorded: record at least 0.2 s before release", quietFewest)
		t.note(Said, "noise is taken from the differences between samples")
	case z.drift.taken:
		t.r.Tare = Value(z.tare * t.scale)
		t.step("tare", "the line through the quiet stretch is taken off", Param{"tare", z.tare, "N"}, Param{"drift", z.drift.slope, "N/s"},
			Param{"middle", z.drift.mid, "s"}, Param{"from", t.rec.Time[z.from], "s"}, Param{"to", t.rec.Time[z.to-1], "s"})
		t.note(Said, "zero drifts by %.3g N/s before the event (standard uncertainty %.2g N/s): the line was taken off", z.drift.slope*t.scale, z.drift.doubt*t.scale)
	default:
		t.r.Tare = Value(z.tare * t.scale)
		t.step("tare", "mean of the quiet stretch is taken off",
			Param{"tare", z.tare, "N"}, Param{"from", t.rec.Time[z.from], "s"}, Param{"to", t.rec.Time[z.to-1], "s"})
	}
	if z.loaded {
		t.note(Doubtful, "the trace begins under load, %.4g N above the lowest level it stays at: zero is taken from there", z.sign*(mean(t.rec.Force[:quietFewest])-z.tare)*t.scale)
	}
	if z.guess {
		t.note(Doubtful, "the trace is as large on one side of zero as on the other and has no quiet beginning: which way a pull goes is a guess; --pull positive or negative settles it")
	}
	if d := z.drift; z.known && !d.taken && math.Abs(d.slope) > driftSure*d.doubt {
		t.note(Doubtful, "zero drifts by %.3g N/s before the event (standard uncertainty %.2g N/s): too short or too far before it to be taken off", d.slope*t.scale, d.doubt*t.scale)
	}
	if quiet := t.rec.Time[z.to-min(1, z.to)] - t.rec.Time[z.from]; z.known && quiet < quietSeconds {
		t.note(Doubtful, "the quiet stretch is only %.3g ms: mains hum and drift are not averaged out of the tare, record at least 0.2 s before release", 1e3*quiet)
	}
	if z.sign < 0 {
		t.step("turn over", "the pull is negative in the recording")
		t.note(Said, "the pull is negative in the recording and was turned over")
	}
}
