package figure

import (
	"cmp"
	"math"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// How the numbers of a model are written wherever people read them.

// Probability writes a p value: "0.034", "< 0.001"; Missing when there is none.
func Probability(p float64) string {
	if known(p) && p < 0.001 {
		return "<" + thin + "0.001"
	}
	return Fixed(p, 3)
}

// DF writes degrees of freedom: "12.3 degrees of freedom".
func DF(df float64) string {
	if !known(df) {
		return ""
	}
	return Fixed(df, 1) + " degrees of freedom"
}

// Degrees writes the two degrees of freedom of an F test: "4 and 18.2".
func Degrees(df1, df2 float64) string {
	if !known(df1) || !known(df2) {
		return Missing
	}
	return Fixed(df1, 0) + " and " + Fixed(df2, 1)
}

// InPercent reports whether the differences of a model are shown in per cent of
// the baseline: on logarithms, or where the margin is a share.
func InPercent(a *compare.Analysis) bool {
	return a.Ask.Scale == compare.Log || a.Ask.Margin.Share > 0
}

// SD writes a standard deviation on a model's scale: in the measure's unit, or on
// logarithms in per cent, 100·(exp(s) − 1).
func SD(m campaign.Measure, on compare.Scale, s float64) string {
	if on == compare.Log {
		return Unit{"%", 1, 2}.With(100 * math.Expm1(s))
	}
	u := UnitOf(m)
	u.Decimals++
	return u.With(s)
}

// Written writes a difference of one model with its interval, on the scale it is
// shown on.
func Written(m campaign.Measure, a *compare.Analysis, d compare.Difference) (number, limits string) {
	if InPercent(a) {
		return Unit{"%", 1, 1}.Signed(d.Percent), Range(d.PercentLower, d.PercentUpper, 1)
	}
	u := UnitOf(m)
	return u.Signed(d.Amount), Range(d.Lower*u.Scale, d.Upper*u.Scale, u.Decimals)
}

// ComparisonsOf are the differences of a model to its baseline, with the margin
// that all questions on it have.
func ComparisonsOf(m campaign.Measure, a *compare.Analysis) Comparisons {
	k := Comparisons{Measure: m, Baseline: a.Ask.Baseline, Percent: InPercent(a), Each: a.Against, Overall: a.Overall}
	if k.Percent {
		k.Margin = 100 * a.Ask.Margin.Share
	} else {
		k.Margin = a.Ask.Margin.Amount
	}
	return k
}

// CompareFalls orders falls by their numbers, where they have them.
func CompareFalls(a, b compare.Fall) int {
	x, okX := a.Number()
	y, okY := b.Number()
	if okX && okY {
		return cmp.Compare(x, y)
	}
	return 0
}
