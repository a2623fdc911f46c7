package trace

import "math"

// judge adds the notes on quality that need the readings first.
func (t *take) judge(rate float64) {
	if len(t.r.Contacts) == 0 {
		return
	}
	t.judgeClipping()
	best := t.r.Contacts[0]
	for _, c := range t.r.Contacts[1:] {
		if c.Peak > best.Peak {
			best = c
		}
	}
	// Largest share of a half-sine's peak that can fall between two samples.
	if d := best.End - best.Start; d > 0 {
		if missed := 1 - math.Cos(math.Min(math.Pi/2, math.Pi/(2*d*rate))); missed > 0.005 {
			t.note(Doubtful, "%.3g samples a second on a contact of %.3g s: up to %.1f %% of the peak may have fallen between two samples", rate, d, 100*missed)
		}
	}
	if t.set.Class == 0 && 3*t.zero.noise > 0.01*float64(t.r.PeakForce) {
		t.note(Doubtful, "noise of %.3g N lifts an unfiltered peak of %.4g N: read it with a filter class", t.zero.noise, float64(t.r.PeakForce))
	}
}

// judgeClipping finds a top that is flat for most of the time that the trace
// spends near it. A rounded top of small steps is flat only for a little.
func (t *take) judgeClipping() {
	top, at := math.Inf(-1), 0
	for i, f := range t.raw {
		if f > top {
			top, at = f, i
		}
	}
	last := at
	for last+1 < len(t.raw) && t.raw[last+1] == top {
		last++
	}
	from, to := at, last
	for from > 0 && t.raw[from-1] > 0.95*top {
		from--
	}
	for to+1 < len(t.raw) && t.raw[to+1] > 0.95*top {
		to++
	}
	if flat := last - at + 1; flat >= 4 && 2*flat > to-from+1 {
		t.note(Missing, "the top is flat for %d samples at %.5g N: the cell or the logger was at its limit, the true peak is higher", flat, top)
	}
}
