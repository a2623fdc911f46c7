package lmm

// satterthwaite holds what the degrees of freedom of [Satterthwaite1946] need
// for a contrast, in the coordinates of Q: the covariance of the variance
// parameters τ = (θ, log ρ, σ) and the derivatives of Φ in them.
type satterthwaite struct {
	cov  []float64   // 2·H⁻¹, H the second derivatives of the deviance in τ
	dphi [][]float64 // ∂Φ/∂τ
}

// satterthwaite gives, for the variance v = ℓ'Φℓ of a contrast,
//
//	df = 2·v² / (d'·2H⁻¹·d),  d = ∂v/∂τ,  H = ∂² deviance/∂τ²
//
// from the exact second derivatives in γ,
//
//	REML: ∂²/∂γᵢ∂γⱼ = 2·y'PGᵢPGⱼPy − tr(PGᵢPGⱼ),  ∂/∂γᵢ = tr(PGᵢ) − y'PGᵢPy
//	ML:   V⁻¹ for P in the traces
//	∂Φ/∂γᵢ = −Φ·Pᵢ·Φ
//
// carried over to τ by the chain rule. At a variance of zero the derivative in
// θ is zero and the parameter counts as known, as lmerTest has it
// [Kuznetsova2017].
func (f *Fit) satterthwaiteParts() (*satterthwaite, error) {
	if f.satterthwaite != nil {
		return f.satterthwaite, nil
	}
	r, err := f.sums()
	if err != nil {
		return nil, err
	}
	k, p := len(r.gamma), f.frame.basis.p
	pf := make([][]float64, k)
	for i := range k {
		pf[i] = make([]float64, p*p)
		product(r.p[i], r.phi, pf[i], p, p)
	}
	hessian, gradient := f.derivatives(r, pf)
	jacobian, second := f.chain(r.gamma)
	t := len(jacobian)
	h := make([]float64, t*t)
	for a := range t {
		for b := range t {
			for i := range k {
				h[a*t+b] += gradient[i] * second[a][b][i]
				for j := range k {
					h[a*t+b] += jacobian[a][i] * hessian[i*k+j] * jacobian[b][j]
				}
			}
		}
	}
	s := &satterthwaite{cov: pseudoInverse(h, t)}
	scale(2, s.cov)
	for a := range t {
		d, work := make([]float64, p*p), make([]float64, p*p)
		for i, j := range jacobian[a] {
			if j != 0 {
				product(r.phi, pf[i], work, p, p)
				axpy(-j, work, d)
			}
		}
		s.dphi = append(s.dphi, d)
	}
	f.satterthwaite = s
	return s, nil
}

// derivatives of the deviance in γ.
func (f *Fit) derivatives(r *rowSums, pf [][]float64) (hessian, gradient []float64) {
	k, p := len(r.gamma), f.frame.basis.p
	hessian, gradient = make([]float64, k*k), make([]float64, k)
	info := r.information(pf, p)
	for i := range k {
		gradient[i] = r.t[i] - r.s[i]
		if f.Method == REML {
			gradient[i] += dot(r.p[i], r.phi)
		}
		phix := make([]float64, p)
		for a := range p {
			phix[a] = dot(r.phi[a*p:a*p+p], r.x[i])
		}
		for j := range k {
			trace := r.tr[i][j]
			if f.Method == REML {
				trace = info[i*k+j]
			}
			hessian[i*k+j] = 2*(r.ss[i][j]-dot(phix, r.x[j])) - trace
		}
	}
	return hessian, gradient
}

// chain gives ∂γ/∂τ and ∂²γ/∂τ∂τ. With Λ's entries l of a block,
// γ_ab = σ²·Σ_c l_ac·l_bc; of a residual group γ = σ²ρ².
func (f *Fit) chain(gamma []parameter) (first [][]float64, second [][][]float64) {
	fr := f.frame
	t := fr.theta + fr.groups // θ, log ρ of all groups but the first, σ
	sigma := f.ResidualSD[0]
	first = make([][]float64, t)
	second = make([][][]float64, t)
	for a := range t {
		first[a] = make([]float64, len(gamma))
		second[a] = make([][]float64, t)
		for b := range t {
			second[a][b] = make([]float64, len(gamma))
		}
	}
	for i, g := range gamma {
		last := t - 1
		first[last][i], second[last][last][i] = 2*g.value/sigma, 2*g.value/(sigma*sigma)
		if g.block < 0 {
			if g.a > 0 {
				a := fr.theta + g.a - 1
				first[a][i], second[a][a][i] = 2*g.value, 4*g.value
				second[a][last][i], second[last][a][i] = 4*g.value/sigma, 4*g.value/sigma
			}
			continue
		}
		bl := &fr.blocks[g.block]
		for e, rc := range bl.entries {
			a := bl.theta + e
			d := sigma * sigma * (one(rc[0] == g.a)*bl.entry(f.Theta, g.b, rc[1]) + one(rc[0] == g.b)*bl.entry(f.Theta, g.a, rc[1]))
			first[a][i] = d
			second[a][last][i], second[last][a][i] = 2*d/sigma, 2*d/sigma
			for e2, rc2 := range bl.entries {
				if rc[1] == rc2[1] {
					second[a][bl.theta+e2][i] = sigma * sigma * (one(rc[0] == g.a)*one(rc2[0] == g.b) + one(rc[0] == g.b)*one(rc2[0] == g.a))
				}
			}
		}
	}
	return first, second
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// entry of Λ.
func (b *block) entry(theta []float64, r, c int) float64 {
	for e, rc := range b.entries {
		if rc == [2]int{r, c} {
			return theta[b.theta+e]
		}
	}
	return 0
}

// df of one contrast ℓ with variance v.
func (s *satterthwaite) df(l []float64, v float64) float64 {
	t, p := len(s.dphi), len(l)
	d := make([]float64, t)
	for a := range t {
		d[a] = sandwich(l, s.dphi[a], 1, p)[0]
	}
	q := 0.0
	for a := range t {
		q += d[a] * dot(s.cov[a*t:a*t+t], d)
	}
	return 2 * v * v / q
}
