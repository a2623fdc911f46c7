package figure

import (
	"fmt"
	"math"
	"sort"

	"fallwright.example/trace"
)

// Window is one trace and the part of it to draw.
type Window struct {
	Name      string // "M-07 fall 3"
	Condition int    // index in the plan; negative for a drop without one
	Signal    *trace.Signal
	Contacts  []trace.Contact
	From, To  float64 // s on the recording's clock; To <= From means all of it
}

// Trace draws force against the recorder's clock, with contacts shaded and
// their peaks marked. However many samples the window has, the largest and the
// smallest force in it are drawn; when they are few, each is a dot.
func Trace(w Window, c Canvas) *Scene {
	s := newScene(c, "Force against time, "+w.Name)
	s.Frame = Box{44, 44, s.Width - 14, c.Height - 42}
	if n := len(w.Signal.Time); w.To <= w.From && n > 0 {
		w.From, w.To = w.Signal.Time[0], w.Signal.Time[n-1]
	}
	time, force := Thin(w.Signal.Time, w.Signal.Force, w.From, w.To, int(s.Frame.Width()))
	s.Desc = w.words(force)
	kn := make([]float64, len(force))
	for i := range force {
		kn[i] = force[i] / 1000
	}
	for _, c := range w.inWindow() {
		kn = append(kn, c.Peak/1000)
	}
	y, up, ok := around(s.Frame.Bottom, s.Frame.Top, kn...)
	if !ok || !(w.To > w.From) {
		s.empty("no samples in this window")
		return s.finish(c.Height, c)
	}
	s.Frame.Left = widest(up) + labelGap + 2
	x, unit := w.clock(s.Frame)
	w.shade(s, x)
	upAxis(s, y, up, "")
	s.add(Text{X: 2, Y: 15, Body: "Force, kN", Ink: Plain, Bold: true}) // clear of the peaks' labels
	alongAxis(s, x, TicksWithin(x.Low, x.High), "time on the recorder's clock, "+unit)

	perSecond := 1.0
	if unit == "ms" {
		perSecond = 1000
	}
	at := func(t, f float64) Point { return Point{x.At(t * perSecond), y.At(f / 1000)} }
	w.draw(s, at, time, force)
	w.peaks(s, at)
	return s.finish(c.Height, c)
}

// clock scales the window's time, in ms when it is shorter than a second.
func (w Window) clock(f Box) (Scale, string) {
	if w.To-w.From < 1 {
		return Scale{Low: w.From * 1000, High: w.To * 1000, From: f.Left, To: f.Right}, "ms"
	}
	return Scale{Low: w.From, High: w.To, From: f.Left, To: f.Right}, "s"
}

func (w Window) ink() Ink {
	if w.Condition < 0 {
		return Sea
	}
	return Ink(w.Condition)
}

func (w Window) shade(s *Scene, x Scale) {
	scale := (x.High - x.Low) / (w.To - w.From)
	for _, c := range w.Contacts {
		from, to := math.Max(c.Start, w.From), math.Min(c.End, w.To)
		if from < to {
			s.add(Band{Box{x.At(from * scale), s.Frame.Top, x.At(to * scale), s.Frame.Bottom}, SeaSoft})
		}
	}
}

func (w Window) draw(s *Scene, at func(t, f float64) Point, time, force []float64) {
	points := make([]Point, len(time))
	for i := range time {
		points[i] = at(time[i], force[i])
	}
	if len(points) > 1 {
		s.add(Line{Points: points, Ink: w.ink(), Width: 1.4})
	}
	if float64(len(points)) < s.Frame.Width()/10 {
		for _, p := range points {
			s.add(Dot{X: p.X, Y: p.Y, Shape: Circle, Size: 2.4, Ink: w.ink()})
		}
	}
}

// peaks marks each contact's peak in the window and writes its force, the
// largest first; a label that would lie on another is left out.
func (w Window) peaks(s *Scene, at func(t, f float64) Point) {
	shown := w.inWindow()
	sort.SliceStable(shown, func(i, j int) bool { return shown[i].Peak > shown[j].Peak })
	var taken []Box
	for _, c := range shown {
		p := at(c.PeakAt, c.Peak)
		s.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(max(0, w.Condition)), Size: 4.5, Ink: w.ink()})
		label := KN(c.Peak) + thin + "kN"
		t := Text{X: inside(p.X, label, s.Frame.Right), Y: p.Y - 9, Anchor: Middle, Body: label, Ink: Plain, Bold: true}
		free := true
		for _, b := range taken {
			free = free && !overlap(t.bounds(), b)
		}
		if free {
			s.add(t)
			taken = append(taken, t.bounds())
		}
	}
}

// inWindow lists the contacts whose peak is a sample of the window.
func (w Window) inWindow() []trace.Contact {
	var out []trace.Contact
	for _, c := range w.Contacts {
		if c.PeakAt >= w.From && c.PeakAt <= w.To && known(c.Peak) {
			out = append(out, c)
		}
	}
	return out
}

func overlap(a, b Box) bool {
	return a.Left < b.Right && b.Left < a.Right && a.Top < b.Bottom && b.Top < a.Bottom
}

func (w Window) words(force []float64) string {
	if len(force) == 0 {
		return fmt.Sprintf("No samples from %s to %s s.", Fixed(w.From, 3), Fixed(w.To, 3))
	}
	low, high := extent(force)
	text := fmt.Sprintf("From %s to %s s on the recorder's clock. Force from %s to %s kN.", Fixed(w.From, 3), Fixed(w.To, 3), KN(low), KN(high))
	peaks := w.inWindow()
	text += " " + upper(Counted(len(peaks), "contact peak")) + "."
	for i, c := range peaks {
		if i == 6 {
			return text + " Others are lower down."
		}
		text += fmt.Sprintf(" %s kN at %s s.", KN(c.Peak), Fixed(c.PeakAt, 3))
	}
	return text
}
