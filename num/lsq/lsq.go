// Package lsq fits nonlinear models by least squares: it minimises
//
//	S(p) = Σᵢ rᵢ(p)²,  lower ≤ p ≤ upper
//
// over n parameters p for m residuals r, each already divided by its standard
// deviation where these differ. It is the Levenberg-Marquardt method
// [Marquardt1963] with the scaling of [More1978] and the damping of [Nielsen1999];
// within bounds a step is the best of the damped linear model there, parameter
// after parameter held where it meets its bound. At the end plain Gauss-Newton
// steps go on until they no longer shrink, so that a minimum is found to the
// digits that the residuals hold; or the descent ends where it is close enough to
// the minimum beside the errors, see Problem.Offset.
//
// Symbols: m ↔ Observations, J ↔ ∂r/∂p, s² = S/(m − n), λ ↔ the damping.
// Refusals wrap one of the errors of this package.
package lsq

import "errors"

// The refusals.
var (
	ErrShape      = errors.New("shapes do not fit")
	ErrNotFinite  = errors.New("not finite")
	ErrTooFew     = errors.New("too few observations")
	ErrRange      = errors.New("out of range")
	ErrNoProgress = errors.New("no minimum was reached")
)

// Problem is what is to be fitted.
type Problem struct {
	// Residuals fills r with the m residuals at p: observed less fitted, over
	// their standard deviations where these differ. Where the model has no
	// value they may be NaN or infinite: the step is then made shorter.
	Residuals    func(p, r []float64)
	Observations int // m

	// Jacobian fills j, m by n by rows, with ∂rᵢ/∂pₖ. Nil: central differences.
	Jacobian func(p, j []float64)

	Lower, Upper []float64 // nil, or n; ±Inf for none

	// Typical is the size of each parameter, for the width of a difference at
	// zero; nil takes the start's, and 1 where that is zero.
	Typical []float64

	// Offset ends a descent where the relative offset, see Fit, is no more than
	// this: 0.01 is a hundredth of a standard error. It is for residuals that are
	// dear or rough. 0 goes on to the last digit.
	Offset float64

	// MostEvaluations of Residuals; 0 for 2000·(n + 1).
	MostEvaluations int
}

// Fit is a minimum.
type Fit struct {
	P  []float64
	S  float64 // sum of the squared residuals
	DF int     // m − n, parameters at a bound counted among n
	SD float64 // s = √(S/DF); NaN with no degrees of freedom

	// Fixed says of each parameter that it lies at a bound which S would have
	// it cross: no standard error is to be had for it.
	Fixed []bool

	Evaluations int     // of Residuals
	Iterations  int     // accepted steps
	Angle       float64 // largest cosine between r and a free column of J; 0 at an exact minimum

	// Offset is the relative offset of [BatesWatts1988] 2.2: how far the linear
	// model puts the minimum from here, √(g'·C·g/n) over the free parameters, g
	// the gradient of S/2 over s² and C the covariance: in standard errors, 0 at
	// an exact minimum.
	Offset float64

	problem  Problem
	r        []float64 // residuals at P
	inverse  []float64 // (J'J)⁻¹ of the free parameters, n by n, zero in the others
	singular bool
}

// Residuals returns the residuals at the minimum.
func (f *Fit) Residuals() []float64 { return append([]float64(nil), f.r...) }
