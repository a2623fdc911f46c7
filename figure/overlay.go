package figure

import (
	"fmt"
	"math"
	"strings"
)

// OverlayTrace is one trace of an Overlay.
type OverlayTrace struct {
	Specimen  string
	Condition string
	Time      []float64 // s from first contact, increasing
	Force     []float64 // N
}

// Overlay draws the traces of one fall number over each other, from first
// contact, each in its condition's colour and dash with its mark at the peak.
// conditions are the plan's, in order.
func Overlay(fall int, conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	return overlay(fmt.Sprintf("Force against time of fall %d", fall), conditions, traces, c)
}

// OverlayChosen draws traces that somebody chose, as Overlay does. A condition
// with an empty name keeps its place and is left out of the legend.
func OverlayChosen(conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	return overlay("Force against time of "+Counted(len(traces), "trace"), conditions, traces, c)
}

func overlay(title string, conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	s := newScene(c, title)
	names := newPalette(conditions)
	for _, t := range traces {
		names.index(t.Condition)
	}
	s.Desc = overlayWords(names, traces)
	top := legend(s, names) + 8
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 42}
	drawOverlays(s, names, traces)
	return s.finish(top+c.Height, c)
}

func drawOverlays(s *Scene, names palette, traces []OverlayTrace) {
	var times, forces []float64
	for _, t := range traces {
		a, b := extent(t.Time)
		low, high := extent(t.Force)
		times, forces = append(times, a*1000, b*1000), append(forces, low/1000, high/1000)
	}
	y, up, ok := around(s.Frame.Bottom, s.Frame.Top, append(forces, 0)...)
	first, last := extent(times)
	along := TicksWithin(first, last)
	if !ok || along == nil || !(first < last) {
		s.empty("no traces to draw")
		return
	}
	s.Frame.Left = widest(up) + labelGap + 2
	x := Scale{Low: first, High: last, From: s.Frame.Left, To: s.Frame.Right}
	upAxis(s, y, up, "Force, kN")
	alongAxis(s, x, along, "time from first contact, ms")
	for _, t := range traces {
		drawOverlay(s, x, y, names.index(t.Condition), t)
	}
	for _, t := range traces {
		if i := largest(t.Force); i >= 0 && i < len(t.Time) {
			k := names.index(t.Condition)
			s.add(Dot{X: x.At(t.Time[i] * 1000), Y: y.At(t.Force[i] / 1000), Shape: ShapeOf(k), Size: 4, Ink: Ink(k)})
		}
	}
}

func drawOverlay(s *Scene, x, y Scale, condition int, t OverlayTrace) {
	time, force := Thin(t.Time, t.Force, math.Inf(-1), math.Inf(1), int(s.Frame.Width()/3))
	points := make([]Point, len(time))
	for i := range time {
		points[i] = Point{x.At(time[i] * 1000), y.At(force[i] / 1000)}
	}
	if len(points) > 1 {
		s.add(Line{Points: points, Ink: Ink(condition), Width: 1.3, Dash: DashOf(condition)})
	}
}

// largest returns the index of the largest number, -1 when there is none.
func largest(v []float64) int {
	best := -1
	for i := range v {
		if known(v[i]) && (best < 0 || v[i] > v[best]) {
			best = i
		}
	}
	return best
}

func overlayWords(names []string, traces []OverlayTrace) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s of force from first contact. Largest forces, in kN:", upper(Counted(len(traces), "trace")))
	for _, name := range names {
		if name == "" {
			continue
		}
		var peaks []float64
		for _, t := range traces {
			if i := largest(t.Force); t.Condition == name && i >= 0 {
				peaks = append(peaks, t.Force[i])
			}
		}
		low, high := extent(peaks)
		switch len(peaks) {
		case 0:
			fmt.Fprintf(&b, " %s: no trace.", name)
		case 1:
			fmt.Fprintf(&b, " %s: %s.", name, KN(low))
		default:
			fmt.Fprintf(&b, " %s: %s.", name, Range(low/1000, high/1000, 2))
		}
	}
	return b.String()
}
