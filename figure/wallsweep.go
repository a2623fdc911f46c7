package figure

import (
	"fmt"
	"math"

	"fallwright.example/field"
)

// SweptFall is how the wall is met over rope out, for the rope in one state.
type SweptFall struct {
	Name      string
	Condition int
	Points    []field.Swept // by rope out; those with an error are left out
}

// WallByRope draws the speed straight into the wall against the rope out, one
// line a state, with the interval as a bar where there is one. here is the rope
// out of the fall itself, in metres.
func WallByRope(falls []SweptFall, here float64, c Canvas) *Scene {
	s := newScene(c, "Speed into the wall by rope out")
	s.Desc = sweptWords(falls)
	names := []string{}
	for _, f := range falls {
		names = append(names, make([]string, max(0, f.Condition+1-len(names)))...)
		names[f.Condition] = f.Name
	}
	top := legend(s, names)
	p := panel{name: "straight into the wall, m/s", height: c.Height - panelGap - 46, zero: true}
	var lengths []float64
	for _, f := range falls {
		k := curve{ink: Ink(f.Condition), dash: DashOf(f.Condition), width: 2}
		for _, at := range f.Points {
			if at.Err == nil {
				k.x, k.y = append(k.x, at.Setting), append(k.y, at.Bands.WallNormal.Value)
			}
		}
		lengths = append(lengths, k.x...)
		p.curves = append(p.curves, k, limits(f))
	}
	p.marks = func(s *Scene, x, y Scale) { sweptMarks(s, falls, here, x, y) }
	low, high := extent(lengths)
	if low == high { // one length alone
		low, high = low-1, high+1
	}
	bottom := stack(s, top+4, []panel{p}, low, high, "rope out, m", nil)
	return s.finish(bottom, c)
}

// limits are those of the intervals, which only make room on the axis.
func limits(f SweptFall) curve {
	var k curve
	for _, at := range f.Points {
		if at.Err == nil {
			k.x, k.y = append(k.x, math.NaN(), math.NaN()), append(k.y, at.Bands.WallNormal.Low, at.Bands.WallNormal.High)
		}
	}
	return k
}

// sweptMarks are the marks on the lines with their intervals, and where the fall
// itself stands.
func sweptMarks(s *Scene, falls []SweptFall, here float64, x, y Scale) {
	if here >= x.Low && here <= x.High {
		at := x.At(here)
		s.add(Line{Points: []Point{{at, s.Frame.Top}, {at, s.Frame.Bottom}}, Ink: Soft, Width: 1, Dash: []float64{2, 3}})
		t := Text{X: at + 5, Y: y.At(0) - 7, Body: "this fall", Ink: Soft}
		if at+5+textWidth(t.Body) > s.Frame.Right {
			t.X, t.Anchor = at-5, End
		}
		s.add(t)
	}
	for _, f := range falls {
		for i, at := range f.Points {
			if at.Err != nil {
				continue
			}
			v := at.Bands.WallNormal
			p := Point{x.At(at.Setting), y.At(v.Value)}
			if at.Bands.Runs > 1 && v.High > v.Low {
				s.add(Bar{A: Point{p.X, y.At(v.Low)}, B: Point{p.X, y.At(v.High)}, Ink: Ink(f.Condition), Width: 1.5})
			}
			if i%2 == 0 || at.Bands.Runs > 1 {
				s.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(f.Condition), Size: 4, Ink: Ink(f.Condition)})
			}
		}
	}
}

func sweptWords(falls []SweptFall) string {
	words := "The same fall with more and with less rope below the top runner."
	for _, f := range falls {
		words += fmt.Sprintf(" %s:", f.Name)
		for i, at := range f.Points {
			if at.Err == nil && (i == 0 || i == len(f.Points)/2 || i == len(f.Points)-1) {
				words += fmt.Sprintf(" at %s m %s m/s;", Fixed(at.Setting, 1), Fixed(at.Bands.WallNormal.Value, 2))
			}
		}
	}
	return words
}
