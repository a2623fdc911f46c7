package web

import (
	"fmt"
	"net/url"

	"fallwright.example/field"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/wall"
)

// wallPart is a part of a fall as the address and the page name it; the names are
// those of the command's flags.
type wallPart struct {
	name, label, hint, about string
	of                       func(*study.WallFall) *string
}

// wallGroup is a part of the form, with what can be ticked in it.
type wallGroup struct {
	legend string
	parts  []wallPart
	ticks  []wallTick
}

type wallTick struct {
	name, label string
	of          func(*study.WallFall) *bool
}

var wallGroups = []wallGroup{
	{"the climber", []wallPart{
		{"mass", "mass", "75 kg", "climber's mass", func(w *study.WallFall) *string { return &w.Mass }},
		{"above", "above the top runner", "2 m; below it is negative", "climber's height above the top runner", func(w *study.WallFall) *string { return &w.Above }},
		{"out", "out from the wall", "0 m when empty", "climber's distance out from the wall", func(w *study.WallFall) *string { return &w.Out }},
		{"aside", "to the side of the top runner", "0 m when empty", "climber's distance to the side", func(w *study.WallFall) *string { return &w.Aside }},
		{"push-off", "pushes off with", "0 m/s when empty", "push-off", func(w *study.WallFall) *string { return &w.PushOff }},
		{"reach", "from the tie-in down to the feet", "1 m when empty", "reach below the tie-in", func(w *study.WallFall) *string { return &w.Reach }},
	}, nil},
	{"the belayer", []wallPart{
		{"belayer", "mass", "65 kg", "belayer's mass", func(w *study.WallFall) *string { return &w.Belayer }},
		{"stands-off", "stands from the wall", "0 m when empty", "belayer's distance from the wall", func(w *study.WallFall) *string { return &w.StandsOff }},
		{"slip", "rope runs through the device from", "it holds when empty", "device's slip force", func(w *study.WallFall) *string { return &w.Slip }},
	}, []wallTick{{"fixed", "tied down", func(w *study.WallFall) *bool { return &w.Fixed }}}},
	{"the wall", []wallPart{
		{"overhang", "leans out by", "0 deg when empty; a slab is negative", "overhang", func(w *study.WallFall) *string { return &w.Overhang }},
		{"behind", "from the top runner in to it", "0 m when empty", "wall behind the top runner", func(w *study.WallFall) *string { return &w.Behind }},
		{"ground", "top runner over the ground", "no ground when empty", "ground or ledge", func(w *study.WallFall) *string { return &w.Ground }},
		{"ledge", "top runner over a ledge", "no ledge when empty", "ledge", func(w *study.WallFall) *string { return &w.Ledge }},
	}, []wallTick{{"no-wall", "there is none to meet", func(w *study.WallFall) *bool { return &w.NoWall }}}},
	{"rope out", []wallPart{
		{"slack", "slack", "0.5 m; or the rope out beside it", "slack", func(w *study.WallFall) *string { return &w.Slack }},
		{"rope-out", "or all of the rope out", "knot to device", "rope out", func(w *study.WallFall) *string { return &w.RopeOut }},
		{"rope-mass", "its mass", "62 g/m when empty", "rope's mass per metre", func(w *study.WallFall) *string { return &w.RopeMass }},
	}, nil},
}

// runnerPart is a part of a runner.
type runnerPart struct {
	name, label, about string
	of                 func(*study.WallRunner) *string
}

var runnerParts = []runnerPart{
	{"r-below", "rope below runner", "", func(r *study.WallRunner) *string { return &r.Below }},
	{"r-turn", "turn of the rope at runner", ", turn", func(r *study.WallRunner) *string { return &r.Turn }},
	{"r-friction", "friction of runner", ", friction", func(r *study.WallRunner) *string { return &r.Friction }},
}

// mostRunners is how many lines of runners an address may have.
const mostRunners = 60

// over puts what the address says over the fall. A form that was sent says of
// every tick whether it is on.
func (w *walled) over(q url.Values) {
	for _, g := range wallGroups {
		for _, p := range g.parts {
			if q.Has(p.name) {
				*p.of(&w.fall) = q.Get(p.name)
			}
		}
		for _, t := range g.ticks {
			if q.Has(wallGroups[0].parts[0].name) {
				*t.of(&w.fall) = q.Get(t.name) == "yes"
			}
		}
	}
	if !q.Has(runnerParts[0].name) {
		return
	}
	w.fall.Runners = nil
	for i := range mostRunners {
		var r study.WallRunner
		for _, p := range runnerParts {
			if all := q[p.name]; i < len(all) {
				*p.of(&r) = all[i]
			}
		}
		if r != (study.WallRunner{}) {
			w.fall.Runners = append(w.fall.Runners, r)
		}
	}
}

// form is the form as it was filled in.
func (w *walled) form(q url.Values) wall.Form {
	var form wall.Form
	for _, g := range wallGroups {
		group := wall.Group{Legend: g.legend}
		for _, p := range g.parts {
			group.Fields = append(group.Fields, &entry.Field{Name: p.name, Label: p.label, Hint: p.hint, About: p.about, Value: *p.of(&w.fall)})
		}
		for _, t := range g.ticks {
			group.Ticks = append(group.Ticks, wall.Tick{Name: t.name, Label: t.label, On: *t.of(&w.fall)})
		}
		form.Groups = append(form.Groups, group)
	}
	for i, r := range append(w.fall.Runners[:len(w.fall.Runners):len(w.fall.Runners)], study.WallRunner{}) {
		var row []*entry.Field
		for _, p := range runnerParts {
			row = append(row, &entry.Field{
				Name: p.name, ID: fmt.Sprintf("%s-%d", p.name, i+1), Label: fmt.Sprintf("%s %d", p.label, i+1), Bare: true,
				Value: *p.of(&r), About: fmt.Sprintf("runner %d from the top%s", i+1, p.about),
			})
		}
		form.Runner = append(form.Runner, row)
	}
	form.Rope = w.ropeFields(q)
	return form
}

// ropeFields choose the states of the rope.
func (w *walled) ropeFields(q url.Values) []*entry.Field {
	var states, laws []entry.Option
	for _, r := range w.ropes {
		states = append(states, entry.Option{Value: r.Name, Label: r.Name})
	}
	states = append(states, entry.Option{Value: typedState, Label: "as typed here"})
	for _, n := range field.LawNames() {
		laws = append(laws, entry.Option{Value: n, Label: n})
	}
	law := q.Get("law")
	if law == "" {
		law = usualLaw
	}
	return []*entry.Field{
		{Name: "state", Label: "state", Value: w.state, Options: states, About: aboutState},
		{Name: "beside", Label: "beside it", Value: w.beside, Options: append([]entry.Option{{Value: noState, Label: "nothing"}}, states...), About: aboutBeside},
		{Name: "law", Label: "law, when typed here", Value: law, Options: laws, About: "law"},
		{
			Name: "parameters", Label: "its parameters, SI", Value: q.Get("parameters"), About: "parameters of the law",
			Hint: "equilibrium = 9000 ± 300, branch = 16000 ± 500, relaxation = 0.2",
		},
		{
			Name: "file", Label: "a fall with its states, as the command takes it from a file", Value: q.Get("file"), About: aboutFile, Long: true,
			Hint: "Paste its text. Its states can then be chosen; the fields above win over its fall. A state alone, from [[state]] on, will do.",
		},
	}
}

// usualLaw is the law that the form begins with.
const usualLaw = "zener"
