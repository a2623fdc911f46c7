package figure

import (
	"fmt"
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
// is no room for all names, there are none: OverlayNamed tells, and OverlayKey is
// what stands below then. A condition with an empty name keeps its place and is
// left out of the legend. The marks of the i-th trace are Of "i".
func OverlayChosen(conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	return OverlayPicked(conditions, traces, -1, c)
}

// OverlayPicked is OverlayChosen with one trace, by its index, drawn over the
// others, which are faint, and named at its peak where the names are left out.
// Without such a trace nothing is picked.
func OverlayPicked(conditions []string, traces []OverlayTrace, picked int, c Canvas) *Scene {
	s := newScene(c, "Force against time of "+Counted(len(traces), "trace"))
	names := overlayPalette(conditions, traces)
	s.Desc = overlayWords(names, traces)
	top := markLegend(s, names) + 8
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 42}
	room, named := namesRoom(traces, s.Width, s.Frame.Height())
	if named {
		s.Frame.Right -= room - 10
	}
	strokes := chosenStrokes(names, traces)
	if picked >= 0 && picked < len(traces) {
		for i := range strokes {
			strokes[i].Faint = i != picked
		}
		strokes[picked].Width = 2.8
		s.Desc += " " + traces[picked].Name + " is picked out."
	}
	peaks := drawOverlays(s, names, traces, strokes)
	for i := range strokes {
		strokes[i].Faint = false
	}
	if named {
		nameTraces(s, traces, strokes, peaks)
	} else if picked >= 0 && picked < len(traces) && !math.IsNaN(peaks[picked].Y) {
		nameAtPeak(s, traces[picked].Name, strokes[picked].Of, peaks[picked])
	}
	return s.finish(top+c.Height, c)
}

// OverlayNamed reports whether an OverlayChosen has room for the names of the
// traces.
func OverlayNamed(traces []OverlayTrace, c Canvas) bool {
	_, named := namesRoom(traces, c.Width, c.Height-42-28)
	return named
}

// namesRoom is how wide the names are with what stands before them, and whether
// they fit into a picture so wide whose frame is so high.
func namesRoom(traces []OverlayTrace, width, height float64) (room float64, named bool) {
	wide := 0.0
	for _, t := range traces {
		wide = max(wide, textWidth(t.Name))
	}
	room = nameLead + nameStroke + labelGap + wide
	return room, wide > 0 && room < 0.45*width && float64(len(traces)-1)*nameGap <= height
}

// nameAtPeak writes a name above a peak, within the frame.
func nameAtPeak(s *Scene, name, of string, peak Point) {
	half := textWidth(name) / 2
	x := max(s.Frame.Left+half, min(peak.X, s.Frame.Right-half))
	s.add(Text{X: x, Y: max(s.Frame.Top-4, peak.Y-9), Anchor: Middle, Body: name, Ink: Plain, Bold: true, Of: of})
}

// OverlayKey are the stroke and mark of each trace of an OverlayChosen as small
// pictures for use beside its name, hidden from readers who are told the name.
func OverlayKey(conditions []string, traces []OverlayTrace) []string {
	names := overlayPalette(conditions, traces)
	out := make([]string, len(traces))
	for i, stroke := range chosenStrokes(names, traces) {
		k := names.index(traces[i].Condition)
		stroke.Points, stroke.Width, stroke.Of = []Point{{0, 7}, {sample, 7}}, 2, ""
		out[i] = fmt.Sprintf(`<svg class="fig key" viewBox="0 0 %g 14" aria-hidden="true">%s%s</svg>`, sample, stroke.element(),
			Dot{X: sample / 2, Y: 7, Shape: ShapeOf(k), Size: 4.5, Ink: Ink(k)}.element())
	}
	return out
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
