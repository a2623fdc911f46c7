package fit

import "math"

// axes are the directions that differences are taken along. Over all bounces the
// columns of the Jacobian cancel each other to less than a thousandth in the
// direction that the data tell least of, and differences parameter by parameter
// are not that good: the error of a direction would come out too small. Along
// the axes of what the data do tell, each step changes the force by as much as
// the noise does, and what is wrong with a difference is small beside that.
//
// The Jacobian so far is J = σ·Q·R with R an upper triangle; the columns of R⁻¹
// are steps that change all forces together by one σ, each at right angles to
// those before.
type axes struct {
	n    int
	root []float64 // R, n by n by rows
	most []float64 // the longest step of each parameter
}

const (
	stride = 0.5 // of a standard error, that a difference is wide to either side
	grown  = 3.0 // factor by which an axis may be out and still be a good one

	mostGrown = 1e3 // by which it gets longer at once
)

// newAxes begin with steps along the parameters themselves.
func newAxes(first, most []float64) *axes {
	n := len(first)
	a := &axes{n: n, root: make([]float64, n*n), most: most}
	for k, w := range first {
		a.root[k*n+k] = stride / w
	}
	return a
}

// steps are the differences to be taken, one a row, and by what each is shorter
// than it would be.
func (a *axes) steps() (steps [][]float64, shorter []float64) {
	n := a.n
	for j := range n {
		d := make([]float64, n)
		for i := j; i >= 0; i-- {
			v := 0.0
			if i == j {
				v = stride
			}
			for k := i + 1; k <= j; k++ {
				v -= a.root[i*n+k] * d[k]
			}
			d[i] = v / a.root[i*n+i]
		}
		by := 1.0
		for k := range d {
			by = min(by, a.most[k]/math.Max(math.Abs(d[k]), 1e-300))
		}
		for k := range d {
			d[k] *= by
		}
		steps, shorter = append(steps, d), append(shorter, stride*by)
	}
	return steps, shorter
}

// jacobian turns the slopes along the axes, m by n by rows, into those along the
// parameters, in place, and learns the axes anew from them. It reports whether
// they were good ones: a direction in which the force changes by far more or less
// than was thought wants its difference taken again.
func (a *axes) jacobian(j []float64, m int, sigma float64, shorter []float64) bool {
	n := a.n
	q, good := a.triangle(j, m, sigma), true
	for c := range n {
		size := q[c*n+c]
		if size > grown || size < 1/grown && shorter[c] == stride {
			good = false
		}
		q[c*n+c] = max(size, 1/mostGrown)
	}
	for i := range m {
		row := j[i*n : (i+1)*n]
		for c := n - 1; c >= 0; c-- { // upper triangle: the last first, in place
			s := 0.0
			for b := 0; b <= c; b++ {
				s += row[b] * a.root[b*n+c]
			}
			row[c] = s
		}
	}
	root := make([]float64, n*n)
	for i := range n {
		for c := i; c < n; c++ {
			for b := i; b <= c; b++ {
				root[i*n+c] += q[i*n+b] * a.root[b*n+c]
			}
		}
	}
	a.root = root
	return good
}

// triangle is R of the slopes along the axes over σ, by the modified method of
// Gram and Schmidt: the columns are all but at right angles already.
func (a *axes) triangle(j []float64, m int, sigma float64) []float64 {
	n := a.n
	q, columns := make([]float64, n*n), make([][]float64, n)
	for c := range n {
		columns[c] = make([]float64, m)
		for i := range m {
			columns[c][i] = j[i*n+c] / sigma
		}
		for b := range c {
			s := dot(columns[b], columns[c])
			for i, v := range columns[b] {
				columns[c][i] -= s * v
			}
			q[b*n+c] = s
		}
		size := math.Sqrt(dot(columns[c], columns[c]))
		for i := range columns[c] {
			columns[c][i] /= max(size, math.SmallestNonzeroFloat64)
		}
		q[c*n+c] = size
	}
	return q
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// between is how far two sets of parameters are apart by what they do to the
// forces, in σ.
func (a *axes) between(p, q []float64) float64 {
	far := 0.0
	for i := range a.n {
		s := 0.0
		for k := i; k < a.n; k++ {
			s += a.root[i*a.n+k] * (p[k] - q[k])
		}
		far = math.Hypot(far, s)
	}
	return far
}

// covariance is spread·(R'R)⁻¹ over the parameters that are not fixed, zero in
// those that are.
func (a *axes) covariance(fixed []bool, spread float64) [][]float64 {
	var free []int
	for k := range a.n {
		if !fixed[k] {
			free = append(free, k)
		}
	}
	columns := make([][]float64, len(free))
	for c, k := range free {
		columns[c] = make([]float64, a.n)
		for i := range a.n {
			columns[c][i] = a.root[i*a.n+k]
		}
	}
	inverse := inverseOfSquares(columns)
	out := make([][]float64, a.n)
	for i := range out {
		out[i] = make([]float64, a.n)
	}
	for i, k := range free {
		for j, l := range free {
			out[k][l] = spread * inverse[i][j]
		}
	}
	return out
}

// inverseOfSquares is (C'C)⁻¹ for the columns C: by their orthogonal basis, which
// does not square what they lack.
func inverseOfSquares(columns [][]float64) [][]float64 {
	n := len(columns)
	r := make([][]float64, n)
	for c := range columns {
		r[c] = make([]float64, n)
		for b := range c {
			r[b][c] = dot(columns[b], columns[c])
			for i, v := range columns[b] {
				columns[c][i] -= r[b][c] * v
			}
		}
		r[c][c] = max(math.Sqrt(dot(columns[c], columns[c])), 1e-300)
		for i := range columns[c] {
			columns[c][i] /= r[c][c]
		}
	}
	root := make([][]float64, n) // R⁻¹
	for i := n - 1; i >= 0; i-- {
		root[i] = make([]float64, n)
		for j := i; j < n; j++ {
			v := 0.0
			if i == j {
				v = 1
			}
			for k := i + 1; k <= j; k++ {
				v -= r[i][k] * root[k][j]
			}
			root[i][j] = v / r[i][i]
		}
	}
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
		for j := range out[i] {
			out[i][j] = dot(root[i], root[j])
		}
	}
	return out
}
