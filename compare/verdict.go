package compare

import "math"

// Verdict is the answer to a question.
type Verdict string

// The verdicts. Word has "harder" and "softer" for Higher and Lower where the
// measure is peak force.
const (
	Higher       Verdict = "higher"
	Lower        Verdict = "lower"
	NoDifference Verdict = "no difference that matters"
	NotSettled   Verdict = "not settled"
	NoClaim      Verdict = "no claim" // no interval can be had, or too few specimens; a note says why
)

// Word is the verdict as the trade says it of a measure: a higher peak force is
// a harder catch, a lower one a softer.
func (v Verdict) Word(measure string) string {
	if measure == "peak force" {
		switch v {
		case Higher:
			return "harder"
		case Lower:
			return "softer"
		}
	}
	return string(v)
}

// view is a difference on the scale that its margin is given on: per cent of
// the baseline, or the unit.
type view struct {
	n                int // specimens of the smaller side
	estimate, se     float64
	lower, upper     float64 // 95 %
	lower90, upper90 float64
	p, equivalenceP  float64 // adjusted
	margin           float64
}

func (d Difference) view(m Margin) view {
	v := view{n: min(d.N, d.NBaseline), se: d.SE, p: d.PAdjusted, equivalenceP: d.EquivalencePAdjusted}
	if m.Share > 0 {
		v.estimate, v.margin = d.Percent, 100*m.Share
		v.lower, v.upper, v.lower90, v.upper90 = d.PercentLower, d.PercentUpper, d.PercentLower90, d.PercentUpper90
		return v
	}
	v.estimate, v.margin = d.Amount, m.Amount
	v.lower, v.upper, v.lower90, v.upper90 = d.Lower, d.Upper, d.Lower90, d.Upper90
	return v
}

// alpha is the chance of a false claim that the rule allows.
const alpha = 0.05

// verdict applies the rule:
//
//   - no claim: fewer than two specimens in a condition, or no interval;
//   - higher or lower: the adjusted p is below 0.05, which is the adjusted 95 %
//     interval excluding zero, and the estimate lies at or beyond the margin;
//   - no difference that matters: the adjusted p of two one-sided tests against
//     the margin is below 0.05, which is the adjusted 90 % interval lying
//     wholly inside it [Schuirmann1987] [Lakens2017];
//   - not settled: otherwise.
func (v view) verdict() Verdict {
	switch {
	case v.n < 2 || math.IsNaN(v.estimate) || math.IsNaN(v.p) || math.IsNaN(v.equivalenceP):
		return NoClaim
	case v.p < alpha && v.estimate >= v.margin:
		return Higher
	case v.p < alpha && v.estimate <= -v.margin:
		return Lower
	case v.equivalenceP < alpha:
		return NoDifference
	}
	return NotSettled
}

// verdict is that of a difference whose p values are adjusted already; empty
// without a margin.
func (d Difference) verdict(m Margin) Verdict {
	if m == (Margin{}) {
		return ""
	}
	return d.view(m).verdict()
}
