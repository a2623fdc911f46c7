package lmm

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Matrices here are flat, row by row, so that the optimiser allocates nothing;
// at these sizes loops over rows are as fast as a library's blocks.

// cholesky overwrites the lower triangle of the n by n matrix a with L, a = LL',
// and returns log|a|; false when a is not positive definite.
func cholesky(a []float64, n int) (logDet float64, ok bool) {
	for i := range n {
		ai := a[i*n : i*n+n]
		for j := range i {
			aj := a[j*n : j*n+n]
			ai[j] = (ai[j] - dot(ai[:j], aj[:j])) / aj[j]
		}
		d := ai[i] - dot(ai[:i], ai[:i])
		if !(d > 0) || math.IsInf(d, 1) {
			return math.Inf(1), false
		}
		ai[i] = math.Sqrt(d)
		logDet += math.Log(d)
	}
	return logDet, true
}

// From this length on the library's vector instructions pay.
const long = 12

func dot(a, b []float64) float64 {
	b = b[:len(a)]
	if len(a) >= long {
		return floats.Dot(a, b)
	}
	s, t := 0.0, 0.0
	i := 0
	for ; i+1 < len(a); i += 2 {
		s += a[i] * b[i]
		t += a[i+1] * b[i+1]
	}
	if i < len(a) {
		s += a[i] * b[i]
	}
	return s + t
}

// axpy adds c·x to y.
func axpy(c float64, x, y []float64) {
	y = y[:len(x)]
	if len(x) >= long {
		floats.AddScaled(y, c, x)
		return
	}
	for i, v := range x {
		y[i] += c * v
	}
}

// forward solves L·x = b in place.
func forward(l []float64, n int, b []float64) {
	for i := range n {
		li := l[i*n : i*n+n]
		b[i] = (b[i] - dot(li[:i], b[:i])) / li[i]
	}
}

// backward solves L'·x = b in place.
func backward(l []float64, n int, b []float64) {
	for i := n - 1; i >= 0; i-- {
		li := l[i*n : i*n+n]
		b[i] /= li[i]
		axpy(-b[i], li[:i], b[:i])
	}
}

// forwardRows solves L·M = B in place, B being n by m.
func forwardRows(l []float64, n int, b []float64, m int) {
	for i := range n {
		li, bi := l[i*n:i*n+n], b[i*m:i*m+m]
		for j := range i {
			if li[j] != 0 {
				axpy(-li[j], b[j*m:j*m+m], bi)
			}
		}
		scale(1/li[i], bi)
	}
}

// backwardRows solves L'·M = B in place, B being n by m.
func backwardRows(l []float64, n int, b []float64, m int) {
	for i := n - 1; i >= 0; i-- {
		bi := b[i*m : i*m+m]
		scale(1/l[i*n+i], bi)
		for j := range i {
			if v := l[i*n+j]; v != 0 {
				axpy(-v, bi, b[j*m:j*m+m])
			}
		}
	}
}

func scale(c float64, x []float64) {
	for i := range x {
		x[i] *= c
	}
}

// inverse writes (LL')⁻¹ into inv, using work, all n by n.
func inverse(l []float64, n int, inv, work []float64) {
	// work = L⁻¹ row by row; then inv = L⁻ᵀL⁻¹.
	clear(work[:n*n])
	for i := range n {
		wi := work[i*n : i*n+n]
		for j := range i {
			if v := l[i*n+j]; v != 0 {
				axpy(-v, work[j*n:j*n+j+1], wi[:j+1])
			}
		}
		wi[i] = 1
		scale(1/l[i*n+i], wi[:i+1])
	}
	clear(inv[:n*n])
	for k := range n {
		wk := work[k*n : k*n+k+1]
		for i, v := range wk {
			if v != 0 {
				axpy(v, wk[:i+1], inv[i*n:i*n+i+1])
			}
		}
	}
	for i := range n {
		for j := range i {
			inv[j*n+i] = inv[i*n+j]
		}
	}
}

// jacobi turns the symmetric n by n matrix a into its eigenvalues, on the
// diagonal, and v into its eigenvectors, by columns. It is for very small n.
func jacobi(a, v []float64, n int) {
	clear(v[:n*n])
	for i := range n {
		v[i*n+i] = 1
	}
	for range 50 {
		off, on := 0.0, 0.0
		for i := range n {
			on += a[i*n+i] * a[i*n+i]
			for j := range i {
				off += a[i*n+j] * a[i*n+j]
			}
		}
		if off <= 1e-30*on || off == 0 {
			return
		}
		for p := range n {
			for q := p + 1; q < n; q++ {
				rotate(a, v, n, p, q)
			}
		}
	}
}

// rotate makes a[p][q] zero.
func rotate(a, v []float64, n, p, q int) {
	if a[p*n+q] == 0 {
		return
	}
	theta := (a[q*n+q] - a[p*n+p]) / (2 * a[p*n+q])
	t := math.Copysign(1, theta) / (math.Abs(theta) + math.Hypot(theta, 1))
	c := 1 / math.Hypot(t, 1)
	s := t * c
	for k := range n {
		x, y := a[k*n+p], a[k*n+q]
		a[k*n+p], a[k*n+q] = c*x-s*y, s*x+c*y
	}
	for k := range n {
		x, y := a[p*n+k], a[q*n+k]
		a[p*n+k], a[q*n+k] = c*x-s*y, s*x+c*y
	}
	for k := range n {
		x, y := v[k*n+p], v[k*n+q]
		v[k*n+p], v[k*n+q] = c*x-s*y, s*x+c*y
	}
}
