package figure

import "fmt"

// Shape is the outline of a Dot.
type Shape int

// The six shapes, in the order that conditions take them.
const (
	Circle Shape = iota
	Triangle
	Square
	Diamond
	Funnel // a triangle on its point
	Cross
)

const colours = 6

// dashes are px on and off, in the order that conditions take them.
var dashes = [colours][]float64{nil, {9, 4}, {4, 3}, {10, 3, 2, 3}, {2, 3}, {12, 3, 2, 3, 2, 3}}

// ShapeOf returns the mark of the i-th condition of a plan. From the seventh on
// colours come round again, and shape and dash are turned on, each by its own
// amount, so that no two of the first 36 conditions share colour and shape.
func ShapeOf(i int) Shape { return Shape((i + i/colours) % colours) }

// DashOf returns the dash of the i-th condition of a plan; nil is a solid line.
func DashOf(i int) []float64 { return dashes[(i+2*(i/colours))%colours] }

// class names the colour of an Ink as the style sheet has it.
func (k Ink) class() string {
	switch k {
	case Plain:
		return "ink"
	case Soft:
		return "soft"
	case Rule:
		return "rule"
	case Sea:
		return "sea"
	case SeaSoft:
		return "wash"
	case Warn:
		return "warn"
	}
	return fmt.Sprintf("c%d", int(k)%colours)
}

// outline returns the corners of a shape around (x, y), nil for a circle. The
// sizes make all six look equally heavy beside a circle of radius r.
func (s Shape) outline(x, y, r float64) []Point {
	var ring []Point
	at := func(dx, dy float64) { ring = append(ring, Point{x + dx*r, y + dy*r}) }
	switch s {
	case Triangle:
		at(-1.15, 0.9)
		at(1.15, 0.9)
		at(0, -1.2)
	case Square:
		at(-0.9, -0.9)
		at(0.9, -0.9)
		at(0.9, 0.9)
		at(-0.9, 0.9)
	case Diamond:
		at(0, -1.25)
		at(1.25, 0)
		at(0, 1.25)
		at(-1.25, 0)
	case Funnel:
		at(-1.15, -0.9)
		at(1.15, -0.9)
		at(0, 1.2)
	case Cross:
		for _, c := range [][2]float64{
			{-0.4, -1.2},
			{0.4, -1.2},
			{0.4, -0.4},
			{1.2, -0.4},
			{1.2, 0.4},
			{0.4, 0.4},
			{0.4, 1.2},
			{-0.4, 1.2},
			{-0.4, 0.4},
			{-1.2, 0.4},
			{-1.2, -0.4},
			{-0.4, -0.4},
		} {
			at(c[0], c[1])
		}
	}
	return ring
}

// palette orders conditions: the plan's first, then any that only the data have.
type palette []string

func newPalette(plan []string) palette { return append(palette(nil), plan...) }

func (p *palette) index(name string) int {
	for i, have := range *p {
		if have == name {
			return i
		}
	}
	*p = append(*p, name)
	return len(*p) - 1
}
