package lmm

// The gradient in log ρ of a residual group, whose values have the variance
// ρ²σ², row by row. With P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹ and I_g the diagonal of
// ones for the rows of the group,
//
//	∂ deviance/∂ log ρ = 2ρ²·(tr(P·I_g) − (n − p)·y'P·I_g·Py/r²)
//
// and with d = z − F'x for a row, F = (X'WX)⁻¹X'WZ, e the residual of the row,
//
//	P_ii = w − w²·(x'(X'WX)⁻¹x + d'ΛA⁻¹Λ'd),  (Py)_i = w·e
//
// For ML, V⁻¹ stands for P in the trace and z for d without the term in x.

// spreadFit adds the part of the residual sum of squares; fitGradient has put
// Λu into ub.
func (s *swept) spreadFit(grad []float64, nu float64) {
	f, p := s.f, s.f.basis.p
	beta := append(s.work[:0:0], s.ty...)
	backward(s.lq, p, beta)
	for i := range f.n {
		g := f.group[i]
		if g == 0 {
			continue
		}
		qi := f.basis.q[i*p : i*p+p]
		e := s.y[i] - dot(qi, beta) - dot(s.swept(i), s.ub)
		grad[f.theta+g-1] -= 2 * nu / s.r2 * s.w[g] * e * e
	}
}

// swept writes d of row i into rest and returns it.
func (s *swept) swept(i int) []float64 {
	f, p, q := s.f, s.f.basis.p, s.f.q
	s.design(i)
	for c, v := range f.basis.q[i*p : i*p+p] {
		if v != 0 {
			axpy(-v, s.ff[c*q:c*q+q], s.rest)
		}
	}
	return s.rest
}

// design writes row i of Z into rest and returns it.
func (s *swept) design(i int) []float64 {
	clear(s.rest)
	for b := range s.f.blocks {
		bl := &s.f.blocks[b]
		for c := range bl.k {
			s.rest[bl.offset+bl.level[i]*bl.k+c] = bl.z[c][i]
		}
	}
	return s.rest
}

// spreadTrace adds the part of the traces; logGradient has put A⁻¹ into inv.
func (s *swept) spreadTrace(grad []float64) {
	f, p, q := s.f, s.f.basis.p, s.f.q
	x := make([]float64, p)
	for i := range f.n {
		g := f.group[i]
		if g == 0 {
			continue
		}
		h := 0.0
		d := s.design(i)
		if f.method == REML {
			copy(x, f.basis.q[i*p:i*p+p])
			forward(s.lq, p, x)
			h = dot(x, x)
			d = s.swept(i)
		}
		f.lambdaTimes(s.theta, d, 1)
		for r, v := range d {
			if v != 0 {
				h += v * dot(s.inv[r*q:r*q+q], d)
			}
		}
		grad[f.theta+g-1] += 2 * (1 - s.w[g]*h)
	}
}
