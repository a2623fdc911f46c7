package figure

import "math"

// beside is a word that belongs beside a place: to its right where side is 1, to
// its left where it is −1, if there is room.
type beside struct {
	body string
	at   Point
	side float64
	ink  Ink
}

// spots are where the word may stand, the best first.
func (b beside) spots() []Text {
	const gap, line = 11, 1.25 * fontSize
	var out []Text
	for _, down := range []float64{0, line, -line, 2 * line, -2 * line, 3 * line, -3 * line} {
		for _, side := range []float64{b.side, 0, -b.side} {
			if side == 0 && down == 0 {
				continue // on the place itself
			}
			anchor := map[float64]Anchor{1: Start, 0: Middle, -1: End}[side]
			out = append(out, Text{X: b.at.X + gap*side, Y: b.at.Y + 4 + down, Anchor: anchor, Body: b.body, Ink: b.ink})
		}
	}
	return out
}

// write puts every word where it covers least, the other words last of all.
func (v *sideView) write() {
	for _, b := range v.words {
		best, least := Text{}, math.Inf(1)
		for i, t := range b.spots() {
			if cost := v.covered(t.bounds()) + float64(i)/4; cost < least {
				best, least = t, cost
			}
		}
		v.add(best)
	}
}

// covered says how bad it is to write into a box: out of the picture, over words,
// over marks, over lines, in that order.
func (v *sideView) covered(box Box) float64 {
	cost := 0.0
	if box.Left < 2 || box.Right > v.Width-2 || box.Top < v.Frame.Top-4 || box.Bottom > v.Frame.Bottom {
		cost += 10000
	}
	for _, m := range v.Marks {
		switch m := m.(type) {
		case Text:
			if overlap(box, m.bounds()) {
				cost += 1000
			}
		case Dot:
			if overlap(box, Box{m.X - m.Size, m.Y - m.Size, m.X + m.Size, m.Y + m.Size}) {
				cost += 20 * m.Size
			}
		case Line:
			if m.Ink != Rule {
				cost += within(box, m.Points)
			}
		}
	}
	return cost
}

// within is the length of a line inside a box, in steps of 3.
func within(box Box, points []Point) float64 {
	inside := 0.0
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		n := math.Ceil(math.Hypot(b.X-a.X, b.Y-a.Y) / 3)
		for k := range int(n) {
			u := (float64(k) + 0.5) / n
			if x, y := a.X+u*(b.X-a.X), a.Y+u*(b.Y-a.Y); x > box.Left && x < box.Right && y > box.Top && y < box.Bottom {
				inside++
			}
		}
	}
	return inside
}
