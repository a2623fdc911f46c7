package figure

import "math"

const (
	labelGap   = 8.0  // px between a label and what it belongs to
	lineHeight = 18.0 // px from one line of labels to the next
)

// empty says in the middle of the frame why nothing is drawn there.
func (s *Scene) empty(why string) {
	s.add(Text{X: s.Width / 2, Y: (s.Frame.Top + s.Frame.Bottom) / 2, Anchor: Middle, Body: why, Ink: Soft})
}

// upAxis draws level hairlines with their labels left of the frame, a heavier
// one at zero, and the axis's name, if any, above them.
func upAxis(s *Scene, y Scale, ticks []Tick, name string) {
	for _, t := range ticks {
		at := y.At(t.Value)
		ink := Rule
		if t.Value == 0 {
			ink = Soft
		}
		s.add(Line{Points: []Point{{s.Frame.Left, at}, {s.Frame.Right, at}}, Ink: ink, Width: 1},
			Text{X: s.Frame.Left - labelGap, Y: at + 4.5, Anchor: End, Body: t.Label, Ink: Soft})
	}
	if name == "" {
		return
	}
	s.add(Text{X: 2, Y: s.Frame.Top - 13, Body: name, Ink: Plain, Bold: true})
}

// alongAxis draws the frame's foot with short strokes and their labels below
// it, and the axis's name, if any, under them in the middle.
func alongAxis(s *Scene, x Scale, ticks []Tick, name string) {
	s.foot()
	for _, t := range ticks {
		at := x.At(t.Value)
		s.add(Line{Points: []Point{{at, s.Frame.Bottom}, {at, s.Frame.Bottom + 4}}, Ink: Soft, Width: 1},
			Text{X: inside(at, t.Label, s.Width), Y: s.Frame.Bottom + lineHeight, Anchor: Middle, Body: t.Label, Ink: Soft})
	}
	if name == "" {
		return
	}
	mid := (s.Frame.Left + s.Frame.Right) / 2
	s.add(Text{X: mid, Y: s.Frame.Bottom + 2*lineHeight, Anchor: Middle, Body: name, Ink: Soft})
}

func (s *Scene) foot() {
	s.add(Line{Points: []Point{{s.Frame.Left, s.Frame.Bottom}, {s.Frame.Right, s.Frame.Bottom}}, Ink: Soft, Width: 1})
}

// inside moves the middle of a text so that it ends within the picture.
func inside(x float64, text string, width float64) float64 {
	half := textWidth(text) / 2
	return math.Max(half, math.Min(width-half, x))
}

// widest returns the width of the widest tick label.
func widest(ticks []Tick) float64 {
	var w float64
	for _, t := range ticks {
		w = math.Max(w, textWidth(t.Label))
	}
	return w
}

// covering returns ticks for a set of values and the scale that they span. It
// is false when no value is finite.
func covering(from, to float64, values ...float64) (Scale, []Tick, bool) {
	low, high := extent(values)
	ticks := Ticks(low, high)
	if ticks == nil {
		return Scale{Low: 0, High: 1, From: from, To: to}, nil, false
	}
	return Scale{Low: ticks[0].Value, High: ticks[len(ticks)-1].Value, From: from, To: to}, ticks, true
}

// around returns the scale of a set of values with a little room on either
// side, and the ticks inside it, for what need not start on a round value. It
// is false when no value is finite.
func around(from, to float64, values ...float64) (Scale, []Tick, bool) {
	low, high := extent(values)
	if low > high {
		return Scale{Low: 0, High: 1, From: from, To: to}, nil, false
	}
	low, high = widen(low, high)
	room := 0.04 * (high - low)
	s := Scale{Low: low - room, High: high + room, From: from, To: to}
	return s, TicksWithin(s.Low, s.High), true
}

// extent returns the smallest and the largest finite value; low > high when
// there is none.
func extent(values []float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if known(v) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	return low, high
}

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
