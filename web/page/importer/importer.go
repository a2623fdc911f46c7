// Package importer is the page that takes a trace file in: what was understood
// of it and why, corrections, and what it is to be recorded as.
package importer

import (
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
	Here     string // address of this preview, without a query
	Kept     []Pair // of the query, that the forms must carry along
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
	Fall    string // that has it already
	Length  string
}

// Drop is what the form to record asks for.
type Drop struct {
	Specimens []campaign.Specimen
	Next      map[string]int // the next fall of each specimen
	Settings  []campaign.Setting
	Setting   string
	By        string
	At        string // local date and time for the field
	Zone      string
	Frozen    bool
}

func (v View) recorded() bool {
	return v.Preview != nil && v.Preview.Refused == nil && v.Preview.Curves != nil
}

func (v View) reading() *trace.Reading {
	if v.Preview == nil || v.Preview.Chosen < 0 {
		return nil
	}
	return v.Preview.Parts[v.Preview.Chosen].Reading
}

func (v View) recording() *trace.Recording {
	if v.Preview == nil || v.Preview.Chosen < 0 || v.Preview.Chosen >= len(v.Preview.Parts) {
		return nil
	}
	return v.Preview.Parts[v.Preview.Chosen].Recording
}

// value is one of the few values that tell whether a file was read right.
type value struct{ label, text, what string }

func values(r *trace.Reading) []value {
	return []value{
		{"peak force", say.Force(float64(r.PeakForce)), "largest force"},
		{"time to peak", say.Milliseconds(float64(r.TimeToPeak)), "from first contact"},
		{"contacts", figure.Counted(len(r.Contacts), "contact"), "the first catch and its bounces"},
		{"hang weight", say.Newtons(float64(r.HangWeight)), "should be the mass times gravity"},
		{"sampling", say.Rate(float64(r.SampleRate)), figure.Counted(r.Samples, "sample")},
		{"largest stretch", say.Length(float64(r.MaxStretch)), "of the first contact"},
		{"noise", say.Newtons(float64(r.Noise)), "before the catch"},
		{"filter", Class(r.Class), "of the plan"},
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

// correctedBy is the field that corrects a fact, of the flag that the command
// line has for it; empty when the page has none.
func (v View) correctedBy(f trace.Fact) string {
	name := strings.TrimPrefix(f.Flag, "--")
	for _, field := range v.Fields {
		if field.Name == name {
			return field.Label
		}
	}
	return ""
}

func packed(p string) string {
	if p == "" {
		return ""
	}
	return ", packed with " + p
}
