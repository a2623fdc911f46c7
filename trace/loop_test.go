package trace

import (
	"testing"
)

// Each bounce continues what the one before left: for a rope without losses
// every contact is the first again, and the mass is where energy says. The
// contacts' energies close: m·g times the way down from the start is what each
// puts in.
func TestContactsFollowEachOther(t *testing.T) {
	rec := fallTrace(linear(20e3), 10e3, 0.3, 8)
	r, signal, err := Take(rec, Settings{Mass: refMass, Drop: refDrop})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Contacts) != 4 {
		t.Fatalf("%d contacts in 8 s, want 4", len(r.Contacts))
	}
	for k, c := range r.Contacts[:3] {
		within(t, "speed into", c.ImpactSpeed, 9.702775, 0.002*9.7)
		within(t, "stretch of", c.MaxStretch, 1.142537, 0.004*1.14)
		within(t, "restitution of", c.Restitution, 1, 0.002)
		within(t, "flight after", c.Flight, 2*9.702775/StandardGravity, 1e-4)
		if k > 0 && float64(c.EnergyAbsorbed) > 0.005*float64(c.EnergyIn) {
			t.Errorf("contact %d absorbs %g J of %g", k+1, float64(c.EnergyAbsorbed), float64(c.EnergyIn))
		}
	}
	within(t, "closing stretch", r.ClosingStretch, 0, 0.02)
	if len(signal.Speed) != len(signal.Stretch) || signal.First+len(signal.Speed) > len(rec.Time) || len(signal.Speed) < 60000 {
		t.Errorf("motion of %d and %d samples from %d", len(signal.Speed), len(signal.Stretch), signal.First)
	}
}

// Light Kelvin-Voigt damping, to first order in ζ, by algebra: over the phases
// from −φ to π + φ, sin φ = x_s/A, the damper takes 2ζ·k·A²·((π+2φ)/2 +
// sin(2φ)/2) of the k·x_max²/2 that the spring holds at the turn. The loss factor
// is that over π·k·x_max²/2: 2ζ·0.9274 with A = 1.03270 m, φ = 0.10656 and x_max =
// 1.142537 m. 1.5 % for the second order. At the turn the damper has no force, so
// the secant is k; the tangent is k for a rope without damper.
func TestLoopOfALightlyDampedRope(t *testing.T) {
	const zeta, k = 0.01, 20e3 / refLength
	set := Settings{Mass: refMass, Drop: refDrop}
	r, _, err := Take(fallTrace(kelvinVoigt(20e3, zeta), 10e3, 0.3, 2.6), set)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "loss factor", r.LossFactor, 2*zeta*0.9274, 0.015*2*zeta)
	within(t, "secant", r.Secant, k, 0.002*k)
	within(t, "energy in", r.EnergyIn, float64(r.EnergyAbsorbed+r.EnergyReturned), 1e-9)
	within(t, "guide friction", r.GuideFriction, 0, 0.002)
	if r, _, err = Take(fallTrace(linear(20e3), 10e3, 0.3, 2.6), set); err != nil {
		t.Fatal(err)
	}
	within(t, "tangent", r.Tangent, k, 0.002*k)
	within(t, "secant without damper", r.Secant, k, 0.002*k)
}
