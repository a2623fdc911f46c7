package compare

import "math"

// Chances are those of the verdicts on one question.
type Chances struct{ Higher, Lower, NoDifference, NotSettled float64 }

// Exact gives the chances of the rule where the estimate is normal about truth
// with standard error se, its estimated standard error se·√(χ²/df), and the tests
// are two-sided at different and twice one-sided at equivalent: one contrast of a
// balanced study. lower < 0 < upper is the margin on the model's scale.
//
// The chance of higher is the mean over u = √(χ²/df) of
// Φ((truth − max(upper, t·se·u))/se), which for a margin of next to nothing is the
// tail of the noncentral t; that of no difference that matters the mean of
// Φ((upper − t·se·u − truth)/se) − Φ((lower + t·se·u − truth)/se). NaN for a se or
// df that is not positive.
func Exact(truth, se, df, lower, upper, different, equivalent float64) Chances {
	step := se * studentQuantile(different/2, df)
	c := Chances{
		Higher: overSpread(se, df, upper/step, func(u float64) float64 { return normal((truth - max(upper, step*u)) / se) }),
		Lower:  overSpread(se, df, -lower/step, func(u float64) float64 { return normal((-truth - max(-lower, step*u)) / se) }),
	}
	step = se * studentQuantile(equivalent, df)
	c.NoDifference = overSpread(se, df, (upper-lower)/(2*step), func(u float64) float64 {
		low, high := lower+step*u, upper-step*u
		if low >= high {
			return 0
		}
		return normal((high-truth)/se) - normal((low-truth)/se)
	})
	c.NotSettled = max(0, 1-c.Higher-c.Lower-c.NoDifference)
	return c
}

// overSpread is the mean of given(u) over u = √(χ²/df), cut where it has a kink.
func overSpread(se, df, cut float64, given func(u float64) float64) float64 {
	if !(se > 0) || !(df > 0) {
		return math.NaN()
	}
	if df > 1e6 {
		return given(1)
	}
	low, high := edge(df, -1), edge(df, 1)
	cut = min(max(math.Log(cut), low), high)
	gamma, _ := math.Lgamma(df / 2)
	constant := math.Log(2) + df/2*math.Log(df/2) - gamma - df/2
	integrand := func(v float64) float64 { return math.Exp(constant+density(df, v)) * given(math.Exp(v)) }
	return integral(integrand, low, cut) + integral(integrand, cut, high)
}
