package fit_test

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/rope"
)

// knottedSeries is a wearing rope whose knots tighten in the first fall and, by
// what they are pulled harder, in later ones.
func knottedSeries(t *testing.T, slip float64) []fit.Fall {
	t.Helper()
	s := setting
	s.FirstContact = true
	rests := []float64{0, 300, 300, 300}
	tight := 0.0
	var falls []fit.Fall
	for i, w := range (wear{pace: 1.8, recovery: math.Inf(1)}).course(rests) {
		var law rope.Law = worn(w)
		if slip > 0 {
			law = rope.Knotted{Law: worn(w), Slip: slip, Force: 1500, Delay: 0.01, Tight: tight}
		}
		run, err := (fall.Tower{
			Mass: s.Mass, Drop: s.Drop, Friction: 6, Gravity: s.Gravity, Rope: rope.Piece{Law: law, Length: s.Length},
		}).Simulate(fall.Watch{FromContact: true, Until: 3, Accuracy: 1e-6})
		if err != nil {
			t.Fatal(err)
		}
		falls = append(falls, fit.Fall{Samples: recorded(t, law, s, 6, 12, 2000, uint64(70+i)), Rate: 2000, Setting: s, Rest: rests[i]})
		tight = max(tight, -slip*math.Expm1(-run.Peak/1500))
	}
	return falls
}

// Later falls have the knots tight and so tell them from the rope: slip, force
// and delay come back with the rope's own parameters, and the law without knots
// stays far behind. What is handed on is the rope without them.
func TestKnotsAreToldByLaterFalls(t *testing.T) {
	knotted, err := fit.Knotted(fit.Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	ranks, err := fit.ChooseSeries(knottedSeries(t, 0.03), fit.Stiffening, knotted)
	if err != nil {
		t.Fatal(err)
	}
	best := ranks[0]
	if len(ranks) != 2 || best.Form.Name != "knotted stiffening" || !(ranks[1].Behind > 100) {
		t.Fatalf("%s first, the other %.3g behind", best.Form.Name, ranks[len(ranks)-1].Behind)
	}
	checked := 0
	for name, want := range map[string]float64{
		"slip of the knots": 0.03, "force that tightens the knots": 1500, "delay of the knots": 0.01,
		"equilibrium modulus": 5500, "branch modulus": 7000, "relaxation time": 0.12, "growth": 4,
	} {
		for _, s := range best.Terms {
			if s.Name != name {
				continue
			}
			checked++
			if p := s.First; !(math.Abs(p.Value-want) < 4*p.SE && p.SE < 0.2*want) || p.Open {
				t.Errorf("%s is %.4g ± %.2g, in truth %g", name, p.Value, p.SE, want)
			}
		}
	}
	if checked != 7 {
		t.Fatalf("%d parameters", checked)
	}
	k := best.Known(1)
	if k.Law != "stiffening" || len(k.Names) != 4 || len(k.Covariance) != 4 || len(k.Covariance[0]) != 4 || !(math.Abs(k.Values[0]-5500) < 4*math.Sqrt(k.Covariance[0][0])) {
		t.Errorf("handed on is %+v", k)
	}
	last := best.Known(4)
	if want := 5500 * math.Pow(1.4, 1-math.Exp(-3/1.8)); !(math.Abs(last.Values[0]-want) < 4*math.Sqrt(last.Covariance[0][0])) {
		t.Errorf("in fall 4 the modulus is %.5g, in truth %.5g", last.Values[0], want)
	}
}

// A rope whose knots pay out nothing: the form without them is preferred, and of
// the other the knots are open.
func TestKnotsThatAreNot(t *testing.T) {
	knotted, err := fit.FormOf("knotted stiffening")
	if err != nil {
		t.Fatal(err)
	}
	ranks, err := fit.ChooseSeries(knottedSeries(t, 0), fit.Stiffening, knotted)
	if err != nil {
		t.Fatal(err)
	}
	if len(ranks) != 2 || fit.SimplestOfSeries(ranks).Form.Name != "stiffening" {
		t.Fatalf("%s first, the other %.3g behind", ranks[0].Form.Name, ranks[len(ranks)-1].Behind)
	}
	terms := ranks[0].Terms
	if len(ranks[1].Terms) > len(terms) {
		terms = ranks[1].Terms
	}
	if slip := terms[len(terms)-3]; slip.Name != "slip of the knots" || !slip.First.Open && slip.First.Value > 1e-3 {
		t.Errorf("%s is %+v", slip.Name, slip.First)
	}
	if _, err := fit.Knotted(fit.KelvinVoigt); err == nil || err.Error() != "law: Kelvin-Voigt takes no knots" {
		t.Errorf("got %v", err)
	}
	if _, err := fit.Knotted(knotted); err == nil {
		t.Error("knots on knots")
	}
}
