package uptake

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// sawtooth is a pull that ramps up, sticks and slips by a depth at a frequency
// about a level, and stops.
func sawtooth(level, depth, hz, noise float64) Pull {
	rng := rand.New(rand.NewPCG(3, 4))
	p := Pull{Speed: 0.1, Held: level / 2.5, Noise: noise}
	for i := range 5000 {
		t := float64(i) / 500
		f := 0.0
		switch {
		case t >= 1 && t < 1.2:
			f = level * (t - 1) / 0.2
		case t >= 1.2 && t < 9:
			_, phase := math.Modf(hz * t)
			f = level + depth*(phase-0.5)
		}
		p.Time, p.Force = append(p.Time, t), append(p.Force, f+noise*rng.NormFloat64())
	}
	return p
}

// What was put in comes out: level, depth, frequency; SD = depth/√12; the length of
// rope from slip to slip is speed over frequency. A quarter of a per cent of the depth is
// lost to the samples (500 Hz, 4 Hz teeth: depth·4/500).
func TestPullSawtooth(t *testing.T) {
	r, err := ReadPull(sawtooth(200, 40, 4, 0))
	if err != nil {
		t.Fatal(err)
	}
	if !near.Rel(r.Mean, 200, 2e-3) || !near.Rel(r.SD, 40/math.Sqrt(12), 0.01) || !near.Rel(r.Frequency, 4, 2e-3) || !near.Rel(r.Amplitude, 40, 0.01) {
		t.Errorf("%+v", r)
	}
	if !near.Rel(r.Length, 0.025, 2e-3) || !near.Rel(r.Braking, 2.5, 2e-3) || r.Teeth < 20 || r.From < 1.2 || r.To > 9 {
		t.Errorf("%+v", r)
	}
	noisy, err := ReadPull(sawtooth(200, 40, 4, 1))
	if err != nil || !near.Rel(noisy.Frequency, 4, 0.01) || !near.Rel(noisy.Amplitude, 43, 0.05) {
		t.Errorf("with 1 N of noise: %+v %v", noisy, err)
	}
	smooth, err := ReadPull(sawtooth(200, 0, 4, 0.5))
	if err != nil || smooth.Teeth != 0 || !math.IsNaN(smooth.Amplitude) || !(smooth.Roughness < 0.004) {
		t.Errorf("a smooth pull: %+v %v", smooth, err)
	}
}

func TestPullRefusals(t *testing.T) {
	p := sawtooth(200, 40, 4, 0)
	p.Time[7] = p.Time[6]
	if _, err := ReadPull(p); problem.KindOf(err) != problem.Invalid {
		t.Error(err)
	}
	p = sawtooth(200, 40, 4, 0)
	p.Force[9] = math.NaN()
	if _, err := ReadPull(p); problem.KindOf(err) != problem.Invalid {
		t.Error(err)
	}
	p = sawtooth(200, 40, 4, 0)
	p.From, p.To = 2, 2.01
	if _, err := ReadPull(p); problem.KindOf(err) != problem.TooFew {
		t.Error(err)
	}
	if _, err := ReadPull(Pull{}); problem.KindOf(err) != problem.TooFew {
		t.Error(err)
	}
}

// Balanced pulls, no scatter in the ratios: wet over dry is 1.2 in one device and
// 1.5 in the other, √(1.2·1.5) over both; the second device holds twice as much dry.
func TestComparePulls(t *testing.T) {
	var pulls []Pulled
	wobble := []float64{0.99, 1, 1 / 0.99}
	for s, w := range wobble {
		for _, d := range []struct {
			name     string
			dry, wet float64
		}{{"plate", 100, 120}, {"tube", 200, 300}} {
			pulls = append(
				pulls, Pulled{d.name, "dry", string(rune('A' + s)), d.dry * w * (1 + 1e-3*float64(s%2))},
				Pulled{d.name, "wet", string(rune('A' + s)), d.wet * w},
			)
		}
	}
	got, err := ComparePulls(pulls)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"wet": math.Sqrt(1.2 * 1.5), "wet in plate": 1.2, "wet in tube": 1.5, "tube": math.Sqrt(2 * 2.5)}
	for _, r := range got {
		name := r.Of
		if r.Within != "" {
			name += " in " + r.Within
		}
		if !near.Rel(r.Ratio.Value, want[name], 2e-3) || !(r.Holm >= r.P) || !(r.Ratio.Lower < r.Ratio.Value && r.Ratio.Value < r.Ratio.Upper) {
			t.Errorf("%s: %+v, want %g", name, r, want[name])
		}
	}
	if len(got) != 4 {
		t.Fatalf("%d ratios", len(got))
	}
	if _, err := ComparePulls(pulls[:1]); problem.KindOf(err) != problem.TooFew {
		t.Error(err)
	}
	pulls[0].Force = 0
	if _, err := ComparePulls(pulls); problem.KindOf(err) != problem.Invalid {
		t.Error(err)
	}
}
