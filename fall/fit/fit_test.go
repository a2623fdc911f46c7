package fit_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/rope"
)

var setting = fit.Setting{Mass: 80, Drop: 1.42, Length: 2.6, Gravity: fall.StandardGravity}

// recorded drops the mass of a setting on a law and returns what a logger of
// 16 bits and the given noise writes down, 0.3 s before the contact and 4 s after.
func recorded(t testing.TB, law rope.Law, s fit.Setting, friction, noise, rate float64, seed uint64) []float64 {
	t.Helper()
	w := fall.Tower{
		Mass: s.Mass, Drop: s.Drop, Friction: friction, Gravity: s.Gravity, Edge: s.Edge, Rope: rope.Piece{Law: law, Length: s.Length},
	}
	phase := rand.New(rand.NewPCG(seed, 9)).Float64() / rate
	run, err := w.Simulate(fall.Watch{FromContact: true, Until: 4, First: phase, Rate: rate, Accuracy: 1e-8})
	if err != nil {
		t.Fatal(err)
	}
	l := fall.Logger{PreTrigger: 0.3, Offset: -23, Noise: noise, FullScale: 20000, Bits: 16, LowPass: s.LowPass}
	got, err := l.Record(run.Force, rate, seed)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

var slippery = rope.Sliding{
	Stiffening: rope.Stiffening{Equilibrium: 6000, Growth: 4, Branch: 4000, Relaxation: 0.12},
	Contact:    30000, Ease: 20, Friction: 0.2,
}

// within fails unless a parameter is closer to the truth than four of its
// standard errors, and these are no more than a share of it.
func within(t *testing.T, f *fit.Fit, name string, truth, share float64) {
	t.Helper()
	p, ok := f.Parameter(name)
	if !ok || !(math.Abs(p.Value-truth) < 4*p.SE && p.SE < share*math.Abs(truth) && p.Lower < p.Value && p.Value < p.Upper) {
		t.Errorf("%s: %s is %.5g ± %.2g (%.5g to %.5g), in truth %.5g", f.Form.Name, name, p.Value, p.SE, p.Lower, p.Upper, truth)
	}
}

// A trace without start values: the parameters that made it come back, with
// bounces and without, behind an edge and a filter; what is left is the noise.
func TestTraceFindsTheLaw(t *testing.T) {
	edge := setting
	edge.Edge, edge.LowPass, edge.FirstContact = fall.Edge{Friction: 0.12, Angle: 1.2}, 150, true
	first := setting
	first.FirstContact = true
	bounces := edge
	bounces.FirstContact = false
	for name, s := range map[string]fit.Setting{
		"all bounces": setting, "first contact": first, "edge and filter": edge, "edge, filter and bounces": bounces,
	} {
		f, err := fit.Trace(recorded(t, fresh, s, 6, 12, 2000, 3), 2000, s, fit.Stiffening)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		within(t, f, "equilibrium modulus", fresh.Equilibrium, 0.05)
		within(t, f, "growth", fresh.Growth, 0.05)
		within(t, f, "branch modulus", fresh.Branch, 0.05)
		within(t, f, "relaxation time", fresh.Relaxation, 0.05)
		within(t, f, "zero", -23, 0.05)
		// The pre-trigger, and up to half a millisecond of phase.
		if at, _ := f.Parameter("contact"); !(math.Abs(at.Value-0.29975) < 0.001) {
			t.Errorf("%s: contact at %.5f s", name, at.Value)
		}
		if !(f.SD/f.Noise > 0.85 && f.SD/f.Noise < 1.15 && f.Together < 1.3) {
			t.Errorf("%s: leaves %.3g N of a noise of %.3g, τ %.2f", name, f.SD, f.Noise, f.Together)
		}
	}
}

// A rope with so much friction that it never goes slack again: the first contact
// is over at the lowest force, and the parameters come back all the same.
func TestRopeThatStaysTaut(t *testing.T) {
	law := rope.Sliding{
		Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 3, Branch: 8500, Relaxation: 0.1}, Contact: 45000, Ease: 45, Friction: 0.34,
	}
	s := setting
	s.Drop = 0.3
	tr := recorded(t, law, s, 6, 4, 2000, 8)
	f, err := fit.Trace(tr, 2000, s, fit.Sliding)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]float64{
		"equilibrium modulus": 5000, "growth": 3, "branch modulus": 8500, "relaxation time": 0.1, "contact modulus": 45000, "friction at ease": 45, "friction": 0.34,
	} {
		within(t, f, name, want, 0.15)
	}
	// Bounces are what follows the lowest force, some time after the top.
	bounces := f.Phases[3]
	least := 0.0
	for _, p := range f.Predicted[700:] {
		if least == 0 || p < least {
			least = p
		}
	}
	if !(bounces.N > 50 && bounces.N < len(f.Measured)-600) || !(least > 20) || !(f.Together < 1.3) {
		t.Errorf("%d of %d blocks are bounces, the least force %.3g N, τ %.2f", bounces.N, len(f.Measured), least, f.Together)
	}
}

// The law is chosen that made the trace, and one that fails says where: its
// residuals hang together and are largest about the top.
func TestChooseTellsLawsApart(t *testing.T) {
	tr := recorded(t, slippery, setting, 6, 12, 2000, 1)
	ranks, err := fit.Choose(tr, 2000, setting, fit.Zener, fit.Stiffening, fit.Sliding)
	if err != nil {
		t.Fatal(err)
	}
	best, worst := fit.Simplest(ranks), ranks[len(ranks)-1]
	if best.Form.Name != "sliding" || len(ranks) != 3 || !(best.Weight > 0.99 && worst.Behind > 100) {
		t.Errorf("%s chosen, weight %.3g; %s last, %.3g behind", best.Form.Name, best.Weight, worst.Form.Name, worst.Behind)
	}
	within(t, best.Fit, "friction", slippery.Friction, 0.05)
	within(t, best.Fit, "contact modulus", slippery.Contact, 0.05)
	if !(worst.Together > 5 && worst.SD > 3*worst.Noise) {
		t.Errorf("%s leaves %.3g N, τ %.3g", worst.Form.Name, worst.SD, worst.Together)
	}
	sum, n := 0.0, 0
	for _, p := range worst.Phases {
		n += p.N
		sum += float64(p.N) * p.RMS * p.RMS
		if p.Name == "bounces" && !(worst.Phases[1].RMS > 1.5*p.RMS) {
			t.Errorf("top %.3g N, bounces %.3g N", worst.Phases[1].RMS, p.RMS)
		}
	}
	if !(n > 2000 && sum > 0) {
		t.Errorf("phases hold %d blocks", n)
	}
}

// A profile interval is close to the plain one where the fit is close to linear,
// and what a law foretells of the fall is what its simulation says.
func TestProfileBesideStandardError(t *testing.T) {
	s := setting
	s.FirstContact = true
	f, err := fit.Trace(recorded(t, fresh, s, 6, 12, 2000, 3), 2000, s, fit.Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	p, _ := f.Parameter("branch modulus")
	lower, upper, err := f.Profile("branch modulus", 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !(lower < p.Value && p.Value < upper && math.Abs((upper-lower)/(p.Upper-p.Lower)-1) < 0.1) {
		t.Errorf("%.5g: profile %.5g to %.5g, plain %.5g to %.5g", p.Value, lower, upper, p.Lower, p.Upper)
	}
	if _, _, err := f.Profile("colour", 0.95); err == nil {
		t.Error("a profile of nothing")
	}
	wrong, err := fit.Trace(recorded(t, slippery, s, 6, 12, 2000, 3), 2000, s, fit.Zener)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := wrong.Profile("branch modulus", 0.95); err == nil || !strings.HasPrefix(err.Error(), "law: leaves residuals of which") {
		t.Errorf("a profile of a law that fails: %v", err)
	}
}

// A cell that is far from zero, and one that has no noise but its converter's: zero
// and noise are read before the foot of the force, the parameters come back.
func TestOffsetAndQuiet(t *testing.T) {
	s := setting
	s.FirstContact = true
	quiet := recorded(t, slippery, s, 6, 0, 2000, 3)
	for i := range quiet {
		quiet[i] += 600
	}
	f, err := fit.Trace(quiet, 2000, s, fit.Sliding)
	if err != nil {
		t.Fatal(err)
	}
	within(t, f, "friction", slippery.Friction, 0.02)
	// Zero to half a step of the converter; without noise it is not known better.
	if zero, _ := f.Parameter("zero"); !(math.Abs(zero.Value-577) < 0.31) {
		t.Errorf("zero at %.3f N", zero.Value)
	}
	// Steps of 0.61 N leave their size over √12, over √2 in blocks of two.
	if step := 40000.0 / 65536; !(f.Noise < step && f.SD < 0.5) {
		t.Errorf("a noise of %.3g N, steps are of %.3g N; leaves %.3g N", f.Noise, step, f.SD)
	}
}

func TestTraceRefusals(t *testing.T) {
	sound := recorded(t, fresh, setting, 6, 12, 2000, 3)
	none := make([]float64, len(sound))
	for i := range none {
		none[i] = math.Sin(float64(i))
	}
	broken := append([]float64(nil), sound...)
	broken[900] = math.NaN()
	heavy := setting
	heavy.Mass = -1
	for want, c := range map[string]struct {
		samples []float64
		setting fit.Setting
	}{
		"trace: 60 samples at 2000 Hz are too short for a fit": {sound[:60], setting},
		"trace: sample 900 or one of the 1 after it":           {broken, setting},
		"mass: -1 kg, must be a number above 0 kg":             {sound, heavy},
		"trace: ": {none, setting},
	} {
		if _, err := fit.Trace(c.samples, 2000, c.setting, fit.Zener); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	if _, err := fit.Trace(sound[650:], 2000, setting, fit.Zener); err == nil || !strings.Contains(err.Error(), "before the rope pulls") {
		t.Errorf("without a baseline: %v", err)
	}
	if _, err := fit.Trace(sound[590:], 2000, setting, fit.Zener); err == nil || !strings.HasSuffix(err.Error(), "ms of it lie before the rope pulls, a fit needs 20") {
		t.Errorf("with a baseline of 5 ms: %v", err)
	}
	if _, err := fit.FormOf("rubber"); err == nil {
		t.Error("rubber is a law")
	}
	if f, err := fit.FormOf("sliding"); err != nil || f.Name != "sliding" {
		t.Errorf("sliding: %v", err)
	}
}

// Noise that hangs together, an autoregression of φ = 0.8 at the rate of the
// blocks: τ = (1 + φ)/(1 − φ) = 9, so standard errors are three times those of
// white noise of the same spread on the same blocks; here less, because slow noise
// keeps more of the trace above what counts as a swing.
func TestNoiseThatHangsTogether(t *testing.T) {
	s := setting
	clean := recorded(t, fresh, s, 6, 0, 1000, 3)
	draw := rand.New(rand.NewPCG(4, 4))
	white, red, last := append([]float64(nil), clean...), append([]float64(nil), clean...), 0.0
	for i := range clean {
		white[i] += 10 * draw.NormFloat64()
		last = 0.8*last + 10*0.6*draw.NormFloat64()
		red[i] += last
	}
	errors := map[string]float64{}
	for name, samples := range map[string][]float64{"white": white, "red": red} {
		f, err := fit.Trace(samples, 1000, s, fit.Stiffening)
		if err != nil {
			t.Fatal(err)
		}
		p, _ := f.Parameter("branch modulus")
		errors[name] = p.SE
		want := map[string]float64{"white": 1, "red": 9}[name]
		if !(f.Together > 0.7*want && f.Together < 1.4*want) || !(math.Abs(f.Effective*f.Together-float64(len(f.Measured))) < 1) {
			t.Errorf("%s: τ %.3g, want %g; %.0f of %d count", name, f.Together, want, f.Effective, len(f.Measured))
		}
	}
	if ratio := errors["red"] / errors["white"]; !(ratio > 1.9 && ratio < 3.7) {
		t.Errorf("standard errors %.3g times those of white noise, want 3", ratio)
	}
}

// One fall of 4 s at 10 kHz, all bounces, by the law with the most parameters.
func BenchmarkTrace(b *testing.B) {
	tr := recorded(b, slippery, setting, 6, 12, 10000, 1)
	for b.Loop() {
		if _, err := fit.Trace(tr, 10000, setting, fit.Sliding); err != nil {
			b.Fatal(err)
		}
	}
}

// Five such falls at once.
func BenchmarkSeries(b *testing.B) {
	var falls []fit.Fall
	for i := range 5 {
		law := slippery
		law.Equilibrium *= 1 + 0.1*float64(min(i, 2))
		falls = append(falls, fit.Fall{Samples: recorded(b, law, setting, 6, 12, 10000, uint64(i)), Rate: 10000, Setting: setting, Rest: 300})
	}
	for b.Loop() {
		if _, err := fit.Series(falls, fit.Sliding); err != nil {
			b.Fatal(err)
		}
	}
}
