package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A column is taken as made up of those before it when less than this share of
// its length is left over; the limit of R's lm, common practice.
const rankTolerance = 1e-7

// basis is X = Q·R with orthonormal Q, X without the columns that those before
// them make up.
type basis struct {
	n, p     int
	kept     []int
	given    int       // columns of X as given
	q        []float64 // n by p
	r        []float64 // p by p, upper
	combined []float64 // p by given: X = X_kept·combined
	logDet   float64   // log|X'X|
}

// newBasis orthonormalises by Gram-Schmidt, each column twice, which holds
// orthogonality to rounding.
func newBasis(x mat.Matrix) (*basis, error) {
	n, given := x.Dims()
	b := &basis{n: n, given: given}
	var columns [][]float64
	var coefs [][]float64 // of each given column in the columns of Q
	for j := range given {
		v := make([]float64, n)
		for i := range v {
			v[i] = x.At(i, j)
		}
		before := math.Sqrt(dot(v, v))
		c := make([]float64, given)
		for range 2 {
			for k, q := range columns {
				d := dot(q, v)
				c[k] += d
				axpy(-d, q, v)
			}
		}
		if after := math.Sqrt(dot(v, v)); after > rankTolerance*before {
			c[len(columns)] = after
			scale(1/after, v)
			columns = append(columns, v)
			b.kept = append(b.kept, j)
			b.logDet += 2 * math.Log(after)
		}
		coefs = append(coefs, c)
	}
	b.p = len(columns)
	if b.p == 0 {
		return nil, fmt.Errorf("%w: the fixed effects are all zero", ErrNoSpread)
	}
	b.assemble(columns, coefs)
	return b, nil
}

func (b *basis) assemble(columns, coefs [][]float64) {
	p := b.p
	b.q, b.r = make([]float64, b.n*p), make([]float64, p*p)
	for k, q := range columns {
		for i, v := range q {
			b.q[i*p+k] = v
		}
		for i := range p {
			b.r[i*p+k] = coefs[b.kept[k]][i]
		}
	}
	b.combined = make([]float64, p*b.given)
	for j, c := range coefs {
		solved := append([]float64(nil), c[:p]...)
		b.solve(solved)
		for i, v := range solved {
			b.combined[i*b.given+j] = v
		}
	}
	for k, j := range b.kept { // exactly, without rounding
		for i := range p {
			b.combined[i*b.given+j] = 0
		}
		b.combined[k*b.given+j] = 1
	}
}

// solve overwrites v with R⁻¹v: from the coordinates of Q to those of X.
func (b *basis) solve(v []float64) {
	for i := b.p - 1; i >= 0; i-- {
		ri := b.r[i*b.p : i*b.p+b.p]
		v[i] = (v[i] - dot(ri[i+1:], v[i+1:])) / ri[i]
	}
}

// covariance turns a p by p covariance in the coordinates of Q into that of β,
// R⁻¹·C·R⁻ᵀ, in place.
func (b *basis) covariance(c []float64) {
	p, column := b.p, make([]float64, b.p)
	for range 2 { // columns, then the columns of the transpose
		for j := range p {
			for i := range p {
				column[i] = c[i*p+j]
			}
			b.solve(column)
			for i := range p {
				c[i*p+j] = column[i]
			}
		}
		transpose(c, p)
	}
	symmetric(c, p)
}

func transpose(a []float64, n int) {
	for i := range n {
		for j := range i {
			a[i*n+j], a[j*n+i] = a[j*n+i], a[i*n+j]
		}
	}
}

func symmetric(a []float64, n int) {
	for i := range n {
		for j := range i {
			m := (a[i*n+j] + a[j*n+i]) / 2
			a[i*n+j], a[j*n+i] = m, m
		}
	}
}

// shift takes the first value off y where the first column of X is a constant,
// and returns its coordinate: Q is orthogonal to within rounding, which on a large
// constant would pass for differences.
func (b *basis) shift(y []float64) float64 {
	first := b.q[0]
	for i := range y {
		if b.q[i*b.p] != first {
			return 0
		}
	}
	c := y[0]
	for i := range y {
		y[i] -= c
	}
	return c / first
}

// project splits y into Q'y, returned, and what is left over, in place; done
// twice, so that a large constant part of y costs no digits of the rest.
func (b *basis) project(y []float64) []float64 {
	sum, part := make([]float64, b.p), make([]float64, b.p)
	for range 2 {
		clear(part)
		for i, v := range y {
			axpy(v, b.q[i*b.p:i*b.p+b.p], part)
		}
		for i := range y {
			y[i] -= dot(b.q[i*b.p:i*b.p+b.p], part)
		}
		axpy(1, part, sum)
	}
	return sum
}
