// Package nlmm fits nonlinear mixed models to curves of several groups: each
// group i (a specimen weighed again and again) follows one function with
// parameters of its own,
//
//	yᵢⱼ = f(tᵢⱼ; β + bᵢ) + εᵢⱼ,  bᵢ ~ N(0, σ²·Λ·Λ'),  ε ~ N(0, σ²)
//
// by the alternation of [LindstromBates1990]: penalised least squares for β and
// all bᵢ at a given Λ, then (restricted) maximum likelihood for Λ in the linear
// mixed model that f makes at these estimates, until neither moves.
//
// Symbols: G ↔ ∂f/∂φ, X its columns that are not held, Z those with a random
// effect, A = Z·Λ, M = I + A'A, so that V⁻¹ = I − A·M⁻¹·A'. Refusals wrap one of
// the errors of this package.
package nlmm

import (
	"errors"
	"math"
)

// The refusals.
var (
	ErrShape      = errors.New("shapes do not fit")
	ErrTooFew     = errors.New("too few")
	ErrNotFinite  = errors.New("not finite")
	ErrNoProgress = errors.New("no estimate was reached")
)

// Method is what is maximised over Λ.
type Method int

// The methods. Profiles need ML; REML is what a standard error is taken from.
const (
	REML Method = iota
	ML
)

// Model is what is to be fitted.
type Model struct {
	Y [][]float64 // values of each group

	// Value fills f with the values of a group at its parameters φ and g, n by p
	// by rows, with their gradient, unless it is nil; false where the function has
	// no value.
	Value func(group int, phi, f, g []float64) bool

	Parameters int   // p
	Random     []int // the parameters with a random effect, at least one
	Diagonal   bool  // random effects are taken as independent

	// Held parameters of β stay at their start; nil holds none. Their random
	// effects stay random.
	Held []bool
}

// Fit is an estimate.
type Fit struct {
	Beta     []float64
	Phi      [][]float64 // parameters of each group, β + b
	Sigma    float64     // σ, residual standard deviation
	Omega    [][]float64 // covariance of the random effects, in the order of Random
	Deviance float64     // −2 log (restricted) likelihood of the linear model at the estimates
	N        int         // values
	Steps    int         // alternations

	covariance []float64 // of Beta, p by p; zero in what is held
	theta      []float64
}

// Covariance returns the covariance of two estimates, at the variances as
// estimated; 0 for what is held.
func (f *Fit) Covariance(i, j int) float64 { return f.covariance[i*len(f.Beta)+j] }

// SE returns the standard error of parameter k.
func (f *Fit) SE(k int) float64 { return math.Sqrt(f.Covariance(k, k)) }

// SEOf returns the standard error of a function of Beta by the law of
// propagation, √(g'·C·g).
func (f *Fit) SEOf(gradient []float64) float64 {
	sum := 0.0
	for i, a := range gradient {
		for j, b := range gradient {
			sum += a * b * f.Covariance(i, j)
		}
	}
	return math.Sqrt(max(sum, 0))
}

// LogLikelihood is −Deviance/2.
func (f *Fit) LogLikelihood() float64 { return -f.Deviance / 2 }

// Groups is the number of groups.
func (f *Fit) Groups() int { return len(f.Phi) }
