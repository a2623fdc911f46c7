package figure

import (
	"math"
	"slices"
	"strconv"
)

// Of the names beside the traces of an OverlayChosen.
const (
	nameGap    = 15.0 // px from one to the next
	nameStroke = 22.0 // px of the stroke before a name
	nameLead   = 16.0 // px from the frame to the stroke
)

// OverlayChosen draws traces that somebody chose, as Overlay does, but with the
// dash telling the traces of one condition apart, and each trace's name at the
// right, from the highest peak down, with a hairline from its peak. When there
// is no room for all names, there are none. A condition with an empty name keeps
// its place and is left out of the legend. The marks of the i-th trace are Of
// "i".
func OverlayChosen(conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	s := newScene(c, "Force against time of "+Counted(len(traces), "trace"))
	names := overlayPalette(conditions, traces)
	s.Desc = overlayWords(names, traces)
	top := markLegend(s, names) + 8
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 42}
	wide := 0.0
	for _, t := range traces {
		wide = max(wide, textWidth(t.Name))
	}
	room := nameLead + nameStroke + labelGap + wide
	named := wide > 0 && room < 0.45*s.Width && float64(len(traces)-1)*nameGap <= s.Frame.Height()
	if named {
		s.Frame.Right -= room - 10
	}
	strokes := chosenStrokes(names, traces)
	peaks := drawOverlays(s, names, traces, strokes)
	if named {
		nameTraces(s, traces, strokes, peaks)
	}
	return s.finish(top+c.Height, c)
}

// chosenStrokes gives the traces of one condition its colour and a dash each, in
// the order of the dashes that conditions have, from the condition's own on.
func chosenStrokes(names palette, traces []OverlayTrace) []Line {
	seen := map[int]int{}
	out := make([]Line, len(traces))
	for i, t := range traces {
		k := names.index(t.Condition)
		out[i] = Line{Ink: Ink(k), Width: 1.3, Dash: DashOf((k + seen[k]) % colours), Of: strconv.Itoa(i)}
		seen[k]++
	}
	return out
}

// nameTraces writes the names at the right of the frame.
func nameTraces(s *Scene, traces []OverlayTrace, strokes []Line, peaks []Point) {
	var at []float64
	var which []int
	for i, p := range peaks {
		if !math.IsNaN(p.Y) {
			at, which = append(at, p.Y), append(which, i)
		}
	}
	left := s.Frame.Right + nameLead
	for k, y := range spread(at, nameGap, s.Frame.Top, s.Frame.Bottom) {
		i := which[k]
		of := strokes[i].Of
		s.add(Line{Points: []Point{peaks[i], {s.Frame.Right, peaks[i].Y}, {left - 3, y}}, Ink: Soft, Width: 0.6, Faint: true, Of: of})
		sample := strokes[i]
		sample.Points, sample.Width = []Point{{left, y}, {left + nameStroke, y}}, 2
		s.add(sample, Text{X: left + nameStroke + labelGap, Y: y + 4.5, Body: traces[i].Name, Ink: Plain, Of: of})
	}
}

// markLegend is the legend of pictures in which the dash does not tell
// conditions apart: colours and marks only.
func markLegend(s *Scene, names []string) float64 {
	from := len(s.Marks)
	y := legend(s, names)
	s.Marks = append(s.Marks[:from], slices.DeleteFunc(s.Marks[from:], func(m Mark) bool { _, line := m.(Line); return line })...)
	return y
}
