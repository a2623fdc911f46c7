package figure

import (
	"fmt"
	"strings"
)

// LoopCurve is force against stretch of one contact.
type LoopCurve struct {
	Name      string // written at its top: "fall 3"
	Condition int    // index in the plan; negative for none
	Nth       int    // among the loops: it chooses the dash
	Stretch   []float64
	Force     []float64
}

// Loops draws force against stretch, one loop over the other; the area inside
// one is the energy that the rope kept.
func Loops(name string, loops []LoopCurve, c Canvas) *Scene {
	s := newScene(c, "Force against stretch, "+name)
	s.Desc = loopWords(loops)
	s.Frame = Box{44, 36, s.Width - 14, c.Height - 42}
	var xs, ys []float64
	for _, l := range loops {
		a, b := extent(l.Stretch)
		low, high := extent(l.Force)
		xs, ys = append(xs, a, b), append(ys, low/1000, high/1000)
	}
	y, up, ok := around(s.Frame.Bottom, s.Frame.Top, append(ys, 0)...)
	first, last := extent(append(xs, 0))
	along := TicksWithin(first, last)
	if !ok || along == nil || !(first < last) || len(loops) == 0 {
		s.empty("no stretch is known")
		return s.finish(c.Height, c)
	}
	s.Frame.Left = widest(up) + labelGap + 2
	x := Scale{Low: first, High: last, From: s.Frame.Left, To: s.Frame.Right}
	upAxis(s, y, up, "Force, kN")
	alongAxis(s, x, along, "stretch, m")
	var taken []Box
	for _, l := range loops {
		ink := Ink(l.Condition)
		if l.Condition < 0 {
			ink = Sea
		}
		points := make([]Point, 0, len(l.Stretch))
		for i := range l.Stretch {
			if known(l.Stretch[i]) && known(l.Force[i]) {
				points = append(points, Point{x.At(l.Stretch[i]), y.At(l.Force[i] / 1000)})
			}
		}
		if len(points) > 1 {
			s.add(Line{Points: points, Ink: ink, Width: 1.6, Dash: dashes[l.Nth%colours]})
		}
		taken = labelLoop(s, l, points, taken)
	}
	return s.finish(c.Height, c)
}

// labelLoop writes a loop's name at its highest point, above the names that are
// there.
func labelLoop(s *Scene, l LoopCurve, points []Point, taken []Box) []Box {
	if l.Name == "" || len(points) == 0 {
		return taken
	}
	top := points[0]
	for _, p := range points {
		if p.Y < top.Y {
			top = p
		}
	}
	t := Text{X: inside(top.X, l.Name, s.Frame.Right), Y: top.Y - 6, Anchor: Middle, Body: l.Name, Ink: Plain}
	for moved := true; moved; {
		moved = false
		for _, b := range taken {
			if overlap(t.bounds(), b) {
				t.Y, moved = b.Top-0.25*fontSize-1, true
			}
		}
	}
	if t.bounds().Top < 16 { // no room left above: the words of the picture name it
		return taken
	}
	s.add(t)
	return append(taken, t.bounds())
}

func loopWords(loops []LoopCurve) string {
	if len(loops) == 0 {
		return "No stretch is known."
	}
	var b strings.Builder
	b.WriteString(upper(Counted(len(loops), "loop")) + ".")
	for _, l := range loops {
		_, stretch := extent(l.Stretch)
		_, force := extent(l.Force)
		name := l.Name
		if name == "" {
			name = "largest"
		}
		fmt.Fprintf(&b, " %s: %s m, %s kN.", upper(name), Fixed(stretch, 3), KN(force))
	}
	return b.String()
}
