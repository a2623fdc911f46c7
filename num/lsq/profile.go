package lsq

import (
	"fmt"
	"math"
	"slices"
)

// Profile is the interval of parameter k by the profile likelihood: the values
// at which the least S that the others can reach is no more than
//
//	S(p̂)·(1 + t²/DF),  t Student's (1 + level)/2 quantile on DF
//
// [BatesWatts1988] 6.1. An end is a bound of the problem where S stays below
// there, and ±Inf where it stays below as far as 10⁴ standard errors, or 10⁴
// times the parameter: the data do not limit it.
//
// It returns ErrTooFew without degrees of freedom and ErrRange for a level
// outside 0 to 1.
func (f *Fit) Profile(k int, level float64) (lower, upper float64, err error) {
	if !(level > 0 && level < 1) {
		return math.NaN(), math.NaN(), fmt.Errorf("%w: a level of %g", ErrRange, level)
	}
	return f.Ends(k, f.quantile(level))
}

// Ends is Profile for a t of one's own: residuals that hang together need a
// wider one than Student's. Where the problem has an offset to end descents at,
// the ends are as close in t.
func (f *Fit) Ends(k int, t float64) (lower, upper float64, err error) {
	if f.DF < 1 {
		return math.NaN(), math.NaN(), fmt.Errorf("%w: no degrees of freedom for a profile", ErrTooFew)
	}
	if !(t > 0) {
		return math.NaN(), math.NaN(), fmt.Errorf("%w: %g standard errors", ErrRange, t)
	}
	return f.end(k, t, -1), f.end(k, t, 1), nil
}

// end follows the profile to one side.
func (f *Fit) end(k int, t, side float64) float64 {
	limit := f.S * (1 + t*t/float64(f.DF))
	width := f.SE(k)
	if !(width > 0) || math.IsInf(width, 0) {
		width = 1e-2 * max(math.Abs(f.P[k]), 1e-8)
	}
	farthest := side * math.Inf(1)
	if b := f.boundOn(k, side); !math.IsInf(b, 0) {
		farthest = b
	}
	way := &path{fit: f, k: k, others: without(f.P, k)}
	inside, reach := f.P[k], t*width
	most := 1e4 * max(t*width, math.Abs(f.P[k]))
	for {
		at := f.P[k] + side*reach
		last := side*(at-farthest) >= 0
		if last {
			at = farthest
		}
		switch above := way.least(at) > limit; {
		case above:
			return way.cross(inside, at, limit)
		case last:
			return farthest
		case reach > most:
			return side * math.Inf(1)
		}
		inside = at
		reach *= 1.6
	}
}

func (f *Fit) boundOn(k int, side float64) float64 {
	b := f.problem.Lower
	if side > 0 {
		b = f.problem.Upper
	}
	if b == nil {
		return side * math.Inf(1)
	}
	return b[k]
}

// path is the profile of one parameter; the others start from where they were
// last.
type path struct {
	fit    *Fit
	k      int
	others []float64
	slopes []float64 // scratch: the Jacobian of all parameters
}

// least is the least S with parameter k held at a value; +Inf where there is
// none.
func (w *path) least(at float64) float64 {
	pr, whole := w.fit.problem, make([]float64, len(w.fit.P))
	if len(whole) == 1 {
		whole[0] = at
		return (&solver{problem: pr}).at(whole, make([]float64, pr.Observations))
	}
	held := Problem{
		Observations: pr.Observations, Lower: without(pr.Lower, w.k), Upper: without(pr.Upper, w.k),
		Typical: without(pr.Typical, w.k), MostEvaluations: pr.MostEvaluations,
		Residuals: func(p, r []float64) {
			put(whole, p, w.k, at)
			pr.Residuals(whole, r)
		},
		Offset: pr.Offset,
	}
	if pr.Jacobian != nil {
		held.Jacobian = func(p, j []float64) {
			put(whole, p, w.k, at)
			w.slopes = slices.Grow(w.slopes[:0], pr.Observations*len(whole))[:pr.Observations*len(whole)]
			pr.Jacobian(whole, w.slopes)
			for i := range pr.Observations {
				row := w.slopes[i*len(whole) : (i+1)*len(whole)]
				copy(j[i*len(p):], row[:w.k])
				copy(j[i*len(p)+w.k:], row[w.k+1:])
			}
		}
	}
	f, err := Solve(held, w.others)
	if err != nil { // from the minimum itself instead
		f, err = Solve(held, without(w.fit.P, w.k))
	}
	if err != nil {
		return math.Inf(1) // no model there, so above any limit
	}
	copy(w.others, f.P)
	return f.S
}

// cross is where the profile passes the limit, between a value inside and one
// outside: false position on √(S − Ŝ), close to a straight line, an end that
// stays twice counting half (the Illinois rule).
func (w *path) cross(inside, outside, limit float64) float64 {
	above := func(at float64) float64 {
		return math.Sqrt(max(w.least(at)-w.fit.S, 0)) - math.Sqrt(limit-w.fit.S)
	}
	a, fa := inside, above(inside)
	b, fb := outside, above(outside)
	kept := 0.0
	for range 200 {
		if math.Abs(b-a) <= 1e-10*max(math.Abs(a), math.Abs(b)) {
			break
		}
		c := b - fb*(b-a)/(fb-fa)
		if math.IsNaN(c) || c == a || c == b { // fb may be +Inf
			c = (a + b) / 2
		}
		fc := above(c)
		if math.Abs(fc) <= max(1e-10, w.fit.problem.Offset)*math.Sqrt(limit-w.fit.S) {
			return c
		}
		if fc > 0 {
			b, fb = c, fc
			if kept < 0 {
				fa /= 2
			}
			kept = -1
		} else {
			a, fa = c, fc
			if kept > 0 {
				fb /= 2
			}
			kept = 1
		}
	}
	return (a + b) / 2
}

func without(p []float64, k int) []float64 {
	if p == nil {
		return nil
	}
	out := append([]float64(nil), p[:k]...)
	return append(out, p[k+1:]...)
}

func put(whole, others []float64, k int, at float64) {
	copy(whole[:k], others[:k])
	whole[k] = at
	copy(whole[k+1:], others[k:])
}
