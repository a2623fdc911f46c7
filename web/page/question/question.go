// Package question is the page of the questions: each as a sentence, the drops that
// answer it, its chance, and what it lacks.
package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/power"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/counting"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is every question of a plan.
type View struct {
	Frame    frame.View
	Planned  *study.Planned
	Path     string // of the study
	Counting counting.Way
	Refused  error             // why nothing could be simulated
	Findings map[string]Answer // by question, where there are some
}

// Answer is what was found.
type Answer struct{ Verdict, Href string }

func (v View) plan() *campaign.Plan { return &v.Planned.Plan }

func (v View) condition(name string) mark.Condition { return mark.Of(v.plan(), name) }

// numbers is the simulation that a question is part of.
func (v View) numbers(q campaign.Question) *study.HowMany {
	for i, h := range v.Planned.HowMany {
		if slices.ContainsFunc(h.Plan.Questions, func(o power.Question) bool { return o.Question.Name == q.Name }) {
			return &v.Planned.HowMany[i]
		}
	}
	return nil
}

func chanceOf(h *study.HowMany, q campaign.Question) *power.Chance {
	if h == nil || h.Result == nil {
		return nil
	}
	for i, c := range h.Result.Chances {
		if c.Question.Name == q.Name {
			return &h.Result.Chances[i]
		}
	}
	return nil
}

func upper(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// marginWords says what does not matter.
func marginWords(q campaign.Question) string {
	text := say.Margin(q.Value, q.Margin)
	if q.Margin.Share > 0 {
		text += " of the baseline"
	}
	if q.Trend {
		text += " a fall"
	}
	return "A difference under " + text + " does not matter."
}

func claimWords(q campaign.Question) string {
	switch q.Claim {
	case campaign.ClaimNone:
		return "It is put to show that nothing that matters differs."
	case campaign.ClaimHigher, campaign.ClaimLower:
		return "It is put to show: " + compare.Verdict(q.Claim).Word(string(q.Value)) + "."
	}
	return "A difference either way is looked for."
}

func percent(x float64) string { return fmt.Sprintf("%.0f\u202f%%", 100*x) }

// short reports whether a chance misses what is wanted by more than the simulation
// is off.
func short(c *power.Chance, wanted float64) bool { return c.Power.P+2*c.Power.SE < wanted }

// Amount is an amount on the scale of a question's margin.
func Amount(q compare.Question, x float64) string {
	switch {
	case math.IsNaN(x):
		return say.None
	case q.Share > 0:
		return fmt.Sprintf("%.1f\u202f%%", x)
	case q.Unit == "N":
		return say.Force(x)
	}
	return strings.TrimSpace(fmt.Sprintf("%.3g\u202f%s", x, q.Unit))
}

// Supposed is the difference that a simulation took.
func Supposed(c power.Chance) string {
	if c.Truth == (power.Truth{}) {
		return "if there is no difference"
	}
	q := c.Question
	size := math.Abs(c.Truth.Margins) * q.Amount
	if q.Share > 0 {
		size = 100 * math.Abs(c.Truth.Margins) * q.Share
	}
	way := "upwards"
	if c.Truth.Margins < 0 {
		way = "downwards"
	}
	return fmt.Sprintf("if the difference is %g margins, %s %s", math.Abs(c.Truth.Margins), Amount(q, size), way)
}

// calls is the finding that the supposed difference calls for.
func calls(c *power.Chance) string { return c.Calls.Word(c.Question.Measure) }

// outcomes are how the simulated studies ended.
func outcomes(c *power.Chance) string {
	var parts []string
	for _, o := range []struct {
		verdict compare.Verdict
		share   power.Share
	}{{compare.Higher, c.Higher}, {compare.Lower, c.Lower}, {compare.NoDifference, c.NoDifference}, {compare.NotSettled, c.NotSettled}} {
		if o.share.P >= 0.005 {
			parts = append(parts, o.verdict.Word(c.Question.Measure)+" "+percent(o.share.P))
		}
	}
	return strings.Join(parts, ", ")
}

// side lists what answers of one side: specimens by label, or how many where labels
// hide what they are of.
func (v View) side(s study.PlannedSide) string {
	of := strings.Join(s.Specimens, ", ")
	if v.plan().Order.Blind {
		of = figure.Counted(len(s.Specimens), "specimen")
	}
	return say.Falls(s.Falls) + " of " + of
}

// fallsWords are the falls of both sides of a question.
func fallsWords(q campaign.Question) string {
	switch {
	case q.Trend:
		return "over " + say.Falls(q.Falls)
	case len(q.Falls) > 1:
		return "at " + say.Falls(q.Falls) + " together"
	}
	return "at " + say.Falls(q.Falls)
}

func own(q campaign.Question) bool { return q.Compare == q.Baseline }

// level is a factor's level of a condition; none where the factor has no meaning for
// it, as a soak time for a dry rope.
func level(c campaign.Condition, f campaign.Factor) string {
	if l := c.Levels[f.Name]; l != "" {
		return l
	}
	return say.None
}

// where says in which conditions a nested factor has a level; empty for all.
func where(f campaign.Factor) string {
	if f.Within.Factor == "" {
		return ""
	}
	return "where " + f.Within.Factor + " is " + strings.Join(f.Within.Levels, " or ")
}

func (v View) nested() bool {
	return slices.ContainsFunc(v.plan().Conditions, func(c campaign.Condition) bool {
		return slices.ContainsFunc(v.plan().Factors, func(f campaign.Factor) bool { return c.Levels[f.Name] == "" })
	})
}

// specimens of a condition: those to be dropped and spares.
func (v View) specimens(condition string) (n, spares int) {
	for _, s := range v.plan().Specimens {
		switch {
		case s.Condition != condition:
		case s.Spare:
			spares++
		default:
			n++
		}
	}
	return n, spares
}

func problems(err error) []*problem.Problem { return problem.All(err) }
