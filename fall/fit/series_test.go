package fit_test

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/rope"
)

// wear is a rope that stiffens and loses what relaxes from fall to fall: after n
// falls and the rests between them the share w of it.
type wear struct{ pace, recovery float64 }

func (w wear) course(rests []float64) []float64 {
	out := make([]float64, len(rests))
	for i := 1; i < len(rests); i++ {
		out[i] = (1 - (1-out[i-1])*math.Exp(-1/w.pace)) * math.Exp(-rests[i]/w.recovery)
	}
	return out
}

var fresh = rope.Stiffening{Equilibrium: 5500, Growth: 4, Branch: 7000, Relaxation: 0.12}

// worn is the rope at a wear: moduli 1.4 and 0.8 times as much at w = 1.
func worn(w float64) rope.Stiffening {
	law := fresh
	law.Equilibrium *= math.Pow(1.4, w)
	law.Branch *= math.Pow(0.8, w)
	return law
}

// wornSeries are traces of falls with the rests between them, without their last.
func wornSeries(t *testing.T, of wear, rests []float64) ([]fit.Fall, []float64) {
	t.Helper()
	s := setting
	s.FirstContact = true
	var falls []fit.Fall
	course := of.course(rests)
	for i, w := range course {
		falls = append(falls, fit.Fall{Samples: recorded(t, worn(w), s, 6, 12, 2000, uint64(50+i)), Rate: 2000, Setting: s, Rest: rests[i]})
	}
	return falls, course
}

// A series at even rests: pace, first and last values come back within four
// standard errors, and the sixth fall's peak is foretold from the first five.
func TestSeriesForetellsTheNextFall(t *testing.T) {
	rests := []float64{0, 300, 300, 300, 300, 300}
	falls, course := wornSeries(t, wear{pace: 1.8, recovery: math.Inf(1)}, rests)
	c, err := fit.Series(falls[:5], fit.Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	for name, pair := range map[string][2]float64{"equilibrium modulus": {5500, 5500 * 1.4}, "branch modulus": {7000, 7000 * 0.8}} {
		for _, s := range c.Terms {
			if s.Name != name {
				continue
			}
			for i, p := range []fit.Parameter{s.First, s.Last} {
				if !(math.Abs(p.Value-pair[i]) < 4*p.SE && p.SE < 0.1*p.Value) {
					t.Errorf("%s %d is %.5g ± %.2g, in truth %.5g", name, i, p.Value, p.SE, pair[i])
				}
			}
		}
	}
	if !(math.Abs(c.Pace.Value-1.8) < 4*c.Pace.SE && c.Pace.SE < 0.7) || !math.IsNaN(c.Recovery.Value) {
		t.Errorf("pace %.3g ± %.2g, recovery %g", c.Pace.Value, c.Pace.SE, c.Recovery.Value)
	}
	next, err := c.Forecast(setting, 300)
	if err != nil {
		t.Fatal(err)
	}
	peak := func(w float64) float64 {
		run, err := (fall.Tower{
			Mass: setting.Mass, Drop: setting.Drop, Friction: 6, Gravity: setting.Gravity, Rope: rope.Piece{Law: worn(w), Length: setting.Length},
		}).Simulate(fall.Watch{FromContact: true, Until: 3, Accuracy: 1e-6})
		if err != nil {
			t.Fatal(err)
		}
		return run.Peak
	}
	truth := peak(course[5])
	t.Logf("peaks %.0f to %.0f N; foretold %.1f ± %.1f N, in truth %.1f", peak(0), peak(course[4]), next.Peak, next.SE, truth)
	if !(math.Abs(next.Peak-truth) < 4*next.SE && next.SE < 0.02*truth) {
		t.Errorf("sixth fall foretold to peak at %.1f ± %.1f N, in truth %.1f", next.Peak, next.SE, truth)
	}
	// Common practice, no source: some 10 to 25 % over five falls at short rest.
	if rise := peak(course[4])/peak(0) - 1; !(rise > 0.05 && rise < 0.25) {
		t.Errorf("the peak rises by %.3f over five falls", rise)
	}
	// Foresight tells laws apart that the peak alone would not.
	order, err := fit.ByNext(falls, fit.Zener, fit.Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	if len(order) != 2 {
		t.Fatalf("%d laws foretell", len(order))
	}
	if order[0].Form.Name != "stiffening" || !(order[0].Out < 1.3*order[0].Noise && order[1].Out > 2*order[0].Out) {
		t.Errorf("%s out by %.3g N, %s by %.3g, noise %.3g", order[0].Form.Name, order[0].Out, order[1].Form.Name, order[1].Out, order[0].Noise)
	}
}

// A rest of a night among short ones shows how fast the rope recovers.
func TestSeriesShowsHowRopesRecover(t *testing.T) {
	falls, _ := wornSeries(t, wear{pace: 1.8, recovery: 3000}, []float64{0, 300, 300, 2400, 300, 7200})
	c, err := fit.Series(falls, fit.Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(c.Recovery.Value-3000) < 4*c.Recovery.SE && c.Recovery.SE < 1000) {
		t.Errorf("recovery %.4g ± %.3g s, in truth 3000", c.Recovery.Value, c.Recovery.SE)
	}
	t.Logf("recovery %.4g ± %.3g s, pace %.3g ± %.2g", c.Recovery.Value, c.Recovery.SE, c.Pace.Value, c.Pace.SE)
}

func TestSeriesRefusals(t *testing.T) {
	falls, _ := wornSeries(t, wear{1, 1e9}, []float64{0, 300, 0})
	if _, err := fit.Series(falls[:2], fit.Zener); err == nil || err.Error() != "series: 2 falls, a course over falls needs 3" {
		t.Errorf("got %v", err)
	}
	if _, err := fit.Series(falls, fit.Zener); err == nil || !strings.HasPrefix(err.Error(), "rest: 0 s before fall 3, must be above 0 s") {
		t.Errorf("got %v", err)
	}
}
