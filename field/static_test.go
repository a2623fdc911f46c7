package field_test

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/rope"
)

const modulus = 24080.866 // N, 9 kN at factor 1.77 with 80 kg

// straight is a fall along a plumb line into one runner and a fixed belay, the
// rope massless for the purpose.
func straight(mass, drop, length, climberSide, friction float64, law rope.Law) field.Catch {
	return field.Catch{
		Climber: field.Climber{Mass: mass, Above: drop - climberSide},
		Belayer: field.Belayer{Fixed: true},
		Runners: []field.Runner{{Below: length - climberSide, Turn: math.Pi, Friction: friction}},
		Wall:    field.Wall{None: true}, Floor: math.Inf(1), RopeOut: length,
		Rope: field.Rope{Law: law, Linear: 0.062}, Gravity: fall.StandardGravity,
	}
}

func simulate(t *testing.T, c field.Catch) *field.Outcome {
	t.Helper()
	o, err := c.Simulate(field.Options{Accuracy: field.Careful})
	if err != nil {
		t.Fatal(err)
	}
	if !(o.Closing < 1e-8) {
		t.Errorf("the books are out by %g", o.Closing)
	}
	return o
}

// The closed form of the spring rope, to the digits printed: peaks in newtons by
// mass and fall factor, worked with M = 24,080.866 N [Wexler1950].
func TestStaticBelayWithoutFriction(t *testing.T) {
	checked := 0
	for _, row := range []struct {
		mass  float64
		peaks [5]float64
	}{
		{55, [5]float64{3382.6, 4183.4, 5664.6, 7341.6, 7767.4}},
		{80, [5]float64{4241.5, 5201.3, 6981.3, 9000.0, 9512.9}},
		{100, [5]float64{4870.5, 5938.2, 7922.7, 10176.3, 10749.1}},
	} {
		for i, factor := range []float64{0.3, 0.5, 1, 1.77, 2} {
			const length = 10.0
			climberSide := factor * length / 2 // as high above the runner as the rope there is long
			if factor == 2 {                   // all the rope is on the climber's side
				climberSide -= 1e-10
			}
			o := simulate(t, straight(row.mass, factor*length, length, climberSide, 0, rope.Linear{Modulus: modulus}))
			if !near.Abs(o.Climber.Force, row.peaks[i], 0.0501) {
				t.Errorf("%g kg, factor %g: peak %.2f, want %.1f", row.mass, factor, o.Climber.Force, row.peaks[i])
			}
			checked++
			want, err := fall.Arrest(row.mass, factor*length, length, modulus, fall.StandardGravity)
			if err != nil {
				t.Fatal(err)
			}
			// The rest of the closed form, to the tolerance of the integration.
			for name, pair := range map[string][2]float64{
				"peak": {o.Climber.Force, want.Peak}, "belay": {o.Belayer.Force, want.Peak}, "runner": {o.Top.Force, 2 * want.Peak},
				"stretch": {o.Stretch, want.MaxStretch}, "speed": {o.CatchSpeed, want.ImpactSpeed},
				"rebound": {o.Rebound.Speed, math.Sqrt(want.ImpactSpeed*want.ImpactSpeed + row.mass*fall.StandardGravity*fall.StandardGravity*length/modulus)},
				"height":  {o.Rebound.Height, want.MaxStretch + factor*length},
				"time":    {o.Lowest.At - o.CatchAt, want.TimeToPeak},
			} {
				if !near.Rel(pair[0], pair[1], 2e-8) {
					t.Errorf("%g kg, factor %g: %s %.10g, want %.10g", row.mass, factor, name, pair[0], pair[1])
				}
			}
		}
	}
	if checked != 15 {
		t.Fatalf("%d cases", checked)
	}
}

// Friction at the runner: 10 m of fall on 5 m of rope over a runner of 180° and
// μ = 0.25 with 15 m beyond. The effective length of a slope without strain,
// L₁ + L₂·e^(−μθ), gives 6,488.1 N on the climber, 2,958.2 N on the belay and
// 9,446.2 N on the runner; it is reached when strains are small, the rope light
// and everything slow. So the modulus is 10⁵ times as large and the fall
// 10⁻⁵ of it, which leaves the force as it is, and the rope's mass goes to
// nothing: what is left then is the ripple of the rope's own mass.
func TestEffectiveLength(t *testing.T) {
	before := math.Inf(1)
	for _, linear := range []float64{1e-1, 1e-3, 1e-5} {
		c := straight(80, 1e-4, 20, 5, 0.25, rope.Linear{Modulus: 1e5 * modulus})
		c.Rope.Linear = linear
		o := simulate(t, c)
		worst := max(math.Abs(o.Climber.Force-6488.1), math.Abs(o.Top.Force-9446.2), math.Abs(o.Belayer.Force-2958.2))
		t.Logf("%g kg/m: %.2f %.2f %.2f N", linear, o.Climber.Force, o.Top.Force, o.Belayer.Force)
		if !(worst < before/3) {
			t.Errorf("%g kg/m: off by %g N after %g", linear, worst, before)
		}
		before = worst
	}
	if !(before < 0.1) { // half of the last digit on either side
		t.Errorf("off by %g N at the lightest rope", before)
	}
}

// The same fall at its own strains, quasi-static and worked apart: with ε₀ = T/M
// and ε₁ = T·e^(−μθ)/M, rope s = L₂·ε₁/(1 + ε₁) has come over the runner and the
// climber is x = (L₁ + s)·(1 + ε₀) − L₁ lower; the peak is where ∫T dx has taken
// up m·g·(h + x). That is 4 % below the formula for small strain. A light rope
// comes to it within its ripple.
func TestFrictionAtRealStrains(t *testing.T) {
	const mass, drop, climberSide, beyond, friction = 80.0, 10.0, 5.0, 15.0, 0.25
	lower := func(pull float64) float64 {
		above, below := pull/modulus, pull*math.Exp(-friction*math.Pi)/modulus
		return (climberSide+beyond*below/(1+below))*(1+above) - climberSide
	}
	pull, work := 0.0, 0.0
	for work < mass*fall.StandardGravity*(drop+lower(pull)) {
		const step = 0.05 // N
		work += (pull + step/2) * (lower(pull+step) - lower(pull))
		pull += step
	}
	c := straight(mass, drop, climberSide+beyond, climberSide, friction, rope.Linear{Modulus: modulus})
	c.Rope.Linear = 1e-4
	o := simulate(t, c)
	if !near.Rel(o.Climber.Force, pull, 2e-4) || !near.Rel(o.Belayer.Force, pull*math.Exp(-friction*math.Pi), 2e-4) || pull > 6488.1*0.97 {
		t.Errorf("%.1f and %.1f N, want %.1f and %.1f", o.Climber.Force, o.Belayer.Force, pull, pull*math.Exp(-friction*math.Pi))
	}
}
