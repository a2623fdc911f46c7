package trace

import (
	"math"
	"testing"
)

// Identities that hold for any rope, by Newton's second law, over the first
// contact of every reference fall: the impulse less m·g·t is m·(v₀ + v_r); what
// the mass had and fell further is what it put into the rope; what it lost is
// the loop. 0.2 % each, the edges of a contact being known to half an interval
// of 0.1 ms in 0.35 s where the force jumps.
func TestIdentities(t *testing.T) {
	checked := 0
	for _, ref := range references {
		rec := fallTrace(ref.law, 10e3, 0.3, 2.6)
		r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop})
		if err != nil {
			t.Fatal(err)
		}
		c := r.Contacts[0]
		v0, vr, x := float64(r.GeometrySpeed), float64(r.ReboundSpeed), float64(r.MaxStretch)
		long := c.End - c.Start
		within(t, ref.name+" impulse", r.FirstImpulse, refMass*(v0+vr)+refMass*StandardGravity*long, 1e-6*float64(r.FirstImpulse))
		within(t, ref.name+" energy in", r.EnergyIn, refMass*(v0*v0/2+StandardGravity*x), 0.002*float64(r.EnergyIn))
		within(t, ref.name+" impact speed", r.ImpactSpeed, v0, 0.002*v0)
		within(t, ref.name+" restitution", r.Restitution, vr/v0, 1e-9)
		within(t, ref.name+" returned", r.EnergyReturned, float64(r.EnergyIn-r.EnergyAbsorbed), 1e-9)
		checked++
	}
	if checked != len(references) {
		t.Fatal(checked)
	}
}

// The order of the rules: halving the interval quarters the error of impulse,
// speed, stretch and work under a force F₀·sin(πt/T), whose integrals are known.
func TestOrderOfTheRules(t *testing.T) {
	const force0, long, mass, v0, g = 6000.0, 0.3, 80.0, 9.0, 9.80665
	impulse := 2 * force0 * long / math.Pi
	// v = v₀ + g·t − (F₀T/πm)(1 − cos(πt/T)); x is its integral.
	speed := v0 + g*long - impulse/mass
	stretch := v0*long + g*long*long/2 - force0*long/(math.Pi*mass)*long
	work := mass*(v0*v0-speed*speed)/2 + mass*g*stretch
	errors := func(n int) [4]float64 {
		time, force := make([]float64, n+1), make([]float64, n+1)
		for i := range time {
			time[i] = long * float64(i) / float64(n)
			force[i] = force0 * math.Sin(math.Pi*time[i]/long)
		}
		c := Contact{To: n, Start: 0, End: long, Begun: true, Open: true}
		m := integrate(time, force, c, mass, v0, g)
		return [4]float64{c.impulse(time, force) - impulse, m.end - speed, m.last - stretch, m.loop - work}
	}
	coarse, fine := errors(60), errors(120)
	for k, name := range []string{"impulse", "speed", "stretch", "work"} {
		if order := math.Log2(math.Abs(coarse[k] / fine[k])); math.Abs(order-2) > 0.05 {
			t.Errorf("%s: errors %.3g and %.3g are of order %.2f, want 2", name, coarse[k], fine[k], order)
		}
	}
}
