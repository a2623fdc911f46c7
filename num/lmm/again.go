package lmm

// Again fits the model of a fit to other values time and again and keeps its
// room between them; one is for one goroutine. See Refit.
type Again struct {
	fit    *Fit
	engine engine
	sums   *reduced // nil where only rows serve
}

// Again makes room for refits that are asked for inference by one way.
func (f *Fit) Again(by DF) *Again {
	a := &Again{fit: f, engine: f.frame.newEngine()}
	if by == KenwardRoger && f.Method == REML && f.frame.groups == 1 && f.frame.small != nil && f.frame.q > 0 {
		a.sums = newReduced(f)
	}
	return a
}

// Fit is Refit: the search begins at the estimates of the fit that Again was
// called on, so the result does not depend on what was fitted in between. What it
// returns is good for the way of inference asked for, until the next Fit.
func (a *Again) Fit(y []float64) (*Fit, error) {
	fit, err := a.fit.refit(a.engine, y)
	if err == nil && a.sums != nil {
		fit.rows = a.sums.of(fit)
	}
	return fit, err
}

// reduced makes what Kenward-Roger need of the rows from the cross products C = Z'Z
// and D = Z'X alone, X being Q and the residual spread one. With
// A = I + Λ'CΛ, S = ΛA⁻¹Λ' and H = σ²V⁻¹ = I − ZSZ',
//
//	HZ = Z·T, T = I − SC     B = Z'HZ = CT     E = Z'HX = T'D
//	Z'H²Z = T'B              Z'H²X = T'E       X'HX = I − D'SD
//	X'H²X = X'HX − E'SD      X'H³X = X'H²X − (T'E)'SD
//	tr(H²) = n − q + tr(T²)
//
// and a G of two columns a and b of a term is ZₐZ_b', Zₐ being those rows of Z' that
// carry a, so that a sum over rows becomes one over levels.
type reduced struct {
	f                     *frame
	rows                  *rowSums
	a, s, t, b, tb        []float64 // q by q
	e, te, sd             []float64 // q by p
	hx, hhx, hhhx         []float64 // p by p
	work, inverse, square []float64
}

func newReduced(f *Fit) *reduced {
	p, q := f.frame.basis.p, f.frame.q
	r := &reduced{f: f.frame, rows: newRowSums(f.gammas(), nil, p)}
	for _, m := range []*[]float64{&r.a, &r.s, &r.t, &r.b, &r.tb, &r.work, &r.inverse, &r.square} {
		*m = make([]float64, q*q)
	}
	for _, m := range []*[]float64{&r.e, &r.te, &r.sd} {
		*m = make([]float64, q*p)
	}
	for _, m := range []*[]float64{&r.hx, &r.hhx, &r.hhhx} {
		*m = make([]float64, p*p)
	}
	return r
}

// of fills the sums at the estimates of a fit.
func (r *reduced) of(f *Fit) *rowSums {
	r.products(f.Theta)
	out := r.rows
	out.gamma, out.phi = f.gammas(), f.phi
	last := len(out.gamma) - 1 // the residual
	v := 1 / f.ResidualVariance
	for i := range out.gamma {
		clear(out.p[i])
		for j := i; j <= last; j++ {
			clear(out.q[i][j])
		}
	}
	for i := range last {
		for _, x := range r.sides(out.gamma[i]) {
			r.cross(x.a, x.b, r.e, r.e, -v*v, out.p[i])
			r.cross(x.a, x.b, r.e, r.te, v*v*v, out.q[i][last])
		}
		for j := i; j < last; j++ {
			out.tr[i][j] = v * v * r.middle(out.gamma[i], out.gamma[j], v*v*v, out.q[i][j])
			out.tr[j][i] = out.tr[i][j]
		}
		out.tr[i][last] = v * v * r.trace(out.gamma[i])
		out.tr[last][i] = out.tr[i][last]
	}
	axpy(-v*v, r.hhx, out.p[last])
	axpy(v*v*v, r.hhhx, out.q[last][last])
	square := 0.0
	for i := range r.f.q {
		for j := range r.f.q {
			square += r.t[i*r.f.q+j] * r.t[j*r.f.q+i]
		}
	}
	out.tr[last][last] = v * v * (float64(r.f.n-r.f.q) + square)
	return out
}

// products fills the matrices at θ.
func (r *reduced) products(theta []float64) {
	f, p, q := r.f, r.f.basis.p, r.f.q
	c, d := f.small.zz[0], f.small.zq[0]
	copy(r.a, c)
	f.timesLambda(theta, r.a, q)
	f.lambdaTimes(theta, r.a, q)
	for i := range q {
		r.a[i*q+i]++
	}
	cholesky(r.a, q)
	inverse(r.a, q, r.inverse, r.work)
	r.outward(theta, r.inverse, r.s)
	product(r.s, c, r.t, q, q)
	for i := range r.t {
		r.t[i] = -r.t[i]
	}
	for i := range q {
		r.t[i*q+i]++
	}
	product(c, r.t, r.b, q, q)
	transposed(r.t, q, r.work)
	product(r.work, r.b, r.tb, q, q)
	product(r.work, d, r.e, q, p)
	product(r.work, r.e, r.te, q, p)
	product(r.s, d, r.sd, q, p)
	clear(r.hx)
	for i := range p {
		r.hx[i*p+i] = 1
	}
	cross(d, r.sd, r.hx, q, p, -1)
	copy(r.hhx, r.hx)
	cross(r.e, r.sd, r.hhx, q, p, -1)
	copy(r.hhhx, r.hhx)
	cross(r.te, r.sd, r.hhhx, q, p, -1)
}

// outward writes Λ·m·Λ' for a symmetric m.
func (r *reduced) outward(theta, m, out []float64) {
	f, q := r.f, r.f.q
	column := make([]float64, q)
	copy(r.square, m)
	for range 2 { // rows, then those of the transpose
		for i := range q {
			copy(column, r.square[i*q:i*q+q])
			f.spread(theta, column)
			copy(r.square[i*q:i*q+q], column)
		}
		transpose(r.square, q)
	}
	copy(out, r.square)
}

func transposed(a []float64, n int, out []float64) {
	copy(out, a)
	transpose(out, n)
}

// side is one product ZₐZ_b' of a parameter: the first effect and the step between
// levels of a term, and which of its effects.
type side struct{ a, b strided }

// strided are the rows from, from + step, … of the effects, count of them.
type strided struct{ from, step, count int }

// sides of a parameter: one product for a variance, two for a covariance.
func (r *reduced) sides(g parameter) []side {
	bl := &r.f.blocks[g.block]
	at := func(c int) strided { return strided{bl.offset + c, bl.k, bl.levels} }
	out := []side{{at(g.a), at(g.b)}}
	if g.a != g.b {
		out = append(out, side{at(g.b), at(g.a)})
	}
	return out
}

// cross adds times·xₐ'·y_b to out, p by p.
func (r *reduced) cross(a, b strided, x, y []float64, times float64, out []float64) {
	p := r.f.basis.p
	for l := range a.count {
		xl := x[(a.from+l*a.step)*p:][:p]
		yl := y[(b.from+l*b.step)*p:][:p]
		for c, v := range xl {
			if v != 0 {
				axpy(times*v, yl, out[c*p:c*p+p])
			}
		}
	}
}

// middle adds times·X'HGᵢHGⱼHX to out and returns tr(HGᵢHGⱼ).
func (r *reduced) middle(i, j parameter, times float64, out []float64) float64 {
	p, q, trace := r.f.basis.p, r.f.q, 0.0
	image := make([]float64, p)
	for _, x := range r.sides(i) {
		for _, y := range r.sides(j) {
			for l := range x.b.count {
				clear(image) // row l of B_{b,a'}·E_{b'}
				row := r.b[(x.b.from+l*x.b.step)*q:][:q]
				for m := range y.a.count {
					v := row[y.a.from+m*y.a.step]
					if v != 0 {
						axpy(v, r.e[(y.b.from+m*y.b.step)*p:][:p], image)
					}
					trace += v * r.b[(y.b.from+m*y.b.step)*q+x.a.from+l*x.a.step]
				}
				for c, v := range r.e[(x.a.from+l*x.a.step)*p:][:p] {
					if v != 0 {
						axpy(times*v, image, out[c*p:c*p+p])
					}
				}
			}
		}
	}
	return trace
}

// trace is tr(HGᵢH).
func (r *reduced) trace(g parameter) float64 {
	sum := 0.0
	for _, x := range r.sides(g) {
		for l := range x.a.count {
			sum += r.tb[(x.b.from+l*x.b.step)*r.f.q+x.a.from+l*x.a.step]
		}
	}
	return sum
}
