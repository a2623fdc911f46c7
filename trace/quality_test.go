package trace

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// spoilt copies a recording with its force changed sample by sample.
func spoilt(rec *Recording, change func(i int, t, f float64) float64) *Recording {
	out := &Recording{Time: rec.Time, Unit: rec.Unit, Force: make([]float64, len(rec.Force))}
	for i, f := range rec.Force {
		out.Force[i] = change(i, rec.Time[i], f)
	}
	return out
}

// What a logger can do to a trace, and what must be said of it. Each fault is
// planted on the same fall, which is sound without it.
func TestFaultsAreNamed(t *testing.T) {
	clean := spoil(fallTrace(zener(10e3, 15e3, 0.1), 5000, 0.3, 2.6), 4, 25, 1, 5)
	set := Settings{Mass: refMass, Drop: refDrop}
	sound, _, err := Take(clean, set)
	if err != nil || sound.Grade() != Said {
		t.Fatalf("the sound fall is graded %q: %v, %v", sound.Grade(), sound.Notes, err)
	}
	peak := slices.Index(clean.Force, slices.Max(clean.Force))
	rise := peak - 350
	phase := make([]float64, len(clean.Force)) // of a ripple at 120 Hz low down and 320 Hz at the top
	for i := 1; i < len(phase); i++ {
		phase[i] = phase[i-1] + 2*math.Pi*(120+200*max(0, clean.Force[i])/6590)/5000
	}
	for _, c := range []struct {
		name  string
		rec   *Recording
		set   Settings
		grade Grade
		note  string
	}{
		{"clipped at the top", spoilt(clean, func(_ int, _, f float64) float64 { return min(f, 6000) }), set, Missing, "the top is flat for"},
		{"clipped below", spoilt(clean, func(_ int, s, f float64) float64 {
			if s > 0.7 && s < 0.7013 {
				return -2500
			}
			return f
		}), set, Doubtful, "the lowest level is flat"},
		{"an amplifier at its limit", spoil(spoilt(clean, func(_ int, _, f float64) float64 { return min(f, 6200) }), 5, 0, 1, 9), set, Doubtful, "may have been at its limit, and the true peak higher"},
		{"a held value", spoilt(clean, func(i int, _, f float64) float64 {
			if i > rise && i < rise+12 {
				return clean.Force[rise]
			}
			return f
		}), set, Doubtful, "stands still for 12 samples"},
		{"each sample twice", spoilt(clean, func(i int, _, _ float64) float64 { return clean.Force[i-i%2] }), set, Doubtful, "each sample stands twice: the force was measured 2500 times"},
		{"a spike on the rise", spoilt(clean, func(i int, _, f float64) float64 {
			if i == rise {
				return f + 900
			}
			return f
		}), set, Doubtful, "1 samples stand out"},
		{"a spike at the top", spoilt(clean, func(i int, _, f float64) float64 {
			if i == peak+3 {
				return f + 900
			}
			return f
		}), set, Missing, "as a spike: the peak is not the rope's"},
		{"a hole in the rise", spoilt(clean, func(i int, _, f float64) float64 {
			if i == rise {
				return 0
			}
			return f
		}), set, Doubtful, "stand out from their neighbours"},
		{"the fixtures ring", spoilt(clean, func(_ int, s, f float64) float64 {
			if s < 0.3 {
				return f
			}
			return f + 150*math.Exp(-(s-0.3)/0.6)*math.Sin(2*math.Pi*310*s)
		}), set, Doubtful, "goes on with the rope slack: that is cell and fixtures"},
		{"rope and mass ripple", spoilt(clean, func(i int, _, f float64) float64 {
			return f + 200*math.Sin(phase[i])*max(0, f)/6590
		}), set, Said, "moves with the force"},
		{"few steps", spoilt(clean, func(_ int, _, f float64) float64 { return 60 * math.Round(f/60) }), set, Doubtful, "comes in steps of 60 N"},
		{"zero moved by the catch", spoilt(clean, func(_ int, s, f float64) float64 {
			if s > 0.45 {
				return f + 40
			}
			return f
		}), set, Doubtful, "the slack rope shows"},
		{"mains at 60 Hz", spoilt(clean, func(_ int, s, f float64) float64 { return f + 30*math.Cos(2*math.Pi*60*s) }), set, Doubtful, "N at 60 Hz"},
		{"drift", spoilt(clean, func(_ int, s, f float64) float64 { return f + 40*s }), set, Said, "zero drifts by 4"},
		{"told the wrong way", clean, Settings{Pull: PullNegative}, Missing, "there is no contact"},
	} {
		r, _, err := Take(c.rec, c.set)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var texts []string
		for _, n := range r.Notes {
			texts = append(texts, n.Text)
		}
		all := strings.Join(texts, "\n")
		if !strings.Contains(all, c.note) {
			t.Errorf("%s: no note says %q:\n%s", c.name, c.note, all)
		}
		if r.Grade() != c.grade {
			t.Errorf("%s: grade %q, want %q:\n%s", c.name, r.Grade(), c.grade, all)
		}
	}
}

// A drift is taken off: 40 N/s over the 0.5 s to the peak would be 0.3 %.
func TestDriftIsTakenOff(t *testing.T) {
	clean := fallTrace(zener(10e3, 15e3, 0.1), 5000, 0.3, 2.6)
	drifting := spoil(spoilt(clean, func(_ int, s, f float64) float64 { return f + 40*s }), 4, 25, 1, 5)
	r, _, err := Take(drifting, Settings{Mass: refMass, Drop: refDrop, Class: 60})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "drift", r.Drift, 40, 4*4/math.Sqrt(1200)*math.Sqrt(12)/0.24)
	within(t, "peak", r.PeakForce, 6590.13, 8)
	within(t, "stretch", r.MaxStretch, 1.15569, 0.002*1.15569)
}

func notesOf(r *Reading) string {
	var texts []string
	for _, n := range r.Notes {
		texts = append(texts, n.Text)
	}
	return strings.Join(texts, "\n")
}
