package uncert

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// StepShare is the step of the difference quotients over the standard
// uncertainty of the input. A tenth keeps the error of a sensitivity to
// f‴·u²/600, and rounding to some 1e-15·f/u of it.
const StepShare = 0.1

// Result is a value with its combined standard uncertainty.
type Result struct {
	Value    float64
	Standard float64 // u_c
	Freedom  float64 // ν_eff; 0 for infinite
	Budget   []Share // in the order of the inputs
}

// Share is one input's part in a standard uncertainty.
type Share struct {
	Name, Unit  string
	Input       float64 // standard uncertainty of the input, in Unit
	Freedom     float64 // of Input; 0 for infinite
	Sensitivity float64 // c, unit of the result per Unit
	Part        float64 // |c|·u; squares of parts add up where inputs are independent
}

// Propagate applies the law of propagation of uncertainty to a model at its
// inputs, with the correlations of the inputs or nil for none:
//
//	u_c² = Σᵢ Σⱼ cᵢ·cⱼ·u(xᵢ)·u(xⱼ)·r(xᵢ, xⱼ)
//
// Sensitivities are central differences over ±Step of the input, StepShare of
// its standard uncertainty where none is given, and 6e-6 of its value (or 6e-6)
// for an input without uncertainty: 2n + 1 calls of the model. The law is the
// first term of a series: see SecondOrder and Validate for whether that does.
//
// It refuses inputs, correlations and values of the model that are not finite
// or not possible. Source: [JCGM100] 5.1.2, equation (10), and 5.2.2, (16).
func Propagate(model Model, inputs []Input, corr [][]float64) (Result, error) {
	if err := check(inputs); err != nil {
		return Result{}, err
	}
	x := estimates(inputs)
	y := model(x)
	if !finite(y) {
		return Result{}, fmt.Errorf("%w: the model gives %g at the estimates", ErrNotFinite, y)
	}
	shares := make([]Share, len(inputs))
	for i, in := range inputs {
		c, err := slope(model, x, i, in)
		if err != nil {
			return Result{}, err
		}
		shares[i] = Share{Name: in.Name, Unit: in.Unit, Input: in.Standard, Freedom: in.Freedom, Sensitivity: c}
	}
	return Combine(y, shares, corr)
}

// slope is ∂f/∂xᵢ at x by a central difference; x is left as it was.
func slope(model Model, x []float64, i int, in Input) (float64, error) {
	at := x[i]
	defer func() { x[i] = at }()
	h := in.Step
	if h == 0 {
		h = StepShare * in.Standard
	}
	if h == 0 {
		h = 6e-6 // the cube root of the rounding, best for a function of its own scale
		if at != 0 {
			h *= math.Abs(at)
		}
	}
	above, below := at+h, at-h
	if above == below {
		return 0, fmt.Errorf("%w: a step of %g is lost in the rounding of %s, %g", ErrRange, h, in.Name, at)
	}
	x[i] = above
	up := model(x)
	x[i] = below
	down := model(x)
	c := (up - down) / (above - below)
	if !finite(c) {
		return 0, fmt.Errorf("%w: the model gives %g and %g with %s %g either side of its estimate", ErrNotFinite, up, down, in.Name, h)
	}
	return c, nil
}

// FromShares combines shares whose Input, Freedom and Sensitivity are known and
// whose inputs are independent. It is Combine without correlations.
func FromShares(value float64, shares []Share) (Result, error) {
	return Combine(value, shares, nil)
}

// Combine adds up shares whose Input, Freedom and Sensitivity are known, with
// the correlations of their inputs or nil for none; Part is filled in, in a
// copy. Degrees of freedom are those of Welch and Satterthwaite,
//
//	ν_eff = u_c⁴ / Σ uᵢ⁴(y)/νᵢ
//
// in which inputs correlated with one another count as one, with the smallest ν
// among them: right for quantities observed together, which have the same ν,
// and on the careful side otherwise (no source).
//
// Source: [JCGM100] G.4.1, equation (G.2b).
func Combine(value float64, shares []Share, corr [][]float64) (Result, error) {
	r := Result{Value: value, Budget: make([]Share, len(shares))}
	if !finite(value) {
		return Result{}, fmt.Errorf("%w: the value is %g", ErrNotFinite, value)
	}
	if corr != nil {
		if _, err := factor(corr, len(shares)); err != nil {
			return Result{}, err
		}
	}
	for i, s := range shares {
		if err := (Input{Name: s.Name, Standard: s.Input, Freedom: s.Freedom}).check(); err != nil {
			return Result{}, err
		}
		s.Part = math.Abs(s.Sensitivity) * s.Input
		if !finite(s.Part) {
			return Result{}, fmt.Errorf("%w: %s has sensitivity %g", ErrNotFinite, s.Name, s.Sensitivity)
		}
		r.Budget[i] = s
	}
	if corr == nil {
		r.independent()
		return r, nil
	}
	all := make([]int, len(shares))
	for i := range all {
		all[i] = i
	}
	r.Standard = math.Sqrt(max(0, covariance(r.Budget, r.Budget, all, corr)))
	r.Freedom = r.freedom(corr)
	return r, nil
}

// independent fills Standard and Freedom where no inputs are correlated: what
// covariance and freedom come to then, each input a group of its own.
func (r *Result) independent() {
	square := func(s Share) float64 { return s.Sensitivity * s.Input * s.Sensitivity * s.Input }
	sum, below := 0.0, 0.0
	for _, s := range r.Budget {
		sum += square(s)
	}
	r.Standard = math.Sqrt(sum)
	for _, s := range r.Budget {
		if s.Part > 0 && s.Freedom > 0 {
			share := square(s) / (r.Standard * r.Standard)
			below += share * share / s.Freedom
		}
	}
	if below > 0 {
		r.Freedom = 1 / below
	}
}

// covariance is Σ cᵢ·dⱼ·uᵢ·uⱼ·r(i, j) over the inputs with the numbers given.
func covariance(a, b []Share, numbers []int, corr [][]float64) float64 {
	sum := 0.0
	for _, i := range numbers {
		for _, j := range numbers {
			if r := between(corr, i, j); r != 0 {
				sum += a[i].Sensitivity * a[i].Input * b[j].Sensitivity * b[j].Input * r
			}
		}
	}
	return sum
}

// freedom is the effective number of degrees of freedom, 0 for infinite.
func (r Result) freedom(corr [][]float64) float64 {
	below := 0.0
	for _, group := range groups(corr, len(r.Budget)) {
		least := math.Inf(1)
		for _, i := range group {
			if s := r.Budget[i]; s.Part > 0 && s.Freedom > 0 {
				least = min(least, s.Freedom)
			}
		}
		share := covariance(r.Budget, r.Budget, group, corr) / (r.Standard * r.Standard)
		if !math.IsInf(least, 1) && r.Standard > 0 {
			below += share * share / least
		}
	}
	if below == 0 {
		return 0
	}
	return 1 / below
}

// groups lists the inputs by who is correlated with whom, directly or through
// others.
func groups(corr [][]float64, n int) [][]int {
	var out [][]int
	seen := make([]bool, n)
	for first := range n {
		if seen[first] {
			continue
		}
		seen[first] = true
		group := []int{first}
		for k := 0; k < len(group); k++ {
			for j := range n {
				if !seen[j] && between(corr, group[k], j) != 0 {
					seen[j] = true
					group = append(group, j)
				}
			}
		}
		out = append(out, group)
	}
	return out
}

// Coverage returns the coverage factor k for probability p: the quantile of
// Student's t at (1 + p)/2 on ν_eff cut to a whole number, of the normal
// distribution where ν_eff is infinite. Source: [JCGM100] G.4.1 and G.6.4.
func (r Result) Coverage(p float64) (float64, error) {
	if err := checkProbability(p); err != nil {
		return 0, err
	}
	if r.Freedom == 0 {
		return distuv.UnitNormal.Quantile((1 + p) / 2), nil
	}
	whole := math.Floor(r.Freedom * (1 + 1e-12)) // 4 computed as 3.9999999999999996 is 4
	if !(whole >= 1) {
		return 0, fmt.Errorf("%w: %g effective degrees of freedom, an interval needs 1", ErrRange, r.Freedom)
	}
	return studentQuantile((1+p)/2, whole), nil
}

// Expanded returns the expanded uncertainty U = k·u_c for probability p: the
// interval is Value ± U.
func (r Result) Expanded(p float64) (float64, error) {
	k, err := r.Coverage(p)
	return k * r.Standard, err
}

// Correlation returns the correlation coefficient of two results of the same
// inputs, given those of the inputs (nil for none):
//
//	r(a, b) = Σᵢ Σⱼ cᵢ·dⱼ·u(xᵢ)·u(xⱼ)·r(xᵢ, xⱼ) / (u_c(a)·u_c(b))
//
// It refuses budgets of different length and a result without uncertainty.
// Source: [JCGM100] H.2.3, equation (H.9).
func Correlation(a, b Result, corr [][]float64) (float64, error) {
	if len(a.Budget) != len(b.Budget) {
		return 0, fmt.Errorf("%w: budgets of %d and %d inputs", ErrRange, len(a.Budget), len(b.Budget))
	}
	if _, err := factor(corr, len(a.Budget)); err != nil {
		return 0, err
	}
	if !(a.Standard > 0) || !(b.Standard > 0) {
		return 0, fmt.Errorf("%w: standard uncertainties %g and %g, a correlation needs both above 0", ErrRange, a.Standard, b.Standard)
	}
	all := make([]int, len(a.Budget))
	for i := range all {
		all[i] = i
	}
	return covariance(a.Budget, b.Budget, all, corr) / (a.Standard * b.Standard), nil
}
