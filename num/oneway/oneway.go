// Package oneway compares groups of independent values when nothing but the
// group is known of each: means and their intervals, Welch's t, two one-sided
// tests, and the one-way analysis of variance.
//
// Everything takes the values of a group to be independent draws from one
// normal distribution. Repeated readings of one specimen are not independent:
// bring them to one value first. Nothing here adjusts for several comparisons.
//
// Symbols: n ↔ Sample.N, x̄ ↔ Mean, s ↔ SD, k groups, N values in all. Units
// are those of the values given. Refusals wrap one of the errors of this
// package.
package oneway

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Sample is what the methods here need to know of a group of values. Fill it
// from published figures, or with Summarise.
type Sample struct {
	N    int
	Mean float64
	SD   float64 // with n − 1 in the divisor; NaN for one value
}

// Summarise returns the number, mean and standard deviation of values:
//
//	x̄ = Σx/n,  s² = Σ(x − x̄)²/(n − 1)
//
// in two passes, both about the first value, so that a large constant part
// costs no digits and equal values have exactly no spread. The SD of one value
// is NaN. Source: [ChanGolubLeVeque1983], the shifted and the two-pass
// algorithm together; the correction term of the latter is left out, since an
// error e in the mean adds n·e² to a sum that holds (x₁ − x̄)² itself, a share
// of some n³·1e-32.
//
// It returns ErrTooFew for no values, and ErrNotFinite for a value that is not
// finite and for values whose mean or spread overflows.
func Summarise(values []float64) (Sample, error) {
	n := len(values)
	if n == 0 {
		return Sample{}, fmt.Errorf("%w: no value, a mean needs 1", ErrTooFew)
	}
	for i, x := range values {
		if !finite(x) {
			return Sample{}, fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, x)
		}
	}
	origin, shift := values[0], 0.0
	for _, x := range values {
		shift += (x - origin) / float64(n)
	}
	squares := 0.0
	for _, x := range values {
		d := (x - origin) - shift
		squares += d * d
	}
	s := Sample{N: n, Mean: origin + shift, SD: math.NaN()}
	if n > 1 {
		s.SD = math.Sqrt(squares / float64(n-1))
	}
	if !finite(s.Mean) || math.IsInf(squares, 0) || math.IsNaN(squares) {
		return Sample{}, fmt.Errorf("%w: the values are too far apart for their spread to be held", ErrNotFinite)
	}
	return s, nil
}

// SE returns the standard error of the mean, s/√n.
func (s Sample) SE() float64 { return s.SD / math.Sqrt(float64(s.N)) }

// Interval is a two-sided interval.
type Interval struct{ Lower, Upper float64 }

// Interval returns Student's interval for the mean at a level such as 0.95,
// x̄ ± t·s/√n with t the (1 + level)/2 quantile on n − 1 degrees of freedom.
//
// It returns ErrTooFew for fewer than two values, ErrNoSpread, ErrNotFinite, and
// ErrRange for a level outside (0, 1). Source: [Student1908].
func (s Sample) Interval(level float64) (Interval, error) {
	if err := s.usable(); err != nil {
		return Interval{}, err
	}
	if s.SD == 0 {
		return Interval{}, noSpread()
	}
	return around(s.Mean, s.SE(), float64(s.N-1), level)
}

// around returns centre ± t·se on df degrees of freedom.
func around(centre, se, df, level float64) (Interval, error) {
	if err := usableLevel(level); err != nil {
		return Interval{}, err
	}
	half := se * quantile((1+level)/2, df)
	return Interval{centre - half, centre + half}, nil
}

// quantile is the p quantile of Student's t on df degrees of freedom.
func quantile(p, df float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p)
}

// above is the probability that Student's t on df exceeds t.
func above(t, df float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: df}.Survival(t)
}

// fTail is the probability that F on d1 and d2 exceeds f, by the incomplete
// beta function of the tail itself: distuv.F.Survival is 1 − CDF and loses
// every digit of a small p.
func fTail(f, d1, d2 float64) float64 {
	return mathext.RegIncBeta(d2/2, d1/2, d2/(d2+d1*f))
}
