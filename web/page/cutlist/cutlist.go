// Package cutlist is the page by which ropes are cut: each rope with its pieces, the
// list to tick, what is left over, and the labels.
package cutlist

import (
	"fmt"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/cutlist"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is the cut list of a study.
type View struct {
	Frame   frame.View
	Planned *study.Planned
	Path    string // of the study
	Ropes   []Rope
	Taken   map[string]int // falls that each specimen had, by label
	Wet     map[string]bool
}

// Rope is one rope with what is cut from it.
type Rope struct {
	campaign.Rope
	Picture frame.Picture
	Pieces  []campaign.Specimen
	Use     *cutlist.Use // nil where the plan lists its specimens
}

// Sheet is the labels of a study, to be printed.
type Sheet struct {
	Frame  frame.View
	Path   string
	Labels []Label
}

// Label is one label with its code.
type Label struct {
	cutlist.Label
	Code string // SVG
}

func (v View) plan() *campaign.Plan { return &v.Planned.Plan }

func (v View) blind() bool { return v.plan().Order.Blind }

func (v View) condition(name string) mark.Condition { return mark.Of(v.plan(), name) }

// lengths says how long a rope is and what of it cannot be used.
func (r Rope) lengths() string {
	parts := []string{"length not known"}
	if r.Length > 0 {
		parts[0] = say.Known(r.Length, "m")
	}
	if r.Discard > 0 {
		parts = append(parts, say.Known(r.Discard, "m")+" at each end not used")
	}
	for _, d := range r.Damage {
		parts = append(parts, fmt.Sprintf("damage from %s to %s", say.Known(d.From, "m"), say.Known(d.To, "m")))
	}
	if r.MiddleMark > 0 {
		parts = append(parts, "middle mark at "+say.Known(r.MiddleMark, "m"))
	}
	return strings.Join(parts, ", ")
}

// over says what becomes of the rest of a rope.
func (r Rope) over() string {
	cut := 0.0
	for _, s := range r.Pieces {
		cut += s.To - s.From
	}
	switch {
	case r.Use != nil:
		text := fmt.Sprintf("%s of %s in all; %s lost at cuts or too short to keep, %s not usable", figure.Counted(r.Use.Pieces, "piece"), metres(r.Use.Cut), metres(r.Use.Lost+r.Use.Waste), metres(r.Use.Unusable))
		var left []string
		for _, l := range r.Use.Left {
			left = append(left, fmt.Sprintf("%s to %s", metres(l.From), metres(l.To)))
		}
		if len(left) > 0 {
			text += "; left over to keep: " + strings.Join(left, ", ")
		}
		return text
	case r.Length > 0 && cut > 0:
		return fmt.Sprintf("%s of %s in all; %s of the rope are in none", figure.Counted(len(r.Pieces), "piece"), metres(cut), metres(r.Length-cut))
	}
	return figure.Counted(len(r.Pieces), "piece")
}

func metres(v float64) string { return say.Number(v, 2) + "\u202fm" }

// at is a place in a rope.
func at(v float64, s campaign.Specimen) string {
	if s.To <= s.From {
		return say.None
	}
	return say.Number(v, 3)
}

// length of a piece.
func length(s campaign.Specimen) string { return at(s.To-s.From, s) }

// fate is what becomes of a specimen.
func (v View) fate(s campaign.Specimen) string {
	switch n := v.Taken[s.Label]; {
	case n > 0:
		return "dropped " + figure.Counted(n, "time") + ": destroy"
	case v.Wet[s.Label]:
		return "soaked: destroy"
	}
	return "after use: destroy"
}

// place of a step on its rope.
func place(s cutlist.Step) string {
	if s.At == 0 {
		return ""
	}
	return say.Number(s.At, 3)
}
