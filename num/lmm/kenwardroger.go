package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// adjusted is what Kenward and Roger make of a REML fit, in the coordinates of
// Q.
type adjusted struct {
	w   []float64   // W, the covariance of the estimates of γ, k by k
	phi []float64   // Φ_A
	fpf [][]float64 // Φ·Pᵢ·Φ
}

// kenwardRoger gives the adjusted covariance of β and the covariance of γ,
//
//	I[i][j] = tr(V⁻¹GᵢV⁻¹Gⱼ) − 2·tr(Φ·Qᵢⱼ) + tr(Φ·Pᵢ·Φ·Pⱼ),  W = 2·I⁻¹
//	Φ_A = Φ + 2·Φ·(Σᵢⱼ Wᵢⱼ·(Qᵢⱼ − Pᵢ·Φ·Pⱼ))·Φ
//
// [KenwardRoger1997], eq. 4 and 5; the covariance is linear in γ, so their
// term in second derivatives is zero. [HalekohHojsgaard2014], section 6.
// I is inverted over the directions in which it is positive.
func (f *Fit) kenwardRoger() (*adjusted, error) {
	if f.Method != REML {
		return nil, fmt.Errorf("%w: Kenward-Roger is for fits by REML, this one is by ML", ErrMethod)
	}
	if f.adjusted != nil {
		return f.adjusted, nil
	}
	r, err := f.sums()
	if err != nil {
		return nil, err
	}
	k, p := len(r.gamma), f.frame.basis.p
	pf := make([][]float64, k) // Pᵢ·Φ
	for i := range k {
		pf[i] = make([]float64, p*p)
		product(r.p[i], r.phi, pf[i], p, p)
	}
	info := r.information(pf, p)
	a := &adjusted{w: pseudoInverse(info, k), phi: append([]float64(nil), r.phi...)}
	scale(2, a.w)
	inner, work := make([]float64, p*p), make([]float64, p*p)
	for i := range k {
		for j := i; j < k; j++ {
			c := a.w[i*k+j]
			axpy(c, r.q[i][j], inner)
			product(pf[i], r.p[j], work, p, p)
			axpy(-c, work, inner)
			if i != j {
				transpose(work, p)
				axpy(-c, work, inner)
				addTransposed(c, r.q[i][j], inner, p)
			}
		}
	}
	product(r.phi, inner, work, p, p)
	product(work, r.phi, inner, p, p)
	symmetric(inner, p)
	axpy(2, inner, a.phi)
	for i := range k {
		g := make([]float64, p*p)
		product(r.phi, pf[i], g, p, p)
		a.fpf = append(a.fpf, g)
	}
	f.adjusted = a
	return a, nil
}

func addTransposed(c float64, a, out []float64, p int) {
	for i := range p {
		for j := range p {
			out[j*p+i] += c * a[i*p+j]
		}
	}
}

// information is tr(P·Gᵢ·P·Gⱼ) with P = V⁻¹ − V⁻¹XΦX'V⁻¹; pf holds Pᵢ·Φ.
func (r *rowSums) information(pf [][]float64, p int) []float64 {
	k := len(r.gamma)
	info := make([]float64, k*k)
	for i := range k {
		for j := i; j < k; j++ {
			v := r.tr[i][j] - 2*dot(r.phi, r.q[i][j])
			for a := range p {
				for b := range p {
					v += pf[i][a*p+b] * pf[j][b*p+a]
				}
			}
			info[i*k+j], info[j*k+i] = v, v
		}
	}
	return info
}

// pseudoInverse inverts a symmetric matrix over the directions in which it is
// positive, judged with its diagonal brought to one.
func pseudoInverse(a []float64, n int) []float64 {
	unit := make([]float64, n)
	for i := range n {
		unit[i] = 1
		if d := math.Abs(a[i*n+i]); d > 0 {
			unit[i] = 1 / math.Sqrt(d)
		}
	}
	scaled := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			scaled.SetSym(i, j, a[i*n+j]*unit[i]*unit[j])
		}
	}
	var e mat.EigenSym
	out := make([]float64, n*n)
	if !e.Factorize(scaled, true) {
		for i := range out {
			out[i] = math.NaN()
		}
		return out
	}
	values := e.Values(nil)
	var vectors mat.Dense
	e.VectorsTo(&vectors)
	for k, v := range values {
		if v <= 1e-9 {
			continue
		}
		for i := range n {
			for j := range n {
				out[i*n+j] += vectors.At(i, k) * vectors.At(j, k) / v * unit[i] * unit[j]
			}
		}
	}
	return out
}

// AdjustedCovariance returns the covariance of Beta adjusted for the variances
// being estimated, [KenwardRoger1997]. It returns ErrMethod for a fit by ML.
func (f *Fit) AdjustedCovariance() (*mat.SymDense, error) {
	a, err := f.kenwardRoger()
	if err != nil {
		return nil, err
	}
	c := append([]float64(nil), a.phi...)
	f.frame.basis.covariance(c)
	return mat.NewSymDense(len(f.Beta), c), nil
}

// moments of the Wald statistic for L, [KenwardRoger1997]: with
// Θ = L'(LΦL')⁻¹L,
//
//	A₁ = Σᵢⱼ Wᵢⱼ·tr(ΘΦPᵢΦ)·tr(ΘΦPⱼΦ),  A₂ = Σᵢⱼ Wᵢⱼ·tr(ΘΦPᵢΦΘΦPⱼΦ)
//
// l is m by p in the coordinates of Q with orthonormal rows under Φ, so that
// Θ = l'l.
func (a *adjusted) moments(l []float64, m, p int) (a1, a2 float64) {
	k := len(a.fpf)
	u := make([][]float64, k) // l·ΦPᵢΦ·l', m by m
	for i := range k {
		u[i] = sandwich(l, a.fpf[i], m, p)
	}
	for i := range k {
		for j := range k {
			ti, tj := 0.0, 0.0
			for c := range m {
				ti += u[i][c*m+c]
				tj += u[j][c*m+c]
			}
			a1 += a.w[i*k+j] * ti * tj
			a2 += a.w[i*k+j] * dot(u[i], u[j])
		}
	}
	return a1, a2
}

// sandwich is l·c·l' for l m by p.
func sandwich(l, c []float64, m, p int) []float64 {
	out, row := make([]float64, m*m), make([]float64, p)
	for i := range m {
		clear(row)
		for a, v := range l[i*p : i*p+p] {
			if v != 0 {
				axpy(v, c[a*p:a*p+p], row)
			}
		}
		for j := range m {
			out[i*m+j] = dot(row, l[j*p:j*p+p])
		}
	}
	return out
}

// scaledF gives the denominator degrees of freedom and the factor λ of the F
// statistic from the moments, [KenwardRoger1997], section 3, with m contrasts:
//
//	B = (A₁ + 6A₂)/(2m),  g = ((m+1)A₁ − (m+4)A₂)/((m+2)A₂),  d = 3m + 2(1−g)
//	c₁ = g/d,  c₂ = (m−g)/d,  c₃ = (m+2−g)/d
//	ρ = (1−A₂/m)²·(1+c₁B) / (m·(1−c₂B)²·(1−c₃B))
//	df = 4 + (m+2)/(mρ−1),  λ = df·(1−A₂/m)/(df−2)
//
// (written so that E* and V* of the paper do not appear by themselves). For one
// contrast df = 2/A₂ and λ = 1. At df = 2 the ratio for λ is 0/0 and λ is taken
// as 1, as [HalekohHojsgaard2014] do.
func scaledF(a1, a2 float64, count int) (df, lambda float64) {
	m := float64(count)
	if count == 1 {
		return 2 / a2, 1
	}
	b := (a1 + 6*a2) / (2 * m)
	g := ((m+1)*a1 - (m+4)*a2) / ((m + 2) * a2)
	d := 3*m + 2*(1-g)
	v0, v1, v2 := 1+g/d*b, 1-(m-g)/d*b, 1-(m+2-g)/d*b
	if math.Abs(v0) < 1e-10 {
		v0 = 0
	}
	ratio := 1.0
	if math.Abs(v1) > 1e-14 || math.Abs(1-a2/m) > 1e-14 {
		ratio = (1 - a2/m) / v1
	}
	rho := ratio * ratio * v0 / (m * v2)
	df = 4 + (m+2)/(m*rho-1)
	if math.Abs(df-2) < 0.01 {
		return df, 1
	}
	return df, df * (1 - a2/m) / (df - 2)
}
