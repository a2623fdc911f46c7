package trace

import "math"

const (
	restShare  = 0.2  // of the recording, at its end, in which the mass must hang still
	restWander = 0.01 // share of the level by which it may wander there
	hangApart  = 0.02 // share by which hang weight and m·g may differ without remark
	hangBlock  = 0.05 // s, of the blocks in which a mass is seen to hang still
	hangFewest = 6    // of them
	swingSure  = 3    // standard uncertainties that a decrement stands clear of zero
	swingCalm  = 0.02 // s, of the running mean that swings are looked for in
	swingClear = 0.02 // share of m·g, or of the level, by which a swing stands clear
)

// findSwings looks at the last of the contacts when it does not end, or ends when
// the mass that hangs still is taken off: it swings on the taut rope and comes to
// hang.
func (t *take) findSwings(contacts []Contact) func() {
	return func() {
		n := len(contacts)
		if n == 0 {
			return
		}
		last, still := contacts[n-1], stay{}
		if !last.Open {
			if last, still = t.hanging(contacts); still.len() == 0 {
				return
			}
			last.To = still.to - 1
		}
		half := int(swingCalm * t.pace.rate / 2)
		if half < 1 || last.To-last.From < 8*half {
			half = 0
		}
		force := t.room(calmedRoom)[:last.To+1-last.From]
		runningMeanInto(force, t.raw[last.From:last.To+1], half)
		noise := t.zero.noise / math.Sqrt(float64(2*half+1))
		t.last, t.still = last, still
		t.swing = swingOf(t.rec.Time[last.From:last.To+1], force, 0, len(force)-1, max(6*noise, swingClear*last.Peak/4), noise)
		if !(t.swing.decrement > swingSure*t.swing.doubt) {
			t.swing = swing{}
		}
	}
}

// readSwings fills what the swings and the mass that hangs show.
func (t *take) readSwings() {
	if t.last.To == 0 {
		return
	}
	if t.swing.halves > 0 {
		t.r.LogDecrement, t.r.DampingRatio = Value(t.swing.decrement), Value(t.swing.damping())
		t.note(Said, "the last %d half swings on the taut rope are at %.4g Hz", t.swing.halves, t.swing.frequency)
	}
	if t.set.Mass > 0 && !t.bent() {
		t.readHang(t.last, t.still)
	}
}

// hanging is the longest stretch in which the mass hangs still before it is taken
// off, and its contact: blocks of hangBlock that wander by restWander at most,
// each and in their means, for hangFewest of them.
func (t *take) hanging(contacts []Contact) (c Contact, best stay) {
	block := max(quietFewest, int(hangBlock*t.pace.rate))
	for _, contact := range contacts {
		run, level := stay{}, 0.0
		for from := contact.From; from+block <= contact.To; from += block {
			part := t.raw[from : from+block]
			m := mean(part)
			may := max(1.5*t.zero.noise, restWander*m)
			switch {
			case deviation(part, m) > may:
				run = stay{}
				continue
			case run.len() == 0 || math.Abs(m-level) > max(restWander*m, 3*t.zero.noise/math.Sqrt(float64(block))):
				run, level = stay{from, from}, m
			}
			run.to = from + block
			if run.len() >= hangFewest*block && run.len() >= best.len() {
				c, best = contact, run
			}
		}
	}
	return c, best
}

// readHang fills the hang weight: the mean of the stretch in which the mass hangs
// still before it is taken off, or of the last fifth of the recording when it does
// there, else the level that the last swings are about.
func (t *take) readHang(last Contact, before stay) {
	from := max(last.From, restFrom(len(t.raw)))
	rest := t.raw[from:]
	t.hangs = t.rec.Time[len(t.raw)-1]
	if before.len() > 0 {
		rest = t.raw[before.from:before.to]
		t.hangs = (t.rec.Time[before.from] + t.rec.Time[before.to-1]) / 2
		t.note(Said, "the mass hangs still from %.4g to %.4g s and is then taken off: its hang weight is from there", t.rec.Time[before.from], t.rec.Time[before.to-1])
	}
	level := mean(rest)
	still := len(rest) >= quietFewest && deviation(rest, level) < max(1.5*t.zero.noise, restWander*level)
	switch {
	case still:
		t.r.HangWeight = Value(level)
		t.swing.level = level
		t.swing.spread, _ = doubtOfMean(rest)
		if before.len() == 0 && t.rest.to == len(t.raw) {
			t.r.ClosingSpeed = Value(t.rest.sum / t.rest.n)
		}
	case t.swing.halves > 0:
		t.r.HangWeight = Value(t.swing.level)
		t.note(Said, "the mass still swings when the trace ends: its hang weight is the level of the last swings")
	default:
		return
	}
	weight := t.set.Mass * t.gravity
	t.r.GainCheck = t.r.HangWeight / Value(weight)
	if off := float64(t.r.GainCheck) - 1; math.Abs(off) > max(hangApart, 3*t.swing.spread/weight) {
		t.note(Doubtful, "the mass hangs with %.5g N, m·g is %.5g N, %+.1f %%: zero that drifted since the drop, the cell's gain, unit or mass", float64(t.r.HangWeight), weight, 100*off)
	}
}
