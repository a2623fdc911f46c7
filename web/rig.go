package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/rig"
)

// rig is the page of dialling in.
func (s *server) rig(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Rig", "rig")
	if err != nil {
		return answer{}, err
	}
	of, err := s.desk.Rig(r.Context(), name)
	if err != nil {
		return answer{}, err
	}
	q := r.URL.Query()
	v := rig.View{
		Frame: open.frame, Rig: of, Path: studyPath(name), Asked: q.Has("low"),
		Trace: func(drop string) string { return tracePath(name, drop) },
	}
	told := dialledOf(of, q)
	v.Form = rigForm(of, told, q)
	v.Dialled, err = told.Ask()
	if err != nil && problem.KindOf(err) != problem.Invalid {
		return answer{}, err
	}
	if err != nil {
		v.Rest = entry.Blame(err, v.Form.All()...)
		return page(r.Context(), rig.Page(v))
	}
	v.Picture = drawn(wideFigure, 0, of.Study.Plan.Invented, func(c figure.Canvas) *figure.Scene {
		return figure.Dialled(v.Dialled.Question, v.Dialled.Answer, c)
	})
	return page(r.Context(), rig.Page(v))
}

// rigPart is a part of a Dialling as the address and the page name it.
type rigPart struct {
	name, label, hint, about string
	of                       func(*study.Dialling) *string
}

// rigGroup is a part of the form.
type rigGroup struct {
	legend string
	parts  []rigPart
}

var rigGroups = []rigGroup{
	{"the window", []rigPart{
		{"low", "peak from", "3 kN", "window, low", func(d *study.Dialling) *string { return &d.Low }},
		{"high", "to", "4 kN", "window, high", func(d *study.Dialling) *string { return &d.High }},
	}},
	{"the tower", []rigPart{
		{"masses", "masses at hand", "80 kg, 70 kg, or 60 kg to 90 kg by 5 kg", "masses", func(d *study.Dialling) *string { return &d.Masses }},
		{"free-lengths", "free lengths", "2.6 m, likewise; the preferred one first", "free lengths", func(d *study.Dialling) *string { return &d.FreeLengths }},
		{"lowest", "lowest drop", "of free fall before the rope goes tight", "lowest drop", func(d *study.Dialling) *string { return &d.Lowest }},
		{"highest", "highest drop", "likewise", "highest drop", func(d *study.Dialling) *string { return &d.Highest }},
		{"step", "drop set by steps of", "1 cm", "drop step", func(d *study.Dialling) *string { return &d.Step }},
		{"room", "room", "anchor to catch bed; not looked at when empty", "room", func(d *study.Dialling) *string { return &d.Room }},
		{"gravity", "gravity", "9.80665 m/s2 when empty", "gravity", func(d *study.Dialling) *string { return &d.Gravity }},
	}},
	{"published of the rope", []rigPart{
		{"force", "first-fall force", "empty when nothing is known", "published, force", func(d *study.Dialling) *string { return &d.Force }},
		{"force-mass", "by a mass of", "80 kg", "published, mass", func(d *study.Dialling) *string { return &d.ForceMass }},
		{"force-drop", "and a drop of", "4.8 m", "published, drop", func(d *study.Dialling) *string { return &d.ForceDrop }},
		{"force-length", "on rope of", "2.8 m", "published, free length", func(d *study.Dialling) *string { return &d.ForceLength }},
	}},
	{"the series", []rigPart{
		{"falls", "falls on each specimen", "5", "falls", func(d *study.Dialling) *string { return &d.Falls }},
		{"enough", "chance that is enough", "90 %", "enough", func(d *study.Dialling) *string { return &d.Enough }},
		{"level", "level of intervals", "90 %", "level", func(d *study.Dialling) *string { return &d.Level }},
	}},
}

// trialPart is a part of a trial drop written by hand.
type trialPart struct {
	name, label, about string
	of                 func(*study.DiallingTrial) *string
}

var trialParts = []trialPart{
	{"t-mass", "mass", "mass", func(t *study.DiallingTrial) *string { return &t.Mass }},
	{"t-drop", "drop", "drop", func(t *study.DiallingTrial) *string { return &t.Drop }},
	{"t-length", "free length", "free length", func(t *study.DiallingTrial) *string { return &t.FreeLength }},
	{"t-peak", "peak read", "peak", func(t *study.DiallingTrial) *string { return &t.Peak }},
	{"t-fall", "fall", "fall", func(t *study.DiallingTrial) *string { return &t.Fall }},
	{"t-specimen", "specimen", "specimen", func(t *study.DiallingTrial) *string { return &t.Specimen }},
}

// most trial lines of one address.
const mostTrialLines = 60

// dialledOf is what the study says with what the address says over it: a part
// that the address has, empty or not, and the trial drops that it ticks.
func dialledOf(of *study.Rig, q url.Values) study.Dialling {
	told := of.Told
	if !q.Has("low") {
		return told
	}
	for _, g := range rigGroups {
		for _, p := range g.parts {
			if q.Has(p.name) {
				*p.of(&told) = q.Get(p.name)
			}
		}
	}
	told.Trials = nil
	for _, t := range of.Trials {
		if t.Why == "" && slices.Contains(q["use"], t.Drop.ID) {
			told.Trials = append(told.Trials, t.Told)
		}
	}
	told.Trials = append(told.Trials, handTrials(q)...)
	return told
}

// handTrials are the lines written by hand, those in use.
func handTrials(q url.Values) []study.DiallingTrial {
	var out []study.DiallingTrial
	for i := range mostTrialLines {
		var t study.DiallingTrial
		for _, p := range trialParts {
			if all := q[p.name]; i < len(all) {
				*p.of(&t) = all[i]
			}
		}
		if t != (study.DiallingTrial{}) {
			out = append(out, t)
		}
	}
	return out
}

// rigForm is the form as it was filled in.
func rigForm(of *study.Rig, told study.Dialling, q url.Values) rig.Form {
	form, assumed := rig.Form{}, map[string]string{}
	for _, a := range of.Assumed {
		assumed[a.About] = a.Sentence
	}
	for _, g := range rigGroups {
		group := rig.Group{Legend: g.legend}
		for _, p := range g.parts {
			f := &entry.Field{Name: p.name, Label: p.label, Hint: p.hint, About: p.about, Value: *p.of(&told)}
			if f.Value == *p.of(&of.Told) {
				f.From = assumed[p.about]
			}
			group.Fields = append(group.Fields, f)
		}
		form.Groups = append(form.Groups, group)
	}
	used := 0
	for _, t := range of.Trials {
		use := t.Why == "" && (!q.Has("low") || slices.Contains(q["use"], t.Drop.ID))
		if use {
			used++
		}
		form.Recorded = append(form.Recorded, rig.Recorded{RigTrial: t, Use: use})
	}
	for i, t := range append(handTrials(q), study.DiallingTrial{}, study.DiallingTrial{}) {
		var row rig.Row
		for _, p := range trialParts {
			row = append(row, &entry.Field{
				Name: p.name, ID: fmt.Sprintf("%s-%d", p.name, i+1), Label: fmt.Sprintf("%s of line %d", p.label, i+1), Bare: true,
				Value: *p.of(&t), About: fmt.Sprintf("trial %d, %s", used+i+1, p.about),
			})
		}
		form.Hand = append(form.Hand, row)
	}
	return form
}
