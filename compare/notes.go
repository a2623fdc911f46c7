package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// notes says what a careful reader should know beside the sentence, and what
// would help.
func (a *Analysis) notes(x Answer, m manner, sides [2]brought) []string {
	out := []string{}
	for _, b := range sides {
		if x.Verdict != NoClaim {
			out = append(out, b.partly(m)...)
		}
	}
	for i, b := range sides {
		n := x.Difference.N
		if i == 1 {
			n = x.Difference.NBaseline
		}
		out = append(out, append(b.gap(), b.weak(n, m)...)...)
	}
	out = append(out, a.without(x)...)
	out = append(out, a.numbers(x, m)...)
	out = append(out, m.decides(x)...)
	out = append(out, m.otherWay(x)...)
	if m.asked > 1 && !m.adjusted() && x.Verdict != NoClaim {
		out = append(out, fmt.Sprintf("%d questions stand side by side without adjustment: each errs in 1 of 20 cases by itself, all together more often", m.asked))
	}
	if x.Verdict != NoClaim {
		out = append(out, a.atZero()...)
	}
	return append(out, crossChecks(x)...)
}

// decides says what the verdict leaves open: a difference too small to matter, and
// limits that are wider than the p that decides.
func (m manner) decides(x Answer) []string {
	v := x.Difference.view(x.Question.margin())
	var out []string
	if x.Verdict != NoClaim && v.p < alpha && math.Abs(v.estimate) < v.margin {
		out = append(out, fmt.Sprintf("a difference was seen (p %.2g), but its estimate is smaller than the margin", v.p))
	}
	const wider = "the interval shown is by Bonferroni's share and wider than Holm's p, which decides: it "
	switch {
	case !m.adjusted() || m.adjust != Holm:
	case x.Verdict != NoClaim && v.p < alpha && !v.aside():
		out = append(out, wider+"takes in zero, though the p is below 0.05")
	case x.Verdict == NoDifference && !v.inside():
		out = append(out, wider+"reaches beyond the margin, though the p against it is below 0.05")
	}
	return out
}

// otherWay says that a claim with a direction was met by a difference against
// it, which its test cannot find, and what a joint adjustment makes of it.
func (m manner) otherWay(x Answer) []string {
	side, d := x.Question.Claim.side(), x.Difference
	var out []string
	if side == 0 || x.Verdict == NoClaim {
		return nil
	}
	if side*d.Amount < 0 && d.P < alpha {
		out = append(out, fmt.Sprintf("the difference seen lies the other way (two-sided p %.2g), which the question did not ask: it can be a question of another study", d.P))
	}
	if m.adjust == Joint && m.asked > 1 {
		out = append(out, "the joint adjustment is of two-sided tests: that the question has a direction is not used")
	}
	return out
}

// partly names the specimens that lack a fall of the question: the model takes
// what they have.
func (b brought) partly(m manner) []string {
	var out []string
	for _, l := range b.lacking {
		if len(l.falls) == len(b.falls) || m.unit != "specimens" {
			continue // it has none of them
		}
		word := "fall"
		if len(l.falls) > 1 {
			word = "falls"
		}
		out = append(out, fmt.Sprintf("%s of %s has no value at %s %s: the model takes it by its other falls", l.specimen, b.condition, word, list(l.falls)))
	}
	return out
}

// gap says which falls of a question no specimen of a condition has a value at.
func (b brought) gap() []string {
	var without []Fall
	falls := given(b.falls)
	for _, f := range falls {
		lacks := func(l lack) bool { return slices.Contains(l.falls, f) }
		if len(b.value) == 0 && !slices.ContainsFunc(b.lacking, func(l lack) bool { return !lacks(l) }) {
			without = append(without, f)
		}
	}
	if len(without) == 0 || len(without) == len(falls) {
		return nil // weak says so
	}
	return []string{fmt.Sprintf("%s has no value%s: the difference%s cannot be had", b.condition, fallWords(without), fallWords(falls))}
}

// weak says what a condition lacks for a finding.
func (b brought) weak(n int, m manner) []string {
	var out []string
	where := fallWords(b.falls)
	if n < 2 {
		count := fmt.Sprintf("%d %s", n, strings.TrimSuffix(m.unit, "s"))
		if n == 0 {
			count = "no " + strings.TrimSuffix(m.unit, "s")
		}
		out = append(out, fmt.Sprintf("%s has %s with a value%s: a finding needs two a condition", b.condition, count, where))
	}
	if len(b.value) > 1 && slices.Min(b.value) == slices.Max(b.value) {
		out = append(out, fmt.Sprintf("all values of %s are the same: look whether they were copied or rounded", b.condition))
	}
	return out
}

// without says why a difference with specimens enough makes no claim.
func (a *Analysis) without(x Answer) []string {
	d := x.Difference
	switch {
	case x.Verdict != NoClaim || min(d.N, d.NBaseline) < 2:
		return nil
	case a.model.why != "":
		return []string{a.model.why}
	case !math.IsNaN(d.P) && math.IsNaN(d.Percent) && x.Question.Share > 0:
		return []string{fmt.Sprintf("the mean of %s is not above zero: the difference cannot be had in per cent, only as an amount, so only a margin in the unit of the measure can be judged", d.Baseline)}
	}
	return nil
}

// numbers remarks on few and unequal numbers.
func (a *Analysis) numbers(x Answer, m manner) []string {
	var out []string
	d := x.Difference
	if x.Verdict == NoClaim {
		return nil
	}
	if min(d.N, d.NBaseline) == 2 {
		text := fmt.Sprintf("two %s say little about how much %s vary: ", m.unit, m.unit)
		if a.Ask.SpreadByCondition || len(a.table.condition.levels) == 2 {
			text += fmt.Sprintf("the interval rests on %.1f degrees of freedom", d.DF)
		} else {
			text += fmt.Sprintf("the interval leans on the spread in the other conditions, %.1f degrees of freedom in all", d.DF)
		}
		out = append(out, text+"; a third a condition would steady it")
	}
	if d.N != d.NBaseline && min(d.N, d.NBaseline) > 1 {
		fewer := d.Condition
		if d.NBaseline < d.N {
			fewer = d.Baseline
		}
		out = append(out, fmt.Sprintf("unequal numbers, %d and %d: where the smaller group varies more, the interval errs more often than it says; add to %s first", d.N, d.NBaseline, fewer))
	}
	return out
}

// atZero names the spreads that are estimated at zero.
func (a *Analysis) atZero() []string {
	var out []string
	for _, r := range a.Random {
		if r.SD > 0 {
			continue
		}
		what := "the spread between levels of " + r.Group
		if r.Group == specimenTerm {
			what = "the spread between specimens"
		}
		if r.Term != "intercept" {
			what += fmt.Sprintf(" in their trend over %ss", r.Term)
		}
		out = append(out, what+" is estimated at zero: with few levels that is no proof that there is none, so look at the single values too")
	}
	return out
}

// crossChecks says where the two other ways of looking disagree.
func crossChecks(x Answer) []string {
	var out []string
	if w := x.Welch; w != nil && w.Verdict != x.Verdict && x.Verdict != NoClaim && w.Verdict != NoClaim {
		out = append(out, fmt.Sprintf("with one value a specimen and nothing but these two conditions, Welch's test comes to %q (p %.2g): the finding hangs on the model", w.Verdict.Word(x.Question.Measure), w.P))
	}
	r := x.Randomisation
	claimed := x.Verdict == Higher || x.Verdict == Lower
	switch {
	case r == nil || !claimed || r.P < alpha:
	case r.Smallest >= alpha:
		out = append(out, r.Said+": this check can neither bear the difference out nor speak against it")
	default:
		out = append(out, r.Said+": by this check alone the difference would not be claimed")
	}
	return out
}
