package trace

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// A mass that came to hang and is taken off before the trace ends, with a jerk on
// the way: its weight is that of the stretch before, by m·g, and the trace's end is
// zero again. The tolerance is four standard uncertainties of a zero with 6 N of
// noise over 240 samples. Bounces alone are no hanging.
func TestMassTakenOff(t *testing.T) {
	whole := fallTrace(kelvinVoigt(20e3, 0.2), 1000, 0.3, 12)
	weight := refMass * StandardGravity
	for _, off := range []float64{6, 8, 11} {
		rng := rand.New(rand.NewPCG(5, uint64(off)))
		rec := spoilt(whole, func(_ int, s, f float64) float64 {
			switch {
			case s > off+0.3:
				f = 0
			case s > off:
				f = weight * (1 - (s-off)/0.3)
				if s > off+0.1 && s < off+0.12 {
					f += 0.4 * weight
				}
			}
			return f + 30 + 6*rng.NormFloat64()
		})
		r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop, Doubt: doubtStated})
		if err != nil {
			t.Fatal(err)
		}
		within(t, "hang weight", r.HangWeight, weight, 0.002*weight)
		within(t, "gain check", r.GainCheck, 1, 0.002)
		if u := r.Uncertainty["hang_weight_N"]; !(u.Lower < weight && weight < u.Upper) {
			t.Errorf("taken off at %g s: %+v does not hold %g N", off, u, weight)
		}
		said := false
		for _, n := range r.Notes {
			said = said || strings.Contains(n.Text, "is then taken off")
		}
		if !said {
			t.Errorf("taken off at %g s: no note says so: %v", off, r.Notes)
		}
		if r.ClosingSpeed.Known() {
			t.Errorf("a closing speed of %g m/s with no mass", float64(r.ClosingSpeed))
		}
	}
	bounces := fallTrace(kelvinVoigt(20e3, 0.05), 1000, 0.3, 2.2)
	r, _, err := Take(bounces, Settings{Mass: refMass, Drop: refDrop})
	if err != nil || r.HangWeight.Known() {
		t.Errorf("bounces alone hang with %g N, %v", float64(r.HangWeight), err)
	}
}
