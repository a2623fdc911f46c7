package fall_test

import (
	"fmt"
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// Source: the undamped closed form evaluated for the reference fall, see Arrest
// in closed.go, to all digits printed there.
func TestSpringRope(t *testing.T) {
	run := mustRun(t, reference(rope.Linear{Modulus: 20000}), fall.Watch{FromContact: true, Until: 0.5, Rate: 2000})
	printed(t, "impact speed", run.ImpactSpeed, "9.702775")
	printed(t, "peak", run.Peak, "8160.979")
	printed(t, "time to peak", run.TimeToPeak, "0.177514")
	printed(t, "largest stretch", run.MaxStretch, "1.142537")
	printed(t, "contact", run.Contacts[0].End, "0.355029")
	printed(t, "rebound", run.ReboundSpeed, "9.702775")
	printed(t, "energy absorbed", run.EnergyAbsorbed, "0.0000")
	printed(t, "energy in", run.EnergyIn, fmt.Sprintf("%.4f", 80*fall.StandardGravity*(4.8+run.MaxStretch)))
}

// wholeStep is what the program behind the reference tables, which went in steps
// of 1e-5 s and looked at their ends only, prints for a contact that ends in
// truth at end with the mass going up at back: the first step by which the
// force is gone, and the speed there, gravity having acted meanwhile.
func wholeStep(end, back float64) (float64, float64) {
	step := math.Ceil(end/1e-5) * 1e-5
	return step, back - fall.StandardGravity*(step-end)
}

// Source: a separate program, classic Runge-Kutta at 1e-5 s, for the reference
// fall; the digits are all those it printed.
func TestKelvinVoigtReference(t *testing.T) {
	for _, c := range []struct {
		zeta                                          float64
		first, peak, peakAt, stretch, end, back, lost string
	}{
		{0.05, "733.5", "7581.62", "0.16188", "1.05667", "0.34700", "8.2251", "1127.9"},
		{0.10, "1466.9", "7139.03", "0.14651", "0.98173", "0.33999", "7.0289", "1906.2"},
		{0.20, "2933.8", "6582.88", "0.11594", "0.85754", "0.32892", "5.2346", "2843.5"},
		{0.30, "4400.8", "6402.42", "0.08451", "0.75917", "0.32189", "3.9717", "3332.6"},
	} {
		t.Run(fmt.Sprintf("zeta %g", c.zeta), func(t *testing.T) {
			run := mustRun(t, reference(damped(c.zeta)), fall.Watch{FromContact: true, Until: 0.4, Rate: 2000})
			end, back := wholeStep(run.Contacts[0].End, run.ReboundSpeed)
			printed(t, "force at contact", run.Force[0], c.first)
			printed(t, "peak", run.Peak, c.peak)
			printed(t, "time to peak", run.TimeToPeak, c.peakAt)
			printed(t, "largest stretch", run.MaxStretch, c.stretch)
			printed(t, "end of contact", end, c.end)
			printed(t, "rebound", back, c.back)
			printed(t, "energy lost by the mass", run.EnergyAbsorbed, c.lost)
		})
	}
}

// Source: as TestKelvinVoigtReference.
func TestZenerReference(t *testing.T) {
	for _, c := range []struct {
		law                                    rope.Zener
		peak, peakAt, stretch, end, back, lost string
	}{
		{
			rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1},
			"6590.13", "0.14804", "1.15569", "0.36733", "5.3591", "2987.2",
		},
		{
			rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.3},
			"7900.68", "0.15114", "1.05898", "0.32388", "7.2650", "1882.1",
		},
		{
			rope.Zener{Equilibrium: 8000, Branch: 20000, Relaxation: 0.2},
			"7651.48", "0.13854", "1.02926", "0.31285", "5.9513", "2682.0",
		},
	} {
		t.Run(fmt.Sprint(c.law), func(t *testing.T) {
			run := mustRun(t, reference(c.law), fall.Watch{FromContact: true, Until: 0.4, Rate: 2000})
			end, back := wholeStep(run.Contacts[0].End, run.ReboundSpeed)
			printed(t, "force at contact", run.Force[0], "0.0")
			printed(t, "peak", run.Peak, c.peak)
			printed(t, "time to peak", run.TimeToPeak, c.peakAt)
			printed(t, "largest stretch", run.MaxStretch, c.stretch)
			printed(t, "end of contact", end, c.end)
			printed(t, "rebound", back, c.back)
			printed(t, "energy lost by the mass", run.EnergyAbsorbed, c.lost)
		})
	}
}

// Source: Kelvin-Voigt without gravity has a closed form, KelvinVoigtPeak.
// Gravity of 1e-9 m/s² and a drop high enough for 10 m/s stand for none; what
// they add to the force is about m·g, 1e-11 of the peak.
func TestKelvinVoigtWithoutGravity(t *testing.T) {
	const mass, k, v, g = 80.0, 7000.0, 10.0, 1e-9
	checked := 0
	for _, zeta := range []float64{0.02, 0.05, 0.1, 0.2649, 0.4, 0.49, 0.5, 0.7, 1.5} {
		law := rope.KelvinVoigt{Modulus: k, Viscosity: 2 * zeta * math.Sqrt(k*mass)}
		tower := fall.Tower{Mass: mass, Drop: v * v / (2 * g), Gravity: g, Rope: rope.Piece{Law: law, Length: 1}}
		run := mustRun(t, tower, fall.Watch{FromContact: true, Until: 0.3, Rate: 1000})
		ratio, err := fall.KelvinVoigtPeak(zeta)
		if err != nil {
			t.Fatal(err)
		}
		// 1e-8: the vertex of the peak's parabola, see Simulate.
		if got := run.Peak / (v * math.Sqrt(k*mass)); !(math.Abs(got/ratio-1) < 1e-8) {
			t.Errorf("ζ %g: peak %.10f of v√(km), closed form %.10f", zeta, got, ratio)
		}
		checked++
	}
	if checked != 9 {
		t.Fatalf("checked %d", checked)
	}
}

// exact solves the contact of a linear law exactly, by the exponential of its
// matrix, and returns when the force is back at zero and the state (stretch,
// speed, branch force) there. It shares nothing with the simulation but the law.
func exact(k1, k2, c, tau, mass, v float64) (end float64, y [4]float64) {
	const g = fall.StandardGravity
	a := [4][4]float64{ // of (x, ẋ, q, 1)
		{0, 1, 0, 0},
		{-k1 / mass, -c / mass, -1 / mass, g},
		{0, k2, -1 / tau, 0},
	}
	at := func(t float64) (y [4]float64, force float64) {
		e := exponential(a, t)
		for i := range y {
			y[i] = e[i][1]*v + e[i][3]
		}
		return y, k1*y[0] + c*y[1] + y[2]
	}
	lo, hi := 0.1, 0.5
	for range 60 {
		if _, f := at((lo + hi) / 2); f > 0 {
			lo = (lo + hi) / 2
		} else {
			hi = (lo + hi) / 2
		}
	}
	y, _ = at(hi)
	return hi, y
}

// exponential is e^(a·t) by its series at t/2¹⁰, squared ten times.
func exponential(a [4][4]float64, t float64) [4][4]float64 {
	times := func(p, q [4][4]float64) (r [4][4]float64) {
		for i := range p {
			for j := range p {
				for k := range p {
					r[i][j] += p[i][k] * q[k][j]
				}
			}
		}
		return r
	}
	var sum, term [4][4]float64
	for i := range sum {
		sum[i][i], term[i][i] = 1, 1
	}
	for n := 1; n < 20; n++ {
		term = times(term, a)
		for i := range term {
			for j := range term {
				term[i][j] *= t / 1024 / float64(n)
				sum[i][j] += term[i][j]
			}
		}
	}
	for range 10 {
		sum = times(sum, sum)
	}
	return sum
}

// Source: the exact solution of the linear laws, see exact. Both are good to
// some 1e-10; 1e-8 leaves room and is a thousand times finer than the tables.
func TestLinearLawsExactly(t *testing.T) {
	const mass, length = 80.0, 2.8
	for name, c := range map[string]struct {
		law            rope.Law
		k1, k2, c, tau float64
	}{
		"Kelvin-Voigt": {damped(0.2), 20000 / length, 0, damped(0.2).Viscosity / length, 1},
		"Zener 0.1": {
			rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1},
			10000 / length, 15000 / length, 0, 0.1,
		},
		"Zener 0.2": {
			rope.Zener{Equilibrium: 8000, Branch: 20000, Relaxation: 0.2},
			8000 / length, 20000 / length, 0, 0.2,
		},
	} {
		run := mustRun(t, reference(c.law), fall.Watch{FromContact: true, Until: 0.5, Rate: 2000})
		end, y := exact(c.k1, c.k2, c.c, c.tau, mass, run.ImpactSpeed)
		lost := mass*(run.ImpactSpeed*run.ImpactSpeed-y[1]*y[1])/2 + mass*fall.StandardGravity*y[0]
		for what, pair := range map[string][2]float64{
			"end of contact":  {run.Contacts[0].End, end},
			"rebound":         {run.ReboundSpeed, -y[1]},
			"energy absorbed": {run.EnergyAbsorbed, lost},
		} {
			if !(math.Abs(pair[0]/pair[1]-1) < 1e-8) {
				t.Errorf("%s: %s %.12g, exactly %.12g", name, what, pair[0], pair[1])
			}
		}
	}
}
