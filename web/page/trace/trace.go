// Package trace is the page of one trace: its plot, what was read from it, and
// what stands behind the reading.
package trace

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is one trace.
type View struct {
	Frame         frame.View
	Title         string // "M-07, fall 3"
	Trace         *study.TraceView
	Condition     mark.Condition
	Before, After string // addresses of the neighbours; empty at the ends
	Plot          Plot
}

// Plot is the drawn trace and the ways through it. Its times are on the
// recorder's clock.
type Plot struct {
	Picture frame.Picture
	Ink     string // the CSS variable of the curve
	Points  string // address that gives the points of a window
	Path    string // of the page, without a query
	Window  string // in words: "0.100 to 0.600 s"
	From    string // of the window, in seconds; empty for the whole trace
	To      string
	Links   []Link
}

// Link is one zoom link; without an address there is nothing further that way.
type Link struct{ Name, Text, Href string }

// reading is the newest reading, or nil.
func (v View) reading() *trace.Reading { return v.Trace.Row.Reading }

// value is one line of the table of readings.
type value struct{ label, text, what string }

// values are the readings in the order of a catch.
func values(r *trace.Reading) []value {
	f := func(v trace.Value) float64 { return float64(v) }
	out := []value{
		{"peak force", say.Force(f(r.PeakForce)), "largest force of the trace"},
		{"time to peak", say.Milliseconds(f(r.TimeToPeak)), "from first contact"},
		{"impact speed", say.Speed(f(r.ImpactSpeed)), "when the rope goes tight"},
		{"largest stretch", say.Length(f(r.MaxStretch)), "of the first contact"},
		{"energy in", say.Energy(f(r.EnergyIn)), "work on the rope up to the largest stretch"},
		{"energy absorbed", say.Energy(f(r.EnergyAbsorbed)), "loop area of the first contact"},
		{"rebound speed", say.Speed(f(r.ReboundSpeed)), "upward, when the force is back at zero"},
		{"impulse", say.Impulse(f(r.FirstImpulse)), "force over time of the first contact"},
	}
	for i, b := range r.BouncePeaks {
		out = append(out, value{"bounce " + strconv.Itoa(i+1), say.Force(f(b)), "largest force of a later contact"})
	}
	return append(out,
		value{"tare", say.Newtons(f(r.Tare)), "taken off every sample"},
		value{"noise", say.Newtons(f(r.Noise)), "standard deviation before the catch"},
		value{"sampling", say.Rate(f(r.SampleRate)), figure.Counted(r.Samples, "sample") + ", read in " + r.Unit},
		value{"filter", class(r.Class), ""},
	)
}

func class(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprintf("CFC %d", n)
}

func contactEnd(c trace.Contact) string {
	if c.Open {
		return "still taut"
	}
	return say.Seconds(c.End)
}

func contactStart(c trace.Contact) string {
	if c.Begun {
		return "taut already"
	}
	return say.Seconds(c.Start)
}

// params writes the numbers a step used.
func params(s trace.Step) string {
	text := ""
	for i, p := range s.Params {
		if i > 0 {
			text += ", "
		}
		text += p.Name + " " + strings.Replace(strconv.FormatFloat(p.Value, 'g', 6, 64), "-", "−", 1)
		if p.Unit != "" {
			text += "\u00a0" + p.Unit
		}
	}
	return text
}

// released says when the mass was let go, by whom, and after what rest.
func (v View) released() string {
	row := v.Trace.Row
	text := "released " + say.Clock(row.Drop.At)
	if row.Drop.By != "" {
		text += " by " + row.Drop.By
	}
	if row.Rest > 0 {
		text += ", " + say.Duration(row.Rest) + " after the fall before"
	}
	return text
}

// steps are those of the reading, or of the drawn signal without one.
func (v View) steps() []trace.Step {
	if r := v.reading(); r != nil && len(r.Steps) > 0 {
		return r.Steps
	}
	if v.Trace.Signal != nil {
		return v.Trace.Signal.Steps
	}
	return nil
}
