// Package importer is the page that takes a trace file in: what was understood
// of it and why, corrections, and what it is to be recorded as.
package importer

import (
	"cmp"
	"regexp"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/say"
)

// View is the page; without a Preview it only asks for a file.
type View struct {
	Frame   frame.View
	Path    string // of the import page
	Rig     string
	Recipes []campaign.Recipe
	Recipe  string // the one in use; empty for none
	Most    string // the largest file: "256 MB"

	Preview  *study.Preview
	SideCar  string // that was sent beside the file; empty for none
	Here     string // address of this preview, without a query
	Seen     string // the corrections that the preview shows
	Changed  bool   // others were typed when it was to be recorded, and nothing was
	Picture  frame.Picture
	Fields   []Field
	Drop     Drop
	Problems []*problem.Problem // why the file is refused
	Parts    []Part
}

// Pair is a name and a value.
type Pair struct{ Name, Value string }

// Field is one correction.
type Field struct {
	Name, Label string
	Value       string // what was understood, or what was asked
	Asked       bool   // it was asked here
	Set         bool   // it was asked by the recipe or the plan
	Hint        string
	Options     []Pair // to choose from; none for a field of text. Name is the value, Value the words
	Number      bool
}

// Part is one drop of the file.
type Part struct {
	Name    string
	Href    string // of the preview with this one chosen
	Chosen  bool
	Reading *trace.Reading
	Why     string // it cannot be read
	Length  string

	Recorded string // the drops that have it already
}

// Drop is what the form to record asks for.
type Drop struct {
	Specimens  []campaign.Specimen
	Next       map[string]int // the next fall of each specimen
	Settings   []campaign.Setting
	Setting    string
	Kind       string // what was filled in before; as Specimen, Fall, Note and Void
	Specimen   string
	Fall       string
	Note       string
	Void       string
	Loaded     bool
	By         string
	KeptBy     string // who keeps a recipe
	RecipeName string
	At         string // local date and time for the field
	Zone       string
	Frozen     bool
}

// read reports whether there is a reading to be shown.
func (v View) read() bool {
	return v.Preview != nil && v.Preview.Refused == nil && v.Preview.Curves != nil
}

// recipeName is the name under which the corrections are kept.
func (v View) recipeName() string { return cmp.Or(v.Drop.RecipeName, v.Recipe) }

// unfiltered is why the plan's filter could not be used; empty when it was.
func (v View) unfiltered() string {
	if !v.read() {
		return ""
	}
	return v.Preview.Parts[v.Preview.Chosen].Unfiltered
}

// recorded are the drops that have the trace shown already.
func (v View) recorded() string {
	if v.Preview == nil || v.Preview.Chosen < 0 {
		return ""
	}
	return v.Parts[v.Preview.Chosen].Recorded
}

// state says what is recorded of the file.
func (v View) state() string {
	for _, p := range v.Parts {
		if p.Recorded != "" && len(v.Parts) > 1 {
			return "some of its drops are recorded already"
		}
	}
	if as := v.recorded(); as != "" {
		return "recorded already as " + as
	}
	return "nothing is recorded yet"
}

// sideCar says what was sent beside the file.
func (v View) sideCar() string {
	switch {
	case v.SideCar == "":
		return ""
	case v.Preview.Layout.Format != "WAV":
		return " · the side-car " + v.SideCar + " is for WAV files only and was not used"
	}
	return " · with the side-car " + v.SideCar
}

var runOfFlags = regexp.MustCompile(`(--[a-z][a-z-]*(?: [A-Z0-9][^\s,:;]*)?) (--[a-z])`)

var flags = regexp.MustCompile(`--([a-z][a-z-]*)( [A-Z]{2,}\b)?`)

// Words puts the fields of this page into a text that speaks of the command
// line's flags.
func (v View) Words(text string) string {
	if strings.Contains(text, "write a side-car") {
		text = "or choose the file again, and with it " + strings.TrimPrefix(strings.Replace(text, " beside it", "", 1), "or write ")
	}
	text = runOfFlags.ReplaceAllString(text, "$1, $2")
	return flags.ReplaceAllStringFunc(text, func(flag string) string {
		found := flags.FindStringSubmatch(flag)
		name, field := found[1], ""
		if found[2] != "" { // the flag's value is left open
			field = "the field "
		}
		for _, f := range v.Fields {
			if f.Name == name {
				label, _, _ := strings.Cut(f.Label, ",")
				return field + "“" + label + "”"
			}
		}
		if name == "mass" {
			return "the mass of the setting"
		}
		return flag
	})
}

func (v View) reading() *trace.Reading {
	if v.Preview == nil || v.Preview.Chosen < 0 {
		return nil
	}
	return v.Preview.Parts[v.Preview.Chosen].Reading
}

// value is one of the few values that tell whether a file was read right.
type value struct{ label, text, what string }

func (v View) values() []value {
	r, rule := v.reading(), "of the plan"
	if v.unfiltered() != "" {
		rule = "the plan's does not fit"
	}
	return []value{
		{"peak force", say.Force(float64(r.PeakForce)), "largest force"},
		{"time to peak", say.Milliseconds(float64(r.TimeToPeak)), "from first contact"},
		{"contacts", figure.Counted(len(r.Contacts), "contact"), "the first catch and its bounces"},
		{"hang weight", say.Newtons(float64(r.HangWeight)), "should be the mass times gravity"},
		{"sampling", say.Rate(float64(r.SampleRate)), figure.Counted(r.Samples, "sample")},
		{"largest stretch", say.Length(float64(r.MaxStretch)), "of the first contact"},
		{"noise", say.Newtons(float64(r.Noise)), "before the catch"},
		{"filter", Class(r.Class), rule},
	}
}

// Class is a filter class in words.
func Class(n int) string {
	if n == 0 {
		return "none"
	}
	return "CFC " + say.Number(float64(n), 0)
}

// rows turns the columns' first cells into rows.
func rows(columns []trace.Column) [][]string {
	most := 0
	for _, c := range columns {
		most = max(most, len(c.Cells))
	}
	out := make([][]string, most)
	for i := range out {
		for _, c := range columns {
			cell := ""
			if i < len(c.Cells) {
				cell = c.Cells[i]
			}
			out[i] = append(out[i], cell)
		}
	}
	return out
}

func title(c trace.Column) string {
	if strings.TrimSpace(c.Title) == "" {
		return "column " + say.Number(float64(c.No), 0)
	}
	return c.Title
}

// use is what a column is read as.
func use(c trace.Column) string {
	if c.Use == "" {
		return "not read"
	}
	return c.Use
}

func packed(p string) string {
	if p == "" {
		return ""
	}
	return ", packed with " + p
}
