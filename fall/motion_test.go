package fall

import (
	"math"
	"testing"

	"fallwright.example/rope"
)

// What Simulate says of its steps: at a tolerance a thousand times finer the
// values of the first contact stay within 1e-8, and later contacts, to which
// errors add up, within 1e-6.
func TestStepsAreFineEnough(t *testing.T) {
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
		m := &motion{run: &Run{}}
		m.set(tower, watch, relative/1000)
		if err := m.goThrough(); err != nil {
			t.Fatal(err)
		}
		fine := m.run
		if len(fine.Contacts) != len(usual.Contacts) || len(fine.Contacts) < 2 {
			t.Fatalf("%s: %d contacts, at a finer tolerance %d", name, len(usual.Contacts), len(fine.Contacts))
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
				t.Errorf("%s: %s %.12g, at a finer tolerance %.12g", name, what, pair[0], pair[1])
			}
			checked++
		}
		for i := range fine.Contacts {
			if a, b := usual.Contacts[i].Peak, fine.Contacts[i].Peak; !(math.Abs(a/b-1) < 1e-6) {
				t.Errorf("%s: contact %d peaks at %.10g, at a finer tolerance %.10g", name, i+1, a, b)
			}
			checked++
		}
	}
	if checked < 24 {
		t.Fatalf("checked %d", checked)
	}
}

// The highest point is kept, and whether the curve has come down since.
func TestSummit(t *testing.T) {
	for name, c := range map[string]struct {
		heights    []float64
		at, height float64
		over       bool
	}{
		"up and down": {[]float64{1, 3, 2}, 1, 3, true},
		"only down":   {[]float64{-1, -2}, 0, -1, true},
		"only up":     {[]float64{1, 4, 9}, 2, 9, false},
	} {
		var s summit
		for i, h := range c.heights {
			s.add(float64(i), h)
		}
		if s.at != c.at || s.height != c.height || s.over != c.over {
			t.Errorf("%s: %+v", name, s)
		}
	}
}

// The tangents of a parabola cross in the middle of the stretch: 1 − (t − 0.3)² over
// a second at 0.91 + 0.6/2.
func TestCrossing(t *testing.T) {
	if got := crossing(0.91, 0.51, 0.6, -1.4, 1); !(math.Abs(got-1.21) < 1e-12) {
		t.Errorf("at %g, want 1.21", got)
	}
}
