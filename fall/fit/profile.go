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
		lower, upper = f.end(k, -z), f.end(k, z)
		switch law := len(f.Form.terms); {
		case k <= law+friction:
			lower, upper = math.Exp(lower), math.Exp(upper)
		case k == law+beginning:
			lower, upper = lower+f.from.middle, upper+f.from.middle
		}
		return lower, upper, nil
	}
	return nan, nan, problem.New(problem.NotFound, "parameter", "%q is not one of the fit's", name)
}

const (
	hanging  = 5.0  // τ from which a law has failed
	closeTo  = 1e-3 // of the half-width, that an end is found to
	farthest = 30.0 // standard errors that an end is looked for
)

// end is where the profile of parameter k reaches z, in standard deviations of
// √(S/Ŝ − 1), to the side of z's sign.
func (f *Fit) end(k int, z float64) float64 {
	others := append([]float64(nil), f.found.P...)
	height := func(at float64) float64 {
		start := append([]float64(nil), others...)
		start[k] = at
		least, err := f.fitting.solve(start, len(f.Measured), k)
		if err != nil {
			return math.Inf(1)
		}
		copy(others, least.P)
		return math.Sqrt(max(least.S/f.sum-1, 0)*float64(f.found.DF)) - math.Abs(z)
	}
	se := f.found.SE(k)
	inside, hi := f.found.P[k], -math.Abs(z)
	outside := inside + z*se
	ho := height(outside)
	for ho < 0 {
		if math.Abs(outside-f.found.P[k]) > farthest*se {
			return math.Inf(int(math.Copysign(1, z)))
		}
		inside, hi = outside, ho
		outside += z * se / 2
		ho = height(outside)
	}
	for range 30 {
		if math.Abs(outside-inside) < closeTo*math.Abs(z)*se || math.Abs(ho) < closeTo*math.Abs(z) {
			break
		}
		at := outside - ho*(outside-inside)/(ho-hi)
		if math.IsInf(ho, 1) {
			at = (inside + outside) / 2
		}
		if h := height(at); h < 0 {
			inside, hi = at, h
		} else {
			outside, ho = at, h
		}
	}
	return outside
}
