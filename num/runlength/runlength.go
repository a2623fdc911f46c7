// Package runlength gives the average run length of control charts: how many
// points a chart draws on average up to its first signal, for independent normal
// points with known centre and standard deviation. Shifts are of the mean, in
// standard deviations of one point; NaN is given for arguments that are no
// chart.
package runlength

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"fallwright.example/num/dist"
)

// Shewhart returns that of single points with limits at ± limit standard
// deviations: 1/P(beyond).
func Shewhart(limit, shift float64) float64 {
	return 1 / (dist.Normal(-limit-shift) + dist.Normal(-limit+shift))
}

// EWMA returns that of zₜ = λxₜ + (1−λ)zₜ₋₁ begun at the centre, with limits at
// their final ± limit·√(λ/(2−λ)). With A(u) the run length from z = u
//
//	A(u) = 1 + ∫ A(x)·φ((x − (1−λ)u)/λ − shift)/λ dx between the limits
//
// as in [Crowder1987], solved at Gauss-Legendre points.
func EWMA(lambda, limit, shift float64) float64 {
	if !(lambda > 0 && lambda <= 1 && limit > 0) {
		return math.NaN()
	}
	h := limit * math.Sqrt(lambda/(2-lambda))
	x, weight := points(-h, h, 32+int(4*h/lambda))
	kernel := func(u, x float64) float64 { return density((x-(1-lambda)*u)/lambda-shift) / lambda }
	a := solve(x, weight, kernel, nil)
	at := 1.0
	for i, xi := range x {
		at += weight[i] * a[i] * kernel(0, xi)
	}
	return at
}

// CUSUM returns that of both sums Sₜ = max(0, Sₜ₋₁ ± xₜ − reference) begun at
// zero, with a signal above decision. With A(u) the run length of one sum from
// S = u
//
//	A(u) = 1 + A(0)·Φ(reference − shift − u) + ∫ A(x)·φ(x + reference − shift − u) dx
//
// from 0 to decision [Page1954], and 1/ARL = 1/A⁺(0) + 1/A⁻(0).
func CUSUM(reference, decision, shift float64) float64 {
	if !(reference >= 0 && decision > 0) {
		return math.NaN()
	}
	return 1 / (1/oneCUSUM(reference-shift, decision) + 1/oneCUSUM(reference+shift, decision))
}

func oneCUSUM(reference, decision float64) float64 {
	x, weight := points(0, decision, 32+int(6*decision))
	kernel := func(u, x float64) float64 { return density(x + reference - u) }
	atom := func(u float64) float64 { return dist.Normal(reference - u) }
	// The atom at zero is one more unknown.
	a := solve(append(x, 0), append(weight, 0), kernel, atom)
	return a[len(a)-1]
}

func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }

func points(from, to float64, n int) (x, weight []float64) {
	n = min(n, 400)
	x, weight = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, weight, from, to)
	return x, weight
}

// solve returns A at the points x of A(u) = 1 + Σ w·A(x)·kernel(u, x), with
// atom(u)·A(last point) more where there is an atom.
func solve(x, weight []float64, kernel func(u, x float64) float64, atom func(u float64) float64) []float64 {
	n := len(x)
	m, one := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i, u := range x {
		one.SetVec(i, 1)
		for j, v := range x {
			k := -weight[j] * kernel(u, v)
			if i == j {
				k++
			}
			if atom != nil && j == n-1 {
				k -= atom(u)
			}
			m.Set(i, j, k)
		}
	}
	var a mat.VecDense
	if err := a.SolveVec(m, one); err != nil {
		if _, poor := err.(mat.Condition); !poor || a.Len() != n {
			return make([]float64, n)
		}
	}
	return a.RawVector().Data
}
