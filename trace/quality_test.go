package trace

import (
	"math"
	"math/rand/v2"
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

func notesOf(r *Reading) string {
	var texts []string
	for _, n := range r.Notes {
		texts = append(texts, n.Text)
	}
	return strings.Join(texts, "\n")
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

// What noise adds to a peak, against the plain experiment: a parabola with
// noise, filtered or not, its largest sample, ten thousand times. Two standard
// deviations of that mean are 2 %; the theory leaves out that samples of
// filtered noise hang together, 15 % of the noise.
func TestLift(t *testing.T) {
	const sigma, trials = 20.0, 4000
	for _, c := range []struct {
		rate, bend float64
		class      int
	}{{1000, 4e6, 0}, {10e3, 1e6, 0}, {50e3, 8e5, 0}, {5000, 4e6, 60}, {10e3, 1e6, 60}, {20e3, 4e6, 180}} {
		n := int(0.12 * c.rate)
		rec := &Recording{Unit: "N", Time: make([]float64, n), Force: make([]float64, n)}
		tk := &take{rec: rec, set: Settings{Class: c.class}, sig: &Signal{}, raw: make([]float64, n)}
		for i := range n {
			rec.Time[i] = float64(i) / c.rate
		}
		tk.pace = paceOf(rec.Time)
		tk.zero.noise = sigma
		rng := rand.New(rand.NewPCG(7, uint64(c.rate)))
		sum, squares := 0.0, 0.0
		for range trials {
			phase := rng.Float64() - 0.5
			for i := range n {
				s := (float64(i-n/2) + phase) / c.rate
				tk.raw[i] = 5000 - c.bend*s*s/2 + sigma*rng.NormFloat64()
			}
			if err := tk.smooth(); err != nil {
				t.Fatal(err)
			}
			over := slices.Max(tk.sig.Force[n/8:n-n/8]) - 5000
			sum, squares = sum+over, squares+over*over
			tk.sig.Steps = nil
		}
		p := top{bend: c.bend, noise: tk.smoothNoise()}
		lift, wave := tk.liftOf(p)
		within(t, "wave", Value(wave), math.Sqrt(squares/trials-sum*sum/trials/trials), 0.25*wave)
		miss := c.bend / c.rate / c.rate / 24
		within(t, "lift", Value(lift-miss), sum/trials, 0.15*p.noise+0.02*lift)
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

// Slow noise is not a slope, nor is its peak as sure as white noise would make it.
func TestSlowNoise(t *testing.T) {
	clean := fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6)
	rng := rand.New(rand.NewPCG(4, 4))
	missing, held := 0, 0
	const trials = 60
	for range trials {
		slow, state := make([]float64, len(clean.Force)), 0.0
		for i := range slow { // 20 N, correlated over 1.3 ms
			state = 0.85*state + 20*math.Sqrt(1-0.85*0.85)*rng.NormFloat64()
			slow[i] = state
		}
		r, _, err := Take(spoilt(clean, func(i int, _, f float64) float64 { return f + slow[i] - 137 }), Settings{Mass: refMass, Drop: refDrop, Class: 180})
		if err != nil {
			t.Fatal(err)
		}
		if !r.Tare.Known() {
			missing++
		}
		if u := r.Uncertainty["peak_force_N"]; u.Lower <= 7139.03 && 7139.03 <= u.Upper {
			held++
		}
	}
	if missing > 0 {
		t.Errorf("the tare is missing in %d of %d", missing, trials)
	}
	if held < trials*8/10 {
		t.Errorf("%d of %d intervals hold the peak", held, trials)
	}
}

// Guide friction that the drop's speed does not know of is in the budgets.
func TestGuideFrictionIsInTheBudget(t *testing.T) {
	rec := spoil(fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6), 3, 20, 1, 2)
	truth := 0.98173
	r, _, err := Take(rec, Settings{Mass: refMass, Drop: 1.05 * refDrop, Doubt: Doubt{Cell: 0.0005, Mass: 0.01, Drop: 0.001}})
	if err != nil {
		t.Fatal(err)
	}
	if u := r.Uncertainty["max_stretch_m"]; u.Budget[0].Source != "guide's friction" || u.Lower > truth {
		t.Errorf("a drop 5 %% too high for the speed: stretch %g, %+v", float64(r.MaxStretch), u)
	}
}
