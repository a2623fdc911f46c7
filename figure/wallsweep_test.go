package figure

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fallwright.example/field"
	"pgregory.net/rapid"
)

func TestWallByRopeHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var falls []SweptFall
		for i, name := range naming.Draw(t, "states") {
			if i > 1 {
				break
			}
			f := SweptFall{Name: name, Condition: 3 * i}
			for k := range rapid.IntRange(0, 14).Draw(t, "lengths") {
				v := float64(rapid.IntRange(0, 9000).Draw(t, "speed")) / 1000
				p := field.Swept{Setting: 6 + float64(k), Bands: &field.Bands{Runs: 1, WallNormal: field.Interval{Value: v, Low: v, High: v}}}
				if rapid.IntRange(0, 5).Draw(t, "kind") == 0 {
					p = field.Swept{Setting: p.Setting, Err: errors.New("none")}
				} else if k%2 == 0 {
					p.Bands.Runs, p.Bands.WallNormal = 7, field.Interval{Value: v, Low: v / 2, High: v * 1.3}
				}
				f.Points = append(f.Points, p)
			}
			falls = append(falls, f)
		}
		checkScene(t, WallByRope(falls, rapid.Float64Range(0, 30).Draw(t, "here"), sizes.Draw(t, "canvas")))
	})
}

// Twice the speed stands twice as high over zero, and the words have the ends.
func TestWallByRopePlaces(t *testing.T) {
	at := func(out, v float64) field.Swept {
		return field.Swept{Setting: out, Bands: &field.Bands{Runs: 1, WallNormal: field.Interval{Value: v, Low: v, High: v}}}
	}
	s := WallByRope([]SweptFall{{"dry", 0, []field.Swept{at(10, 2), at(15, 3), at(20, 4)}}}, 15, Canvas{Width: 520, Height: 340})
	var zero float64
	var way []Point
	for _, m := range s.Marks {
		switch m := m.(type) {
		case Text:
			if m.Anchor == End && strings.HasPrefix(m.Body, "0") && zero == 0 {
				zero = m.Y - 4.5
			}
		case Line:
			if len(m.Points) == 3 {
				way = m.Points
			}
		}
	}
	if len(way) != 3 || !(zero-way[0].Y > 50) || math.Abs((zero-way[2].Y)-2*(zero-way[0].Y)) > 0.01 || math.Abs(way[1].X-(way[0].X+way[2].X)/2) > 0.01 {
		t.Errorf("zero at %g, %+v", zero, way)
	}
	if !strings.Contains(s.Desc, "dry: at 10.0 m 2.00 m/s; at 15.0 m 3.00 m/s; at 20.0 m 4.00 m/s;") || !strings.Contains(words(s), "this fall") {
		t.Errorf("%q, %q", s.Desc, words(s))
	}
}
