package trace

import "math"

// onsetMost is the share of the stretch that a beginning between two samples may
// leave open without remark; onsetSure the share of the impulse's uncertainty and
// onsetLeast that of the impulse, likewise.
const onsetMost, onsetSure, onsetLeast = 0.005, 0.5, 0.0005

// judgeOnset remarks on a contact that begins within one interval of the samples,
// where the budgets cannot tell how. A flank without a sample on its foot is taken
// to be straight; if the force jumped, contact was later by as much as its line
// goes back. A jump is taken to be in the middle of its interval, with half of the
// impulse that it then has there.
func (t *take) judgeOnset(c course) {
	first, stretch := t.r.Contacts[0], float64(t.r.MaxStretch)
	edge := first.From
	for edge < first.To && t.raw[edge] <= t.limit.leave {
		edge++
	}
	dt := t.pace.usual
	if c.jumps[0] {
		lost := t.jumpOf(c) * dt / 4
		if u := t.r.Uncertainty["impulse_first_Ns"].Standard; u > 0 && lost > max(onsetSure*u, onsetLeast*float64(t.r.FirstImpulse)) {
			t.note(Doubtful, "the force jumps by %.3g N between two samples: impulse and rebound may be off by %.2g N·s more than their uncertainty says; record at %.4g Hz or more", t.jumpOf(c), lost, roundUp(t.pace.rate*lost/(onsetSure*u)))
		}
		return
	}
	late := t.rec.Time[edge] - first.Start
	if !(stretch > 0) || t.limit.blur > 0 || t.raw[edge] < t.limit.enter || late > 3*dt {
		return
	}
	if open := late * t.speed.speed / stretch; open > onsetMost {
		t.note(Doubtful, "no sample is on the foot of the flank: if the force began with a jump, contact was up to %.2g ms later and the stretch is up to %.2g %% less than the uncertainties say; record at %.4g Hz or more", 1e3*late, 100*open, roundUp(t.pace.rate*math.Max(2, open/onsetMost)))
	}
}
