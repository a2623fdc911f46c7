package fall

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/rope"
)

// chain is the closed form of a heavy spring rope: two masses, a in the middle
// and b at the end, on two springs of stiffness 2·k, from q = 0 with speeds v/2
// and v.
type chain struct {
	k, a, b, g, v float64
}

// squares are the squares of its two angular frequencies, the roots of
// (4k − λa)·(2k − λb) = 4k².
func (c chain) squares() (slow, quick float64) {
	p, q := c.k/c.b+2*c.k/c.a, 4*c.k*c.k/c.a/c.b
	root := math.Sqrt(p*p - q)
	return q / (p + root), p + root
}

// tensions are those of the half at the cell and of the half at the mass.
func (c chain) tensions(t float64) (cell, mass float64) {
	hangU := (c.a + c.b) * c.g / 2 / c.k
	hangX := hangU + c.b*c.g/2/c.k
	u, x := hangU, hangX
	slow, quick := c.squares()
	for _, square := range []float64{slow, quick} {
		w, shape := math.Sqrt(square), (4*c.k-square*c.a)/2/c.k // x for u = 1
		size := c.a + c.b*shape*shape
		place := (-c.a*hangU - c.b*shape*hangX) / size
		speed := (c.a*c.v/2 + c.b*shape*c.v) / size
		at := place*math.Cos(w*t) + speed/w*math.Sin(w*t)
		u, x = u+at, x+shape*at
	}
	return 2 * c.k * u, 2 * c.k * (x - u)
}

// Source: the chain's closed form above, worked by hand. What the cell samples
// and the peak at the mass are its tensions, to the error of the integration.
func TestHeavyRopeAgainstTheChain(t *testing.T) {
	checked := 0
	for _, share := range []float64{0.003, 0.05, 0.4} {
		w := Tower{
			Mass: 40, Drop: 2, Gravity: StandardGravity, RopeMass: 40 * share,
			Rope: rope.Piece{Law: rope.Linear{Modulus: 20000}, Length: 2.5},
		}
		run, err := w.Simulate(Watch{FromContact: true, Until: 0.25, Rate: 2000})
		if err != nil {
			t.Fatal(err)
		}
		c := chain{8000, middleShare * w.RopeMass, w.Mass + endShare*w.RopeMass, w.Gravity, w.ImpactSpeed()}
		most, at := 0.0, 0.0
		for s := 0.0; s < run.Contacts[0].End; s += 1e-5 {
			if _, f := c.tensions(s); f > most {
				most, at = f, s
			}
		}
		for i, f := range run.Force {
			if now := float64(i) / 2000; now < run.Contacts[0].End {
				if want, _ := c.tensions(now); !(math.Abs(f-max(0, want)) < 1e-8*most) {
					t.Fatalf("share %g: %.9g N at the cell after %g s, want %.9g", share, f, now, want)
				}
				checked++
			}
		}
		if !(math.Abs(run.Peak/most-1) < 1e-6 && math.Abs(run.TimeToPeak-at) < 2e-5) { // the scan's 10 µs, near a top
			t.Errorf("share %g: %.8g N at the mass after %.6g s, want %.8g and %.6g", share, run.Peak, run.TimeToPeak, most, at)
		}
	}
	if checked < 800 {
		t.Fatalf("checked %d samples", checked)
	}
}

// A bar of mass m_r and stiffness k, fixed at one end and with a mass m at the
// other, u = sin(β·x/L)·cos(ω·t), ω = β·√(k/m_r): the force k·β·cos β on the mass
// is m·ω²·sin β, so β·tan β = m_r/m. Its first root is that of m + m_r/3 on a
// spring, and its second π, both but for terms of the ratio's square and of the
// ratio. The chain's frequencies keep to both: the difference in the first falls
// with the square of the ratio.
func TestHeavyRopeAgainstTheWave(t *testing.T) {
	const k, mass = 8000.0, 80.0
	root := func(ratio, low, high float64) float64 {
		for range 100 {
			if mid := (low + high) / 2; mid*math.Tan(mid) < ratio {
				low = mid
			} else {
				high = mid
			}
		}
		return low
	}
	before := math.NaN()
	for _, ratio := range []float64{0.2, 0.1, 0.05, 0.025} {
		m := ratio * mass
		slow, quick := chain{k: k, a: middleShare * m, b: mass + endShare*m}.squares()
		unit := math.Sqrt(k / m)
		first := math.Sqrt(slow)/unit/root(ratio, 0, math.Pi/2) - 1
		second := math.Sqrt(quick)/unit/root(ratio, math.Pi/2+1e-9, 3*math.Pi/2) - 1
		t.Logf("ratio %g: first %+.2g, second %+.2g", ratio, first, second)
		if !(math.Abs(first) < 0.02*ratio*ratio && math.Abs(second) < 0.2*ratio) {
			t.Errorf("ratio %g: frequencies out by %.2g and %.2g", ratio, first, second)
		}
		if !math.IsNaN(before) && !(math.Abs(before/first/4-1) < 0.2) {
			t.Errorf("ratio %g: out by %.3g after %.3g, want a quarter", ratio, first, before)
		}
		before = first
	}
	slow, _ := chain{k: k, a: middleShare * 0.8, b: mass + endShare*0.8}.squares()
	if want := k / (mass + 0.8/3); !(math.Abs(slow/want-1) < 1e-5) {
		t.Errorf("ω² is %.8g, with a third of the rope's mass %.8g", slow, want)
	}
}

// Books close with every kind of law, from release and over bounces; a rope of
// next to no mass is one of none, and one without mass is left as it is.
func TestHeavyRopeKeepsBooks(t *testing.T) {
	sliding := rope.Sliding{
		Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 3000, Relaxation: 0.1}, Contact: 30000, Ease: 20, Friction: 0.25,
	}
	for name, law := range map[string]rope.Law{
		"Kelvin-Voigt": rope.KelvinVoigt{Modulus: 15000, Viscosity: 500},
		"Zener":        rope.Zener{Equilibrium: 9000, Branch: 16000, Relaxation: 0.2},
		"sliding":      sliding,
		"knotted":      rope.Knotted{Law: sliding, Slip: 0.05, Force: 1500, Delay: 0.01},
	} {
		w := Tower{Mass: 80, Drop: 1.5, Friction: 10, Gravity: StandardGravity, Rope: rope.Piece{Law: law, Length: 2.6}}
		light, err := w.Simulate(Watch{Until: 2, Rate: 1000})
		if err != nil {
			t.Fatal(err)
		}
		w.RopeMass = 0.17
		heavy, err := w.Simulate(Watch{Until: 2, Rate: 1000})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		t.Logf("%s: peak %+.2g, rebound %+.2g, books %.1g", name, heavy.Peak/light.Peak-1, heavy.ReboundSpeed/light.ReboundSpeed-1, heavy.Closing)
		if by := math.Abs(heavy.Peak/light.Peak - 1); !(by > 1e-6 && by < 0.01) || !(heavy.Closing < 1e-8) {
			t.Errorf("%s: 170 g change the peak by %.2g, books out by %.1g", name, by, heavy.Closing)
		}
	}
	w := Tower{Mass: 80, Drop: 1.5, Gravity: StandardGravity, Rope: rope.Piece{Law: sliding, Length: 2.6}}
	if law, end := w.withMass(); law != rope.Law(sliding) || end != 0 {
		t.Errorf("a rope without mass is %T and puts %g kg on the falling one", law, end)
	}
	for mass, want := range map[float64]string{-0.1: "mass of the rope: -0.1 kg, must be 0 kg or more", 170: "mass of the rope: 170 kg is above the falling mass, 80 kg"} {
		if w.RopeMass = mass; w.Check() == nil || !strings.HasPrefix(w.Check().Error(), want) {
			t.Errorf("%g kg: %v", mass, w.Check())
		}
	}
}
