// Package entry is one labelled field of a form: what was typed into it, what is
// wrong with that, and where its value comes from when nobody typed it.
package entry

import (
	"slices"

	"fallwright.example/problem"
)

// Field is one field. Without Options it is written.
type Field struct {
	Name, Label, Value string
	ID                 string // in the page; Name where it is empty
	Hint               string // what may stand there
	From               string // where the value comes from, a sentence; empty when it was typed
	About              string // what refusals call it
	Options            []Option
	Long               bool // a text of several lines
	Bare               bool // in a table, whose heads name it; Label is for those who do not see them
	Faults             []*problem.Problem
}

// Option is one of a list of choices.
type Option struct{ Value, Label string }

func (f Field) id() string {
	if f.ID != "" {
		return f.ID
	}
	return f.Name
}

// notes are the ids of what is said below the field.
func (f Field) notes() string {
	ids := ""
	if len(f.Faults) > 0 {
		ids = f.id() + "-fault"
	}
	if f.note() != "" {
		if ids != "" {
			ids += " "
		}
		ids += f.id() + "-note"
	}
	return ids
}

// note is what is said below the field: an example that stands in it already is
// not said again.
func (f Field) note() string {
	switch {
	case f.From != "":
		return f.From
	case f.Hint == f.Value:
		return ""
	}
	return f.Hint
}

// Blame puts the problems of a refusal beside the fields that they are about, and
// returns those that belong to none.
func Blame(err error, fields ...*Field) (rest []*problem.Problem) {
	for _, p := range problem.All(err) {
		i := slices.IndexFunc(fields, func(f *Field) bool { return f.About != "" && f.About == p.Where })
		if i < 0 {
			rest = append(rest, p)
			continue
		}
		fields[i].Faults = append(fields[i].Faults, p)
	}
	return rest
}
