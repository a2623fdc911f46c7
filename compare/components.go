package compare

import "math"

// Variance is one variance of a fitted model with what it rests on.
type Variance struct {
	Group    string  // "specimen", a block, or empty for the residual
	Term     string  // "intercept" or "fall"; empty for the residual
	SD       float64 // on the model's scale
	DF       float64 // degrees of freedom of the mean square behind it
	PerLevel float64 // rows a level: that mean square is about PerLevel·SD² + the residual's
}

// Variances lists the variances of the fit for a study to come, the residual last
// (of the baseline where spreads differ); none when nothing could be estimated.
func (a *Analysis) Variances() []Variance {
	f := a.model.fit
	if f == nil {
		return nil
	}
	var out []Variance
	residual, groups := 0.0, f.ResidualDF()
	for _, df := range groups {
		residual += df
	}
	for t, c := range f.Components {
		df := f.TermDF(t) / float64(len(c.Effects))
		for e, name := range c.Effects {
			out = append(out, Variance{Group: c.Term, Term: name, SD: math.Sqrt(c.Covariance[e][e]), DF: df, PerLevel: float64(a.N) / float64(c.Levels)})
		}
	}
	if len(a.Spreads) > 0 {
		residual = groups[a.base()]
	}
	return append(out, Variance{SD: a.ResidualSD, DF: residual, PerLevel: 1})
}
