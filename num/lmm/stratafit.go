package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// StrataFit is what REML and Kenward-Roger make of sums of squares by stratum. It
// is filled anew by each Fit, so one is for one goroutine.
type StrataFit struct {
	Xi    []float64 // ξ by stratum
	Gamma []float64 // of each term, then the residual

	s     *Strata
	w     []float64 // covariance of ξ, strata by strata
	plain bool      // one variance a stratum: w is diagonal
	info  []float64
	step  []float64
	trial []float64
	free  []int
}

// NewFit makes room for fits.
func (s *Strata) NewFit() *StrataFit {
	k, g := len(s.Load), len(s.of)+1
	f := &StrataFit{s: s, Xi: make([]float64, k), Gamma: make([]float64, g), w: make([]float64, k*k), plain: k == g}
	for _, r := range s.Degrees {
		f.plain = f.plain && r > 0
	}
	f.info, f.step, f.trial = make([]float64, g*g), make([]float64, g), make([]float64, g)
	return f
}

// Fit takes sums of squares by stratum. The restricted deviance is
//
//	Σₖ rₖ·log ξₖ + SSₖ/ξₖ,  ξₖ = Σᵢ loadₖᵢ·γᵢ,  γᵢ ≥ 0
//
// least by ξₖ = SSₖ/rₖ where that keeps the γᵢ ≥ 0, with one term by what lies
// on the bound, and by Fisher's scoring over the γ that are off it otherwise. It
// returns ErrNoSpread where nothing is left over.
func (f *StrataFit) Fit(squares []float64) error {
	total, degrees := 0.0, 0.0
	for k, ss := range squares {
		total, degrees = total+ss, degrees+f.s.Degrees[k]
	}
	if !(total > 0) {
		return fmt.Errorf("%w: the sums of squares are %v", ErrNoSpread, squares)
	}
	g := len(f.Gamma)
	switch {
	case g == 1:
		f.Gamma[0] = total / degrees
	case g == 2 && f.plain:
		f.one(squares, total/degrees)
	default:
		if err := f.search(squares, total/degrees); err != nil {
			return err
		}
	}
	f.xi(f.Gamma, f.Xi)
	return f.covariance()
}

// Set takes variances as they are, of each term and then the residual's, positive.
func (f *StrataFit) Set(gamma []float64) error {
	copy(f.Gamma, gamma)
	f.xi(f.Gamma, f.Xi)
	return f.covariance()
}

// one is the closed form for one term.
func (f *StrataFit) one(squares []float64, pooled float64) {
	within, between := 0, 1
	if f.s.Load[0][0] > 0 {
		within, between = 1, 0
	}
	w, b := squares[within]/f.s.Degrees[within], squares[between]/f.s.Degrees[between]
	if b <= w {
		f.Gamma[0], f.Gamma[1] = 0, pooled
		return
	}
	f.Gamma[0], f.Gamma[1] = (b-w)/f.s.Load[between][0], w
}

func (f *StrataFit) xi(gamma, out []float64) {
	for k, load := range f.s.Load {
		out[k] = dot(load, gamma)
	}
}

// deviance at f.trial.
func (f *StrataFit) deviance(gamma, squares []float64) float64 {
	sum := 0.0
	for k, load := range f.s.Load {
		xi := dot(load, gamma)
		if f.s.Degrees[k] > 0 {
			sum += f.s.Degrees[k]*math.Log(xi) + squares[k]/xi
		}
	}
	return sum
}

// search descends by Fisher's scoring. A γ at zero is let go where the deviance
// falls with it.
func (f *StrataFit) search(squares []float64, pooled float64) error {
	g := len(f.Gamma)
	for i := range g {
		f.Gamma[i] = pooled / 10
	}
	f.Gamma[g-1] = pooled
	now := f.deviance(f.Gamma, squares)
	for range 200 {
		decrement := f.scoring(squares)
		if decrement < 1e-13 {
			return nil
		}
		moved := false
		for length := 1.0; length > 1e-10; length /= 2 {
			for i := range g {
				f.trial[i] = max(0, f.Gamma[i]+length*f.step[i])
			}
			f.trial[g-1] = max(f.trial[g-1], f.Gamma[g-1]/10)
			if next := f.deviance(f.trial, squares); next < now {
				now, moved = next, true
				copy(f.Gamma, f.trial)
				break
			}
		}
		if !moved {
			return nil
		}
	}
	return fmt.Errorf("%w: the sums of squares are %v", ErrNotConverged, squares)
}

// scoring sets the step of the γ that may move and returns what it would gain.
func (f *StrataFit) scoring(squares []float64) float64 {
	g := len(f.Gamma)
	score := make([]float64, g) // minus the slope of the deviance
	f.information(f.Gamma)
	for k, load := range f.s.Load {
		xi := dot(load, f.Gamma)
		axpy(squares[k]/(xi*xi)-f.s.Degrees[k]/xi, load, score)
	}
	f.free = f.free[:0]
	for i := range g {
		f.step[i] = 0
		if f.Gamma[i] > 0 || score[i] > 0 {
			f.free = append(f.free, i)
		}
	}
	m := len(f.free)
	a, b := make([]float64, m*m), make([]float64, m)
	for i, p := range f.free {
		b[i] = score[p]
		for j, q := range f.free {
			a[i*m+j] = f.info[p*g+q]
		}
	}
	cholesky(a, m)
	forward(a, m, b)
	gain := dot(b, b)
	backward(a, m, b)
	for i, p := range f.free {
		f.step[p] = b[i]
	}
	return gain
}

// information of γ, Σ rₖ·loadₖ·loadₖ'/ξₖ².
func (f *StrataFit) information(gamma []float64) {
	g := len(gamma)
	clear(f.info)
	for k, load := range f.s.Load {
		xi := dot(load, gamma)
		for i, v := range load {
			if v != 0 {
				axpy(v*f.s.Degrees[k]/(xi*xi), load, f.info[i*g:i*g+g])
			}
		}
	}
}

// covariance of ξ: 2ξ²/r where each stratum has a variance of its own, Load·W·Load'
// with W = 2·I⁻¹ otherwise.
func (f *StrataFit) covariance() error {
	k, g := len(f.Xi), len(f.Gamma)
	clear(f.w)
	if f.plain {
		for q, xi := range f.Xi {
			f.w[q*k+q] = 2 * xi * xi / f.s.Degrees[q]
		}
		return nil
	}
	f.information(f.Gamma)
	w := pseudoInverse(f.info, g)
	image := make([]float64, g)
	for a, la := range f.s.Load {
		product(w, la, image, g, 1)
		for b, lb := range f.s.Load {
			f.w[a*k+b] = 2 * dot(image, lb)
		}
	}
	return nil
}

// Spread is the variance of a contrast whose parts by stratum are given, and its
// degrees of freedom by Kenward-Roger. In strata their adjustment of the
// covariance is nothing, since Qᵢⱼ = Pᵢ·Φ·Pⱼ, and df = 2v²/(a'Wa).
func (f *StrataFit) Spread(parts []float64) (variance, df float64) {
	k := len(f.Xi)
	q := 0.0
	for i, a := range parts {
		if a == 0 {
			continue
		}
		variance += a * f.Xi[i]
		if f.plain {
			q += a * a * f.w[i*k+i]
			continue
		}
		q += a * dot(f.w[i*k:i*k+k], parts)
	}
	return variance, 2 * variance * variance / q
}

// Correlation of contrasts, one a row of l over the rows r.
func (f *StrataFit) Correlation(r *Rows, l []float64) *mat.SymDense {
	m := len(l) / r.M
	cov := make([]float64, m*m)
	for k, xi := range f.Xi {
		axpy(xi, sandwich(l, r.Parts[k], m, r.M), cov)
	}
	out := mat.NewSymDense(m, nil)
	for i := range m {
		for j := range i + 1 {
			out.SetSym(i, j, cov[i*m+j]/math.Sqrt(cov[i*m+i]*cov[j*m+j]))
		}
	}
	return out
}

// Ratio is the family of contrasts a − x·b, see Fit.Ratio: their estimates, and of
// each stratum the products aa, ab and bb.
func (f *StrataFit) Ratio(a, b float64, forms [][3]float64) *Ratio {
	r := &Ratio{a: a, b: b, w: f.w}
	for k, q := range forms {
		part := form{q[0], q[1], q[2]}
		r.parts = append(r.parts, part)
		r.plain.aa += f.Xi[k] * part.aa
		r.plain.ab += f.Xi[k] * part.ab
		r.plain.bb += f.Xi[k] * part.bb
	}
	r.variance = r.plain
	return r
}
