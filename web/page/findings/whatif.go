package findings

import (
	"fmt"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// WhatIf is the form for another analysis, and what it gave.
type WhatIf struct {
	Fields  []Field
	Ticks   []Tick
	Asked   bool            // the address asks for another analysis
	Found   *study.Findings // nil when nothing is asked, or refused
	Refused error
	Frozen  bool
}

// Field is one choice of the form; without Options it is written.
type Field struct {
	Name, Label, Value, Hint string
	Options                  []Option
}

// Option is one of a list of choices.
type Option struct{ Value, Label string }

// Tick is a choice that is on or off.
type Tick struct {
	Name, Value, Label string
	On                 bool
}

// problems are those of a refusal.
func problemsOf(err error) []*problem.Problem { return problem.All(err) }

// estimate writes what an answer rests on.
func estimate(a compare.Answer) string {
	d, q := a.Difference, a.Question
	if q.Share > 0 {
		return withRange(figure.Percent(d.Percent), figure.Range(d.PercentLower, d.PercentUpper, 1))
	}
	u := figure.UnitOf(measureOf(q))
	return withRange(u.Signed(d.Amount), figure.Range(d.Lower*u.Scale, d.Upper*u.Scale, u.Decimals))
}

func withRange(number, limits string) string {
	if number == figure.Missing || limits == figure.Missing {
		return number
	}
	return fmt.Sprintf("%s (%s)", number, limits)
}

// changed counts the verdicts that come out otherwise.
func (v View) changed() int {
	n := 0
	for i, a := range v.WhatIf.Found.Answers {
		if a.Verdict != v.Answers[i].Verdict {
			n++
		}
	}
	return n
}

// outcome says how many verdicts hang on the analysis.
func (v View) outcome() string {
	switch n := v.changed(); n {
	case 0:
		return "Every verdict would be the same."
	case 1:
		return "One verdict would be another."
	default:
		return fmt.Sprintf("%d of %d verdicts would be others.", n, len(v.Answers))
	}
}

func measureOf(q compare.Question) campaign.Measure { return campaign.Measure(q.Measure) }
