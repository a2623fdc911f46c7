package lmm

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// single is swept for one term of intercepts, or one slope by itself, and one
// residual spread: the common case, and that of a bootstrap. B then is worked
// into eigenvalues λ and directions U once a model, and with v = U'c a step costs
// q in place of q³:
//
//	log|A| = Σ log(1 + θ²λᵢ),  r² = y'My − Σ θ²vᵢ²/(1 + θ²λᵢ)
//
// and with ML, since levels share no row, log|A| of the nₗ = (Z'Z)ₗₗ.
type single struct {
	*swept
	lambda, across []float64 // λ, and U'
	v              []float64 // U'c
	size           []float64 // nₗ, with ML
}

// newSingle returns nil for a model of another shape, or eigenvalues that
// cannot be had.
func newSingle(s *swept) *single {
	f := s.f
	if f.theta != 1 || f.groups != 1 {
		return nil
	}
	q := f.q
	var e mat.EigenSym
	if !e.Factorize(mat.NewSymDense(q, append([]float64(nil), s.b...)), true) {
		return nil
	}
	var u mat.Dense
	e.VectorsTo(&u)
	o := &single{swept: s, lambda: e.Values(nil), across: make([]float64, q*q), v: make([]float64, q), size: make([]float64, q)}
	for i := range q {
		o.lambda[i] = max(0, o.lambda[i]) // B is a square; rounding alone is below
		o.size[i] = s.zz[i*q+i]
		for j := range q {
			o.across[i*q+j] = u.At(j, i)
		}
	}
	return o
}

func (o *single) response(rest []float64) {
	o.swept.response(rest)
	q := len(o.v)
	for i := range o.v {
		o.v[i] = dot(o.across[i*q:i*q+q], o.c)
	}
}

// at returns the deviance at x and its gradient when grad is not nil.
func (o *single) at(x, grad []float64) float64 {
	o.evaluations++
	t := x[0] * x[0]
	fit, fitSlope, logA, logSlope := 0.0, 0.0, 0.0, 0.0 // slopes by t = θ²
	for i, l := range o.lambda {
		a := 1 + t*l
		w := o.v[i] / a
		fit += w * o.v[i]
		fitSlope += w * w
		if o.f.method == REML {
			logA += math.Log(a)
			logSlope += l / a
		}
	}
	o.r2 = o.total - t*fit
	if !(o.r2 > 0) || math.IsInf(t, 1) {
		return math.Inf(1)
	}
	nu := o.f.degrees()
	dev := o.logX + nu*(1+math.Log(2*math.Pi*o.r2/nu))
	if o.f.method == ML {
		dev -= o.logDetX()
		for _, n := range o.size {
			logA += math.Log1p(t * n)
			logSlope += n / (1 + t*n)
		}
	}
	if grad != nil {
		grad[0] = 2 * x[0] * (logSlope - nu*fitSlope/o.r2)
	}
	return dev + logA
}
