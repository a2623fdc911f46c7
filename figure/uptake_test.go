package figure

import (
	"fmt"
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
		with, without := Uptake(answers, nil, true, c), Uptake(answers, nil, false, c)
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
	checkScene(t, Uptake(nil, nil, true, Canvas{Width: 340, Height: 300}))
}

// A condition keeps its plan's colour and mark; the key has those drawn only; every
// residual is a mark at its own height.
func TestUptakeResiduals(t *testing.T) {
	answers := soaked(t)
	plan := []string{"dry", "treated", "dried", "untreated"}
	for _, c := range []Canvas{{Width: 720, Height: 320}, {Width: 340, Height: 280}} {
		s := UptakeResiduals(answers, plan, c)
		checkScene(t, s)
		inks := map[Ink]int{}
		for _, m := range s.Marks {
			if d, ok := m.(Dot); ok && d.Of == "" && d.Size == 4 {
				inks[d.Ink]++
			}
		}
		if inks[Ink(3)] != 6 || inks[Ink(1)] != 6 || len(inks) != 2 {
			t.Errorf("marks by colour: %v", inks)
		}
		text := s.SVG()
		if !strings.Contains(text, "untreated") || strings.Contains(text, ">dried<") {
			t.Error("the key is not of the conditions drawn")
		}
	}
	checkScene(t, UptakeResiduals(nil, plan, Canvas{Width: 340, Height: 280}))
}

// Specimens are drawn by their means over falls, lines end where uptakes do.
func TestDoses(t *testing.T) {
	var points []uptake.Dosed
	for k, w := range []float64{0, 0.1, 0.25, 0.4} {
		for f := range 3 {
			points = append(points, uptake.Dosed{Specimen: string(rune('A' + k)), Fall: string(rune('1' + f)), Uptake: w, Value: 3500 + 900*w + 60*float64(f) + 5*math.Cos(float64(7*k+f))})
		}
	}
	fit, err := uptake.DoseOf(points)
	if err != nil {
		t.Fatal(err)
	}
	s := Doses("peak force", []DoseCurve{{Lot: "Marram", Points: points, Fit: fit}, {Lot: "Samphire"}}, []string{"Marram dry"}, Unit{"kN", 1e-3, 2}, Canvas{Width: 520, Height: 320})
	checkScene(t, s)
	dots, low, high := 0, math.Inf(1), math.Inf(-1)
	for _, m := range s.Marks {
		if d, ok := m.(Dot); ok && d.Of != "" {
			dots, low, high = dots+1, math.Min(low, d.X), math.Max(high, d.X)
		}
	}
	if dots != 4 {
		t.Errorf("%d specimens, want 4", dots)
	}
	for _, m := range s.Marks {
		if l, ok := m.(Line); ok && l.Width == 1.8 && (math.Abs(l.Points[0].X-low) > 0.01 || math.Abs(l.Points[1].X-high) > 0.01) {
			t.Errorf("the line runs from %v to %v, the uptakes from %.1f to %.1f", l.Points[0], l.Points[1], low, high)
		}
	}
	checkScene(t, Doses("peak force", nil, nil, Unit{"kN", 1e-3, 2}, Canvas{Width: 340, Height: 280}))
}

// The names of lines that run close to each other cover neither one another nor a mark.
func TestDoseNames(t *testing.T) {
	var curves []DoseCurve
	for i, lot := range []string{"Marram 9.6", "Samphire 9.6 treated"} {
		var points []uptake.Dosed
		for k, w := range []float64{0, 0.12, 0.24, 0.36} {
			points = append(points, uptake.Dosed{Specimen: fmt.Sprint(lot, k), Uptake: w, Value: 3500 + 900*w + 15*float64(i) + 5*math.Cos(float64(7*k+i))})
		}
		fit, err := uptake.DoseOf(points)
		if err != nil {
			t.Fatal(err)
		}
		curves = append(curves, DoseCurve{Lot: lot, Points: points, Fit: fit})
	}
	looked := 0
	for _, c := range []Canvas{{Width: 520, Height: 300}, {Width: 340, Height: 280}} {
		s := Doses("peak force", curves, []string{"Marram dry"}, Unit{"kN", 1e-3, 2}, c)
		checkScene(t, s)
		for i, m := range s.Marks {
			name, ok := m.(Text)
			if !ok || name.Body != curves[0].Lot && name.Body != curves[1].Lot {
				continue
			}
			looked++
			for j, other := range s.Marks {
				switch o := other.(type) {
				case Text:
					if i != j && overlap(name.bounds(), o.bounds()) {
						t.Errorf("%g wide: %q covers %q", c.Width, name.Body, o.Body)
					}
				case Dot:
					if overlap(name.bounds(), Box{o.X - 4, o.Y - 4, o.X + 4, o.Y + 4}) {
						t.Errorf("%g wide: %q covers the mark of %s", c.Width, name.Body, o.Of)
					}
				}
			}
		}
	}
	if looked != 4 {
		t.Errorf("looked at %d names, want 4", looked)
	}
}
