package lmm

import "math"

// swept works the deviance through one q by q matrix from which X has been
// swept out. With weights w = 1/ρ² by residual group, W their diagonal and
// M = W − WX(X'WX)⁻¹X'W,
//
//	B = Z'MZ,  c = Z'My,  A = Λ'BΛ + I
//	r² = y'My − (Λ'c)'A⁻¹(Λ'c)
//	REML: log|A| + log|X'WX| − Σ log w + (n − p)·(1 + log(2π·r²/(n − p)))
//	ML:   log|Λ'Z'WZΛ + I| − Σ log w + n·(1 + log(2π·r²/n))
//
// This is the profiled deviance of [Bates2015], eq. 34 and 41, with X
// eliminated before Z instead of after it, so that a step costs q³ and not
// q²p + qp², and needs y only through c and y'My.
type swept struct {
	f     *frame
	theta []float64 // parameters of the last call: θ, then log ρ of groups 1, 2, …
	w     []float64

	y                []float64 // what X leaves over of y
	qy, zy           [][]float64
	yy               []float64
	b, c, zz         []float64 // B, c, Z'WZ
	total            float64   // y'My
	logX             float64   // log|X'WX| − Σ log w
	lq, t, ty, ff    []float64 // of X'WX = LL' in the coordinates of Q: L, L⁻¹Q'WZ, L⁻¹Q'Wy, (X'WX)⁻¹Q'WZ
	bl, a, inv, work []float64
	u, ub, rest      []float64
	r2               float64
	evaluations      int
}

func newSwept(f *frame) *swept {
	p, q := f.basis.p, f.q
	s := &swept{f: f, w: make([]float64, f.groups), y: make([]float64, f.n)}
	for range f.groups {
		s.qy = append(s.qy, make([]float64, p))
		s.zy = append(s.zy, make([]float64, q))
	}
	s.yy = make([]float64, f.groups)
	for _, m := range []*[]float64{&s.b, &s.zz, &s.bl, &s.a, &s.inv, &s.work} {
		*m = make([]float64, q*q)
	}
	for _, v := range []*[]float64{&s.c, &s.u, &s.ub, &s.rest} {
		*v = make([]float64, q)
	}
	s.lq, s.t, s.ty, s.ff = make([]float64, p*p), make([]float64, p*q), make([]float64, p), make([]float64, p*q)
	s.theta = make([]float64, f.theta+f.groups-1)
	for g := range s.w {
		s.w[g] = 1
	}
	s.sweep()
	return s
}

// response takes a new y, of which X leaves over rest.
func (s *swept) response(rest []float64) {
	f, p := s.f, s.f.basis.p
	copy(s.y, rest)
	clear(s.yy)
	for g := range f.groups {
		clear(s.qy[g])
		clear(s.zy[g])
	}
	for i, v := range rest {
		g := f.group[i]
		s.yy[g] += v * v
		axpy(v, f.basis.q[i*p:i*p+p], s.qy[g])
		for b := range f.blocks {
			bl := &f.blocks[b]
			at := bl.offset + bl.level[i]*bl.k
			for c := range bl.k {
				s.zy[g][at+c] += v * bl.z[c][i]
			}
		}
	}
	s.sweepResponse()
}

// sweep eliminates X at the present weights from what does not depend on y.
func (s *swept) sweep() {
	f, p, q := s.f, s.f.basis.p, s.f.q
	clear(s.lq)
	clear(s.zz)
	clear(s.t)
	s.logX = f.basis.logDet
	for g, w := range s.w {
		axpy(w, f.small.qq[g], s.lq)
		axpy(w, f.small.zz[g], s.zz)
		s.logX -= f.count[g] * math.Log(w)
		for r := range q {
			for c := range p {
				s.t[c*q+r] += w * f.small.zq[g][r*p+c]
			}
		}
	}
	if f.groups > 1 {
		logDet, _ := cholesky(s.lq, p) // weights are positive and Q has full rank
		s.logX += logDet
		forwardRows(s.lq, p, s.t, q)
	}
	copy(s.b, s.zz)
	for c := range p {
		tc := s.t[c*q : c*q+q]
		for r, v := range tc {
			if v != 0 {
				axpy(-v, tc, s.b[r*q:r*q+q])
			}
		}
	}
	if f.groups > 1 {
		copy(s.ff, s.t)
		backwardRows(s.lq, p, s.ff, q)
	}
}

func (s *swept) sweepResponse() {
	f, p, q := s.f, s.f.basis.p, s.f.q
	clear(s.ty)
	clear(s.c)
	s.total = 0
	for g, w := range s.w {
		axpy(w, s.qy[g], s.ty)
		axpy(w, s.zy[g], s.c)
		s.total += w * s.yy[g]
	}
	if f.groups == 1 {
		clear(s.ty) // X leaves nothing of itself in y
		return
	}
	forward(s.lq, p, s.ty)
	for c := range p {
		axpy(-s.ty[c], s.t[c*q:c*q+q], s.c)
	}
	s.total -= dot(s.ty, s.ty)
}

// degrees is the number that the residual sum of squares is divided by.
func (f *frame) degrees() float64 {
	if f.method == ML {
		return float64(f.n)
	}
	return float64(f.n - f.basis.p)
}

// at returns the deviance at x, +Inf where it cannot be had, and its gradient
// when grad is not nil.
func (s *swept) at(x, grad []float64) float64 {
	f, q := s.f, s.f.q
	s.evaluations++
	copy(s.theta, x)
	if f.groups > 1 {
		for g := 1; g < f.groups; g++ {
			s.w[g] = math.Exp(-2 * x[f.theta+g-1])
		}
		s.sweep()
		s.sweepResponse()
	}
	logA := s.factor(s.b)
	copy(s.u, s.c)
	f.lambdaTimes(x, s.u, 1)
	fit := 0.0
	forward(s.a, q, s.u)
	fit = dot(s.u, s.u)
	backward(s.a, q, s.u)
	s.r2 = s.total - fit
	if !(s.r2 > 0) || math.IsInf(logA, 1) {
		return math.Inf(1)
	}
	nu := f.degrees()
	dev := s.logX + nu*(1+math.Log(2*math.Pi*s.r2/nu))
	if f.method == ML {
		dev -= s.logDetX()
	}
	if grad != nil {
		clear(grad)
		s.fitGradient(grad, nu)
		if f.groups > 1 {
			s.spreadFit(grad, nu)
		}
	}
	if f.method == ML {
		logA = s.factor(s.zz)
	}
	if grad != nil {
		s.logGradient(grad)
		if f.groups > 1 {
			s.spreadTrace(grad)
		}
	}
	return dev + logA
}

// logDetX is log|X'WX|, which the ML deviance does not have.
func (s *swept) logDetX() float64 {
	d := s.f.basis.logDet
	if s.f.groups > 1 {
		for i := range s.f.basis.p {
			d += 2 * math.Log(s.lq[i*s.f.basis.p+i])
		}
	}
	return d
}

// factor sets bl = B·Λ and a = L with LL' = Λ'BΛ + I, and returns log|LL'|.
func (s *swept) factor(b []float64) float64 {
	f, q := s.f, s.f.q
	copy(s.bl, b)
	f.timesLambda(s.theta, s.bl, q)
	copy(s.a, s.bl)
	f.lambdaTimes(s.theta, s.a, q)
	for i := range q {
		s.a[i*q+i]++
	}
	logDet, _ := cholesky(s.a, q)
	return logDet
}

// fitGradient adds the part of (n − p)·log r². With u = A⁻¹Λ'c and D = ∂Λ/∂θ
//
//	∂r² = −2·u'D'(c − BΛu)
func (s *swept) fitGradient(grad []float64, nu float64) {
	f, q := s.f, s.f.q
	copy(s.ub, s.u)
	f.spread(s.theta, s.ub)
	for i := range q {
		s.rest[i] = s.c[i] - dot(s.b[i*q:i*q+q], s.ub)
	}
	for b := range f.blocks {
		bl := &f.blocks[b]
		for e, rc := range bl.entries {
			sum := 0.0
			for l := range bl.levels {
				at := bl.offset + l*bl.k
				sum += s.rest[at+rc[0]] * s.u[at+rc[1]]
			}
			grad[bl.theta+e] -= 2 * nu / s.r2 * sum
		}
	}
}

// logGradient adds that of log|A|, 2·tr(D'·BΛA⁻¹), from bl and a.
func (s *swept) logGradient(grad []float64) {
	f, q := s.f, s.f.q
	inverse(s.a, q, s.inv, s.work)
	for b := range f.blocks {
		bl := &f.blocks[b]
		for e, rc := range bl.entries {
			sum := 0.0
			for l := range bl.levels {
				at := bl.offset + l*bl.k
				r, c := at+rc[0], at+rc[1]
				sum += dot(s.bl[r*q:r*q+q], s.inv[c*q:c*q+q])
			}
			grad[bl.theta+e] += 2 * sum
		}
	}
}
