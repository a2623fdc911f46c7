package uptake

import (
	"math"

	"fallwright.example/num/nlmm"
)

// profile is the interval of parameter k of a mixed model by its deviance, −Inf
// and +Inf where that stays below the limit as far as low and high.
func (m *mixed) profile(k int, fit *nlmm.Fit, model nlmm.Model, low, high float64) (lower, upper float64) {
	n := float64(fit.Groups())
	t := tQuantile(n - 1)
	limit := n * math.Log(1+t*t/(n-1))
	step := t * max(fit.SE(k), 1e-4)
	end := func(farthest, step float64) float64 {
		last := fit
		return walk{fit.Beta[k], limit, func(at float64) float64 {
			held := map[int]float64{k: at}
			f, err := last.Hold(model, held, nlmm.ML)
			if err != nil {
				if f, err = fit.Hold(model, held, nlmm.ML); err != nil {
					return math.Inf(1) // no model there, so above any limit
				}
			}
			last = f
			return f.Deviance - fit.Deviance
		}}.end(farthest, step)
	}
	return end(low, -step), end(high, step)
}

// walk is the way along the profile of one parameter, on a logarithmic scale.
type walk struct {
	from  float64
	limit float64
	rise  func(at float64) float64 // of S or of the deviance above its least
}

// over is √rise − √limit, close to a straight line.
func (w walk) over(at float64) float64 {
	return min(math.Sqrt(max(w.rise(at), 0))-math.Sqrt(w.limit), 10*math.Sqrt(w.limit))
}

// end walks by steps that grow until the limit is passed, and closes in; ±Inf where
// it is not as far as the farthest place.
func (w walk) end(farthest, step float64) float64 {
	inside, below := w.from, -math.Sqrt(w.limit)
	for (farthest-inside)*step > 0 {
		at := inside + step
		if (at-farthest)*step > 0 {
			at = farthest
		}
		above := w.over(at)
		if above > 0 {
			return w.close(inside, below, at, above)
		}
		inside, below, step = at, above, 1.6*step
	}
	return math.Inf(int(math.Copysign(1, step)))
}

// close finds the crossing between a place inside and one outside by false
// position, an end that stays twice counting half (the rule of Illinois).
func (w walk) close(a, fa, b, fb float64) float64 {
	kept := 0
	for range 60 {
		if math.Abs(b-a) < 1e-7 {
			break
		}
		c := b - fb*(b-a)/(fb-fa)
		fc := w.over(c)
		switch {
		case math.Abs(fc) < 1e-6*math.Sqrt(w.limit):
			return c
		case fc > 0:
			b, fb = c, fc
			if kept == 1 {
				fa /= 2
			}
			kept = 1
		default:
			a, fa = c, fc
			if kept == -1 {
				fb /= 2
			}
			kept = -1
		}
	}
	return (a + b) / 2
}
