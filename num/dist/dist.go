// Package dist holds the quantiles and tails of the normal, Student, Fisher and
// χ² distributions, and of the extremes of a normal sample in its own standard
// deviation, which outlier tests need.
//
// Tails are given, never one minus a tail, so that small probabilities keep
// their digits. Arguments outside a distribution's range give NaN.
package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Normal returns the probability that a standard normal value is at most z.
func Normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// NormalQuantile returns the value that a standard normal one exceeds with
// probability tail.
func NormalQuantile(tail float64) float64 { return T(tail, math.Inf(1)) }

// T returns the value that Student's t on df degrees of freedom exceeds with
// probability tail; df may be infinite.
func T(tail, df float64) float64 {
	switch {
	case !(tail > 0 && tail < 1 && df > 0):
		return math.NaN()
	case tail > 0.5:
		return -T(1-tail, df)
	}
	return math.Sqrt(max(0, F(2*tail, 1, df)))
}

// TTail returns the probability that Student's t on df exceeds t.
func TTail(t, df float64) float64 {
	half := FTail(t*t, 1, df) / 2
	if t < 0 {
		return 1 - half
	}
	return half
}

// F returns the value that Fisher's F on d1 and d2 degrees of freedom exceeds
// with probability tail; d2 may be infinite, F is then χ²/d1.
func F(tail, d1, d2 float64) float64 {
	switch {
	case !(tail > 0 && tail < 1 && d1 > 0 && d2 > 0):
		return math.NaN()
	case d2 > 1e7:
		return ChiSquared(tail, d1) / d1
	}
	// The smaller of the two tails is the one whose inverse keeps its digits.
	var x float64
	if y := mathext.InvRegIncBeta(d2/2, d1/2, tail); y < 0.5 {
		x = d2 * (1 - y) / (d1 * y)
	} else {
		u := mathext.InvRegIncBeta(d1/2, d2/2, 1-tail)
		x = d2 * u / (d1 * (1 - u))
	}
	return polish(x, func(x float64) float64 { return FTail(x, d1, d2)/tail - 1 })
}

// FTail returns the probability that F on d1 and d2 exceeds f.
func FTail(f, d1, d2 float64) float64 {
	switch {
	case math.IsNaN(f) || !(d1 > 0 && d2 > 0):
		return math.NaN()
	case f <= 0:
		return 1
	case d2 > 1e7:
		return mathext.GammaIncRegComp(d1/2, f*d1/2)
	}
	return mathext.RegIncBeta(d2/2, d1/2, d2/(d2+d1*f))
}

// ChiSquared returns the value that χ² on df degrees of freedom exceeds with
// probability tail.
func ChiSquared(tail, df float64) float64 {
	if !(tail > 0 && tail < 1 && df > 0) {
		return math.NaN()
	}
	x := 2 * mathext.GammaIncRegCompInv(df/2, tail)
	return polish(x, func(x float64) float64 { return mathext.GammaIncRegComp(df/2, x/2)/tail - 1 })
}

// ChiSquaredTail is the probability that χ² on df degrees of freedom exceeds x.
func ChiSquaredTail(x, df float64) float64 { return mathext.GammaIncRegComp(df/2, x/2) }

// polish takes secant steps to a root near x, for the inverses above stop at
// some 8 digits.
func polish(x float64, f func(float64) float64) float64 {
	a, b := x, x*(1+1e-7)
	fa, fb := f(a), f(b)
	for range 6 {
		if fa == fb || fb == 0 {
			break
		}
		next := b - fb*(b-a)/(fb-fa)
		if !(next > 0) || math.Abs(next-x) > 1e-3*x {
			return x
		}
		a, fa = b, fb
		b, fb = next, f(next)
		if math.Abs(b-a) <= 1e-15*b {
			break
		}
	}
	if math.Abs(fa) < math.Abs(fb) {
		return a
	}
	return b
}
