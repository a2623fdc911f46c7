package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// NoncentralTTail returns the probability that the noncentral t,
// (z + ncp)/√(χ²/df), exceeds t; df may be infinite.
//
// With s = √(χ²/df) it is the mean of Φ(ncp − t·s), taken by the trapezoidal
// rule over log s: the integrand is smooth and dies away at both ends, so each
// halving of the step doubles the digits; some twelve are kept, absolutely.
func NoncentralTTail(t, df, ncp float64) float64 {
	return overSpread(t, df, ncp, func(s float64) float64 { return Normal(ncp - t*s) })
}

// NoncentralTBelow returns the probability that the noncentral t is at most t.
func NoncentralTBelow(t, df, ncp float64) float64 {
	return overSpread(t, df, ncp, func(s float64) float64 { return Normal(t*s - ncp) })
}

// overSpread is the mean of given(s) over s = √(χ²/df), whose logarithm v has
// the density 2·(df/2)^(df/2)/Γ(df/2)·exp(df·v − df·e^(2v)/2). The steepest that
// given gets in v is about |ncp|, where t·s passes it.
func overSpread(t, df, ncp float64, given func(s float64) float64) float64 {
	switch {
	case math.IsNaN(t) || math.IsNaN(ncp) || math.IsInf(ncp, 0) || !(df > 0):
		return math.NaN()
	case math.IsInf(t, 0):
		return given(1)
	case df > 1e12:
		return given(1)
	}
	gamma, _ := math.Lgamma(df / 2)
	constant := math.Log(2) + df/2*math.Log(df/2) - gamma - df/2
	step := 0.2 / max(1.5, math.Sqrt(2*df), math.Abs(ncp))
	sum := 0.0
	add := func(v float64) bool {
		density := math.Exp(constant + df*(v-math.Expm1(2*v)/2))
		sum += density * given(math.Exp(v))
		return density > 1e-18*math.Exp(constant)
	}
	for i := 0; add(float64(i) * step); i++ {
	}
	for i := -1; add(float64(i) * step); i-- {
	}
	return min(1, sum*step)
}

// NoncentralT returns the value that the noncentral t exceeds with probability
// tail.
func NoncentralT(tail, df, ncp float64) float64 {
	if !(tail > 0 && tail < 1 && df > 0) || math.IsNaN(ncp) || math.IsInf(ncp, 0) {
		return math.NaN()
	}
	if tail > 0.5 {
		return -NoncentralT(1-tail, df, -ncp)
	}
	beyond := func(t float64) float64 { return math.Log(NoncentralTTail(t, df, ncp) / tail) }
	low, high := ncp-1, ncp+1
	for width := 1.0; beyond(low) < 0; width *= 2 {
		low -= width
	}
	for width := 1.0; beyond(high) > 0; width *= 2 {
		high += width
	}
	return root(beyond, low, high)
}

// root of a falling function between two bounds, by halving the bracket and by
// the chord, whichever leaves less (the method of Illinois).
func root(f func(float64) float64, low, high float64) float64 {
	fl, fh := f(low), f(high)
	for range 200 {
		if fl == fh || math.Abs(high-low) <= 1e-14*max(math.Abs(low), math.Abs(high), 1e-300) {
			break
		}
		x := (low*fh - high*fl) / (fh - fl)
		if !(x > min(low, high) && x < max(low, high)) {
			x = (low + high) / 2
		}
		fx := f(x)
		switch {
		case fx == 0:
			return x
		case fx*fh < 0:
			low, fl = high, fh
		default:
			fl /= 2
		}
		high, fh = x, fx
	}
	return high
}

// NoncentralFTail returns the probability that the noncentral F on d1 and d2
// degrees of freedom, ncp that of its numerator, exceeds f; d2 may be infinite.
//
// It is a mixture over Poisson counts j of mean ncp/2 of central tails on
// d1 + 2j, summed from the middle outwards; every term is positive.
func NoncentralFTail(f, d1, d2, ncp float64) float64 {
	return overCounts(f, d1, d2, ncp, func(a float64) float64 {
		if d2 > 1e7 {
			return mathext.GammaIncRegComp(a, f*d1/2)
		}
		return mathext.RegIncBeta(d2/2, a, d2/(d2+d1*f))
	}, 1)
}

// NoncentralFBelow returns the probability that the noncentral F is at most f.
func NoncentralFBelow(f, d1, d2, ncp float64) float64 {
	return overCounts(f, d1, d2, ncp, func(a float64) float64 {
		if d2 > 1e7 {
			return mathext.GammaIncReg(a, f*d1/2)
		}
		return mathext.RegIncBeta(a, d2/2, d1*f/(d2+d1*f))
	}, 0)
}

// overCounts is the mean of given(d1/2 + j) over the counts j.
func overCounts(f, d1, d2, ncp float64, given func(a float64) float64, below float64) float64 {
	switch {
	case math.IsNaN(f) || !(d1 > 0 && d2 > 0 && ncp >= 0) || math.IsInf(ncp, 1):
		return math.NaN()
	case f <= 0:
		return below
	case ncp == 0:
		return given(d1 / 2)
	}
	mean := ncp / 2
	chance := func(j float64) float64 {
		gamma, _ := math.Lgamma(j + 1)
		return math.Exp(j*math.Log(mean) - mean - gamma)
	}
	middle, sum := math.Floor(mean), 0.0
	for j := middle; ; j++ {
		p := chance(j)
		sum += p * given(d1/2+j)
		if p < 1e-18 {
			break
		}
	}
	for j := middle - 1; j >= 0; j-- {
		p := chance(j)
		sum += p * given(d1/2+j)
		if p < 1e-18 {
			break
		}
	}
	return min(1, sum)
}
