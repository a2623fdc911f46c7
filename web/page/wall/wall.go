// Package wall is the page on which a law of rope becomes a climber's fall:
// sentences first, numbers second, method third.
package wall

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/field"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/counting"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
)

// View is the page.
type View struct {
	Frame   frame.View
	Path    string // of the study
	Form    Form
	Asked   bool              // the address says something of its own
	Answer  *study.WallAnswer // nil when refused
	Rest    []*problem.Problem
	Picture frame.Picture // the fall from the side
	Sweep   frame.Picture // none where there is no wall
	Marks   []mark.Condition
	Fitted  bool         // the study has laws of its own
	Pending counting.Way // how those come that are not fitted yet; empty for none
}

// Form is the fall, in groups.
type Form struct {
	Groups []Group
	Ticks  []Tick
	Runner [][]*entry.Field
	Rope   []*entry.Field
}

// Group is a part of the form.
type Group struct {
	Legend string
	Fields []*entry.Field
	Ticks  []Tick
}

// Tick is a choice that is on or off.
type Tick struct {
	Name, Label string
	On          bool
}

// All are the fields of the form.
func (f Form) All() []*entry.Field {
	var all []*entry.Field
	for _, g := range f.Groups {
		all = append(all, g.Fields...)
	}
	for _, row := range f.Runner {
		all = append(all, row...)
	}
	return append(all, f.Rope...)
}

func (v View) refused() bool { return v.Answer == nil }

func (v View) two() bool { return len(v.Answer.Cases) == 2 }

func sentences(c study.WallCase) []string { return c.Bands.Sentences(c.Catch) }

// row is one value in each of the states.
type row struct {
	name  string
	cells []cell
}

type cell struct{ value, limits string }

// rows are the values that any of the states has, in the order of the first.
func (v View) rows() []row {
	var out []row
	place := map[string]int{}
	for i, c := range v.Answer.Cases {
		for _, r := range c.Bands.Rows(c.Catch) {
			at, known := place[r.Key]
			if !known {
				at = len(out)
				place[r.Key] = at
				out = append(out, row{name: r.Name + ", " + r.Unit, cells: make([]cell, len(v.Answer.Cases))})
			}
			out[at].cells[i] = cellOf(r, c.Bands.Runs)
		}
	}
	return slices.DeleteFunc(out, row.empty) // what a fall on to the ground does not come to
}

// empty reports that no state has the value.
func (r row) empty() bool {
	return !slices.ContainsFunc(r.cells, func(c cell) bool { return c.value != "" && c.value != figure.Missing })
}

func cellOf(r field.Row, runs int) cell {
	value, low, high := r.Shown()
	c := cell{value: figure.Fixed(value, r.Decimals)}
	if runs > 1 {
		c.limits = figure.Range(low, high, r.Decimals)
	}
	return c
}

// intervals says where the intervals of a case come from.
func intervals(c study.WallCase) string {
	if c.Bands.Runs == 1 {
		return "no intervals: no uncertainty of the law is given"
	}
	return fmt.Sprintf("95\u202f%% intervals from the doubt about the law alone, by %d computed falls", c.Bands.Runs)
}

// energy says where the energy is at the lowest point; empty when there is none.
func energy(c study.WallCase) string {
	b := c.Bands.Outcome.Books
	if math.IsNaN(c.Bands.Outcome.Lowest.At) {
		return ""
	}
	return fmt.Sprintf("At the lowest point, of %.0f J from the fall: %.0f stored in the rope, %.0f lost in it, %.0f at runners, %.0f in the device, %.0f in the belayer’s height, %.0f still moving, %.0f at wall and stops.",
		b.Given, b.Stored, b.Rope, b.Runners, b.Device, b.Lifted, b.Moving, b.Wall+b.Stopped)
}

// law writes a law with its parameters.
func law(w study.WallRope) string {
	units := map[string]string{}
	if parameters, err := field.LawParameters(w.Law); err == nil {
		for _, p := range parameters {
			units[p.Name] = p.Unit
		}
	}
	text := w.Law
	for i, name := range w.Known.Names {
		separator := ", "
		if i == 0 {
			separator = ": "
		}
		number := study.Digits(w.Known.Values[i], 4)
		if u := math.Sqrt(w.Known.Covariance[i][i]); u > 0 {
			number = study.PlusMinus(w.Known.Values[i], u)
		}
		text += separator + name + " " + number
		if unit := units[name]; unit != "" {
			text += "\u202f" + unit
		}
	}
	return text
}

// signed writes a minus as print does.
func signed(sentence string) string { return strings.ReplaceAll(sentence, ": -", ": −") }

// fitted says how far the drops went from which a law was learnt.
func fitted(f field.Fitted) string {
	if f == (field.Fitted{}) {
		return "It is not said on what drops it was fitted."
	}
	text := "Fitted on drops up to"
	for i, p := range []struct {
		v    float64
		form string
	}{{100 * f.Strain, "%.3g\u202f%% of strain"}, {f.Rate, "%.3g a second"}, {f.Force / 1000, "%.3g\u202fkN"}} {
		if p.v == 0 {
			continue
		}
		if i > 0 {
			text += ","
		}
		text += " " + fmt.Sprintf(p.form, p.v)
	}
	return text + "."
}

func (v View) invented() bool {
	for _, c := range v.Answer.Cases {
		if c.Rope.Invented {
			return true
		}
	}
	return false
}
