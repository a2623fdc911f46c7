package lsq

import "math"

// triangle reduces a, m by n by rows, to R in its first n rows by Householder
// reflections, and takes b along: the first n of b become Q'b. It leaves rubbish
// below the diagonal. m ≥ n.
func triangle(a, b []float64, m, n int) {
	for k := range n {
		norm := 0.0
		for i := k; i < m; i++ {
			norm += a[i*n+k] * a[i*n+k]
		}
		norm = math.Sqrt(norm)
		if norm == 0 {
			continue
		}
		if a[k*n+k] > 0 {
			norm = -norm
		}
		head := a[k*n+k] - norm
		a[k*n+k] = head
		scale := -1 / (norm * head) // 2/(v'v)
		for j := k + 1; j < n; j++ {
			s := 0.0
			for i := k; i < m; i++ {
				s += a[i*n+k] * a[i*n+j]
			}
			s *= scale
			for i := k; i < m; i++ {
				a[i*n+j] -= s * a[i*n+k]
			}
		}
		s := 0.0
		for i := k; i < m; i++ {
			s += a[i*n+k] * b[i]
		}
		s *= scale
		for i := k; i < m; i++ {
			b[i] -= s * a[i*n+k]
		}
		a[k*n+k] = norm
	}
}

// backward solves R·x = b for the upper triangle in r, n by n by rows; a row
// whose diagonal is nothing beside its column gives x = 0 there and false.
func backward(r, b, x []float64, n int) bool {
	whole := true
	for i := n - 1; i >= 0; i-- {
		s := b[i]
		for j := i + 1; j < n; j++ {
			s -= r[i*n+j] * x[j]
		}
		if size := columnNorm(r, i, n); math.Abs(r[i*n+i]) <= 1e-14*size || size == 0 {
			x[i], whole = 0, false
			continue
		}
		x[i] = s / r[i*n+i]
	}
	return whole
}

// columnNorm is the length of column k of the upper triangle r.
func columnNorm(r []float64, k, n int) float64 {
	s := 0.0
	for i := 0; i <= k; i++ {
		s = math.Hypot(s, r[i*n+k])
	}
	return s
}
