package compare

import (
	"math"
	"slices"

	"fallwright.example/num/oneway"
)

// Put answers a question from observations of its measure. Each specimen is
// first brought to one value, its mean over the question's falls; a specimen
// that lacks one of them is left out, and a note names it. Then the two
// conditions are contrasted by Welch's method and judged by the margin:
//
//   - higher or lower: the 95 % interval excludes zero and the estimate lies at
//     or beyond the margin (an interval wholly beyond the margin does both);
//   - no difference that matters: the 90 % interval lies wholly inside the
//     margin, which is two one-sided tests at 5 % [Schuirmann1987];
//   - no claim: no interval can be had, and a note says why;
//   - not settled: otherwise, with Needed.
//
// A margin of a share is judged on logarithms, one of an amount on the values.
// Nothing is adjusted for several questions.
//
// It refuses observations that Table refuses, and a question without two
// conditions, falls, or exactly one margin. Observations of other conditions
// and falls are not looked at further.
func Put(q Question, obs []Observation) (Answer, error) {
	if err := q.check(); err != nil {
		return Answer{}, err
	}
	if err := check(obs); err != nil {
		return Answer{}, err
	}
	seen, base := bring(q, q.Condition, obs), bring(q, q.Baseline, obs)
	fall := 0
	if len(q.Falls) == 1 {
		fall = q.Falls[0]
	}
	a := Answer{Question: q, Rule: rule(q)}
	a.Difference = difference(q.Condition, q.Baseline, fall, seen.values, base.values)
	v := q.view(a.Difference)
	a.Verdict = v.verdict()
	if a.Verdict == NotSettled {
		a.Needed = needed(q, v, seen.values, base.values)
	}
	if a.Verdict == NoClaim {
		a.Needed = Unknown
	}
	a.Notes = notes(a, seen, base)
	a.Sentence = sentence(a)
	a.tie()
	return a, nil
}

// group is the specimens of a condition, each brought to one value.
type group struct {
	condition string
	values    []float64 // by label
	lacking   []lack
}

// lack is a specimen that cannot be used and the falls it has no value at.
type lack struct {
	specimen string
	falls    []int
}

// bring takes each specimen's mean over the question's falls.
func bring(q Question, condition string, obs []Observation) group {
	g := group{condition: condition}
	series := map[string]map[int]float64{}
	for _, o := range obs {
		if o.Condition != condition {
			continue
		}
		if series[o.Specimen] == nil {
			series[o.Specimen] = map[int]float64{}
		}
		series[o.Specimen][o.Fall] = o.Value
	}
	for _, specimen := range sorted(series) {
		var had []float64
		l := lack{specimen: specimen}
		for _, fall := range q.Falls {
			if v, ok := series[specimen][fall]; ok {
				had = append(had, v)
			} else {
				l.falls = append(l.falls, fall)
			}
		}
		if len(l.falls) > 0 {
			g.lacking = append(g.lacking, l)
			continue
		}
		s, _ := oneway.Summarise(had) // at least one, and checked
		g.values = append(g.values, s.Mean)
	}
	return g
}

func sorted(series map[string]map[int]float64) []string {
	out := make([]string, 0, len(series))
	for specimen := range series {
		out = append(out, specimen)
	}
	slices.Sort(out)
	return out
}

// view is a difference on the scale of the question's margin.
type view struct {
	estimate         float64
	lower, upper     float64 // 95 %
	lower90, upper90 float64
	margin           float64
}

func (q Question) view(d Difference) view {
	if q.Share > 0 {
		return view{d.Percent, d.PercentLower, d.PercentUpper, d.PercentLower90, d.PercentUpper90, 100 * q.Share}
	}
	return view{d.Amount, d.Lower, d.Upper, d.Lower90, d.Upper90, q.Amount}
}

func (v view) verdict() Verdict {
	switch {
	case math.IsNaN(v.lower):
		return NoClaim
	case v.lower > 0 && v.estimate >= v.margin:
		return Higher
	case v.upper < 0 && v.estimate <= -v.margin:
		return Lower
	case v.lower90 > -v.margin && v.upper90 < v.margin:
		return NoDifference
	}
	return NotSettled
}

// seen reports whether the 95 % interval excludes zero.
func (v view) seen() bool { return v.lower > 0 || v.upper < 0 }

// narrow reports whether the interval already reaches no further than the
// margin on each side of the estimate. In per cent the upper side is the wider,
// on values they are alike.
func (v view) narrow() bool { return v.upper-v.estimate <= v.margin }

// needed returns how many specimens a condition would bring the interval
// within the margin on each side, at the spread seen: 0 when it lies there
// already, Unknown when the number cannot be had. On logarithms the
// upper side is the wider one: r·(exp(h) − 1) = margin at the ratio r seen, so
// h = ln(1 + margin/r).
func needed(q Question, v view, seen, base []float64) int {
	if v.narrow() {
		return 0
	}
	half := q.Amount
	if q.Share > 0 {
		half = math.Log1p(q.Share / (1 + v.estimate/100))
		seen, base = logs(seen), logs(base)
	}
	s, errS := oneway.Summarise(seen)
	b, errB := oneway.Summarise(base)
	n, err := oneway.SizeFor(s.SD, b.SD, half, 0.95)
	if errS != nil || errB != nil || err != nil {
		return Unknown
	}
	return max(n, min(len(seen), len(base))+1)
}
