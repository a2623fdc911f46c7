package lsq

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// inverse is (J'J)⁻¹ = R⁻¹R⁻ᵀ over the free parameters, and whether it does not
// exist: parameters that the data do not tell apart.
func (s *solver) inverse() ([]float64, bool) {
	f, n := len(s.free), s.n
	out := make([]float64, n*n)
	root := make([]float64, f*f) // R⁻¹
	x, e := make([]float64, f), make([]float64, f)
	for c := range f {
		clear(e)
		e[c] = 1
		if !backward(s.r1, e, x, f) {
			return out, true
		}
		for i := range f {
			root[i*f+c] = x[i]
		}
	}
	for i, a := range s.free {
		for j, b := range s.free {
			sum := 0.0
			for c := range f {
				sum += root[i*f+c] * root[j*f+c]
			}
			out[a*n+b] = sum
		}
	}
	return out, false
}

// Covariance returns s²·(J'J)⁻¹, zero for parameters at a bound. It returns
// ErrTooFew with no degrees of freedom and ErrRange when the data do not tell
// the parameters apart.
func (f *Fit) Covariance() (*mat.SymDense, error) {
	if f.DF < 1 {
		return nil, fmt.Errorf("%w: %d parameters leave nothing of %d observations to judge a spread by", ErrTooFew, len(f.P), len(f.r))
	}
	if f.singular {
		return nil, fmt.Errorf("%w: the data do not tell the parameters apart", ErrRange)
	}
	c := mat.NewSymDense(len(f.P), append([]float64(nil), f.inverse...))
	c.ScaleSym(f.SD*f.SD, c)
	return c, nil
}

// SE returns the standard error of parameter k: NaN at a bound, without
// degrees of freedom, or where the data do not tell the parameters apart.
func (f *Fit) SE(k int) float64 {
	if f.Fixed[k] || f.singular || f.DF < 1 {
		return math.NaN()
	}
	return f.SD * math.Sqrt(f.inverse[k*len(f.P)+k])
}

// SEOf returns the standard error of a function of the parameters by the law of
// propagation, √(g'·C·g) with g its gradient at the minimum.
func (f *Fit) SEOf(gradient []float64) float64 {
	return math.Sqrt(max(f.CovarianceOf(gradient, gradient), 0))
}

// CovarianceOf returns the covariance g'·C·h of two functions of the parameters
// by their gradients at the minimum.
func (f *Fit) CovarianceOf(g, h []float64) float64 {
	n, sum := len(f.P), 0.0
	if f.singular || f.DF < 1 || len(g) != n || len(h) != n {
		return math.NaN()
	}
	for i := range n {
		for j := range n {
			sum += g[i] * f.inverse[i*n+j] * h[j]
		}
	}
	return f.SD * f.SD * sum
}

// Interval is the parameter ± t·SE at a level such as 0.95, Student's t on DF:
// right where the model is close to linear within it; see Profile.
func (f *Fit) Interval(k int, level float64) (lower, upper float64) {
	h := f.quantile(level) * f.SE(k)
	return f.P[k] - h, f.P[k] + h
}

func (f *Fit) quantile(level float64) float64 {
	if f.DF < 1 {
		return math.NaN()
	}
	return distuv.StudentsT{Sigma: 1, Nu: float64(f.DF)}.Quantile(0.5 + level/2)
}

// AICc is Akaike's criterion for normal residuals of unknown spread with the
// correction for few observations [HurvichTsai1989],
//
//	m·ln(S/m) + 2k + 2k(k+1)/(m−k−1),  k = n + 1,
//
// constants that are the same for all models of the same data left out. +Inf
// when m ≤ k + 1.
func (f *Fit) AICc() float64 {
	m, k := float64(len(f.r)), float64(len(f.P)+1)
	if m <= k+1 {
		return math.Inf(1)
	}
	return m*math.Log(f.S/m) + 2*k + 2*k*(k+1)/(m-k-1)
}
