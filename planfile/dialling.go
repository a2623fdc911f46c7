package planfile

import (
	"math"
	"regexp"
	"strings"

	"fallwright.example/dial"
	"fallwright.example/fall"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// dialParts is the whole of the file that fallwright dial takes.
var dialParts = []part{
	{"window", false, false, []key{
		{"low", true, `"3 kN"`, []string{"from", "min"}},
		{"high", true, `"4 kN"`, []string{"to", "max"}},
	}},
	{"tower", false, true, []key{
		{"masses", true, `["80 kg"]`, []string{"mass", "weight"}},
		{"free_lengths", true, `["2.60 m"]`, []string{"free_length", "length", "lengths"}},
		{"highest_drop", true, `"3 m"`, []string{"height", "max_drop", "drop"}},
		{"lowest_drop", false, `"5 cm"`, []string{"min_drop"}},
		{"drop_step", false, `"1 cm"`, []string{"step"}},
		{"room", false, `"5 m"`, []string{"clearance"}},
		{"gravity", false, `"9.816 m/s2"`, []string{"g"}},
	}},
	{"rope", false, false, []key{
		{"first_fall_force", true, `"8.4 kN"`, []string{"impact_force", "force", "peak"}},
		{"mass", true, `"80 kg"`, []string{"weight"}},
		{"drop", true, `"4.80 m"`, []string{"height", "fall"}},
		{"free_length", true, `"2.80 m"`, []string{"length"}},
	}},
	{"series", false, false, []key{
		{"falls", false, `5`, []string{"drops", "count"}},
		{"enough", false, `"90 %"`, []string{"chance", "threshold"}},
	}},
	{"trial", true, false, []key{
		{"drop", true, `"0.45 m"`, []string{"height"}},
		{"peak", false, `"3.42 kN"`, []string{"force"}},
		{"trace", false, `"trial-1.csv"`, []string{"file"}},
		{"mass", false, `"80 kg"`, []string{"weight"}},
		{"free_length", false, `"2.60 m"`, []string{"length"}},
		{"fall", false, `1`, []string{"number"}},
		{"specimen", false, `"T-1"`, []string{"label"}},
	}},
}

// Dialling is a file that fallwright dial takes.
type Dialling struct {
	dial.Question
	Traces []string // of each trial, the file that its peak is to be read from; empty where the peak is stated
}

// What is taken when a file does not say.
const (
	usualLowest = 0.05 // m
	usualStep   = 0.01 // m
	usualFalls  = 5
	usualEnough = 0.9
	usualLevel  = 0.9
)

// ParseDialling reads the file that fallwright dial takes. A trial without mass
// or free length has the tower's, where that has one only. name is what the file is called
// in refusals; the error is a problem.List with every fault of the file. What
// the numbers may be is dial.Ask's to say.
func ParseDialling(name string, data []byte) (Dialling, error) {
	r := newReading(name, data)
	root, ok := r.toml()
	if !ok {
		return Dialling{}, r.err()
	}
	d := Dialling{Question: dial.Question{Window: dial.Usual(), Falls: usualFalls, Enough: usualEnough, Level: usualLevel}}
	for _, e := range root.entries {
		p, known := dialPart(e.name)
		nodes, fit := tablesOf(p, e.value)
		switch {
		case !known && e.name == formatKey:
			r.refuse(e.at, "this is a study file, and dialling in has a file of its own").
				Hint("write one with the parts %s: docs/FORMATS.md, Rig file", strings.Join(dialNames(), ", "))
			return Dialling{}, r.err()
		case !known:
			q := r.refuse(e.at, "there is no part %q", e.name)
			if name, near := problem.Nearest(e.name, dialNames()); near {
				q.Hint("write [%s]", name)
			} else {
				q.Hint("the parts are: %s", strings.Join(dialNames(), ", "))
			}
		case !fit:
			r.refuse(e.at, "%s is a part of the file with keys of its own", e.name).Hint("write %s on a line by itself, and its keys below", p.header())
		}
		if known && fit {
			for i, n := range nodes {
				r.open(p, n, i).dialling(&d)
			}
		}
	}
	if _, there := root.get("tower"); !there {
		p, _ := dialPart("tower")
		r.lacks(len(r.data), "the file has no part [tower]").Hint("add [tower] with its keys: %s", p.sketch())
	}
	if err := r.err(); err != nil {
		return Dialling{}, err
	}
	for i := range d.Trials {
		t := &d.Trials[i]
		t.Mass = r.onlyOne(i, "mass", t.Mass, d.Rig.Masses)
		t.FreeLength = r.onlyOne(i, "free_length", t.FreeLength, d.Rig.FreeLengths)
	}
	return d, r.err()
}

// IsStudy reports whether a file is a study file, whatever else may be wrong with
// it: its format key stands above all parts.
func IsStudy(data []byte) bool {
	root, ok := newReading("", data).toml()
	if !ok {
		return false
	}
	_, there := root.get(formatKey)
	return there
}

// onlyOne is what a trial says, or else the only one that the tower has.
func (r *reading) onlyOne(trial int, name string, said float64, has []float64) float64 {
	switch {
	case said != 0 || len(has) == 0:
		return said
	case len(has) > 1:
		p, _ := dialPart("trial")
		k, _ := p.key(name)
		r.lacks(len(r.data), "trial %d has no %s, and the tower has %d to choose from", trial+1, name, len(has)).Hint("add: %s", k.line())
	}
	return has[0]
}

// dialling reads one part.
func (f form) dialling(d *Dialling) {
	switch f.part.name {
	case "window":
		d.Window = dial.Window{Low: f.in("low", quantity.Force), High: f.in("high", quantity.Force)}
	case "tower":
		d.Rig = dial.Rig{
			Masses: f.list("masses", quantity.Mass), FreeLengths: f.list("free_lengths", quantity.Length),
			HighestDrop: f.in("highest_drop", quantity.Length),
			LowestDrop:  f.or("lowest_drop", quantity.Length, usualLowest), DropStep: f.or("drop_step", quantity.Length, usualStep),
			Room: f.known("room", quantity.Length), Gravity: f.or("gravity", quantity.Acceleration, fall.StandardGravity),
		}
	case "rope":
		d.Published = &dial.Published{
			Force: f.in("first_fall_force", quantity.Force), Mass: f.in("mass", quantity.Mass),
			Drop: f.in("drop", quantity.Length), FreeLength: f.in("free_length", quantity.Length),
		}
	case "series":
		if _, there := f.node.get("falls"); there {
			d.Falls = f.whole("falls")
		}
		d.Enough = f.or("enough", quantity.Share, usualEnough)
	case "trial":
		f.trial(d)
	}
}

func (f form) trial(d *Dialling) {
	t := dial.Trial{
		Setting: dial.Setting{
			Mass: f.known("mass", quantity.Mass), Drop: f.in("drop", quantity.Length), FreeLength: f.known("free_length", quantity.Length),
		},
		Peak: f.known("peak", quantity.Force), Fall: f.whole("fall"), Specimen: f.text("specimen"),
	}
	trace := f.text("trace")
	_, peak := f.node.get("peak")
	_, file := f.node.get("trace")
	switch {
	case peak && file:
		f.refuse(f.node.at, "the trial has a peak and a trace to read it from").Hint("leave one of the two out")
	case !peak && !file:
		f.refuse(f.node.at, "the trial has no peak").Hint(`add: peak = "3.42 kN", or trace = "trial-1.csv" to have it read`)
	}
	d.Trials, d.Traces = append(d.Trials, t), append(d.Traces, trace)
}

// or reads a quantity that has a usual value.
func (f form) or(name string, d quantity.Dimension, usual float64) float64 {
	if _, there := f.node.get(name); !there {
		return usual
	}
	return f.in(name, d)
}

// stepped is a range of quantities with its step.
var stepped = regexp.MustCompile(`^(.+?) to (.+?) by (.+)$`)

// list reads quantities: a list of them, one alone, or "60 kg to 90 kg by 5 kg".
func (f form) list(name string, d quantity.Dimension) []float64 {
	n := f.take(name)
	if n == nil {
		return nil
	}
	one := func(n *node, text string) float64 {
		v, err := quantity.Parse(text, d)
		if err != nil {
			var hint string
			if fault, ok := err.(*quantity.Fault); ok {
				hint = fault.Hint
			}
			f.refuse(n.at, "%s", err).Hint("%s", hint)
			f.spoil(f.field(name))
			return math.NaN()
		}
		return v
	}
	if n.kind == isText {
		m := stepped.FindStringSubmatch(n.text)
		if m == nil {
			return []float64{one(n, n.text)}
		}
		from, to, step := one(n, m[1]), one(n, m[2]), one(n, m[3])
		if !(step > 0 && to >= from && (to-from)/step < 1000) {
			if step == step && to == to && from == from {
				f.refuse(n.at, "%q goes nowhere", n.text).Hint("write the lower end, the upper end and a step above zero")
			}
			return nil
		}
		var out []float64
		for i := 0; from+float64(i)*step <= to*(1+1e-9); i++ {
			out = append(out, from+float64(i)*step)
		}
		return out
	}
	if n.kind != isList || len(n.items) == 0 {
		f.wrong(n, name, "a list of quantities in quotes")
		return nil
	}
	var out []float64
	for _, item := range n.items {
		if item.kind != isText {
			f.wrong(item, name, "a list of quantities in quotes")
			continue
		}
		out = append(out, one(item, item.text))
	}
	return out
}

func dialPart(name string) (part, bool) {
	for _, p := range dialParts {
		if p.name == name {
			return p, true
		}
	}
	return part{}, false
}

func dialNames() []string {
	var names []string
	for _, p := range dialParts {
		names = append(names, p.name)
	}
	return names
}

// tablesOf are the tables that a part may have here.
func tablesOf(p part, n *node) ([]*node, bool) {
	switch {
	case n.kind == isTable && !p.many:
		return []*node{n}, true
	case n.kind == isList && p.many && n.tablesOnly():
		return n.items, true
	}
	return nil, false
}
