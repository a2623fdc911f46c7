package figure

import "math"

// Mark is one thing drawn: Line, Dot, Bar, Band or Text.
type Mark interface {
	bounds() Box // what it covers, text by estimate
}

// Ink is what a mark is drawn in: the index of a condition, or a role below 0.
type Ink int

// The roles.
const (
	Plain   Ink = -1 - iota // the page's text colour
	Soft                    // secondary text
	Rule                    // hairlines
	Sea                     // the one accent
	SeaSoft                 // its wash
	Warn                    // remarks that must be seen
)

// Point is a place in a Scene.
type Point struct{ X, Y float64 }

// Line joins points.
type Line struct {
	Points []Point
	Ink    Ink
	Width  float64
	Dash   []float64 // px on and off; nil for a solid line
	Faint  bool
	Of     string // what the line belongs to, for a page that picks it out; or empty
}

// Dot is one value, drawn as a Shape.
type Dot struct {
	X, Y  float64
	Shape Shape
	Size  float64 // radius of the circle of the same weight
	Ink   Ink
	Of    string // as a Line's
}

// Bar is an interval: a stroke with a cap across each end.
type Bar struct {
	A, B  Point
	Cap   float64 // half length of a cap; 0 for none
	Ink   Ink
	Width float64
}

// Band is a filled rectangle.
type Band struct {
	Box
	Ink Ink
}

// Anchor says which end of a text lies at its point.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of words. Y is the baseline.
type Text struct {
	X, Y   float64
	Anchor Anchor
	Body   string
	Ink    Ink
	Bold   bool
	Of     string // as a Line's
}

const fontSize = 13

// textWidth estimates how wide a text is drawn, in px. It is generous for the
// faces that the pages name, so that what fits by estimate fits on screen.
func textWidth(s string) float64 {
	n := 0
	for range s {
		n++
	}
	return 0.56 * fontSize * float64(n)
}

func (l Line) bounds() Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range l.Points {
		b = Box{math.Min(b.Left, p.X), math.Min(b.Top, p.Y), math.Max(b.Right, p.X), math.Max(b.Bottom, p.Y)}
	}
	return b
}

func (d Dot) bounds() Box {
	return Box{d.X - d.Size, d.Y - d.Size, d.X + d.Size, d.Y + d.Size}
}

func (b Bar) bounds() Box { return Line{Points: []Point{b.A, b.B}}.bounds() }

func (b Band) bounds() Box { return b.Box }

func (t Text) bounds() Box {
	w := textWidth(t.Body)
	left := t.X - w*[...]float64{0, 0.5, 1}[t.Anchor]
	return Box{left, t.Y - 0.75*fontSize, left + w, t.Y + 0.25*fontSize}
}
