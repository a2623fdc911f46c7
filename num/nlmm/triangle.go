package nlmm

import "math"

// Small square matrices by rows.

// lambda is Λ, lower triangular: the logarithms of its diagonal come first.
func lambda(theta []float64, q int) []float64 {
	l := make([]float64, q*q)
	next := q
	for i := range q {
		l[i*q+i] = math.Exp(theta[i])
		for j := range i {
			if len(theta) > q {
				l[i*q+j] = theta[next]
				next++
			}
		}
	}
	return l
}

// mRoot is the Cholesky factor of M = I + Λ'Z'ZΛ.
func mRoot(l, zz []float64, q int) []float64 {
	m := make([]float64, q*q)
	for i := range q {
		for j := range q {
			for a := range q {
				for b := range q {
					m[i*q+j] += l[a*q+i] * zz[a*q+b] * l[b*q+j]
				}
			}
		}
		m[i*q+i]++
	}
	return cholesky(m, q)
}

// cholesky returns the lower factor of a symmetric matrix; nil when it is not
// positive definite.
func cholesky(a []float64, n int) []float64 {
	l := make([]float64, n*n)
	for i := range n {
		for j := range i + 1 {
			sum := a[i*n+j]
			for k := range j {
				sum -= l[i*n+k] * l[j*n+k]
			}
			if i != j {
				l[i*n+j] = sum / l[j*n+j]
				continue
			}
			if !(sum > 1e-14*a[i*n+i]) || math.IsInf(sum, 1) {
				return nil
			}
			l[i*n+i] = math.Sqrt(sum)
		}
	}
	return l
}

// solveLower is L⁻¹·v.
func solveLower(l, v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i := range n {
		sum := v[i]
		for j := range i {
			sum -= l[i*n+j] * out[j]
		}
		out[i] = sum / l[i*n+i]
	}
	return out
}

// solveUpper is L'⁻¹·v.
func solveUpper(l, v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		sum := v[i]
		for j := i + 1; j < n; j++ {
			sum -= l[j*n+i] * out[j]
		}
		out[i] = sum / l[i*n+i]
	}
	return out
}

// inverseOf is (L·L')⁻¹.
func inverseOf(l []float64, n int) []float64 {
	out := make([]float64, n*n)
	e := make([]float64, n)
	for c := range n {
		clear(e)
		e[c] = 1
		for i, v := range solveUpper(l, solveLower(l, e)) {
			out[i*n+c] = v
		}
	}
	return out
}

// times is L·v and timesTransposed L'·v.
func times(l, v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i := range n {
		for j := range n {
			out[i] += l[i*n+j] * v[j]
		}
	}
	return out
}

func timesTransposed(l, v []float64) []float64 {
	n := len(v)
	out := make([]float64, n)
	for i := range n {
		for j := range n {
			out[i] += l[j*n+i] * v[j]
		}
	}
	return out
}
