// Package lmm fits linear mixed models to small experiments and draws
// inferences from them that hold with few specimens.
//
// The model of n values is
//
//	y = X·β + Z·b + ε,  b ~ N(0, Σ_b),  ε ~ N(0, σ²·R)
//
// with fixed effects β, random effects b of any number of grouping factors,
// nested or crossed, each with an intercept or an intercept and a slope, and a
// residual whose spread is one or differs by a grouping (R diagonal).
//
// Symbols as in [Bates2015]: Λ ↔ the Cholesky factor of Σ_b/σ², made of one
// small block a term and level and filled by θ; p columns of X, q random
// effects; γ ↔ the variances and covariances themselves, in which
// V = Σᵢ γᵢ·Gᵢ is linear; Φ ↔ the covariance of the estimates of β.
//
// Everything is dense and exact. Up to some dozens of random effects are worked
// through one q by q matrix from which X has been swept out; larger models
// through the sets of levels that share no row with others. Units are those of
// the values given. Refusals wrap one of the errors of this package.
package lmm

import "gonum.org/v1/gonum/mat"

// Method is what is maximised.
type Method int

const (
	// REML is restricted maximum likelihood: variances are estimated from what
	// X leaves over. It is what Kenward-Roger and the usual intervals need.
	REML Method = iota
	// ML is maximum likelihood, for comparing models whose X differ.
	ML
)

// String gives the usual short name.
func (m Method) String() string {
	if m == ML {
		return "ML"
	}
	return "REML"
}

// Term is one grouping factor with its random effects. Two factors are nested
// when each level of one lies in one level of the other, and crossed when not;
// nothing need be said about it, but levels of a nested factor must not share
// numbers between the levels that they lie in.
type Term struct {
	Name  string
	Level []int // of each row, from 0; numbers without a row are left out

	// Slope, when not nil, gives the term a random slope on it beside the
	// random intercept.
	Slope     []float64
	SlopeName string
	// Independent takes slope and intercept to be uncorrelated. It is a
	// statement about the origin of Slope: another origin, another model.
	Independent bool
}

// Spread lets the standard deviation of the residual differ by group.
type Spread struct {
	Name   string
	Group  []int    // of each row, from 0; each group needs two rows
	Groups []string // names, by number
}

// Model is what Fit needs. Rows are single values.
type Model struct {
	Y      []float64
	X      mat.Matrix // n by p; Variables.Design makes one
	Names  []string   // of the columns of X
	Random []Term     // none: least squares, weighted where there is a Spread
	Spread *Spread    // nil: one residual spread
}

// Component is the estimated covariance of the random effects of one term.
type Component struct {
	Term       string
	Effects    []string    // "intercept", and the slope's name where there is one
	Levels     int         // with at least one row
	Covariance [][]float64 // of Effects, in the squared unit of y
	// Correlation of intercept and slope; NaN without a slope or with a
	// variance of zero, and 0 by assumption for an Independent term.
	Correlation float64
}

// Record is what the optimiser did.
type Record struct {
	Starts      int      // points from which it descended
	Evaluations int      // of the deviance, with or without its gradient
	Iterations  int      // quasi-Newton steps of the start that won
	Gradient    float64  // largest |∂ deviance/∂θ| among parameters inside their bounds
	Decrement   float64  // what one more Newton step would gain in deviance
	Converged   bool     // Decrement is below 1e-9
	Boundary    []string // in words: variances at zero, correlations at ±1
}

// Fit is a fitted model. It keeps what is needed for inference, some of it made
// when first asked for, so one Fit is for one goroutine at a time.
type Fit struct {
	Method  Method
	N       int
	Columns []string  // columns of X in use
	Dropped []string  // columns of X that others make up; their effect is not estimable by itself
	Beta    []float64 // of Columns

	// Deviance is minus twice the (restricted) log likelihood.
	Deviance         float64
	ResidualVariance float64 // σ²; with a Spread that of its first group
	// ResidualSD holds the residual standard deviation by group of Spread,
	// one value without it.
	ResidualSD []float64
	Components []Component
	Theta      []float64 // parameters as the optimiser has them: slopes scaled, see frame
	Record     Record

	frame  *frame
	y      []float64
	phi    []float64 // Φ in the coordinates of Q, p by p
	random []float64 // b in the frame's coordinates
	// filled on first use by inference
	rows          *rowSums
	adjusted      *adjusted
	satterthwaite *satterthwaite
}

// Covariance returns Φ = σ²·(X'V⁻¹X)⁻¹ (V over σ²), the covariance of Beta when
// the variances are taken as known, which makes it too small with few levels;
// see KenwardRoger.
func (f *Fit) Covariance() *mat.SymDense {
	c := append([]float64(nil), f.phi...)
	f.frame.basis.covariance(c)
	return mat.NewSymDense(len(f.Beta), c)
}
