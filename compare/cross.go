package compare

import (
	"math"
	"slices"

	"fallwright.example/num/oneway"
)

// Cross is the same question answered the plain way, printed beside the finding
// and never in its place: one value a specimen, its mean (or trend) over the
// question's falls on the model's scale, and Welch's t of the two conditions
// alone [Welch1947]; of a condition against itself at other falls, the t of each
// specimen's own difference. Specimens that lack a fall are left out.
type Cross struct {
	Amount  float64 `json:"difference"` // of the means, on the model's scale
	SE      float64 `json:"se"`
	DF      float64 `json:"df"`
	P       float64 `json:"p"` // two-sided, for this question alone
	Verdict Verdict `json:"verdict"`
}

// cross answers q from the two sides; nil where there is no such test. asked is
// the number of questions that the verdict allows for, by Bonferroni's share.
func cross(q Question, sides [2]brought, scale Scale, asked int) *Cross {
	against := apartFrom
	if q.own() {
		against = fromItself
	}
	c, base, ok := against(sides, 1)
	if !ok {
		return nil
	}
	v := view{n: min(len(sides[0].value), len(sides[1].value)), estimate: c.Amount, margin: q.Amount}
	upper, lower := c, c
	shift := [2]float64{q.Amount, -q.Amount}
	switch {
	case q.Share > 0 && scale == Log:
		v.estimate, v.margin = math.Expm1(c.Amount), q.Share
		shift = [2]float64{math.Log1p(q.Share), math.Log1p(-q.Share)}
	case q.Share > 0: // against (1 ± share) times the baseline, which needs none known exactly
		v.estimate, v.margin = c.Amount/base, q.Share
		share := math.Copysign(q.Share, base) // a baseline below zero turns the two round
		var above, under bool
		upper, _, above = against(sides, 1+share)
		lower, _, under = against(sides, 1-share)
		if !above || !under {
			return nil
		}
		shift = [2]float64{}
	}
	v.p = min(1, float64(asked)*q.sided(c))
	v.equivalenceP = min(1, float64(asked)*max(below(upper, shift[0]), 1-below(lower, shift[1])))
	return &Cross{c.Amount, c.SE, c.DF, c.P, v.verdict()}
}

// apartFrom contrasts the one side with so many times the other, of other
// specimens, whose mean it returns beside.
func apartFrom(sides [2]brought, times float64) (oneway.Contrast, float64, bool) {
	a, errA := oneway.Summarise(sides[0].value)
	b, errB := oneway.Summarise(sides[1].value)
	if errA != nil || errB != nil {
		return oneway.Contrast{}, 0, false
	}
	c, err := oneway.Welch(a, oneway.Sample{N: b.N, Mean: times * b.Mean, SD: times * b.SD})
	return c, b.Mean, err == nil
}

// fromItself is apartFrom where each specimen is on both sides: one sample of
// differences against nothing.
func fromItself(sides [2]brought, times float64) (oneway.Contrast, float64, bool) {
	var own []float64
	base := 0.0
	for i, label := range sides[0].specimen {
		if j := slices.Index(sides[1].specimen, label); j >= 0 {
			own = append(own, sides[0].value[i]-times*sides[1].value[j])
			base += sides[1].value[j]
		}
	}
	s, err := oneway.Summarise(own)
	if err != nil {
		return oneway.Contrast{}, 0, false
	}
	c, err := oneway.Welch(s, oneway.Sample{N: s.N})
	return c, base / float64(len(own)), err == nil
}

// sided is the p of the question's claim.
func (q Question) sided(c oneway.Contrast) float64 {
	side := q.Claim.side()
	switch {
	case side == 0:
		return c.P
	case side*c.Amount > 0:
		return c.P / 2
	}
	return 1 - c.P/2
}

// below is the p against "at or beyond the bound from below".
func below(c oneway.Contrast, bound float64) float64 {
	t := (c.Amount - bound) / c.SE
	e, err := oneway.Contrast{Amount: t, SE: 1, DF: c.DF}.Equivalence(0, math.MaxFloat64)
	if err != nil {
		return math.NaN()
	}
	return 1 - e.PLower
}
