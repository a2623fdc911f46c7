package fall_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// reference is the fall that the reference values are for: 80 kg, 4.8 m on
// 2.8 m, a spring modulus of 20 kN where one is not named.
func reference(law rope.Law) fall.Tower {
	return fall.Tower{Mass: 80, Drop: 4.8, Gravity: fall.StandardGravity, Rope: rope.Piece{Law: law, Length: 2.8}}
}

// damped is the Kelvin-Voigt law of damping ratio zeta in the reference fall:
// η = L·c, c = 2·ζ·√(k·m).
func damped(zeta float64) rope.KelvinVoigt {
	return rope.KelvinVoigt{Modulus: 20000, Viscosity: 2.8 * 2 * zeta * math.Sqrt(20000/2.8*80)}
}

func mustRun(t testing.TB, w fall.Tower, watch fall.Watch) *fall.Run {
	t.Helper()
	run, err := w.Simulate(watch)
	if err != nil {
		t.Fatal(err)
	}
	return run
}

// printed fails unless got, rounded to the decimals that want is printed with,
// is want.
func printed(t *testing.T, what string, got float64, want string) {
	t.Helper()
	decimals := 0
	for i, c := range want {
		if c == '.' {
			decimals = len(want) - i - 1
		}
	}
	if s := fmt.Sprintf("%.*f", decimals, got); s != want {
		t.Errorf("%s is %s (%.8g), want %s", what, s, got, want)
	}
}

// Energy books, worked here from the run's own events: what the mass gave up
// by its lowest point and over the first contact is the work done on the rope.
func TestBooksOfTheFirstContact(t *testing.T) {
	for name, law := range map[string]rope.Law{
		"spring":       rope.Linear{Modulus: 20000},
		"Kelvin-Voigt": damped(0.1),
		"Zener":        rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1},
		"stiffening":   rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 6000, Relaxation: 0.12},
	} {
		for _, friction := range []float64{0, 25} {
			w := reference(law)
			w.Friction = friction
			run := mustRun(t, w, fall.Watch{FromContact: true, Until: 3, Rate: 20000})
			// Down to the lowest point the guide takes friction·stretch.
			weight, v := w.Mass*w.Gravity, run.ImpactSpeed
			in := w.Mass*v*v/2 + (weight-friction)*run.MaxStretch
			if !(math.Abs(run.EnergyIn/in-1) < 1e-8) {
				t.Errorf("%s: energy in %.10g, by the mass %.10g", name, run.EnergyIn, in)
			}
			// The loop by the mass's momentum: ∫F·v dt from the samples, with v
			// from ∫(F - m·g)dt, trapezium, 20 kHz: good to (1e-4·ω)² at the jump
			// of a Kelvin-Voigt force, much better elsewhere.
			loop := loopFromSamples(run, w)
			if !(math.Abs(run.EnergyAbsorbed-loop) < 1e-4*in) {
				t.Errorf("%s, friction %g: absorbed %.8g J, from the samples %.8g J", name, friction, run.EnergyAbsorbed, loop)
			}
			// The method's own error, largest for the recoil of Kelvin-Voigt.
			if !(run.Closing < 1e-8) {
				t.Errorf("%s: books out by %g", name, run.Closing)
			}
		}
	}
}

// loopFromSamples integrates the sampled force over the first contact.
func loopFromSamples(run *fall.Run, w fall.Tower) float64 {
	v, sum, dt := run.ImpactSpeed, 0.0, 1/run.Rate
	for i := 1; float64(i)*dt <= run.Contacts[0].End; i++ {
		f := (run.Force[i] + run.Force[i-1]) / 2
		friction := math.Copysign(w.Friction, v)
		next := v + dt*(w.Gravity-(f+friction)/w.Mass)
		sum += f * (v + next) / 2 * dt
		v = next
	}
	return sum
}

// From the release the fall takes √(2h/g) and then goes as from contact.
func TestFromRelease(t *testing.T) {
	w := reference(rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1})
	released := mustRun(t, w, fall.Watch{Until: 4, Rate: 1000})
	touching := mustRun(t, w, fall.Watch{FromContact: true, Until: 3, Rate: 1000})
	flight := math.Sqrt(2 * w.Drop / w.Gravity)
	if got := released.Contacts[0].Start; !(math.Abs(got-flight) < 1e-9) {
		t.Errorf("contact after %.12g s, free fall takes %.12g s", got, flight)
	}
	for i, c := range touching.Contacts[:3] {
		r := released.Contacts[i]
		if !(math.Abs(r.Start-flight-c.Start) < 1e-8 && math.Abs(r.Peak-c.Peak) < 1e-5) {
			t.Errorf("contact %d: from release %+v, from contact %+v", i+1, r, c)
		}
		// The peak of a contact is that of its own samples: to (ω/rate)²/8.
		most := 0.0
		for at := c.Start; at < c.End; at += 1e-3 {
			most = max(most, touching.Force[int(math.Round(at*1000))])
		}
		if !(math.Abs(most/c.Peak-1) < 1e-4) {
			t.Errorf("contact %d peaks at %.6g N, its samples at %.6g N", i+1, c.Peak, most)
		}
	}
	if !(math.Abs(released.TimeToPeak-touching.TimeToPeak) < 1e-8) {
		t.Errorf("time to peak %.10g s, from contact %.10g s", released.TimeToPeak, touching.TimeToPeak)
	}
	for i, f := range released.Force[:int(flight*1000)] {
		if f != 0 {
			t.Fatalf("sample %d in free fall is %g N", i, f)
		}
	}
}

// Friction takes its share of gravity from the fall: v² = 2·(g - F_f/m)·h, and
// a fall simulated with friction arrives so.
func TestFrictionSlowsTheFall(t *testing.T) {
	w := reference(rope.Linear{Modulus: 20000})
	w.Friction = 40
	run := mustRun(t, w, fall.Watch{Until: 2, Rate: 1000})
	want := math.Sqrt(2 * (w.Gravity - 0.5) * 4.8)
	if !(math.Abs(run.ImpactSpeed-want) < 1e-9) {
		t.Errorf("arrives at %.12g m/s, want %.12g", run.ImpactSpeed, want)
	}
	touching := mustRun(t, w, fall.Watch{FromContact: true, Until: 1, Rate: 1000})
	if !(math.Abs(touching.ImpactSpeed-want) < 1e-12) {
		t.Errorf("touches at %.12g m/s, want %.12g", touching.ImpactSpeed, want)
	}
	// On a spring the guide alone takes energy, twice friction times the
	// stretch over the contact, and the loop stays shut.
	if lost := w.Mass * (want*want - run.ReboundSpeed*run.ReboundSpeed) / 2; !(math.Abs(lost-2*40*run.MaxStretch) < 1e-5) {
		t.Errorf("the guide took %g J, want %g", lost, 2*40*run.MaxStretch)
	}
	if math.Abs(run.EnergyAbsorbed) > 1e-6 {
		t.Errorf("a spring absorbed %g J", run.EnergyAbsorbed)
	}
}

// A spring with nothing lost bounces back to where it was let go, every time:
// contacts repeat at 2·√(2h/g) + t_c with the same peak.
func TestUndampedBouncesRepeat(t *testing.T) {
	run := mustRun(t, reference(rope.Linear{Modulus: 20000}), fall.Watch{Until: 20, Rate: 100})
	period := run.Contacts[1].Start - run.Contacts[0].Start
	if want := 2*math.Sqrt(2*4.8/fall.StandardGravity) + 0.355029; !(math.Abs(period-want) < 1e-6) {
		t.Errorf("period %.8f s, want %.8f s", period, want)
	}
	if len(run.Contacts) < 8 {
		t.Fatalf("%d contacts in 20 s", len(run.Contacts))
	}
	for i, c := range run.Contacts {
		if c.Open {
			continue
		}
		if !(math.Abs(c.Peak-run.Peak) < 1e-3) {
			t.Errorf("contact %d peaks at %.6f, the first at %.6f", i+1, c.Peak, run.Peak)
		}
	}
}

// After long enough the mass hangs: the force is its weight, within what the
// guide can hold. m·g = 784.532 N.
func TestHangsAtTheEnd(t *testing.T) {
	for _, friction := range []float64{0, 6} {
		w := reference(rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 6000, Relaxation: 0.12})
		w.Friction = friction
		run := mustRun(t, w, fall.Watch{Until: 20, Rate: 100})
		last := run.Force[len(run.Force)-1]
		if !(math.Abs(last-784.532) <= friction+0.01) {
			t.Errorf("friction %g N: hangs at %.3f N, want 784.532", friction, last)
		}
		if c := run.Contacts[len(run.Contacts)-1]; !c.Open {
			t.Errorf("friction %g N: the last contact ended at %g s", friction, c.End)
		}
	}
}

// Exact algebra: let go on a spring that is just tight, the mass swings about
// its hanging force W by W - 2·n·F_f after n half-swings, and stays when that is
// within F_f: for W = 784.532 and F_f = 100 after four, at a force of 800 N.
func TestTheGuideHolds(t *testing.T) {
	w := reference(rope.Linear{Modulus: 20000})
	w.Drop, w.Friction = 0, 100
	run := mustRun(t, w, fall.Watch{Until: 3, Rate: 1000})
	for i, f := range run.Force[1500:] {
		if !(math.Abs(f-800) < 1e-6) {
			t.Fatalf("%d ms: %.9f N, want 800 N at rest", 1500+i, f)
		}
	}
	if !(math.Abs(run.Peak-(2*784.532-200)) < 1e-6) {
		t.Errorf("first swing to %.9f N, want 1369.064", run.Peak)
	}
}

// A mass let go 0.1 µm above a spring hops for 0.3 ms between contacts, less than
// a step: turning and meeting the rope then lie in one step, and have to be
// taken in turn. A hop takes 2·v/g and every contact is like the first.
func TestHopsShorterThanAStep(t *testing.T) {
	w := reference(rope.Linear{Modulus: 20000})
	w.Drop = 1e-7
	run := mustRun(t, w, fall.Watch{Until: 4, Rate: 1000})
	want := 2 * w.ImpactSpeed() / w.Gravity
	if len(run.Contacts) < 5 {
		t.Fatalf("%d contacts in 4 s", len(run.Contacts))
	}
	for i := 1; i < len(run.Contacts); i++ {
		// Speeds here are 1e-4 of the swing's, so its error of 1e-9 counts tenfold
		// thousand.
		if hop := run.Contacts[i].Start - run.Contacts[i-1].End; !(math.Abs(hop/want-1) < 1e-4) {
			t.Errorf("hop %d takes %.9g s, want %.9g s", i, hop, want)
		}
	}
}

// Nothing pulls while the rope is slack, not even a dashpot.
func TestNoForceInFlight(t *testing.T) {
	run := mustRun(t, reference(damped(0.1)), fall.Watch{FromContact: true, Until: 3, Rate: 1000})
	flying := 0
	for i, f := range run.Force {
		at := float64(i) / 1000
		taut := false
		for _, c := range run.Contacts {
			taut = taut || at >= c.Start && at <= c.End
		}
		if !taut {
			flying++
			if f != 0 {
				t.Fatalf("%g N in flight at %g s", f, at)
			}
		} else if f < 0 {
			t.Fatalf("%g N at %g s", f, at)
		}
	}
	if flying < 500 {
		t.Fatalf("%d samples in flight", flying)
	}
}

// A slack rope that has not recoiled yet is met further down, so a slowly
// recovering rope is caught later on the bounce than one that recovers at once.
func TestBounceMeetsTheRopeWhereItIs(t *testing.T) {
	w := reference(rope.Zener{Equilibrium: 8000, Branch: 20000, Relaxation: 1.5})
	run := mustRun(t, w, fall.Watch{FromContact: true, Until: 4, Rate: 1000})
	first, second := run.Contacts[0], run.Contacts[1]
	// Thrown up from x₁ at v_r and caught at x₂ after T: x₂ = x₁ - v_r·T + g·T²/2.
	flight := second.Start - first.End
	rope1 := (w.Mass*w.Drop*w.Gravity - w.Mass*run.ReboundSpeed*run.ReboundSpeed/2 - run.EnergyAbsorbed) / (-w.Mass * w.Gravity)
	rope2 := rope1 - run.ReboundSpeed*flight + w.Gravity*flight*flight/2
	// The free rope has q = -E₁·ε and so ε̇·(E₁+E₂) = -E₁·ε/τ.
	want := rope1 * math.Exp(-flight/(1.5*28000/8000))
	if !(rope1 > 0.05 && math.Abs(rope2-want) < 1e-6) {
		t.Errorf("let go at %.8f m, met at %.8f m, want %.8f", rope1, rope2, want)
	}
}

// The watch may begin later and end before anything is known.
func TestWatch(t *testing.T) {
	w := reference(rope.Linear{Modulus: 20000})
	whole := mustRun(t, w, fall.Watch{FromContact: true, Until: 0.3, Rate: 1000})
	late := mustRun(t, w, fall.Watch{FromContact: true, First: 0.0303, Until: 0.3, Rate: 1000})
	if len(whole.Force) != 301 || len(late.Force) != 270 {
		t.Errorf("%d and %d samples, want 301 and 270", len(whole.Force), len(late.Force))
	}
	mid := whole.Force[30] + 0.3*(whole.Force[31]-whole.Force[30])
	if !(math.Abs(late.Force[0]-mid) < 0.1) {
		t.Errorf("first sample at 0.0303 s is %g N, between neighbours %g N", late.Force[0], mid)
	}
	early := mustRun(t, w, fall.Watch{Until: 0.5, Rate: 1000})
	for what, v := range map[string]float64{
		"impact speed": early.ImpactSpeed, "peak": early.Peak,
		"stretch": early.MaxStretch, "rebound": early.ReboundSpeed, "absorbed": early.EnergyAbsorbed,
	} {
		if !math.IsNaN(v) {
			t.Errorf("%s is %g before the rope was met", what, v)
		}
	}
	rising := mustRun(t, w, fall.Watch{FromContact: true, Until: 0.1, Rate: 1000})
	if !math.IsNaN(rising.Peak) || !rising.Contacts[0].Open {
		t.Errorf("peak %g of a force still rising", rising.Peak)
	}
}

func TestTowerRefusals(t *testing.T) {
	sound, watch := reference(rope.Linear{Modulus: 20000}), fall.Watch{Until: 1, Rate: 1000}
	for _, c := range []struct {
		spoil func(*fall.Tower, *fall.Watch)
		want  string
	}{
		{func(w *fall.Tower, _ *fall.Watch) { w.Mass = 0 }, "mass: 0 kg, must be a number above 0 kg"},
		{func(w *fall.Tower, _ *fall.Watch) { w.Drop = -1 }, "drop: -1 m, must be 0 m or more"},
		{func(w *fall.Tower, _ *fall.Watch) { w.Gravity = math.NaN() }, "gravity: NaN m/s2, must be a number above 0 m/s2"},
		{
			func(w *fall.Tower, _ *fall.Watch) { w.Friction = 800 },
			"friction: 800 N is not below the weight of the mass, 784.532 N: it would not fall",
		},
		{func(w *fall.Tower, _ *fall.Watch) { w.Rope.Length = 0 }, "length: 0 m, the law needs a number above 0 m"},
		{func(_ *fall.Tower, o *fall.Watch) { o.Until = 0 }, "until: 0 s, must be a number above 0 s"},
		{
			func(_ *fall.Tower, o *fall.Watch) { o.Rate = 1e9 },
			"rate: 1e+09 Hz for 1 s is 1000000000 samples, the simulation holds 20000000",
		},
	} {
		w, o := sound, watch
		c.spoil(&w, &o)
		if _, err := w.Simulate(o); err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// A branch that relaxes within microseconds leaves the spring alone: the fall is
// that of the linear rope. The explicit method would need a step of some
// microseconds throughout.
func TestStiffLaw(t *testing.T) {
	watch := fall.Watch{Until: 2, Rate: 1000}
	spring := mustRun(t, reference(rope.Linear{Modulus: 20000}), watch)
	quick := mustRun(t, reference(rope.Zener{Equilibrium: 20000, Branch: 20000, Relaxation: 1e-7}), watch)
	// What is left of the branch is a viscosity of E₂·τ = 2e-3 N·s: 1.5e-6 of the
	// critical damping.
	if !(math.Abs(quick.Peak/spring.Peak-1) < 1e-5 && math.Abs(quick.Contacts[0].End-spring.Contacts[0].End) < 1e-5) {
		t.Errorf("peak %.9g, end %.9g; linear %.9g, %.9g", quick.Peak, quick.Contacts[0].End, spring.Peak, spring.Contacts[0].End)
	}
	hard := mustRun(t, reference(rope.Linear{Modulus: 1e9}), watch)
	if want, _ := fall.PeakTension(80, 4.8, 2.8, 1e9, fall.StandardGravity); !(math.Abs(hard.Peak/want-1) < 1e-8) {
		t.Errorf("on a modulus of 1 GN the peak is %.10g, closed form %.10g", hard.Peak, want)
	}
}

// Question: can a study's hundred falls be simulated while somebody waits?
// 4 s after release on a stiffening rope, 2 kHz: see the figure in Simulate.
func BenchmarkTower(b *testing.B) {
	w := fall.Tower{Mass: 80, Drop: 1.42, Friction: 4, Gravity: fall.StandardGravity, Rope: rope.Piece{
		Length: 2.6,
		Law:    rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 6000, Relaxation: 0.12},
	}}
	b.ReportAllocs()
	for b.Loop() {
		mustRun(b, w, fall.Watch{Until: 4, Rate: 2000})
	}
}
