package trace

import (
	"fmt"
	"math"
)

// judge adds the notes on quality that need the readings first.
func (t *take) judge() {
	if len(t.r.Contacts) == 0 {
		return
	}
	rate := t.pace.rate
	t.judgeClipping()
	t.judgeGaps()
	best := t.r.Contacts[0]
	for _, c := range t.r.Contacts[1:] {
		if c.Peak > best.Peak {
			best = c
		}
	}
	// Largest share of a half-sine's peak that can fall between two samples.
	if d := best.End - best.Start; d > 0 {
		if missed := 1 - math.Cos(math.Min(math.Pi/2, math.Pi/(2*d*rate))); missed > 0.005 {
			t.note(Doubtful, "%.6g samples a second on a contact of %.3g s: up to %.2g %% of the peak may have fallen between two samples", rate, d, 100*missed)
		}
	}
	if t.set.Class == 0 && 3*t.zero.noise > 0.01*float64(t.r.PeakForce) {
		t.note(Doubtful, "noise of %.3g N lifts an unfiltered peak of %.4g N: read it with a filter class", t.zero.noise, float64(t.r.PeakForce))
	}
}

// gapShare is the share of a contact that may be lost before its values should
// not be used: straight lines stand in for what is missing.
const gapShare = 0.02

func (t *take) judgeGaps() {
	for _, i := range t.pace.gaps {
		lost, from := t.rec.Time[i+1]-t.rec.Time[i], t.rec.Time[i]
		grade, where := Doubtful, ""
		for k, c := range t.r.Contacts {
			if from < c.End && t.rec.Time[i+1] > c.Start {
				where = fmt.Sprintf(", inside contact %d", k+1)
				if k == 0 && lost > gapShare*(c.End-c.Start) {
					grade = Missing
				}
			}
		}
		t.note(grade, "samples are lost: %.4g ms without any at %.4g s%s", 1e3*lost, from, where)
		if len(t.pace.gaps) > 3 {
			t.note(Doubtful, "there are %d such gaps in all", len(t.pace.gaps))
			return
		}
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
