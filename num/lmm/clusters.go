package lmm

import (
	"fmt"
	"math"
)

// mostTogether bounds the random effects that hang together by their rows: they
// are worked through as one dense matrix.
const mostTogether = 3000

// clusters are the sets of random effects that share no row with others, each
// with its own cross products, so that thousands of specimens cost no more than
// the sum of them.
type clusters struct {
	each []cluster
	most int // largest q of one
}

type cluster struct {
	effects []int     // columns of Z
	rows    []int     // rows of the values
	terms   []int     // of each effect: block
	zz      []float64 // Z'Z
	zq      []float64 // Z'Q, by p
}

func newClusters(f *frame) (*clusters, error) {
	out := &clusters{}
	columns, values := f.row()
	p := f.basis.p
	for _, rows := range f.sets() {
		c := cluster{rows: rows}
		local := map[int]int{}
		for _, row := range rows {
			f.fill(row, columns, values)
			f.number(columns, local, &c)
		}
		q := len(c.effects)
		if q > mostTogether {
			return nil, fmt.Errorf("%w: %d random effects hang together by their rows, the limit of this package is %d", ErrTooLarge, q, mostTogether)
		}
		out.most = max(out.most, q)
		c.zz, c.zq = make([]float64, q*q), make([]float64, q*p)
		for _, row := range rows {
			f.fill(row, columns, values)
			for a, ca := range columns {
				i := local[ca]
				axpy(values[a], f.basis.q[row*p:row*p+p], c.zq[i*p:i*p+p])
				for b, cb := range columns {
					c.zz[i*q+local[cb]] += values[a] * values[b]
				}
			}
		}
		out.each = append(out.each, c)
	}
	return out, nil
}

// number gives the columns of a row of Z local numbers, those of one level one
// after the other.
func (f *frame) number(columns []int, local map[int]int, c *cluster) {
	at := 0
	for b := range f.blocks {
		bl := &f.blocks[b]
		for range bl.k {
			if _, seen := local[columns[at]]; !seen {
				local[columns[at]] = len(c.effects)
				c.effects = append(c.effects, columns[at])
				c.terms = append(c.terms, b)
			}
			at++
		}
	}
}

// clustered works the deviance through the clusters: with A = Λ'Z'ZΛ + I = LL'
// of each, S = L⁻¹Λ'Z'Q, s = L⁻¹Λ'Z'y,
//
//	Q'V⁻¹Q = I − Σ S'S,  Q'V⁻¹y = −Σ S's (X leaves nothing of itself in y)
//	REML: Σ log|A| + log|Q'V⁻¹Q| + log|X'X| + (n − p)(1 + log(2π·r²/(n − p)))
//
// which is [Bates2015], eq. 34 and 41, cluster by cluster. V is over σ² here.
type clustered struct {
	f           *frame
	theta       []float64
	zy          [][]float64
	yy          float64
	a, s, v     []float64 // of one cluster; s is q by p
	inv, work   []float64
	x           []float64 // Q'V⁻¹Q, then its Cholesky factor
	beta        []float64
	g, gv       []float64
	r2          float64
	evaluations int
}

func newClustered(f *frame) *clustered {
	q, p := f.large.most, f.basis.p
	c := &clustered{f: f, theta: make([]float64, f.theta), x: make([]float64, p*p), beta: make([]float64, p)}
	for _, m := range []*[]float64{&c.a, &c.inv, &c.work} {
		*m = make([]float64, q*q)
	}
	c.s, c.g = make([]float64, q*p), make([]float64, q*p)
	c.v, c.gv = make([]float64, q), make([]float64, q)
	for i := range f.large.each {
		c.zy = append(c.zy, make([]float64, len(f.large.each[i].effects)))
	}
	return c
}

func (c *clustered) evaluated() int { return c.evaluations }

func (c *clustered) response(rest []float64) {
	f := c.f
	c.yy = dot(rest, rest)
	columns, values := f.row()
	local := make([]int, f.q)
	for i := range f.large.each {
		cl := &f.large.each[i]
		clear(c.zy[i])
		for k, e := range cl.effects {
			local[e] = k
		}
		for _, row := range cl.rows {
			f.fill(row, columns, values)
			for a, ca := range columns {
				c.zy[i][local[ca]] += values[a] * rest[row]
			}
		}
	}
}

// reduce sets a = L, s = S and v of one cluster, and returns log|A|.
func (c *clustered) reduce(i int) float64 {
	cl, p := &c.f.large.each[i], c.f.basis.p
	q := len(cl.effects)
	copy(c.a, cl.zz)
	copy(c.s, cl.zq)
	copy(c.v, c.zy[i])
	c.times(cl, c.a, q)
	transpose(c.a, q)
	c.times(cl, c.a, q)
	c.times(cl, c.s, p)
	c.times(cl, c.v, 1)
	for r := range q {
		c.a[r*q+r]++
	}
	logDet, _ := cholesky(c.a[:q*q], q)
	forwardRows(c.a, q, c.s, p)
	forward(c.a, q, c.v[:q])
	return logDet
}

// times overwrites m, of q rows and some columns, with Λ'·m.
func (c *clustered) times(cl *cluster, m []float64, columns int) {
	for k := 0; k < len(cl.effects); k++ {
		bl := &c.f.blocks[cl.terms[k]]
		first := m[k*columns : k*columns+columns]
		t := c.theta[bl.theta:]
		if bl.k == 1 {
			scale(t[0], first)
			continue
		}
		k++
		second := m[k*columns : k*columns+columns]
		for j := range first {
			first[j], second[j] = t[0]*first[j]+t[1]*second[j], t[2]*second[j]
		}
	}
}

// at is that of objective.
func (c *clustered) at(x, grad []float64) float64 {
	f, p := c.f, c.f.basis.p
	c.evaluations++
	copy(c.theta, x)
	clear(c.x)
	clear(c.beta)
	for i := range p {
		c.x[i*p+i] = 1
	}
	logA, fit := 0.0, 0.0
	for i := range f.large.each {
		q := len(f.large.each[i].effects)
		logA += c.reduce(i)
		fit += dot(c.v[:q], c.v[:q])
		for r := range q {
			sr := c.s[r*p : r*p+p]
			axpy(-c.v[r], sr, c.beta)
			for k, v := range sr {
				if v != 0 {
					axpy(-v, sr[:k+1], c.x[k*p:k*p+k+1])
				}
			}
		}
	}
	logX, ok := cholesky(c.x, p)
	forward(c.x, p, c.beta)
	c.r2 = c.yy - fit - dot(c.beta, c.beta)
	backward(c.x, p, c.beta)
	if !ok || !(c.r2 > 0) || math.IsInf(logA, 1) {
		return math.Inf(1)
	}
	nu := f.degrees()
	dev := logA + nu*(1+math.Log(2*math.Pi*c.r2/nu))
	if f.method == REML {
		dev += logX + f.basis.logDet
	}
	if grad != nil {
		clear(grad)
		c.gradient(grad, nu/c.r2)
	}
	return dev
}

// gradient: with K⁻¹ the inverse of the joint matrix of effects u and β, whose
// part for a cluster is A⁻¹ + A⁻¹Λ'Z'Q(Q'V⁻¹Q)⁻¹Q'ZΛA⁻¹ (ML: A⁻¹), and
// u = A⁻¹Λ'Z'(y − Qβ), b = Λu,
//
//	∂ = 2·tr(D'·(Z'ZΛ·K⁻¹ + Z'Q·K⁻¹)) − 2·(n − p)/r²·u'D'Z'(y − Qβ − Zb)
func (c *clustered) gradient(grad []float64, ratio float64) {
	f, p := c.f, c.f.basis.p
	for i := range f.large.each {
		cl := &f.large.each[i]
		q := len(cl.effects)
		c.reduce(i)
		// u into gv, then Z'(y − Qβ − Zb) into v.
		for r := range q {
			c.v[r] -= dot(c.s[r*p:r*p+p], c.beta)
		}
		backward(c.a, q, c.v[:q])
		u := append(c.gv[:0], c.v[:q]...)
		b := c.v[:q]
		c.spread(cl, b)
		rest := make([]float64, q)
		for r := range q {
			rest[r] = c.zy[i][r] - dot(cl.zq[r*p:r*p+p], c.beta) - dot(cl.zz[r*q:r*q+q], b)
		}
		n := c.traces(cl, q)
		for k := 0; k < q; k++ {
			bl := &f.blocks[cl.terms[k]]
			for e, rc := range bl.entries {
				r, col := k+rc[0], k+rc[1]
				grad[bl.theta+e] += 2*n[r*q+col] - 2*ratio*rest[r]*u[col]
			}
			k += bl.k - 1
		}
	}
}

// traces gives Z'ZΛ·K_uu⁻¹ + Z'Q·K_βu⁻¹ of a cluster; reduce has set a and s.
func (c *clustered) traces(cl *cluster, q int) []float64 {
	p := c.f.basis.p
	inverse(c.a, q, c.inv, c.work)
	zzl := append([]float64(nil), cl.zz...) // Λ'Z'Z, of which the transpose is wanted
	c.times(cl, zzl, q)
	if c.f.method == REML {
		// h = A⁻¹Λ'Z'Q, q by p; then g = h·(Q'V⁻¹Q)⁻¹.
		backwardRows(c.a, q, c.s, p)
		copy(c.g, c.s[:q*p])
		for r := range q {
			forward(c.x, p, c.g[r*p:r*p+p])
			backward(c.x, p, c.g[r*p:r*p+p])
		}
		for r := range q {
			for k := range q {
				c.inv[r*q+k] += dot(c.g[r*p:r*p+p], c.s[k*p:k*p+p])
			}
		}
	}
	out := make([]float64, q*q)
	for r := range q {
		for j := range q {
			if v := zzl[j*q+r]; v != 0 {
				axpy(v, c.inv[j*q:j*q+q], out[r*q:r*q+q])
			}
		}
		if c.f.method == REML {
			for k := range q {
				out[r*q+k] -= dot(cl.zq[r*p:r*p+p], c.g[k*p:k*p+p])
			}
		}
	}
	return out
}

// spread overwrites u with Λ·u.
func (c *clustered) spread(cl *cluster, u []float64) {
	for k := 0; k < len(cl.effects); k++ {
		bl := &c.f.blocks[cl.terms[k]]
		t := c.theta[bl.theta:]
		if bl.k == 1 {
			u[k] *= t[0]
			continue
		}
		u[k], u[k+1] = t[0]*u[k], t[1]*u[k]+t[2]*u[k+1]
		k++
	}
}

// solution is that of engine.
func (c *clustered) solution(x []float64) (beta, cov, b []float64, r2 float64) {
	f, p := c.f, c.f.basis.p
	c.at(x, nil)
	cov = make([]float64, p*p)
	inverse(c.x, p, cov, make([]float64, p*p))
	beta = append([]float64(nil), c.beta...)
	b = make([]float64, f.q)
	for i := range f.large.each {
		cl := &f.large.each[i]
		q := len(cl.effects)
		c.reduce(i)
		for r := range q {
			c.v[r] -= dot(c.s[r*p:r*p+p], beta)
		}
		backward(c.a, q, c.v[:q])
		c.spread(cl, c.v[:q])
		for k, e := range cl.effects {
			b[e] = c.v[k]
		}
	}
	return beta, cov, b, c.r2
}
