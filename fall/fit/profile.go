package fit

import (
	"math"

	"fallwright.example/problem"
)

// Profile is the interval of a parameter by the profile likelihood: the values
// at which the least sum of squares that the others can reach is
//
//	S(p̂)·(1 + τ·z²/(n − k))
//
// with z the normal quantile of a level such as 0.95 ([BatesWatts1988] 6.1, and τ
// for what hangs together). An end is ±Inf, or 0, where the law has no value
// further out. It takes hundreds of simulations.
func (f *Fit) Profile(name string, level float64) (lower, upper float64, err error) {
	nan := math.NaN()
	if !(level > 0 && level < 1) {
		return nan, nan, problem.New(problem.Invalid, "level", "%g, must lie between 0 and 1", level)
	}
	if f.Together > hanging {
		return nan, nan, problem.New(problem.Invalid, "law", "leaves residuals of which %.0f in a row say the same: it fails, and a profile would mean nothing", f.Together).
			Hint("look at the phases, and at another law")
	}
	for k, p := range f.Parameters {
		if p.Name != name {
			continue
		}
		z := math.Sqrt2 * math.Erfinv(level) * math.Sqrt(f.Together)
		if lower, upper, err = f.found.Ends(k, z); err != nil {
			return nan, nan, err
		}
		if k < len(f.Form.terms) {
			lower, upper = math.Exp(lower), math.Exp(upper)
		}
		return lower, upper, nil
	}
	return nan, nan, problem.New(problem.NotFound, "parameter", "%q is not one of the fit's", name)
}

const hanging = 5.0 // τ from which a law has failed
