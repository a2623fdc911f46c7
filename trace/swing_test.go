package trace

import (
	"math"
	"strings"
	"testing"
)

// A mass that comes to hang on a Kelvin-Voigt rope swings with the decrement
// δ = 2πζ/√(1−ζ²) and the damped frequency of the closed form, about m·g.
// Tolerances: 1 % of δ, since extremes are whole samples of a noisy force; 0.2 %
// of the level.
func TestSwings(t *testing.T) {
	for _, zeta := range []float64{0.08, 0.1, 0.15} {
		rec := spoil(fallTrace(kelvinVoigt(20e3, zeta), 2000, 0.3, 12), 1, 30, 1, 9)
		r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop, Class: 60})
		if err != nil {
			t.Fatal(err)
		}
		want := 2 * math.Pi * zeta / math.Sqrt(1-zeta*zeta)
		within(t, "decrement", r.LogDecrement, want, 0.02*want)
		within(t, "damping", r.DampingRatio, zeta, 0.02*zeta)
		within(t, "hang weight", r.HangWeight, refMass*StandardGravity, 0.002*refMass*StandardGravity)
		within(t, "gain", r.GainCheck, 1, 0.002)
	}
	// A cell that reads 4 % high hangs 4 % too heavy.
	rec := fallTrace(kelvinVoigt(20e3, 0.1), 2000, 0.3, 12)
	r, _, err := Take(spoilt(rec, func(_ int, _, f float64) float64 { return 1.04 * f }), Settings{Mass: refMass, Drop: refDrop})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "gain", r.GainCheck, 1.04, 0.002)
	if !strings.Contains(notesOf(r), "the mass hangs with") {
		t.Errorf("nothing is said of a gain of 4 %%:\n%s", notesOf(r))
	}
}

// A decaying sine about any level, exact: δ and frequency to rounding but for
// where samples fall at the extremes, dt²ω²/8 of the height.
func TestSwingOfSine(t *testing.T) {
	const rate, f, decay, level = 10e3, 7.0, 1.3, 400.0
	var time, force []float64
	for i := range 30000 {
		s := float64(i) / rate
		time = append(time, s)
		force = append(force, level+300*math.Exp(-decay*s)*math.Sin(2*math.Pi*f*s))
	}
	s := swingOf(time, force, 0, len(force)-1, 5, 0)
	within(t, "decrement", Value(s.decrement), decay/f, 0.002*decay/f)
	within(t, "frequency", Value(s.frequency), f, 0.001*f)
	within(t, "level", Value(s.level), level, 0.5)
	if short := swingOf(time, force, 0, 2500, 5, 0); short.halves != 0 {
		t.Errorf("a swing from %d half cycles", short.halves)
	}
}
