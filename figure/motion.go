package figure

import (
	"fmt"
	"math"

	"fallwright.example/trace"
)

// Moving is a trace with its motion and the part of it to draw.
type Moving struct {
	Name      string
	Condition int // index in the plan; negative for a drop without one
	Contacts  []trace.Contact
	Force     *Pyramid
	Speed     *Pyramid // nil where it is not known, as Stretch
	Stretch   *Pyramid
	Second    *Pyramid // force of another reading, drawn over the first; or nil
	SecondAs  string   // what it is: "CFC 180"
	From, To  float64  // s on the recording's clock; To <= From means all of it
}

// Motion draws force, speed and stretch under each other over one clock, with
// contacts shaded and their peaks marked. Every peak is kept. What is not known
// is left out. The canvas gives the height of the force.
func Motion(m Moving, c Canvas) *Scene {
	w := Window{Name: m.Name, Condition: m.Condition, Contacts: m.Contacts, From: m.From, To: m.To}
	if n := m.Force.Len(); w.To <= w.From && n > 0 {
		w.From, w.To = m.Force.time[0], m.Force.time[n-1]
	}
	s := newScene(c, m.title())
	columns := int(c.Width)
	_, force := m.Force.Thin(w.From, w.To, columns)
	s.Desc = w.words(force)
	per, unit := 1.0, "s"
	if w.To-w.From < 1 {
		per, unit = 1000, "ms"
	}
	line := func(p *Pyramid, scale float64, ink Ink, dash []float64) curve {
		t, v := p.Thin(w.From, w.To, columns)
		for i := range t {
			t[i], v[i] = t[i]*per, v[i]*scale
		}
		return curve{x: t, y: v, ink: ink, dash: dash, width: 1.4}
	}
	top := panel{name: "Force, kN", height: c.Height, curves: []curve{line(m.Force, 1e-3, w.ink(), nil)}}
	if m.Second != nil {
		top.curves = append(top.curves, line(m.Second, 1e-3, Plain, []float64{5, 3}))
		s.Desc += fmt.Sprintf(" The dashed line is the same trace read with %s.", m.SecondAs)
	}
	top.curves = append(top.curves, curve{y: w.peaksShown()}) // so that their marks fit
	top.marks = func(s *Scene, x, y Scale) {
		w.peaks(s, func(t, f float64) Point { return Point{x.At(t * per), y.At(f / 1000)} })
	}
	panels := []panel{top}
	if m.Speed != nil {
		panels = append(panels, panel{name: "Speed, m/s", height: 0.3 * c.Height, zero: true, curves: []curve{line(m.Speed, 1, w.ink(), nil)}})
	}
	if m.Stretch != nil {
		panels = append(panels, panel{name: "Stretch, m", height: 0.3 * c.Height, zero: true, curves: []curve{line(m.Stretch, 1, w.ink(), nil)}})
	}
	bottom := stack(s, 4, panels, w.From*per, w.To*per, "time on the recorder's clock, "+unit, func(s *Scene, x Scale) { w.shade(s, x) })
	return s.finish(bottom, c)
}

func (m Moving) title() string {
	switch {
	case m.Speed != nil && m.Stretch != nil:
		return "Force, speed and stretch against time, " + m.Name
	}
	return "Force against time, " + m.Name
}

// peaksShown are the peaks in the window, in kN.
func (w Window) peaksShown() []float64 {
	var out []float64
	for _, c := range w.inWindow() {
		out = append(out, c.Peak/1000)
	}
	return out
}

// Plotted is one reading with its signal, for TracePlot.
type Plotted struct {
	Name    string // of the file, with the drop where it holds several
	Reading *trace.Reading
	Signal  *trace.Signal
}

// TracePlot draws traces under each other: force against time with its
// contacts, and, where they are known, speed, stretch and the loop of the first
// contact. The canvas gives the width and the height of one panel of force.
func TracePlot(traces []Plotted, c Canvas) *Scene {
	var all *Scene
	for i, p := range traces {
		one := c
		if i < len(traces)-1 {
			one.Remark = ""
		}
		s := plotOf(p, one)
		if len(traces) > 1 {
			head := &Scene{Width: c.Width, Height: lineHeight + 8}
			head.add(Text{X: 2, Y: lineHeight, Body: p.Name, Ink: Plain, Bold: true})
			head.Title, head.Desc = s.Title, p.Name+":"
			s = under(head, s)
		}
		if all == nil {
			all = s
			continue
		}
		all = under(all, s)
	}
	if all == nil {
		all = newScene(c, "Traces")
		all.Frame = Box{0, 0, c.Width, c.Height}
		all.Desc = "There is no trace."
		all.empty("there is no trace")
		return all.finish(c.Height, c)
	}
	if len(traces) > 1 {
		all.Title = upper(Counted(len(traces), "trace"))
	}
	return all
}

func plotOf(p Plotted, c Canvas) *Scene {
	m := Moving{Name: p.Name, Condition: -1, Contacts: p.Reading.Contacts, Force: NewPyramid(p.Signal.Time, p.Signal.Force)}
	sig := p.Signal
	motion := func(v []float64) *Pyramid {
		if len(v) == 0 || sig.First < 0 || sig.First+len(v) > len(sig.Time) {
			return nil
		}
		return NewPyramid(sig.Time[sig.First:sig.First+len(v)], v)
	}
	m.Speed, m.Stretch = motion(sig.Speed), motion(sig.Stretch)
	bare := c
	if m.Stretch != nil && len(m.Contacts) > 0 {
		bare.Remark = ""
	}
	s := Motion(m, bare)
	if m.Stretch == nil || len(m.Contacts) == 0 {
		return s
	}
	from := max(m.Contacts[0].From, sig.First)
	end := min(m.Contacts[0].To+1, sig.First+len(sig.Stretch))
	if from >= end {
		return s
	}
	x, f := ThinLoop(sig.Stretch[from-sig.First:end-sig.First], sig.Force[from:end], int(c.Width))
	c.Height = math.Max(c.Height, 260)
	return under(s, Loops(p.Name, []LoopCurve{{Condition: -1, Stretch: x, Force: f}}, c))
}
