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

// A climber who is on the ground before the rope holds is drawn with the rope from the
// top runner all the same: the moving picture takes the runner's place from it.
func TestCaughtOnTheGround(t *testing.T) {
	f := caught(t, 9000)
	f.Catch.Floor = 2.2
	o, err := f.Catch.Simulate(field.Options{Accuracy: field.Quick, Frames: 60})
	if err != nil || o.Hit == nil || !math.IsNaN(o.CatchSpeed) {
		t.Fatalf("%+v, %v", o, err)
	}
	f.Outcome = o
	s := Caught([]CaughtFall{f}, Canvas{Width: 720, Height: 560})
	ropes := 0
	for _, m := range s.Marks {
		if l, ok := m.(Line); ok && l.Faint {
			ropes++
		}
	}
	if ropes != 1 || strings.Contains(s.Desc, Missing+" m") {
		t.Errorf("%d ropes; %s", ropes, s.Desc)
	}
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

// Words stand inside the picture, on no other word and on no mark of a moment, also
// where two falls are close and the picture is that of a phone.
func TestCaughtWordsAreFree(t *testing.T) {
	checked := 0
	for _, other := range []float64{9000, 9300, 11000, 14000, 20000} {
		one, two := caught(t, 9000), caught(t, other)
		two.Name, two.Condition = "soaked", 1
		for _, c := range []Canvas{{Width: 720, Height: 560}, {Width: 560, Height: 560}, {Width: 340, Height: 420}} {
			s := Caught([]CaughtFall{one, two}, c)
			for i, m := range s.Marks {
				word, ok := m.(Text)
				if !ok {
					continue
				}
				box := word.bounds()
				if box.Left < 0 || box.Right > s.Width || box.Bottom > s.Height {
					t.Errorf("%g N on %g: %q leaves the picture: %+v", other, c.Width, word.Body, box)
				}
				for j, n := range s.Marks {
					switch n := n.(type) {
					case Text:
						if i != j && overlap(box, n.bounds()) {
							t.Errorf("%g N on %g: %q on %q", other, c.Width, word.Body, n.Body)
						}
					case Dot:
						if n.Size >= 4.5 && overlap(box, Box{n.X - 4, n.Y - 4, n.X + 4, n.Y + 4}) {
							t.Errorf("%g N on %g: %q on a mark", other, c.Width, word.Body)
						}
					}
					checked++
				}
			}
		}
	}
	if checked < 5000 {
		t.Fatalf("checked %d", checked)
	}
}

// What is worse to cover: words than marks, marks than a line, and nothing is
// worse than to leave the picture.
func TestCovered(t *testing.T) {
	v := sideView{Scene: newScene(Canvas{Width: 200, Height: 200}, "")}
	v.Frame = Box{20, 20, 190, 180}
	v.add(Text{X: 100, Y: 50, Body: "word"}, Dot{X: 100, Y: 100, Size: 5}, Line{Points: []Point{{20, 150}, {190, 150}}, Ink: Plain})
	free := v.covered(Box{30, 60, 60, 72})
	line := v.covered(Box{30, 145, 60, 157})
	mark := v.covered(Box{90, 95, 120, 107})
	word := v.covered(Box{95, 40, 125, 52})
	out := v.covered(Box{180, 60, 210, 72})
	if !(free == 0 && free < line && line < mark && mark < word && word < out) {
		t.Errorf("free %g, line %g, mark %g, word %g, out %g", free, line, mark, word, out)
	}
}
