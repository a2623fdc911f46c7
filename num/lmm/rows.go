package lmm

import (
	"fmt"
	"math"
)

// largest set of rows whose V fits: V takes the square of it.
const mostRows = 6000

// parameter is one γ of V = Σ γᵢ·Gᵢ. For a variance of a block Gᵢ = z·z' summed
// over levels, for a covariance z₀z₁' + z₁z₀', for the residual the diagonal of
// ones for the rows of a group.
type parameter struct {
	block, a, b int // block −1: the residual of group a
	value       float64
}

// rowSums holds what Kenward-Roger and Satterthwaite need, as sums over the
// sets of rows that are independent of each other, X being Q here:
//
//	P[i]    = −X'V⁻¹GᵢV⁻¹X             Q[i][j] = X'V⁻¹GᵢV⁻¹GⱼV⁻¹X, j ≥ i
//	T[i][j] = tr(V⁻¹GᵢV⁻¹Gⱼ)           t[i]    = tr(V⁻¹Gᵢ)
//	and with r = V⁻¹(y − Xβ)
//	s[i] = r'Gᵢr    S[i][j] = r'GᵢV⁻¹Gⱼr    x[i] = X'V⁻¹Gᵢr
type rowSums struct {
	gamma []parameter
	phi   []float64 // (X'V⁻¹X)⁻¹
	p     [][]float64
	q     [][][]float64
	tr    [][]float64
	t, s  []float64
	ss    [][]float64
	x     [][]float64
}

// gammas lists the parameters at the estimates, in the frame's coordinates.
func (f *Fit) gammas() []parameter {
	var out []parameter
	for i := range f.frame.blocks {
		b := &f.frame.blocks[i]
		plain := *b
		plain.centre, plain.unit = 0, 1
		for _, rc := range b.entries {
			out = append(out, parameter{i, rc[0], rc[1], f.ResidualVariance * plain.relative(f.Theta, rc[0], rc[1])})
		}
	}
	for g, sd := range f.ResidualSD {
		out = append(out, parameter{-1, g, g, sd * sd})
	}
	return out
}

// sets groups the rows that share a level of any term, directly or over others.
func (f *frame) sets() [][]int {
	parent := make([]int, f.n)
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, b := range f.blocks {
		first := make([]int, b.levels)
		for i, l := range b.level {
			if first[l] == 0 {
				first[l] = i + 1
				continue
			}
			parent[root(i)] = root(first[l] - 1)
		}
	}
	number := map[int]int{}
	var out [][]int
	for i := range f.n {
		r := root(i)
		k, seen := number[r]
		if !seen {
			k = len(out)
			number[r] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// sums fills f.rows once.
func (f *Fit) sums() (*rowSums, error) {
	if f.rows != nil {
		return f.rows, nil
	}
	sets := f.frame.sets()
	most := 0
	for _, rows := range sets {
		most = max(most, len(rows))
	}
	if most > mostRows {
		return nil, fmt.Errorf("%w: %d rows hang together by their random effects, the limit of this package is %d", ErrTooLarge, most, mostRows)
	}
	p := f.frame.basis.p
	r := newRowSums(f.gammas(), f.phi, p)
	w := newRowWork(most, p, r.gamma)
	residual := f.residuals()
	for _, rows := range sets {
		w.set(f, rows, residual)
		w.addTo(r, f.frame)
	}
	f.rows = r
	return r, nil
}

// residuals are y − Xβ.
func (f *Fit) residuals() []float64 {
	b := f.frame.basis
	out := append([]float64(nil), f.y...)
	along := f.along()
	for i := range out {
		out[i] -= dot(b.q[i*b.p:i*b.p+b.p], along)
	}
	return out
}

func newRowSums(gamma []parameter, phi []float64, p int) *rowSums {
	k := len(gamma)
	r := &rowSums{gamma: gamma, phi: phi, t: make([]float64, k), s: make([]float64, k)}
	for range k {
		r.p = append(r.p, make([]float64, p*p))
		r.x = append(r.x, make([]float64, p))
		r.tr = append(r.tr, make([]float64, k))
		r.ss = append(r.ss, make([]float64, k))
		q := make([][]float64, k)
		for j := range q {
			if j >= len(r.q) {
				q[j] = make([]float64, p*p)
			}
		}
		r.q = append(r.q, q)
	}
	return r
}

// rowWork is room for one set of m rows.
type rowWork struct {
	m, p     int
	gamma    []parameter
	rows     []int
	a        []float64   // V⁻¹, m by m
	x, ax    []float64   // m by p
	h        [][]float64 // GᵢV⁻¹, m by m
	o, ao    [][]float64 // GᵢV⁻¹X and V⁻¹GᵢV⁻¹X, m by p
	r        []float64   // V⁻¹(y − Xβ)
	gr, agr  [][]float64
	sum      []float64
	columns  []int
	values   []float64
	local    map[int]int
	u, inner []float64
	root     []float64
}

func newRowWork(m, p int, gamma []parameter) *rowWork {
	w := &rowWork{p: p, gamma: gamma, a: make([]float64, m*m), x: make([]float64, m*p), ax: make([]float64, m*p), r: make([]float64, m)}
	for range gamma {
		w.h = append(w.h, make([]float64, m*m))
		w.o = append(w.o, make([]float64, m*p))
		w.ao = append(w.ao, make([]float64, m*p))
		w.gr = append(w.gr, make([]float64, m))
		w.agr = append(w.agr, make([]float64, m))
	}
	w.sum = make([]float64, m*max(m, p))
	w.local = map[int]int{}
	return w
}

// set works out V⁻¹ of some rows and what hangs on it. By Woodbury's identity,
// with W the weights and LL' = Λ'Z'WZΛ + I,
//
//	σ²V⁻¹ = W^½·(I − U'U)·W^½,  U = L⁻¹Λ'Z'W^½
func (w *rowWork) set(f *Fit, rows []int, residual []float64) {
	fr, m, p := f.frame, len(rows), w.p
	w.rows, w.m = rows, m
	w.inverse(f)
	for i, row := range rows {
		copy(w.x[i*p:i*p+p], fr.basis.q[row*p:row*p+p])
	}
	product(w.a, w.x, w.ax, m, p)
	for i := range m {
		w.r[i] = 0
		for j, row := range rows {
			w.r[i] += w.a[i*m+j] * residual[row]
		}
	}
	for k, g := range w.gamma {
		w.apply(fr, g, w.a, w.h[k], m)
		w.apply(fr, g, w.ax, w.o[k], p)
		w.apply(fr, g, w.r, w.gr[k], 1)
		product(w.a, w.o[k], w.ao[k], m, p)
		product(w.a, w.gr[k], w.agr[k], m, 1)
	}
}

// inverse writes V⁻¹ of the rows into a.
func (w *rowWork) inverse(f *Fit) {
	fr, m := f.frame, w.m
	if w.columns == nil {
		w.columns, w.values = fr.row()
	}
	clear(w.local)
	for _, row := range w.rows {
		fr.fill(row, w.columns, w.values)
		for _, c := range w.columns {
			if _, seen := w.local[c]; !seen {
				w.local[c] = len(w.local)
			}
		}
	}
	q := len(w.local)
	w.u, w.inner = room(w.u, q*m), room(w.inner, q*q)
	for i, row := range w.rows {
		fr.fill(row, w.columns, w.values)
		for e, c := range w.columns {
			w.u[w.local[c]*m+i] = w.values[e]
		}
	}
	w.lambda(f)
	root := room(w.root, m) // of the weight over σ²
	w.root = root
	sd := math.Sqrt(f.ResidualVariance)
	for i, row := range w.rows {
		root[i] = 1 / f.ResidualSD[fr.group[row]]
		for r := range q {
			w.u[r*m+i] *= root[i] * sd
		}
	}
	for r := range q {
		for c := range r + 1 {
			w.inner[r*q+c] = dot(w.u[r*m:r*m+m], w.u[c*m:c*m+m])
		}
		w.inner[r*q+r]++
	}
	cholesky(w.inner, q)
	forwardRows(w.inner, q, w.u, m)
	clear(w.a[:m*m])
	for r := range q {
		ur := w.u[r*m : r*m+m]
		for i, v := range ur {
			if v != 0 {
				axpy(-v, ur, w.a[i*m:i*m+m])
			}
		}
	}
	for i := range m {
		w.a[i*m+i]++
		for j := range m {
			w.a[i*m+j] *= root[i] * root[j]
		}
	}
}

func room(v []float64, n int) []float64 {
	if cap(v) < n {
		return make([]float64, n)
	}
	v = v[:n]
	clear(v)
	return v
}

// lambda turns the rows of u from Z' into Λ'Z'.
func (w *rowWork) lambda(f *Fit) {
	m := w.m
	for b := range f.frame.blocks {
		bl := &f.frame.blocks[b]
		done := map[int]bool{}
		for _, row := range w.rows {
			l := bl.level[row]
			if done[l] {
				continue
			}
			done[l] = true
			at := w.local[bl.offset+l*bl.k] * m
			first := w.u[at : at+m]
			if bl.k == 1 {
				scale(f.Theta[bl.theta], first)
				continue
			}
			at = w.local[bl.offset+l*bl.k+1] * m
			second := w.u[at : at+m]
			t := f.Theta[bl.theta:]
			for j := range first {
				first[j], second[j] = t[0]*first[j]+t[1]*second[j], t[2]*second[j]
			}
		}
	}
}

// product writes a·b into out, a being m by m and b m by c.
func product(a, b, out []float64, m, c int) {
	clear(out[:m*c])
	for i := range m {
		for j, v := range a[i*m : i*m+m] {
			if v != 0 {
				axpy(v, b[j*c:j*c+c], out[i*c:i*c+c])
			}
		}
	}
}

// apply writes G·from into to, both m by c.
func (w *rowWork) apply(f *frame, g parameter, from, to []float64, c int) {
	clear(to[:w.m*c])
	if g.block < 0 {
		for i, row := range w.rows {
			if f.group[row] == g.a {
				copy(to[i*c:i*c+c], from[i*c:i*c+c])
			}
		}
		return
	}
	bl := &f.blocks[g.block]
	w.outer(bl, bl.z[g.a], bl.z[g.b], from, to, c)
	if g.a != g.b {
		w.outer(bl, bl.z[g.b], bl.z[g.a], from, to, c)
	}
}

// outer adds Σ over levels of a·b'·from to to.
func (w *rowWork) outer(bl *block, a, b, from, to []float64, c int) {
	number := map[int]int{}
	for i, row := range w.rows {
		l, seen := number[bl.level[row]]
		if !seen {
			l = len(number)
			number[bl.level[row]] = l
			clear(w.sum[l*c : l*c+c])
		}
		axpy(b[row], from[i*c:i*c+c], w.sum[l*c:l*c+c])
	}
	for i, row := range w.rows {
		l := number[bl.level[row]]
		axpy(a[row], w.sum[l*c:l*c+c], to[i*c:i*c+c])
	}
}

// addTo adds the set's part to the sums.
func (w *rowWork) addTo(r *rowSums, f *frame) {
	m, p := w.m, w.p
	for i := range r.gamma {
		for a := range m {
			r.t[i] += w.h[i][a*m+a]
			axpy(w.gr[i][a], w.ax[a*p:a*p+p], r.x[i])
		}
		r.s[i] += dot(w.r[:m], w.gr[i][:m])
		cross(w.ax, w.o[i], r.p[i], m, p, -1)
		for j := i; j < len(r.gamma); j++ {
			cross(w.o[i], w.ao[j], r.q[i][j], m, p, 1)
			for a := range m {
				for b := range m {
					r.tr[i][j] += w.h[i][a*m+b] * w.h[j][b*m+a]
				}
			}
			r.ss[i][j] += dot(w.gr[i][:m], w.agr[j][:m])
			r.tr[j][i], r.ss[j][i] = r.tr[i][j], r.ss[i][j]
		}
	}
}

// cross adds sign·a'b to out, a and b being m by p.
func cross(a, b, out []float64, m, p int, sign float64) {
	for i := range m {
		bi := b[i*p : i*p+p]
		for c, v := range a[i*p : i*p+p] {
			if v != 0 {
				axpy(sign*v, bi, out[c*p:c*p+p])
			}
		}
	}
}
