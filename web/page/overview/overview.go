// Package overview is a study at a glance: the steps of the job up to the
// tower and the water, each a section with an anchor of its own.
package overview

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is one study.
type View struct {
	Frame    frame.View
	Overview *study.Overview
	Answers  map[string]Answer // by question name; nil when nothing can be found yet
	Path     string            // of the study
	Trace    func(drop string) string
	Series   func(specimen string) string
	Grid     Grid
}

// Answer is the verdict on a question, for the link to it.
type Answer struct {
	Verdict string
	Href    string
}

// Grid is the tower: a row a specimen, a column a fall.
type Grid struct {
	Falls []int
	Rows  []GridRow
	Other []study.DropRow // trials and checks
	Voids []study.DropRow
}

// GridRow is one specimen's series.
type GridRow struct {
	Specimen  string
	Condition mark.Condition
	Cells     []GridCell // beside Falls
}

// GridCell is what was dropped as one fall of one specimen: at most one drop
// that counts, and the void ones before it.
type GridCell struct {
	Counts *study.DropRow
	Voids  []study.DropRow
}

// MakeGrid lays the drops out by specimen and fall, conditions in plan order.
func MakeGrid(o *study.Overview) Grid {
	p := &o.Study.Plan
	g := Grid{}
	for n := 1; n <= max(p.Series.Falls, lastFall(o.Drops)); n++ {
		g.Falls = append(g.Falls, n)
	}
	row := map[string]int{}
	for _, c := range p.Conditions {
		for _, s := range p.Specimens {
			if s.Condition == c.Name {
				row[s.Label] = len(g.Rows)
				g.Rows = append(g.Rows, GridRow{Specimen: s.Label, Condition: mark.Of(p, c.Name), Cells: make([]GridCell, len(g.Falls))})
			}
		}
	}
	for _, d := range o.Drops {
		if d.Drop.Void != nil {
			g.Voids = append(g.Voids, d)
		}
		r, known := row[d.Drop.Specimen]
		if d.Drop.Kind != campaign.Fall || !known || d.Drop.Fall < 1 {
			g.Other = append(g.Other, d)
			continue
		}
		cell := &g.Rows[r].Cells[d.Drop.Fall-1]
		if d.Drop.Void != nil {
			cell.Voids = append(cell.Voids, d)
		} else {
			cell.Counts = &d
		}
	}
	return g
}

func lastFall(drops []study.DropRow) int {
	last := 0
	for _, d := range drops {
		last = max(last, d.Drop.Fall)
	}
	return last
}

func (v View) plan() *campaign.Plan { return &v.Overview.Study.Plan }

func (v View) condition(name string) mark.Condition { return mark.Of(v.plan(), name) }

// peak is the peak force of a drop in kN without its unit.
func peak(d study.DropRow) string {
	if d.Reading == nil {
		return say.None
	}
	return figure.UnitOf(campaign.PeakForce).Write(float64(d.Reading.PeakForce))
}

// levels writes a condition's levels in the order of the factors.
func (v View) levels(c campaign.Condition) string {
	var words []string
	for _, f := range v.plan().Factors {
		if level := c.Levels[f.Name]; level != "" {
			words = append(words, f.Name+": "+level)
		}
	}
	return strings.Join(words, ", ")
}

func rest(r campaign.Rest) string {
	if r.Set == 0 {
		return "rest not controlled"
	}
	return fmt.Sprintf("rest %s ± %s", say.Duration(r.Set), say.Duration(r.Tolerance))
}

func class(n int) string {
	if n == 0 {
		return "unfiltered"
	}
	return fmt.Sprintf("filtered by CFC %d", n)
}

func position(s campaign.Specimen) string {
	if s.From == 0 && s.To == 0 {
		return say.None
	}
	return fmt.Sprintf("%s to %s\u00a0m", say.Number(s.From, 2), say.Number(s.To, 2))
}

func mass(kg float64) string {
	if math.IsNaN(kg) {
		return say.None
	}
	return say.Mass(kg)
}

// fate is what becomes of a specimen: one that was dropped or soaked is not to
// be climbed on again.
func (v View) fate(r study.SpecimenRow) string {
	if r.Taken > 0 {
		return "destroy"
	}
	for _, w := range v.Overview.Study.Weighings {
		if w.Specimen == r.Specimen.Label && strings.Contains(w.State, "soak") {
			return "destroy"
		}
	}
	return ""
}

func margin(q campaign.Question) string {
	if q.Margin.Share > 0 {
		return say.Margin(q.Value, q.Margin) + " of the baseline"
	}
	return say.Margin(q.Value, q.Margin)
}

func dropName(d campaign.Drop) string {
	switch {
	case d.Kind != campaign.Fall && d.Specimen != "":
		return string(d.Kind) + ", " + d.Specimen
	case d.Kind != campaign.Fall:
		return string(d.Kind)
	}
	return fmt.Sprintf("%s, fall %d", d.Specimen, d.Fall)
}

func loaded(v *campaign.Void) string {
	if v.Loaded {
		return "rope loaded: the number stays taken"
	}
	return "rope not loaded: the number is free again"
}

func remark(d campaign.Drop) string {
	if d.Void != nil {
		return "void: " + d.Void.Reason
	}
	return d.Note
}

func orNone(s string) string {
	if s == "" {
		return say.None
	}
	return s
}

func gravity(g float64) string {
	if g == 0 {
		return "9.80665\u00a0m/s², the standard value"
	}
	return say.Known(g, "m/s²")
}

func (v View) conditionOf(specimen string) string {
	name, _ := v.Overview.Study.Condition(specimen)
	return name
}

// replaced reports whether a later weighing corrects w.
func (v View) replaced(w campaign.Weighing) bool {
	for _, other := range v.Overview.Study.Weighings {
		if other.Replaces == w.ID && w.ID != "" {
			return true
		}
	}
	return false
}

// planned reports whether the plan has a specimen of that label.
func (v View) planned(label string) bool {
	_, known := v.plan().Specimen(label)
	return known
}
