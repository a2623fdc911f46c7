// Package findings is the page of answers: sentences first, numbers second,
// method third.
package findings

import (
	"fmt"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
)

// View is every question with its answer.
type View struct {
	Frame    frame.View
	Findings *study.Findings
	Overview *study.Overview
	Counting int
	Path     string // of the study
	Answers  []Answer
	Measures []Measure
	WhatIf   WhatIf
}

// Answer is one answer with its picture.
type Answer struct {
	compare.Answer
	Anchor  string
	Picture frame.Picture // the difference against the margin
}

// Measure is one measure with its models, the one that most questions ask for
// first.
type Measure struct {
	Measure campaign.Measure
	Models  []Model
}

// Model is one model with its pictures; those of a model that could not be
// fitted are empty.
type Model struct {
	study.Model
	ByFall    frame.Picture // the measure by fall and condition
	Effects   frame.Picture // every comparison with the baseline
	Residuals frame.Picture
	Quantiles frame.Picture
}

func (v View) plan() *campaign.Plan { return &v.Findings.Study.Plan }

func (v View) counts() string {
	void := 0
	for _, c := range v.Overview.Conditions {
		void += c.Void
	}
	return fmt.Sprintf("%s of %s, %s that count, %d void.",
		figure.Counted(len(v.plan().Specimens), "specimen"), figure.Counted(len(v.plan().Ropes), "rope"), figure.Counted(v.Counting, "fall"), void)
}

// checked reports whether a model was.
func (v View) checked() bool {
	return slices.ContainsFunc(v.Measures, func(m Measure) bool {
		return slices.ContainsFunc(m.Models, func(m Model) bool { return m.Checks != nil })
	})
}

func (v View) deviations() int {
	return len(v.Overview.Departures) + len(v.Findings.Study.Deviations)
}

func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func (m Measure) heading() string { return capital(string(m.Measure)) }

// title names a model where its measure has several.
func (m Model) title() string {
	if m.Scale == compare.Log {
		return m.heading() + ", for margins in per cent"
	}
	return m.heading() + ", for margins in " + figure.UnitOf(m.Measure).Name
}

func (m Model) heading() string { return capital(string(m.Measure)) }

// statement is the finding itself; what it rests on and would take stands below.
func (a Answer) statement() string {
	if a.Parts.Found == "" { // no model could be fitted
		return a.Sentence
	}
	return a.Parts.Found + "."
}

// fact is a number that stands beside an answer, with what it is.
type fact struct{ name, value, more string }

// facts are the numbers and cross-checks beside an answer.
func facts(a compare.Answer) []fact {
	var out []fact
	d := a.Difference
	if p := figure.Probability(d.PAdjusted); p != figure.Missing {
		more := figure.DF(d.DF)
		if d.P != d.PAdjusted {
			more += "; p " + figure.Probability(d.P) + " before it is adjusted"
		}
		out = append(out, fact{"against no difference", "p " + p, more})
	}
	if p := figure.Probability(d.EquivalencePAdjusted); p != figure.Missing {
		out = append(out, fact{"against the margin", "p " + p, "the larger of two one-sided tests"})
	}
	if r := a.Randomisation; r != nil && !slices.ContainsFunc(a.Notes, func(n string) bool { return strings.Contains(n, r.Said) }) {
		out = append(out, fact{"specimens dealt anew", "p " + figure.Probability(r.P), dealt(r)})
	}
	if c := a.Welch; c != nil {
		out = append(out, fact{"Welch’s test", "p " + figure.Probability(c.P), "one value a specimen, this question alone; it would say: " + c.Verdict.Word(a.Question.Measure)})
	}
	return out
}

// dealt says how the re-randomisation was done.
func dealt(r *compare.Randomisation) string {
	text := fmt.Sprintf("of all %d ways to deal them", r.Arrangements)
	if !r.Exact {
		text = fmt.Sprintf("of %d random ways to deal them", r.Arrangements)
	}
	if r.Smallest > 0 {
		text += ", at best " + figure.Probability(r.Smallest)
	}
	return text
}
