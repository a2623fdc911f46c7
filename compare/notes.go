package compare

import (
	"fmt"
	"math"
	"slices"
)

// notes says what a careful reader should know beside the sentence, and what
// would help.
func notes(a Answer, seen, base group) []string {
	out := []string{}
	for _, g := range []group{seen, base} {
		out = append(out, g.leftOut()...)
	}
	for _, g := range []group{seen, base} {
		out = append(out, g.weak(a.Question)...)
	}
	q, m, n := a.Question, len(seen.values), len(base.values)
	if min(m, n) == 2 && a.Verdict != NoClaim {
		out = append(out, fmt.Sprintf("an interval from two specimens rests on few degrees of freedom, here %.1f: a third a condition would steady it", q.df(a.Difference)))
	}
	if m != n && min(m, n) > 1 {
		fewer := seen.condition
		if n < m {
			fewer = base.condition
		}
		out = append(out, fmt.Sprintf("unequal numbers, %d and %d: where the smaller group varies more, the interval errs more often than it says; add to %s first", m, n, fewer))
	}
	if v := q.view(a.Difference); v.seen() && math.Abs(v.estimate) < v.margin {
		out = append(out, "the 95 % interval excludes zero: a difference was seen, but its estimate is smaller than the margin")
	}
	return out
}

// leftOut names the specimens that lack a fall of the question.
func (g group) leftOut() []string {
	var out []string
	for _, l := range g.lacking {
		word := "fall"
		if len(l.falls) > 1 {
			word = "falls"
		}
		out = append(out, fmt.Sprintf("%s of %s is left out: no value at %s %s", l.specimen, g.condition, word, list(l.falls)))
	}
	return out
}

// weak says what a group lacks for an interval on the question's scale.
func (g group) weak(q Question) []string {
	var out []string
	if len(g.values) < 2 {
		count := "no specimen"
		if len(g.values) == 1 {
			count = "one specimen"
		}
		out = append(out, fmt.Sprintf("%s has %s with a value %s: an interval needs two a condition", g.condition, count, fallWords(q.Falls)))
	}
	if len(g.values) > 1 && slices.Min(g.values) == slices.Max(g.values) {
		out = append(out, fmt.Sprintf("all values of %s are the same: look whether they were copied or rounded", g.condition))
	}
	if q.Share > 0 && len(g.values) > 0 && slices.Min(g.values) <= 0 {
		out = append(out, fmt.Sprintf("%s has a value that is not positive: the difference cannot be had in per cent, only as an amount, and only a margin in the unit of the measure can be judged", g.condition))
	}
	return out
}

// df is the degrees of freedom on the scale of the margin.
func (q Question) df(d Difference) float64 {
	if q.Share > 0 {
		return d.PercentDF
	}
	return d.DF
}
