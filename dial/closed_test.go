package dial

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// spring is a prior of a spring rope on a rig without friction, cell or scatter,
// whose modulus alone is not known.
func spring() *prior {
	p := unknownRope()
	for i := range p.traits {
		p.traits[i] = trait{}
	}
	p.traits[course].middle = 1
	p.scatter, p.repeat = 0, 0.002
	p.grid(math.Log(0.5), math.Log(2), 401, 0.6, 1.6)
	p.law = func(factor float64, _ *[traits]float64, _ float64) rope.Law {
		return rope.Linear{Modulus: 20000 * factor}
	}
	return p
}

func oneFall() Question {
	return Question{
		Window: Usual(), Falls: 1, Enough: 0.9, Level: 0.9,
		Rig: Rig{Masses: []float64{80}, FreeLengths: []float64{2.6}, LowestDrop: 0.05, HighestDrop: 3, DropStep: 0.01, Gravity: fall.StandardGravity},
	}
}

// With a spring rope everything has a closed form: one trial tells the modulus,
// and with it every peak, the drop for the middle of the window and both slopes.
// The simulated peaks are good to 1e-3, the reading to 0.002.
func TestSpringIsTheClosedForm(t *testing.T) {
	checked := 0
	for _, modulus := range []float64{14000, 20000, 29000} {
		q := oneFall()
		at := Setting{80, 0.5, 2.6}
		peak, err := fall.PeakTension(at.Mass, at.Drop, at.FreeLength, modulus, fall.StandardGravity)
		if err != nil {
			t.Fatal(err)
		}
		q.Trials = []Trial{{Setting: at, Peak: peak}, {Setting: at, Peak: peak}}
		a, err := ask(q, spring())
		if err != nil {
			t.Fatal(err)
		}
		want := func(s Setting) float64 {
			f, err := fall.PeakTension(s.Mass, s.Drop, s.FreeLength, modulus, fall.StandardGravity)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		near := func(what string, got, want, share float64) {
			if checked++; !(math.Abs(got/want-1) < share) {
				t.Errorf("modulus %g: %s %g, closed form %g", modulus, what, got, want)
			}
		}
		near("peak", a.Peak.Middle, want(a.Next), 0.003)
		near("spring modulus", a.Spring, modulus, 0.01)
		low, high := a.Next, a.Next
		low.Drop, high.Drop = low.Drop-0.01, high.Drop+0.01
		near("per centimetre", a.Per.Centimetre, (want(high)-want(low))/2, 0.03)
		low, high = a.Next, a.Next
		low.Mass, high.Mass = low.Mass-1, high.Mass+1
		near("per kilogram", a.Per.Kilogram, (want(high)-want(low))/2, 0.03)
		if checked++; a.Peak.Middle < 3000 || a.Peak.Middle > 4000 || a.Lands < 0.999 {
			t.Errorf("modulus %g: %+v", modulus, a)
		}
	}
	if checked != 15 {
		t.Fatalf("%d checked", checked)
	}
}

// The guide takes its share of the weight on the way down and in the catch: the
// spring rope's closed form with that much less gravity.
func TestGuideIsLessGravity(t *testing.T) {
	s := &simulator{prior: spring(), gravity: fall.StandardGravity}
	x := s.prior.middles()
	x[guide] = 0.08
	log, _, err := s.peak(Setting{80, 0.6, 2.6}, 1, &x)
	if err != nil {
		t.Fatal(err)
	}
	want, err := fall.PeakTension(80, 0.6, 2.6, 20000, 0.92*fall.StandardGravity)
	if err != nil {
		t.Fatal(err)
	}
	if got := math.Exp(log); math.Abs(got/want-1) > 1e-3 {
		t.Errorf("peak %.1f, closed form %.1f", got, want)
	}
}

// The modulus is as likely everywhere from 0.6 to 1.6 times the usual one: mean
// 1.1, SD 1/√12, but for the soft ends.
func TestPriorOfModulus(t *testing.T) {
	p := unknownRope()
	var sum, mean, square float64
	for k, w := range p.weights {
		sum, mean, square = sum+w, mean+w*p.factors[k], square+w*p.factors[k]*p.factors[k]
	}
	if sd := math.Sqrt(square - mean*mean); math.Abs(sum-1) > 1e-12 || math.Abs(mean-1.1) > 0.02 || math.Abs(sd-1/math.Sqrt(12)) > 0.03 {
		t.Errorf("sum %g, mean %.3f, sd %.3f", sum, mean, sd)
	}
}

// The chance that x is above its mean and y below its own is 1/4 − asin(ρ)/2π
// ([Sheppard1899]); the integral is good to 1e-6.
func TestBoth(t *testing.T) {
	checked := 0
	for _, rho := range []float64{-0.9, -0.5, 0, 0.3, 0.8} {
		got := both(0, 10, 1, 4, 2*rho, 0, 10)
		if want := 0.25 - math.Asin(rho)/(2*math.Pi); !(math.Abs(got-want) < 2e-5) {
			t.Errorf("correlation %g: %.8f, want %.8f", rho, got, want)
		}
		checked++
	}
	if checked != 5 {
		t.Fatal(checked)
	}
}

// The rule of order 16 integrates powers up to 31 exactly.
func TestGaussLegendre(t *testing.T) {
	for _, power := range []int{0, 2, 10, 30} {
		sum := 0.0
		for _, g := range legendre {
			sum += g[1] * math.Pow(g[0], float64(power))
		}
		if want := 2 / float64(power+1); math.Abs(sum-want) > 1e-13 {
			t.Errorf("x^%d: %.15g, want %.15g", power, sum, want)
		}
	}
}
