package compare

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
)

// share fills a difference's per cent and its test against the margin.
//
// On logarithms a difference x is the ratio exp(x), and a margin of a share m
// is the bounds ln(1 − m) and ln(1 + m). On values as they are the ratio is
// μc/μb, and its interval, after [Fieller1954], is the set of r for which the
// contrast μc − r·μb is not rejected by its own t, standard error and degrees
// of freedom; the margin is tested by the contrasts μc − (1 ± m)·μb.
func (a *Analysis) share(d *Difference, c contrast, by *adjusted) error {
	d.Percent, d.PercentLower, d.PercentUpper = math.NaN(), math.NaN(), math.NaN()
	d.PercentLower90, d.PercentUpper90 = math.NaN(), math.NaN()
	d.EquivalenceP = math.NaN()
	x := lmm.Contrast{Estimate: d.Amount, SE: d.SE, DF: d.DF, T: d.T}
	if a.Ask.Scale == Log {
		d.Percent, d.PercentLower, d.PercentUpper = percent(d.Amount), percent(d.Lower), percent(d.Upper)
		d.PercentLower90, d.PercentUpper90 = percent(d.Lower90), percent(d.Upper90)
		if m := c.margin.Share; m > 0 {
			d.tost(shifted(x, math.Log1p(-m)), shifted(x, math.Log1p(m)))
		}
		return nil
	}
	if m := c.margin.Amount; m > 0 {
		d.tost(shifted(x, -m), shifted(x, m))
	}
	if c.slope {
		return nil
	}
	return a.fieller(d, c, by)
}

// percent turns a difference of logarithms into per cent, 100·(exp(x) − 1).
func percent(x float64) float64 { return 100 * math.Expm1(x) }

// shifted is the test of a contrast against a bound.
func shifted(x lmm.Contrast, bound float64) lmm.Contrast {
	x.Estimate -= bound
	x.T = x.Estimate / x.SE
	return x
}

// tost is two one-sided tests [Schuirmann1987]: that the difference lies above
// the lower bound and below the upper one. The larger p counts.
func (d *Difference) tost(low, high lmm.Contrast) {
	high.T = -high.T
	d.nearer = low
	if pl, ph := low.Greater(), high.Greater(); ph > pl || math.IsNaN(ph) {
		d.nearer = high
	}
	d.EquivalenceP = d.nearer.Greater()
}

// fieller fills the per cent of a difference on values as they are.
func (a *Analysis) fieller(d *Difference, c contrast, by *adjusted) error {
	if a.model.fit == nil {
		base, err := a.model.estimates([][]float64{c.other}, a.Ask.DF)
		if err == nil && base.each[0].Estimate > 0 {
			d.Percent = 100 * d.Amount / base.each[0].Estimate
		}
		return err
	}
	if math.IsNaN(d.Amount) {
		return nil
	}
	r, err := a.model.fit.Ratio(c.seen, c.other, a.Ask.DF)
	if err != nil {
		return nil // a mean that cannot be had by itself has no ratio
	}
	base := r.Base()
	if largest := max(slices.Max(a.table.raw), -slices.Min(a.table.raw)); !(base > 1e-12*largest) {
		return nil // not above zero, or only by what rounding leaves
	}
	d.Percent = 100 * d.Amount / base
	d.PercentLower, d.PercentUpper = ratioLimits(r, 0.05, by)
	d.PercentLower90, d.PercentUpper90 = ratioLimits(r, 0.10, by)
	if m := c.margin.Share; m > 0 {
		d.tost(r.At(1-m), r.At(1+m))
	}
	return nil
}

// ratioLimits are the limits of a ratio in per cent of change. The degrees of
// freedom differ along the ratio, so the closed form is taken with those of the
// last limit until it stays.
func ratioLimits(r *lmm.Ratio, beyond float64, by *adjusted) (lower, upper float64) {
	limit := func(side int) float64 {
		x := 1.0
		df := r.At(r.Value()).DF
		for range 50 {
			low, high, ok := r.Zero(by.beyond(beyond, df))
			if !ok {
				return math.NaN()
			}
			next := low
			if side > 0 {
				next = high
			}
			df = r.At(next).DF
			if math.Abs(next-x) <= 1e-12*math.Abs(next) {
				return 100 * (next - 1)
			}
			x = next
		}
		return math.NaN()
	}
	lower, upper = limit(-1), limit(1)
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return math.NaN(), math.NaN()
	}
	return lower, upper
}
