package figure

import "math"

// curve is one line of a panel.
type curve struct {
	x, y  []float64
	ink   Ink
	dash  []float64
	width float64
	dots  bool
	faint bool
}

// panel is one drawing of several that share what runs along the bottom.
type panel struct {
	name   string // "Speed, m/s", above it
	height float64
	curves []curve
	zero   bool // zero is always in it
	marks  func(s *Scene, x, y Scale)
}

// panelGap is the room above a panel for its name.
const panelGap = 26.0

// stack draws panels under each other from top on, over one x scale whose ticks
// are written once, below the last, and returns where they end. shade is drawn
// behind each.
func stack(s *Scene, top float64, panels []panel, low, high float64, name string, shade func(s *Scene, x Scale)) float64 {
	left := 0.0
	type drawn struct {
		frame Box
		y     Scale
		up    []Tick
		ok    bool
	}
	all := make([]drawn, len(panels))
	for i, p := range panels {
		d := drawn{frame: Box{0, top + panelGap, s.Width - 14, top + panelGap + p.height}}
		d.y, d.up, d.ok = p.scale(d.frame)
		left = math.Max(left, widest(d.up)+labelGap+2)
		all[i] = d
		top = d.frame.Bottom
	}
	x := Scale{Low: low, High: high, From: left, To: s.Width - 14}
	for i, p := range panels {
		d := all[i]
		d.frame.Left = left
		s.Frame = d.frame
		if shade != nil {
			shade(s, x)
		}
		upAxis(s, d.y, d.up, p.name)
		if !d.ok || !(high > low) {
			s.empty("nothing to draw here")
		} else {
			p.draw(s, x, d.y)
		}
		s.foot()
	}
	var along []Tick
	for _, t := range TicksWithin(low, high) {
		if t.Value >= low && t.Value <= high { // a window of no width has none
			along = append(along, t)
		}
	}
	alongAxis(s, x, along, name)
	s.Frame.Top = all[0].frame.Top // all of the panels
	return top + 42
}

func (p panel) scale(f Box) (Scale, []Tick, bool) {
	var values []float64
	for _, c := range p.curves {
		low, high := extent(c.y)
		values = append(values, low, high)
	}
	if p.zero {
		values = append(values, 0)
	}
	return around(f.Bottom, f.Top, values...)
}

func (p panel) draw(s *Scene, x, y Scale) {
	for _, c := range p.curves {
		var points []Point
		flush := func() {
			if len(points) > 1 {
				s.add(Line{Points: points, Ink: c.ink, Width: c.width, Dash: c.dash, Faint: c.faint})
			}
			points = nil
		}
		for i := range c.x {
			if !known(c.y[i]) || !known(c.x[i]) {
				flush()
				continue
			}
			points = append(points, Point{x.At(c.x[i]), y.At(c.y[i])})
			if c.dots {
				at := points[len(points)-1]
				s.add(Dot{X: at.X, Y: at.Y, Shape: ShapeOf(max(0, int(c.ink))), Size: 4.5, Ink: c.ink})
			}
		}
		flush()
	}
	if p.marks != nil {
		p.marks(s, x, y)
	}
}

// under draws b below a, as one picture with a's title.
func under(a, b *Scene) *Scene {
	for _, m := range b.Marks {
		a.add(lowered(m, a.Height))
	}
	a.Width = math.Max(a.Width, b.Width)
	a.Height += b.Height
	a.Desc += " " + b.Desc
	return a
}

// lowered is a mark so far further down.
func lowered(m Mark, by float64) Mark {
	switch m := m.(type) {
	case Line:
		points := make([]Point, len(m.Points))
		for i, p := range m.Points {
			points[i] = Point{p.X, p.Y + by}
		}
		m.Points = points
		return m
	case Dot:
		m.Y += by
		return m
	case Bar:
		m.A.Y, m.B.Y = m.A.Y+by, m.B.Y+by
		return m
	case Band:
		m.Top, m.Bottom = m.Top+by, m.Bottom+by
		return m
	case Text:
		m.Y += by
		return m
	}
	return m
}
