package figure

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/uptake"
)

// soaked is an invented soak: one condition over at once, one still rising.
func soaked(t *testing.T) []*uptake.Answer {
	t.Helper()
	var points []uptake.Point
	for i, m := range []float64{0.5, 1, 2, 4, 8, 15} {
		wobble := 0.002 * math.Cos(5*float64(i))
		points = append(
			points, uptake.Point{Condition: "untreated", Time: 60 * m, Uptake: 0.4*(1-math.Exp(-m/0.4)) + wobble},
			uptake.Point{Condition: "treated", Time: 60 * m, Uptake: 0.02*math.Sqrt(m) + 0.008*m + wobble},
		)
	}
	answers, err := uptake.Answers(points, "", false)
	if err != nil {
		t.Fatal(err)
	}
	return answers
}

// Every weighing is a mark at its place, the laws are lines that end at the last
// weighing, the limit is drawn when asked for only, and the words say the states.
func TestUptake(t *testing.T) {
	answers := soaked(t)
	for _, c := range []Canvas{{Width: 720, Height: 420, Remark: "invented numbers"}, {Width: 340, Height: 360}} {
		with, without := Uptake(answers, true, c), Uptake(answers, false, c)
		checkScene(t, with)
		checkScene(t, without)
		dots, lines := 0, 0
		for _, m := range with.Marks {
			switch m := m.(type) {
			case Dot:
				if m.Y >= with.Frame.Top { // not the legend's
					dots++
				}
			case Line:
				if len(m.Points) > 20 {
					lines++
					if end := m.Points[len(m.Points)-1]; math.Abs(end.X-with.Frame.Right) > 1 {
						t.Errorf("a law ends at %g, the frame at %g", end.X, with.Frame.Right)
					}
				}
			}
		}
		if dots != 12 || lines != 2 {
			t.Errorf("%d marks and %d lines", dots, lines)
		}
		if a, b := len(with.Marks), len(without.Marks); a <= b {
			t.Errorf("%d marks with the limit, %d without", a, b)
		}
		if !strings.Contains(with.Desc, "no rating") || strings.Contains(without.Desc, "no rating") || !strings.Contains(with.Desc, "still rising") {
			t.Errorf("%s", with.Desc)
		}
	}
	checkScene(t, Uptake(nil, true, Canvas{Width: 340, Height: 300}))
}
