package nlmm

import (
	"fmt"
	"math"
	"slices"
)

// products are what the linear model needs of a group: of X, Z and the working
// residual r = y − f + Z·b, in which the change of β is what is estimated.
type products struct {
	zz, zx, xx []float64 // q by q, q by x, x by x
	zr, xr     []float64
	rr         float64
}

func (s *state) linearise() {
	for i := range s.m.Y {
		s.value(i, s.beta, s.b[i], s.g[i])
		s.groups[i] = s.product(i)
	}
}

func (s *state) product(i int) products {
	p, q, x := s.m.Parameters, len(s.m.Random), len(s.free)
	o := products{make([]float64, q*q), make([]float64, q*x), make([]float64, x*x), make([]float64, q), make([]float64, x), 0}
	for j, y := range s.m.Y[i] {
		g := s.g[i][j*p : (j+1)*p]
		r := y - s.f[i][j]
		for a, k := range s.m.Random {
			r += g[k] * s.b[i][a]
		}
		for a, k := range s.m.Random {
			for c, l := range s.m.Random {
				o.zz[a*q+c] += g[k] * g[l]
			}
			for c, l := range s.free {
				o.zx[a*x+c] += g[k] * g[l]
			}
			o.zr[a] += g[k] * r
		}
		for a, k := range s.free {
			for c, l := range s.free {
				o.xx[a*x+c] += g[k] * g[l]
			}
			o.xr[a] += g[k] * r
		}
		o.rr += r * r
	}
	return o
}

// estimate is the linear model at a Λ.
type estimate struct {
	change  []float64 // of β, free parameters
	inverse []float64 // (X'V⁻¹X)⁻¹
	rss     float64   // r'V⁻¹r − change'X'V⁻¹r
	logV    float64   // ln|V|
	logX    float64   // ln|X'V⁻¹X|
	ok      bool
}

// estimate solves the generalised least squares of the linear model.
func (s *state) estimate(theta []float64) estimate {
	q, x := len(s.m.Random), len(s.free)
	l := lambda(theta, q)
	xvx, xvr := make([]float64, x*x), make([]float64, x)
	e := estimate{change: make([]float64, x)}
	rvr := 0.0
	for i := range s.groups {
		root := mRoot(l, s.groups[i].zz, q)
		if root == nil {
			return e
		}
		for k := range q {
			e.logV += 2 * math.Log(root[k*q+k])
		}
		rvr += s.groups[i].add(root, l, xvx, xvr)
	}
	root := cholesky(xvx, x)
	if root == nil {
		return e
	}
	half := solveLower(root, xvr)
	e.rss = rvr
	for k := range x {
		e.rss -= half[k] * half[k]
		e.logX += 2 * math.Log(root[k*x+k])
	}
	e.change = solveUpper(root, half)
	e.inverse = inverseOf(root, x)
	e.ok = e.rss > 0
	return e
}

// add adds a group's part of X'V⁻¹X and X'V⁻¹r, and returns that of r'V⁻¹r: the
// plain products less those of the rows of M^(−½)·A'X and M^(−½)·A'r.
func (o *products) add(root, l, xvx, xvr []float64) float64 {
	q, x := len(o.zr), len(o.xr)
	cx := make([]float64, q*x)
	column := make([]float64, q)
	for c := range x {
		for k := range q {
			column[k] = o.zx[k*x+c]
		}
		for k, v := range solveLower(root, timesTransposed(l, column)) {
			cx[k*x+c] = v
		}
	}
	cr := solveLower(root, timesTransposed(l, o.zr))
	for a := range x {
		for c := range x {
			xvx[a*x+c] += o.xx[a*x+c]
			for k := range q {
				xvx[a*x+c] -= cx[k*x+a] * cx[k*x+c]
			}
		}
		xvr[a] += o.xr[a]
		for k := range q {
			xvr[a] -= cx[k*x+a] * cr[k]
		}
	}
	rvr := o.rr
	for k := range q {
		rvr -= cr[k] * cr[k]
	}
	return rvr
}

// deviance is −2 log likelihood at a Λ, σ² profiled out.
func (s *state) deviance(theta []float64) float64 {
	for k := range len(s.m.Random) {
		if math.Abs(theta[k]) > 30 {
			return math.Inf(1)
		}
	}
	e := s.estimate(theta)
	if !e.ok {
		return math.Inf(1)
	}
	df := s.freedom()
	d := df*math.Log(2*math.Pi*e.rss/df) + df + e.logV
	if s.method == REML {
		d += e.logX
	}
	return d
}

// likely sets Λ to the most likely one of the linear model, from near where it is
// once it was found.
func (s *state) likely(near bool) {
	size := 0.5
	if near {
		size = 0.05
	}
	s.theta = descend(s.deviance, s.theta, size)
}

// penalised finds β and all b at Λ: Gauss-Newton steps, halved until the
// penalised sum of squares falls.
func (s *state) penalised() error {
	q := len(s.m.Random)
	l := lambda(s.theta, q)
	for i := range s.b { // Λ may have moved
		s.b[i] = times(l, s.u[i])
	}
	have := s.penalty(s.beta, s.u, l)
	if math.IsInf(have, 1) {
		for i := range s.u {
			clear(s.u[i])
			clear(s.b[i])
		}
		if have = s.penalty(s.beta, s.u, l); math.IsInf(have, 1) {
			return fmt.Errorf("%w: the function has no value on the way", ErrNotFinite)
		}
	}
	for range 100 {
		s.linearise()
		e := s.estimate(s.theta)
		if e.inverse == nil {
			return fmt.Errorf("%w: the data do not tell the parameters apart", ErrNoProgress)
		}
		to := make([][]float64, len(s.u))
		for i := range s.groups {
			to[i] = s.predicted(i, e.change, l)
		}
		gain := s.halved(e.change, to, l, have)
		if gain <= 1e-13*have {
			break
		}
		have -= gain
	}
	return nil
}

// halved goes the largest of the steps 1, ½, ¼ … that gains, and says what.
func (s *state) halved(change []float64, to [][]float64, l []float64, have float64) float64 {
	for share := 1.0; share > 1e-6; share /= 2 {
		beta := slices.Clone(s.beta)
		for a, k := range s.free {
			beta[k] += share * change[a]
		}
		u := make([][]float64, len(to))
		for i := range to {
			u[i] = make([]float64, len(to[i]))
			for k := range u[i] {
				u[i][k] = s.u[i][k] + share*(to[i][k]-s.u[i][k])
			}
		}
		if now := s.penalty(beta, u, l); now < have {
			s.beta, s.u = beta, u
			for i := range u {
				s.b[i] = times(l, u[i])
			}
			return have - now
		}
	}
	return 0
}

// predicted is u = M⁻¹·A'(r − X·change) of a group.
func (s *state) predicted(i int, change, l []float64) []float64 {
	o, q, x := &s.groups[i], len(s.m.Random), len(s.free)
	left := slices.Clone(o.zr)
	for k := range q {
		for c := range x {
			left[k] -= o.zx[k*x+c] * change[c]
		}
	}
	root := mRoot(l, o.zz, q)
	return solveUpper(root, solveLower(root, timesTransposed(l, left)))
}

// penalty is Σ|y − f(β + Λu)|² + |u|²; +Inf where f has no value.
func (s *state) penalty(beta []float64, u [][]float64, l []float64) float64 {
	sum := 0.0
	for i := range s.m.Y {
		if !s.value(i, beta, times(l, u[i]), nil) {
			return math.Inf(1)
		}
		for j, y := range s.m.Y[i] {
			sum += (y - s.f[i][j]) * (y - s.f[i][j])
		}
		for _, v := range u[i] {
			sum += v * v
		}
	}
	return sum
}
