// Package rig is the page of the tower: dialling in for a study's rope, the rig
// as the study file states it, and what is confirmed before a day's first drop.
package rig

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fallwright.example/dial"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/say"
)

// View is the page.
type View struct {
	Frame   frame.View
	Rig     *study.Rig
	Path    string // of the study
	Trace   func(drop string) string
	Form    Form
	Asked   bool           // the address says something of its own
	Dialled *study.Dialled // nil when refused
	Rest    []*problem.Problem
	Picture frame.Picture
}

// Form is what dialling in rests on, in groups.
type Form struct {
	Groups   []Group
	Recorded []Recorded
	Hand     []Row // trial drops that are not in the book
}

// Group is a part of the form.
type Group struct {
	Legend string
	Fields []*entry.Field
}

// Recorded is a trial drop of the book, which can be left out.
type Recorded struct {
	study.RigTrial
	Use bool
}

// Row is a trial drop written by hand: mass, drop, free length, peak, fall,
// specimen.
type Row []*entry.Field

// refused says that the form has something in it that cannot stand.
func (v View) refused() bool { return v.Dialled == nil }

func kN(newtons float64) string { return figure.KN(newtons) }

// between writes an interval of forces.
func between(b dial.Band) string {
	return fmt.Sprintf("%s to %s\u202fkN", figure.KN(b.Low), figure.KN(b.High))
}

func metres(v float64) string { return say.Number(v, 2) }

// mass writes kilograms without idle zeros.
func mass(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

// chance writes a chance, without claiming certainty.
func chance(v float64) string {
	switch {
	case v > 0.995:
		return "over 99\u202f%"
	case v < 0.005:
		return "under 1\u202f%"
	}
	return fmt.Sprintf("%.0f\u202f%%", 100*v)
}

func level(v float64) string { return fmt.Sprintf("%.0f\u202f%%", 100*v) }

func perStep(newtons float64) string {
	text := figure.Fixed(newtons, 0)
	if newtons > 0 {
		text = "+" + text
	}
	return text + "\u202fN"
}

func share(v float64) string { return fmt.Sprintf("%.0f", 100*v) }

func (v View) spring() string {
	if math.IsNaN(v.Dialled.Spring) {
		return say.None
	}
	return say.Force(v.Dialled.Spring)
}

// doubtful reports whether a trial is far from what the others make of it.
func (v View) doubtful(t dial.Seen) bool { return t.Tail < 0.005 }

func orNone(text string) string {
	if text == "" {
		return say.None
	}
	return text
}

func gravity(v float64) string {
	if v == 0 {
		return "standard, 9.80665\u202fm/s²"
	}
	return say.Figures(v, 5) + "\u202fm/s²"
}

func peak(d study.DropRow) string {
	if d.Reading == nil {
		return say.None
	}
	return kN(float64(d.Reading.PeakForce))
}

// shift is how far a check's peak is from that of the first one, in per cent.
func (v View) shift(i int) string {
	first, this := v.Rig.Checks[0].Reading, v.Rig.Checks[i].Reading
	if i == 0 || first == nil || this == nil || !(first.PeakForce > 0) {
		return say.None
	}
	return figure.Percent(100 * float64(this.PeakForce/first.PeakForce-1))
}

// All are the fields of the form.
func (f Form) All() []*entry.Field {
	var all []*entry.Field
	for _, g := range f.Groups {
		all = append(all, g.Fields...)
	}
	for _, row := range f.Hand {
		all = append(all, row...)
	}
	return all
}

// units keep amounts and their units on one line.
var units = strings.NewReplacer(" kg", "\u00a0kg", " m ", "\u00a0m ", " m,", "\u00a0m,", " m.", "\u00a0m.")

func bound(sentence string) string { return units.Replace(sentence) }
