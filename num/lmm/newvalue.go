package lmm

import (
	"fmt"
	"math"
)

// Prediction is what a model expects of a value not yet seen.
type Prediction struct {
	Estimate, SE, DF float64 // SE that of value less estimate
}

// Interval returns the interval that holds the value at a level such as 0.95.
func (p Prediction) Interval(level float64) (lower, upper float64) {
	return Contrast{Estimate: p.Estimate, SE: p.SE, DF: p.DF}.Interval(level)
}

// NewValue predicts one value with fixed part ℓ'β, all of whose random effects
// are of levels not seen before: with z where it lies on the slope of each term
// (nothing for terms without) and its residual that of a group of Spread (0
// without),
//
//	v = ℓ'Φℓ + Σ_terms (σ₀² + 2z·σ₀₁ + z²·σ₁²) + σ²ρ²,  df = 2·v²/Var(v)
//
// Var(v) from the covariance of the variances and the derivatives of v in them,
// as in [Satterthwaite1946]: the expected information with KenwardRoger (whose
// Φ_A takes the place of Φ in SE, not in df), the observed one with
// Satterthwaite. Without random terms, one spread, it is Student's exact
// interval. Refusals are those of Contrast.
func (f *Fit) NewValue(l, z []float64, group int, by DF) (Prediction, error) {
	if len(z) != len(f.Components) {
		return Prediction{}, fmt.Errorf("%w: %d places on slopes for %d terms", ErrShape, len(z), len(f.Components))
	}
	if group < 0 || group >= f.frame.groups {
		return Prediction{}, fmt.Errorf("%w: residual group %d of %d", ErrRange, group, f.frame.groups)
	}
	row, err := f.coordinates(l)
	if err != nil {
		return Prediction{}, err
	}
	p := len(row)
	if _, err := f.sums(); err != nil {
		return Prediction{}, err
	}
	own, weight := 0.0, f.ownWeights(z, group)
	for i, g := range f.rows.gamma {
		own += weight[i] * g.value
	}
	plain := sandwich(row, f.rows.phi, 1, p)[0]
	v := plain + own
	out := Prediction{Estimate: dot(row, f.along())}
	spread := 0.0
	if by == Satterthwaite {
		spread, err = f.observedSpread(row, weight)
		out.SE = math.Sqrt(v)
	} else {
		var adjusted float64
		spread, adjusted, err = f.expectedSpread(row, weight)
		out.SE = math.Sqrt(adjusted + own)
	}
	if err != nil {
		return Prediction{}, err
	}
	out.DF = 2 * v * v / spread
	if !(out.DF > 0) {
		return Prediction{}, fmt.Errorf("%w: no degrees of freedom are left for a new value", ErrTooFew)
	}
	return out, nil
}

// ownWeights are the weights of the γ in the variance of what a new value has
// of its own.
func (f *Fit) ownWeights(z []float64, group int) []float64 {
	out := make([]float64, len(f.rows.gamma))
	for i, g := range f.rows.gamma {
		if g.block < 0 {
			out[i] = one(g.a == group)
			continue
		}
		b := &f.frame.blocks[g.block]
		at := [2]float64{1, (z[b.from] - b.centre) / b.unit}
		if b.effect == 1 {
			at[0] = at[1]
		}
		out[i] = at[g.a] * at[g.b]
		if g.a != g.b {
			out[i] *= 2
		}
	}
	return out
}

// expectedSpread is Var(v) by the expected information, and ℓ'Φ_Aℓ.
func (f *Fit) expectedSpread(row, weight []float64) (spread, adjusted float64, err error) {
	a, err := f.kenwardRoger()
	if err != nil {
		return 0, 0, err
	}
	p, k := len(row), len(weight)
	d := make([]float64, k)
	for i := range d {
		d[i] = weight[i] - sandwich(row, a.fpf[i], 1, p)[0]
	}
	return sandwich(d, a.w, 1, k)[0], sandwich(row, a.phi, 1, p)[0], nil
}

// observedSpread is Var(v) by the second derivatives of the deviance.
func (f *Fit) observedSpread(row, weight []float64) (float64, error) {
	s, err := f.satterthwaiteParts()
	if err != nil {
		return 0, err
	}
	first, _ := f.chain(f.rows.gamma)
	t := len(first)
	d := make([]float64, t)
	for a := range t {
		d[a] = sandwich(row, s.dphi[a], 1, len(row))[0] + dot(first[a], weight)
	}
	return sandwich(d, s.cov, 1, t)[0], nil
}
