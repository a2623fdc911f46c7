package fall

import (
	"math"
	"testing"

	"fallwright.example/rope"
)

// What Simulate says of its steps: with steps eight times shorter the values of
// the first contact stay within 1e-8, and later contacts, to which errors add
// up, within 1e-6. Peak is the coarsest, by the third power of the step.
func TestStepsAreShortEnough(t *testing.T) {
	tower := Tower{Mass: 80, Drop: 4.8, Gravity: StandardGravity, Friction: 5, Rope: rope.Piece{Length: 2.8}}
	watch := Watch{Until: 5, Rate: 100}
	checked := 0
	for name, law := range map[string]rope.Law{
		"spring":     rope.Linear{Modulus: 20000},
		"Zener":      rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1},
		"stiffening": rope.Stiffening{Equilibrium: 8000, Growth: 6, Branch: 12000, Relaxation: 0.1},
	} {
		tower.Rope.Law = law
		usual, err := tower.Simulate(watch)
		if err != nil {
			t.Fatal(err)
		}
		m := newMotion(tower, watch, longestStep/8)
		m.goThrough()
		fine := m.run
		if len(fine.Contacts) != len(usual.Contacts) || len(fine.Contacts) < 2 {
			t.Fatalf("%s: %d contacts, with short steps %d", name, len(usual.Contacts), len(fine.Contacts))
		}
		for what, pair := range map[string][2]float64{
			"peak":     {usual.Peak, fine.Peak},
			"stretch":  {usual.MaxStretch, fine.MaxStretch},
			"in":       {usual.EnergyIn, fine.EnergyIn},
			"rebound":  {usual.ReboundSpeed, fine.ReboundSpeed},
			"contact":  {usual.Contacts[0].End, fine.Contacts[0].End},
			"absorbed": {usual.EnergyIn + usual.EnergyAbsorbed, fine.EnergyIn + fine.EnergyAbsorbed},
		} {
			if !(math.Abs(pair[0]/pair[1]-1) < 1e-8) {
				t.Errorf("%s: %s %.12g, with short steps %.12g", name, what, pair[0], pair[1])
			}
			checked++
		}
		for i := range fine.Contacts {
			if a, b := usual.Contacts[i].Peak, fine.Contacts[i].Peak; !(math.Abs(a/b-1) < 1e-6) {
				t.Errorf("%s: contact %d peaks at %.10g, with short steps %.10g", name, i+1, a, b)
			}
			checked++
		}
	}
	if checked < 24 {
		t.Fatalf("checked %d", checked)
	}
}

// A parabola is met exactly, wherever its three points lie; the top of a curve
// that only falls is its first point.
func TestSummit(t *testing.T) {
	parabola := func(t float64) float64 { return 7 - 3*(t-0.4)*(t-0.4) }
	var s summit
	for _, at := range []float64{0, 0.1, 0.35, 0.9, 1} {
		s.add(at, parabola(at))
	}
	if !(math.Abs(s.at-0.4) < 1e-14 && math.Abs(s.height-7) < 1e-14 && s.over) {
		t.Errorf("top %.16g at %.16g", s.height, s.at)
	}
	var roof summit // two slopes that meet at 1: no parabola lies across them
	for _, at := range []float64{0, 0.5, 1, 1.2, 1.4} {
		roof.add(at, -math.Abs(at-1))
		if at == 1 {
			roof.corner()
		}
	}
	if roof.at != 1 || roof.height != 0 || !roof.over {
		t.Errorf("roof: %+v", roof)
	}
	var falling summit
	for _, at := range []float64{1, 2, 3} {
		falling.add(at, -at)
	}
	if falling.at != 1 || falling.height != -1 || !falling.over {
		t.Errorf("falling: %+v", falling)
	}
	var rising summit
	for _, at := range []float64{1, 2, 3} {
		rising.add(at, at*at)
	}
	if rising.at != 3 || rising.over {
		t.Errorf("rising: %+v", rising)
	}
	var twin summit // two points of an event's rounding apart carry no parabola
	for i, at := range []float64{1, 2, 2 + 1e-13} {
		twin.add(at, []float64{1, 3, 2.9999}[i])
	}
	if twin.at != 2 || twin.height != 3 {
		t.Errorf("twin: %+v", twin)
	}
}
