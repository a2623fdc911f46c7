package field

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/rope"
)

// flying is a motion with the climber in free flight at a height where the floor
// is just touched, at a speed upward.
func flying(upward float64) *motion {
	c := Catch{
		Climber: Climber{Mass: 80, Above: 2, Reach: 1}, Belayer: Belayer{Fixed: true}, Wall: Wall{None: true}, Gravity: 10,
		Runners: []Runner{{Below: 8, Turn: math.Pi}}, Rope: Rope{Law: rope.Linear{Modulus: 20000}, Linear: 0.06}, Floor: -1,
	}.WithSlack(0.5)
	m := newMotion(c, Options{Accuracy: Quick})
	m.now[speed+2] = upward
	m.method.Start(0, m.now)
	return m
}

// A condition that begins at zero and rises ends where it comes back, here after
// 2·v/g; one that falls from there ends at once, a little after the start.
func TestEndsOfAConditionThatBeginsAtZero(t *testing.T) {
	for upward, want := range map[float64]float64{0.2: 0.04, -0.2: justAfter} {
		m := flying(upward)
		iv, err := m.method.Step(0.05)
		for err == nil && iv.To < 0.041 && upward > 0 {
			iv, err = m.method.Step(0.05)
		}
		if err != nil {
			t.Fatal(err)
		}
		floor := happening(len(m.pieces) + len(m.edges) + floorMet)
		if h, _ := m.first(iv); h != floor || m.fresh {
			t.Errorf("%g m/s: event %d, want %d; the pieces count as looked at: %v", upward, h, floor, m.fresh)
		}
		if at := m.ends(iv, floor); iv.From == 0 && !near.Abs(at, want, 1e-8) {
			t.Errorf("%g m/s: ends after %.9g s, want %g", upward, at, want)
		} else if iv.From > 0 {
			t.Errorf("%g m/s: the flight takes more than one step", upward)
		}
	}
}

// Limits between two settings: distances from the value go in a straight line.
func TestBetween(t *testing.T) {
	a := Swept{Setting: 10, Bands: &Bands{Climber: Interval{10, 9, 12}, Runs: 7, WallMet: 7}}
	b := Swept{Setting: 14, Bands: &Bands{Climber: Interval{20, 16, 21}, Runs: 7, WallMet: 7}}
	s := Swept{Setting: 11, Bands: &Bands{Climber: Interval{13, 13, 13}, Runs: 1}}
	s.between(a, b)
	if want := (Interval{13, 13 - 0.75*1 - 0.25*4, 13 + 0.75*2 + 0.25*1}); s.Bands.Climber != want || s.Bands.Runs != 7 || s.Bands.WallMet != 7 {
		t.Errorf("%+v of %d runs, want %+v", s.Bands.Climber, s.Bands.Runs, want)
	}
	for n, want := range map[int]int{1: 1, 2: 1, 7: 1, 8: 2, 13: 2, 14: 3, 30: 5} {
		if got := apart(n); got != want || (n-1+got-1)/got > 6 {
			t.Errorf("%d settings: intervals at every %dth, want %d", n, got, want)
		}
	}
	for name, c := range map[string]struct {
		a, b Bands
		want bool
	}{
		"all meet the wall":     {Bands{Runs: 7, WallMet: 7}, Bands{Runs: 7, WallMet: 7}, true},
		"none does":             {Bands{Runs: 7}, Bands{Runs: 7}, true},
		"some do":               {Bands{Runs: 7, WallMet: 3}, Bands{Runs: 7, WallMet: 3}, false},
		"all here, none there":  {Bands{Runs: 7, WallMet: 7}, Bands{Runs: 7}, false},
		"some hit the floor":    {Bands{Runs: 7, FloorHit: 1}, Bands{Runs: 7, FloorHit: 1}, false},
		"all of them, and none": {Bands{Runs: 7, FloorHit: 7}, Bands{Runs: 7}, false},
	} {
		if got := alike(Swept{Bands: &c.a}, Swept{Bands: &c.b}); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
