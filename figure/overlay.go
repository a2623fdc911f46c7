package figure

import (
	"fmt"
	"math"
	"strings"
)

// OverlayTrace is one trace of an Overlay.
type OverlayTrace struct {
	Name      string // "M-07, fall 3"; drawn by OverlayChosen only
	Specimen  string
	Condition string
	Time      []float64 // s from first contact, increasing
	Force     []float64 // N
}

// Overlay draws the traces of one fall number over each other, from first
// contact, each in its condition's colour and dash with its mark at the peak.
// conditions are the plan's, in order.
func Overlay(fall int, conditions []string, traces []OverlayTrace, c Canvas) *Scene {
	s := newScene(c, fmt.Sprintf("Force against time of fall %d", fall))
	names := overlayPalette(conditions, traces)
	s.Desc = overlayWords(names, traces)
	top := legend(s, names) + 8
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 42}
	strokes := make([]Line, len(traces))
	for i, t := range traces {
		k := names.index(t.Condition)
		strokes[i] = Line{Ink: Ink(k), Width: 1.3, Dash: DashOf(k)}
	}
	drawOverlays(s, names, traces, strokes)
	return s.finish(top+c.Height, c)
}

func overlayPalette(conditions []string, traces []OverlayTrace) palette {
	names := newPalette(conditions)
	for _, t := range traces {
		names.index(t.Condition)
	}
	return names
}

// drawOverlays draws the traces, and returns where their peaks lie: at NaN for a
// trace without any.
func drawOverlays(s *Scene, names palette, traces []OverlayTrace, strokes []Line) []Point {
	peaks := make([]Point, len(traces))
	for i := range peaks {
		peaks[i] = Point{math.NaN(), math.NaN()}
	}
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
		return peaks
	}
	s.Frame.Left = widest(up) + labelGap + 2
	x := Scale{Low: first, High: last, From: s.Frame.Left, To: s.Frame.Right}
	upAxis(s, y, up, "Force, kN")
	alongAxis(s, x, along, "time from first contact, ms")
	for i, t := range traces {
		drawOverlay(s, x, y, strokes[i], t)
	}
	for n, t := range traces {
		if i := largest(t.Force); i >= 0 && i < len(t.Time) {
			k := names.index(t.Condition)
			peaks[n] = Point{x.At(t.Time[i] * 1000), y.At(t.Force[i] / 1000)}
			s.add(Dot{X: peaks[n].X, Y: peaks[n].Y, Shape: ShapeOf(k), Size: 4, Ink: Ink(k), Of: strokes[n].Of})
		}
	}
	return peaks
}

func drawOverlay(s *Scene, x, y Scale, stroke Line, t OverlayTrace) {
	time, force := Thin(t.Time, t.Force, math.Inf(-1), math.Inf(1), int(s.Frame.Width()/3))
	points := make([]Point, len(time))
	for i := range time {
		points[i] = Point{x.At(time[i] * 1000), y.At(force[i] / 1000)}
	}
	if len(points) > 1 {
		stroke.Points = points
		s.add(stroke)
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
