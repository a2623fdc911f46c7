package compare

import (
	"math"

	"fallwright.example/num/oneway"
)

// Cross is the same question answered the plain way, printed beside the finding
// and never in its place: one value a specimen, its mean over the question's
// falls on the model's scale, and Welch's t of the two conditions alone
// [Welch1947]. Specimens that lack a fall are left out.
type Cross struct {
	Amount  float64 `json:"difference"` // of the means, on the model's scale
	SE      float64 `json:"se"`
	DF      float64 `json:"df"`
	P       float64 `json:"p"` // two-sided, for this question alone
	Verdict Verdict `json:"verdict"`
}

// cross answers q from the two sides; nil where there is no Welch test. asked is
// the number of questions that the verdict allows for, by Bonferroni's share.
func cross(q Question, sides [2]brought, scale Scale, asked int) *Cross {
	a, errA := oneway.Summarise(sides[0].value)
	b, errB := oneway.Summarise(sides[1].value)
	if errA != nil || errB != nil {
		return nil
	}
	c, err := oneway.Welch(a, b)
	if err != nil {
		return nil
	}
	v := view{n: min(a.N, b.N), estimate: c.Amount, margin: q.Amount}
	upper, lower := c, c
	shift := [2]float64{q.Amount, -q.Amount}
	switch {
	case q.Share > 0 && scale == Log:
		v.estimate, v.margin = math.Expm1(c.Amount), q.Share
		shift = [2]float64{math.Log1p(q.Share), math.Log1p(-q.Share)}
	case q.Share > 0:
		v.estimate, v.margin = c.Amount/b.Mean, q.Share
		if upper, lower, err = bounds(a, b, q.Share); err != nil {
			return nil
		}
		shift = [2]float64{}
	}
	v.p = min(1, float64(asked)*c.P)
	v.equivalenceP = min(1, float64(asked)*max(below(upper, shift[0]), 1-below(lower, shift[1])))
	return &Cross{c.Amount, c.SE, c.DF, c.P, v.verdict()}
}

// bounds contrasts a with (1 ± share) times b, which needs no baseline known
// exactly. A baseline below zero turns the two round.
func bounds(a, b oneway.Sample, share float64) (upper, lower oneway.Contrast, err error) {
	if b.Mean < 0 {
		share = -share
	}
	scaled := func(by float64) oneway.Sample { return oneway.Sample{N: b.N, Mean: by * b.Mean, SD: by * b.SD} }
	if upper, err = oneway.Welch(a, scaled(1+share)); err != nil {
		return upper, lower, err
	}
	lower, err = oneway.Welch(a, scaled(1-share))
	return upper, lower, err
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
