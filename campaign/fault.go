package campaign

import (
	"fmt"
	"strings"
	"unicode"

	"fallwright.example/problem"
)

// Part is a part of a plan, by the word that its file uses for one of them.
type Part string

const (
	StudyPart     Part = "study"
	QuestionPart  Part = "question"
	FactorPart    Part = "factor"
	ConditionPart Part = "condition"
	RopePart      Part = "rope"
	SpecimenPart  Part = "specimen"
	RigPart       Part = "rig"
	SettingPart   Part = "setting"
	SeriesPart    Part = "series"
	ReadingPart   Part = "reading"
	AnalysisPart  Part = "analysis"

	CuttingPart     Part = "cutting"
	OrderPart       Part = "order"
	DaysPart        Part = "days"
	PreparationPart Part = "preparation"
	NumbersPart     Part = "numbers"
	WaterPart       Part = "water"
)

// Place is where in a plan a fault is, so that whoever read the plan from a
// file can show the line.
type Place struct {
	Part    Part
	Index   int    // which of several, from 0; 0 for a part there is one of
	Field   string // "margin"; empty for the part as a whole
	Element string // of a field that holds several: "2" in a list, a factor in levels
}

// Fault is one broken rule of a plan.
type Fault struct {
	Place   Place
	Problem *problem.Problem
}

// Validate returns every fault of the plan at once, as a problem.List; nil when
// the plan keeps all rules.
func (p *Plan) Validate() error {
	var list problem.List
	for _, f := range p.Faults() {
		list = append(list, f.Problem)
	}
	return list.Err()
}

// Faults returns every fault of the plan with its place, in the order of the
// parts.
func (p *Plan) Faults() []Fault {
	c := &checker{plan: p}
	c.study()
	c.questions()
	c.factors()
	c.conditions()
	c.ropes()
	c.specimens()
	c.places()
	c.rig()
	c.settings()
	c.series()
	c.reading()
	c.analysis()
	c.draw()
	c.days()
	c.preparations()
	c.numbers()
	c.water()
	return c.faults
}

// checker gathers the faults of one plan.
type checker struct {
	plan   *Plan
	faults []Fault
}

// refuse adds a fault and returns its problem, for hints.
func (c *checker) refuse(at Place, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, c.plan.where(at), format, args...)
	c.faults = append(c.faults, Fault{Place: at, Problem: p})
	return p
}

// where names a place for a reader who has no file before him.
func (p *Plan) where(at Place) string {
	name := ""
	switch at.Part {
	case QuestionPart:
		name = p.Questions[at.Index].Name
	case FactorPart:
		name = p.Factors[at.Index].Name
	case ConditionPart:
		name = p.Conditions[at.Index].Name
	case RopePart:
		name = p.Ropes[at.Index].ID()
	case SpecimenPart:
		name = p.Specimens[at.Index].Label
	case SettingPart:
		name = p.Settings[at.Index].Name
	default:
		return string(at.Part)
	}
	if strings.TrimSpace(name) == "" {
		return fmt.Sprintf("%s %d", at.Part, at.Index+1)
	}
	return fmt.Sprintf("%s %q", at.Part, name)
}

// named holds that each of the names is there, tidy, and used once.
func (c *checker) named(part Part, field string, names []string) {
	first := map[string]int{}
	for i, name := range names {
		at := Place{Part: part, Index: i, Field: field}
		switch j, seen := first[name]; {
		case strings.TrimSpace(name) == "":
			c.refuse(at, "it has no %s", field).Hint("give it a %s of its own", field)
		case untidy(name):
			c.refuse(at, "the %s %q has a space or a control character that would not be seen", field, name).
				Hint("write %q", tidy(name))
		case seen:
			c.refuse(at, "the %s %q is taken by %s %d", field, name, part, j+1).
				Hint("give one of the two another %s", field)
		default:
			first[name] = i
		}
	}
}

// untidy reports whether a name cannot be told from another by eye.
func untidy(name string) bool { return name != tidy(name) }

// tidy joins the words of a name with single spaces and drops what is not seen.
func tidy(name string) string {
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool {
		return unicode.IsSpace(r) || !unicode.IsGraphic(r)
	}), " ")
}

// oneOf is the hint that lists what there is to choose from.
func oneOf(what string, names []string) string {
	if len(names) == 0 {
		return "the plan has no " + what + " yet: add one"
	}
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = fmt.Sprintf("%q", n)
	}
	return "the plan has: " + strings.Join(quoted, ", ")
}
