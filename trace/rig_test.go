package trace

import (
	"math"
	"strings"
	"testing"
)

// A light gate: the flag's mean speed carried on by free fall is the speed of
// the fall. Closed form: release at rest, flag of 5 cm whose lower edge breaks
// the beam when the mass has fallen 4.4 m.
func TestLightGate(t *testing.T) {
	const flag, above = 0.05, 0.4
	enter, leave := math.Sqrt(2*4.4/StandardGravity), math.Sqrt(2*(4.4+flag)/StandardGravity)
	rec := fallTrace(kelvinVoigt(20e3, 0.1), 20e3, 1.2, 1.8)
	// The flag's middle is half a flag above its lower edge, which is in the beam
	// now: from the middle in the beam it falls Above to first contact.
	falls := 4.4 + flag/2 + above - refDrop
	release := 1.2 - math.Sqrt(2*refDrop/StandardGravity)
	rec.Gate = make([]float64, len(rec.Time))
	for i, s := range rec.Time {
		rec.Gate[i] = 5
		if u := s - release; u >= enter && u < leave {
			rec.Gate[i] = 0.2
		}
	}
	set := Settings{Mass: refMass, Gate: Gate{Flag: flag, Above: above - falls}}
	want := math.Sqrt(2 * StandardGravity * refDrop)
	r, _, err := Take(rec, set)
	if err != nil {
		t.Fatal(err)
	}
	// The gate's edges are known to an interval of 50 µs of 5.3 ms: 1 %.
	within(t, "gate speed from the trace's channel", r.GateSpeed, want, 0.012*want)
	set.Gate.Time = leave - enter
	if r, _, err = Take(rec, set); err != nil {
		t.Fatal(err)
	}
	within(t, "gate speed from its time", r.GateSpeed, want, 1e-6*want)
	within(t, "stretch", r.MaxStretch, 0.98173, 0.005)
	set.Drop = 5.2
	if r, _, err = Take(rec, set); err != nil {
		t.Fatal(err)
	}
	within(t, "guide friction", r.GuideFriction, 1-refDrop/5.2, 1e-6)
}

// Behind an edge the cell reads T·e^(−μθ) while the rope runs out: the reading is
// the rope's force up to the turn, and no more.
func TestEdge(t *testing.T) {
	clean := fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6)
	edge := Edge{Friction: 0.2, Angle: math.Pi / 2}
	behind := spoilt(clean, func(_ int, _, f float64) float64 { return f * math.Exp(-edge.Friction*edge.Angle) })
	straight, _, _ := Take(clean, Settings{Mass: refMass, Drop: refDrop})
	r, _, err := Take(behind, Settings{Mass: refMass, Drop: refDrop, Edge: edge})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "peak", r.PeakForce, float64(straight.PeakForce), 1e-6)
	within(t, "stretch", r.MaxStretch, float64(straight.MaxStretch), 1e-6)
	within(t, "energy in", r.EnergyIn, float64(straight.EnergyIn), 1e-6)
	if r.EnergyAbsorbed.Known() || r.FirstImpulse.Known() || r.ImpactSpeed.Known() || r.ReboundSpeed.Known() {
		t.Error("on the way back the edge's friction turns round: those values cannot be had")
	}
	within(t, "as recorded", r.PeakRecorded, float64(straight.PeakForce)*math.Exp(-0.1*math.Pi), 1e-6)
}

// A sensor in the mass feels F/m: times the mass it is the rope's force.
func TestPerMass(t *testing.T) {
	clean := spoil(fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6), 3, -20, 1, 2)
	inMass := spoilt(clean, func(_ int, _, f float64) float64 { return f / refMass })
	inMass.PerMass, inMass.Unit = true, "m/s2"
	a, _, _ := Take(clean, Settings{Mass: refMass, Drop: refDrop})
	b, _, err := Take(inMass, Settings{Mass: refMass, Drop: refDrop})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "peak", b.PeakForce, float64(a.PeakForce), 1e-8)
	within(t, "noise", b.Noise, float64(a.Noise), 1e-8)
	within(t, "tare", b.Tare, float64(a.Tare), 1e-8)
	within(t, "stretch", b.MaxStretch, float64(a.MaxStretch), 1e-8)
	if _, _, err := Take(inMass, Settings{}); err == nil || !strings.Contains(err.Error(), "only times the mass") {
		t.Errorf("without a mass: %v", err)
	}
}

// A sensor in the mass shows 1 g until the release: that is no contact.
func TestHoldBeforeRelease(t *testing.T) {
	fall := fallTrace(kelvinVoigt(20e3, 0.1), 5000, 1.2, 2.6)
	inMass := spoilt(fall, func(_ int, s, f float64) float64 {
		if s < 0.2 {
			return StandardGravity
		}
		return f / refMass
	})
	inMass.PerMass, inMass.Unit = true, "m/s2"
	r, _, err := Take(inMass, Settings{Mass: refMass, Drop: refDrop, Doubt: Doubt{Mass: 1.6}})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "peak", r.PeakForce, 7139.03, 15)
	within(t, "stretch", r.MaxStretch, 0.98173, 0.005)
	if len(r.Contacts) != 2 || r.Contacts[0].Begun {
		t.Errorf("contacts %+v", r.Contacts)
	}
	// The force is the recorded acceleration times the mass, and so as unsure; the
	// stretch does not depend on the mass.
	if u := r.Uncertainty["peak_force_N"].Standard; math.Abs(u-0.02*7139) > 2 {
		t.Errorf("the peak's uncertainty is %g N for a mass known to 2 %%", u)
	}
	if u := r.Uncertainty["max_stretch_m"].Standard; u > 0.004 {
		t.Errorf("the stretch's uncertainty is %g m: it does not depend on the mass", u)
	}
}
