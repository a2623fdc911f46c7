package figure

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/field"
	"fallwright.example/rope"
)

func caught(t *testing.T, equilibrium float64) CaughtFall {
	t.Helper()
	c := field.Catch{
		Climber: field.Climber{Mass: 75, Above: 2, Out: 0.5, Reach: 1}, Belayer: field.Belayer{Fixed: true},
		Runners: []field.Runner{{Below: 3, Turn: math.Pi, Friction: 0.2}, {Below: 5, Turn: 0.3, Friction: 0.2}},
		Floor:   6, Gravity: 9.81, Rope: field.Rope{Law: rope.Zener{Equilibrium: equilibrium, Branch: 12000, Relaxation: 0.2}, Linear: 0.06},
	}.WithSlack(0.5)
	o, err := c.Simulate(field.Options{Accuracy: field.Quick, Frames: 60})
	if err != nil {
		t.Fatal(err)
	}
	return CaughtFall{Name: "dry", Catch: c, Outcome: o}
}

// The lowest mark of the way is at the lowest point, on the scale that the
// labels have; both falls are told apart without colour; the words say it.
func TestCaught(t *testing.T) {
	one, two := caught(t, 9000), caught(t, 14000)
	two.Name, two.Condition = "soaked", 1
	s := Caught([]CaughtFall{one, two}, Canvas{Width: 720, Height: 560, Remark: "invented numbers"})
	var zero, two2 float64
	lowest := map[string]float64{}
	dashes := map[string]int{}
	for _, m := range s.Marks {
		switch m := m.(type) {
		case Text:
			switch m.Body {
			case "0":
				if m.Anchor == End {
					zero = m.Y
				}
			case "2":
				if m.Anchor == End {
					two2 = m.Y
				}
			}
		case Line:
			if m.Of != "" {
				dashes[m.Of] = len(m.Dash)
				for _, p := range m.Points {
					lowest[m.Of] = max(lowest[m.Of], p.Y)
				}
			}
		}
	}
	perMetre := (zero - two2) / 2
	for _, f := range []CaughtFall{one, two} {
		below := (lowest[f.Name] - (zero - 4.5)) / perMetre
		if !(math.Abs(below-f.Outcome.Lowest.Below) < 0.02) {
			t.Errorf("%s: drawn %.3f m below, it is %.3f", f.Name, below, f.Outcome.Lowest.Below)
		}
	}
	if len(dashes) != 2 || dashes["dry"] == dashes["soaked"] {
		t.Errorf("dashes %v", dashes)
	}
	if !strings.Contains(s.Desc, "dry: lowest point") || !strings.Contains(s.SVG(), "top runner") || s.Title != "The fall from the side (invented numbers)" {
		t.Errorf("%q: %s", s.Title, s.Desc)
	}
	if none := Caught(nil, Canvas{Width: 300, Height: 200}); !strings.Contains(none.SVG(), "there is no fall to draw") {
		t.Error("no fall is not said")
	}
}
