// Package plan is the page of the plan: frozen or not and what was done otherwise,
// how many, the order of drops, the timetable, and what of it is left.
package plan

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/draw"
	"fallwright.example/figure"
	"fallwright.example/power"
	"fallwright.example/study"
	"fallwright.example/timetable"
	"fallwright.example/web/page/counting"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/question"
	"fallwright.example/web/say"
)

// View is what a plan comes to.
type View struct {
	Frame    frame.View
	Planned  *study.Planned
	Path     string // of the study
	Counting counting.Way
	Refused  error           // why nothing could be simulated
	Curves   []frame.Picture // of Planned.HowMany, in its order
	Days     []Day
	Calendar string // address of the calendar's file; empty where there is none
	Freeze   Form
	Deviate  Form
	Left     *Left // nil while nothing was dropped
}

// Form is a form to record something, as it was filled in.
type Form struct {
	Fields []*entry.Field
	Failed error // why it was not taken
}

// Day is one day of a timetable.
type Day struct {
	Use     timetable.DayUse
	Picture frame.Picture
	Ops     []timetable.Op
}

// Left is the plan made anew from a time on.
type Left struct {
	From    string // as the field has it
	Replan  *study.Replanned
	Days    []Day
	Refused error
}

func (v View) plan() *campaign.Plan { return &v.Planned.Plan }

func (v View) condition(name string) mark.Condition { return mark.Of(v.plan(), name) }

// seconds writes a span given in seconds.
func seconds(s float64) string { return say.Duration(time.Duration(s * float64(time.Second))) }

func rest(r campaign.Rest) string {
	switch {
	case r.Set == 0:
		return "not controlled"
	case r.Tolerance == 0:
		return say.Duration(r.Set)
	}
	return say.Duration(r.Set) + " ± " + say.Duration(r.Tolerance)
}

// preparation is one in words.
func preparation(p campaign.Preparation) string {
	text := rest(p.Time)
	if p.In != "" {
		text += " in " + p.In
	}
	if p.ToDrop.Set > 0 {
		text += ", then " + rest(p.ToDrop) + " to the first fall"
	}
	return text
}

// seriesWords is what is done to each specimen.
func (v View) seriesWords() string {
	s := v.plan().Series
	text := fmt.Sprintf("%d falls at the setting %q, rest %s", s.Falls, s.Setting, rest(s.Rest))
	if s.Overnight.After > 0 {
		text += fmt.Sprintf("; after fall %d a rest of %s", s.Overnight.After, rest(s.Overnight.Rest))
	}
	return text
}

// orderedDay is the order of drops of one day; day 0 where the draw leaves it open.
type orderedDay struct {
	day    int
	pieces []campaign.Specimen
}

func (v View) order() []orderedDay {
	var out []orderedDay
	for _, s := range draw.Order(v.plan()) {
		if n := len(out); n == 0 || out[n-1].day != s.Day {
			out = append(out, orderedDay{day: s.Day})
		}
		last := &out[len(out)-1]
		last.pieces = append(last.pieces, s)
	}
	return out
}

// ordered reports whether an order was drawn; else it is that of the study file.
func (v View) ordered() bool {
	o := draw.Order(v.plan())
	return len(o) > 0 && o[len(o)-1].Place > 0
}

// cells is one row of a curve: the least chance of all questions at each size.
func cells(c *power.Curve, row int) []string {
	var out []string
	for j := range c.Specimens {
		cell := say.None
		if r := c.Cells[row*len(c.Specimens)+j].Result; r != nil {
			cell = fmt.Sprintf("%.0f\u202f%%", 100*r.Least().Power.P)
		}
		out = append(out, cell)
	}
	return out
}

func heading(h study.HowMany) string {
	m := string(h.Measure)
	return strings.ToUpper(m[:1]) + m[1:]
}

func percent(x float64) string { return fmt.Sprintf("%.0f\u202f%%", 100*x) }

// cheapest is the cheapest plan in words.
func cheapest(h study.HowMany) string {
	b := h.Choice.Best
	text := fmt.Sprintf("%s of each condition with %s: %s, %.1f\u202fm of rope", figure.Counted(b.Specimens, "specimen"),
		figure.Counted(b.Falls, "fall"), figure.Counted(b.Bill.Drops, "drop"), b.Bill.Metres)
	if b.Bill.Hours > 0 {
		text += fmt.Sprintf(", %.1f\u202fh of tower", b.Bill.Hours)
	}
	return text
}

// finds is the smallest difference that is found, by the name of its finding.
func finds(s power.Shown) string {
	way := compare.Higher
	if s.Question.Claim == compare.ClaimLower {
		way = compare.Lower
	}
	return way.Word(s.Question.Measure) + " from " + question.Amount(s.Question, math.Abs(s.Difference))
}

// notes are what a simulation leaves out.
func notes(h study.HowMany) []string {
	out := append([]string{}, h.Notes...)
	if h.Result != nil {
		out = append(out, h.Result.Notes...)
	}
	if h.Choice != nil && h.Short == nil {
		out = append(out, h.Choice.Notes...)
	}
	return out
}

// what is a step in words.
func what(o timetable.Op) string {
	text := string(o.Kind)
	if o.Kind == timetable.Drop && o.Fall > 0 {
		text = fmt.Sprintf("fall %d", o.Fall)
	}
	if o.Turn != "" {
		text = string(o.Turn) + " check, " + text
	}
	return text
}

func where(o timetable.Op) string {
	if o.Place != "" {
		return o.Place
	}
	return o.Tower
}

func clock(t time.Time) string { return t.Format("15:04") }

// steps counts the steps of a day that are still to come.
func steps(d Day) int {
	n := 0
	for _, o := range d.Ops {
		if !o.Done {
			n++
		}
	}
	return n
}

func duration(d time.Duration) string { return say.Duration(d) }
