package lmm

import "math"

// Ratio is the family of contrasts a − x·b, whose zeros in x are ratios of two
// estimates. Estimate, standard error and degrees of freedom of any of them
// come from three products of a and b each, without touching the model again.
type Ratio struct {
	a, b     float64 // estimates
	variance form    // of the contrast
	plain    form    // the same under Φ, before adjustment
	parts    []form  // Kenward-Roger: under ΦPᵢΦ; Satterthwaite: under ∂Φ/∂τ
	w        []float64
}

// form is a quadratic form at a − x·b: aa − 2x·ab + x²·bb.
type form struct{ aa, ab, bb float64 }

func (q form) at(x float64) float64 { return q.aa - 2*x*q.ab + x*x*q.bb }

// formOf reads a form from the sandwich of two rows.
func formOf(rows, c []float64, p int) form {
	s := sandwich(rows, c, 2, p)
	return form{s[0], s[1], s[3]}
}

// Ratio prepares the contrasts a − x·b, coefficients over the columns of X as
// given. Refusals are those of Contrast.
func (f *Fit) Ratio(a, b []float64, by DF) (*Ratio, error) {
	ca, err := f.coordinates(a)
	if err != nil {
		return nil, err
	}
	cb, err := f.coordinates(b)
	if err != nil {
		return nil, err
	}
	p, along := f.frame.basis.p, f.along()
	rows := append(append([]float64(nil), ca...), cb...)
	r := &Ratio{a: dot(ca, along), b: dot(cb, along)}
	var parts [][]float64
	if by == Satterthwaite {
		s, err := f.satterthwaiteParts()
		if err != nil {
			return nil, err
		}
		r.variance, parts, r.w = formOf(rows, f.rows.phi, p), s.dphi, s.cov
	} else {
		k, err := f.kenwardRoger()
		if err != nil {
			return nil, err
		}
		r.variance, parts, r.w = formOf(rows, k.phi, p), k.fpf, k.w
	}
	r.plain = formOf(rows, f.rows.phi, p)
	for _, c := range parts {
		r.parts = append(r.parts, formOf(rows, c, p))
	}
	return r, nil
}

// At is the contrast a − x·b, its P left at NaN. DF is, for both methods,
//
//	2·v²/(d'Wd),  v = ℓ'Φℓ,  dᵢ = ℓ'ΦPᵢΦℓ or ℓ'(∂Φ/∂τᵢ)ℓ
func (r *Ratio) At(x float64) Contrast {
	v, k := r.plain.at(x), len(r.parts)
	q := 0.0
	for i := range k {
		for j := range k {
			q += r.parts[i].at(x) * r.w[i*k+j] * r.parts[j].at(x)
		}
	}
	c := Contrast{Estimate: r.a - x*r.b, SE: math.Sqrt(r.variance.at(x)), DF: 2 * v * v / q, P: math.NaN()}
	c.T = c.Estimate / c.SE
	return c
}

// Value is the ratio of the two estimates, a/b.
func (r *Ratio) Value() float64 { return r.a / r.b }

// Base is the estimate of b.
func (r *Ratio) Base() float64 { return r.b }

// Zero are the x between which |a − x·b| ≤ c standard errors, after [Fieller1954]:
// the roots of (a − x·b)² = c²·v(x). ok is false when they do not enclose the
// ratio, b being within c standard errors of zero.
func (r *Ratio) Zero(c float64) (low, high float64, ok bool) {
	c2 := c * c
	bb := r.b*r.b - c2*r.variance.bb
	if !(bb > 0) {
		return math.NaN(), math.NaN(), false
	}
	ab, aa := r.a*r.b-c2*r.variance.ab, r.a*r.a-c2*r.variance.aa
	middle := ab / bb
	half := math.Sqrt(max(0, middle*middle-aa/bb))
	return middle - half, middle + half, true
}
