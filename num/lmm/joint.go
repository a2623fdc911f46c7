package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Sides is which side a test looks at.
type Sides int

const (
	// TwoSided: |t| is large.
	TwoSided Sides = iota
	// OneSided: t is large.
	OneSided
)

// Joint is the distribution of the largest of several t statistics with one
// residual spread, the multivariate t: t = z/s, z normal with a correlation
// matrix, s² = χ²/ν.
//
// When the correlations are products, ρᵢⱼ = λᵢ·λⱼ, as of several conditions
// against one baseline [Dunnett1955], the probability is an integral over two
// quantities and is had to some ten digits. Otherwise it is the integral of
// [Genz2009], chapter 4, over fixed lattices with fixed shifts, refined until
// three standard errors are below 4e-5 or the largest is used up. The same
// input always gives the same number.
type Joint struct {
	k      int
	lambda []float64 // not nil: product structure
	factor []float64 // k by rank, rows z = factor·y
	rank   int
	lastOf []int // last normal that a row depends on, upwards
}

// NewJoint takes the correlation matrix of the estimates. It returns ErrRange
// when it is none.
func NewJoint(correlation mat.Symmetric) (*Joint, error) {
	k := correlation.SymmetricDim()
	if k == 0 {
		return nil, fmt.Errorf("%w: no correlations", ErrShape)
	}
	for i := range k {
		for j := range k {
			r := correlation.At(i, j)
			if !finite(r) || math.Abs(r) > 1+1e-9 || i == j && math.Abs(r-1) > 1e-9 {
				return nil, fmt.Errorf("%w: correlation %g of estimates %d and %d", ErrRange, r, i+1, j+1)
			}
		}
	}
	j := &Joint{k: k, lambda: productStructure(correlation)}
	if j.lambda == nil {
		return j, j.factorise(correlation)
	}
	return j, nil
}

// productStructure finds λ with ρᵢⱼ = λᵢλⱼ, or nil.
func productStructure(r mat.Symmetric) []float64 {
	k := r.SymmetricDim()
	lambda := make([]float64, k)
	switch k {
	case 1:
		return lambda
	case 2:
		rho := r.At(0, 1)
		lambda[0] = math.Sqrt(math.Abs(rho))
		lambda[1] = math.Copysign(lambda[0], rho)
	default:
		for i := range k {
			a, b := (i+1)%k, (i+2)%k
			if r.At(a, b) == 0 {
				continue // left at 0; the check below tells whether that is right
			}
			square := r.At(i, a) * r.At(i, b) / r.At(a, b)
			if square < 0 {
				return nil
			}
			lambda[i] = math.Sqrt(square)
		}
		for i := 1; i < k; i++ { // signs beside the first that is not zero
			for j := range i {
				if lambda[j] != 0 {
					lambda[i] = math.Copysign(lambda[i], r.At(i, j)*lambda[j])
					break
				}
			}
		}
	}
	for i := range k {
		if math.Abs(lambda[i]) > 0.9999 {
			return nil
		}
		for j := range i {
			if math.Abs(lambda[i]*lambda[j]-r.At(i, j)) > 1e-7 {
				return nil
			}
		}
	}
	return lambda
}

// Within is the probability that no statistic is beyond bound: all |t| ≤ bound,
// or all t ≤ bound. Infinite df are the normal case. The error returned is three
// standard errors of the lattice, or 1e-9. It returns ErrRange for df that are
// not positive or a bound that is no number.
func (j *Joint) Within(bound, df float64, sides Sides) (p, uncertainty float64, err error) {
	if !(df > 0) || math.IsNaN(bound) {
		return 0, 0, fmt.Errorf("%w: bound %g, %g degrees of freedom", ErrRange, bound, df)
	}
	if sides == TwoSided && bound <= 0 {
		return 0, 0, nil
	}
	if math.IsInf(bound, 0) {
		return one(bound > 0), 0, nil
	}
	if j.lambda != nil {
		return j.product(bound, df, sides), 1e-9, nil
	}
	p, uncertainty = j.lattice(bound, df, sides)
	return p, uncertainty, nil
}

// Adjusted is the joint p of a statistic: the probability that the largest of
// all is beyond it.
func (j *Joint) Adjusted(t, df float64, sides Sides) (float64, error) {
	if sides == TwoSided {
		t = math.Abs(t)
	}
	p, _, err := j.Within(t, df, sides)
	return max(0, 1-p), err
}

// Quantile is the bound within which all statistics lie with a probability,
// to 1e-5 of itself with product structure and some 1e-4 otherwise.
func (j *Joint) Quantile(level, df float64, sides Sides) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("%w: level %g, it lies between 0 and 1", ErrRange, level)
	}
	// The bound is between that of one statistic and that of k unconnected ones
	// by Bonferroni's inequality.
	tail := 1 - level
	if sides == TwoSided {
		tail /= 2
	}
	low, high := studentQuantile(1-tail, df), studentQuantile(1-tail/float64(j.k), df)
	low, high = low-1e-3, high+1e-3
	for range 60 {
		middle := (low + high) / 2
		p, _, err := j.Within(middle, df, sides)
		if err != nil {
			return 0, err
		}
		if p < level {
			low = middle
		} else {
			high = middle
		}
		if high-low < 1e-6*high {
			break
		}
	}
	return (low + high) / 2, nil
}

func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// product is the integral with product structure,
//
//	∫ f(s) ∫ φ(x)·Πᵢ [Φ((cs + λᵢx)/√(1−λᵢ²)) − Φ((−cs + λᵢx)/√(1−λᵢ²))] dx ds
//
// by the trapezoidal rule, which for such smooth integrands that die away at
// both ends gains digits with every refinement; s = exp(v) makes it die away.
func (j *Joint) product(bound, df float64, sides Sides) float64 {
	narrow := 1.0
	for _, l := range j.lambda {
		narrow = min(narrow, math.Sqrt(1-l*l))
	}
	step := min(0.2, 0.3*narrow)
	inner := func(c float64) float64 {
		sum := 0.0
		for x := -8.5; x <= 8.5; x += step {
			sum += math.Exp(-x*x/2) * j.conditional(c, x, sides)
		}
		return sum * step / math.Sqrt(2*math.Pi)
	}
	if df > 1e7 {
		return inner(bound)
	}
	// Density of v = log s: 2·(ν/2)^(ν/2)/Γ(ν/2)·exp(νv − ν·e^(2v)/2).
	gamma, _ := math.Lgamma(df / 2)
	constant := math.Log(2) + df/2*math.Log(df/2) - gamma
	h := min(0.25, 0.35/math.Sqrt(2*df))
	total := 0.0
	add := func(v float64) bool {
		density := math.Exp(constant + df*v - df/2*math.Exp(2*v))
		if density < 1e-14 {
			return false
		}
		total += density * inner(bound*math.Exp(v))
		return true
	}
	for i := 0; add(float64(i) * h); i++ {
	}
	for i := -1; add(float64(i) * h); i-- {
	}
	return min(1, total*h)
}

// conditional is the product over the statistics given the common part x.
func (j *Joint) conditional(c, x float64, sides Sides) float64 {
	p := 1.0
	for _, l := range j.lambda {
		r := math.Sqrt(1 - l*l)
		q := phi((c + l*x) / r)
		if sides == TwoSided {
			q -= phi((-c + l*x) / r)
		}
		p *= q
	}
	return p
}

// Adjust gives the joint two-sided p of each contrast of the set, each on its
// own degrees of freedom.
func (s *Set) Adjust(sides Sides) ([]float64, error) {
	j, err := NewJoint(s.Correlation)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(s.Each))
	for i, c := range s.Each {
		if out[i], err = j.Adjusted(c.T, c.DF, sides); err != nil {
			return nil, err
		}
	}
	return out, nil
}
