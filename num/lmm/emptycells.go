package lmm

import (
	"fmt"
	"math"
	"slices"
)

// EmptyCells gives the contrasts of a term where cells without a row leave
// columns of the design out: type III after [Goodnight1980], the estimable part
// of the term that is orthogonal to those of the terms that contain it, in the
// form that lmerTest takes. Without an empty cell the hypothesis is that of
// Hypothesis. It depends on which cells are empty, so that a main effect beside an
// interaction is to be read with care; that of the highest interaction is not. It
// returns ErrRange for a term that is not there and ErrNotEstimable where nothing
// of it is left.
func (d *Design) EmptyCells(term string) ([][]float64, error) {
	t := slices.Index(d.Terms, term)
	if t < 0 {
		return nil, fmt.Errorf("%w: no term is named %q", ErrRange, term)
	}
	b, err := newBasis(d.X)
	if err != nil {
		return nil, err
	}
	made := d.estimable(b) // of each kept column
	cleared := map[int]bool{}
	d.clear(t, b, made, cleared)
	var out [][]float64
	for k, j := range b.kept {
		if d.Of[j] != t {
			continue
		}
		row, most := make([]float64, b.given), 0.0
		for i, kept := range b.kept {
			x := made[k][d.whole(kept)]
			most = max(most, math.Abs(x))
			axpy(x, b.combined[i*b.given:i*b.given+b.given], row)
		}
		if most > 1e-8 {
			out = append(out, row)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: nothing of term %q is left beside the others", ErrNotEstimable, term)
	}
	return out, nil
}

// levels of a part with the first among them.
func (p part) levels() int {
	if p.factor != nil {
		return len(p.factor.Levels)
	}
	return 1
}

// wholeWidth is how many columns a term has with a column for each level.
func (d *Design) wholeWidth(t int) int {
	n := 1
	for _, p := range d.parts[t] {
		n *= p.levels()
	}
	return n
}

// whole is the place of a column of X among the columns with one for each level.
func (d *Design) whole(j int) int {
	t := d.Of[j]
	c := j - slices.Index(d.Of, t)
	at, size := 0, 1
	for _, p := range d.parts[t] {
		level := c % p.columns()
		c /= p.columns()
		if p.factor != nil {
			level++
		}
		at += level * size
		size *= p.levels()
	}
	for before := range t {
		at += d.wholeWidth(before)
	}
	return at
}

// estimable is for each kept column of X its coefficients in the columns with one
// for each level, by least squares: what of an effect the rows can tell.
func (d *Design) estimable(b *basis) [][]float64 {
	made := make([][]float64, b.p)
	for t, parts := range d.parts {
		for c := range d.wholeWidth(t) {
			in := make([]float64, b.p)
			for i := range b.n {
				v, rest := 1.0, c
				for _, p := range parts {
					if p.factor != nil {
						v *= one(p.factor.Code[i] == rest%p.levels())
					} else {
						v *= p.covariate.Value[i]
					}
					rest /= p.levels()
				}
				if v != 0 {
					axpy(v, b.q[i*b.p:i*b.p+b.p], in)
				}
			}
			b.solve(in)
			for k, v := range in {
				made[k] = append(made[k], v)
			}
		}
	}
	return made
}

// clear takes out of a term what lies along the terms that contain it, those
// cleared before.
func (d *Design) clear(t int, b *basis, made [][]float64, cleared map[int]bool) {
	if cleared[t] {
		return
	}
	cleared[t] = true
	var along [][]float64
	for u := range d.parts {
		if u == t || !d.contains(u, t) {
			continue
		}
		d.clear(u, b, made, cleared)
		for k, j := range b.kept {
			if d.Of[j] == u {
				along = append(along, slices.Clone(made[k]))
			}
		}
	}
	along = atRightAngles(along)
	for k, j := range b.kept {
		if d.Of[j] != t {
			continue
		}
		for range 2 {
			for _, a := range along {
				axpy(-dot(a, made[k]), a, made[k])
			}
		}
	}
}

// contains reports whether term u has all that t has and more factors, no other
// covariate.
func (d *Design) contains(u, t int) bool {
	for _, p := range d.parts[t] {
		if !slices.Contains(d.parts[u], p) {
			return false
		}
	}
	for _, p := range d.parts[u] {
		if p.covariate != nil && !slices.Contains(d.parts[t], p) {
			return false
		}
	}
	return len(d.parts[u]) > len(d.parts[t])
}

// atRightAngles brings vectors to right angles and leaves out those that others
// make up.
func atRightAngles(v [][]float64) [][]float64 {
	var out [][]float64
	for _, x := range v {
		before := math.Sqrt(dot(x, x))
		for range 2 {
			for _, q := range out {
				axpy(-dot(q, x), q, x)
			}
		}
		if after := math.Sqrt(dot(x, x)); after > rankTolerance*before {
			scale(1/after, x)
			out = append(out, x)
		}
	}
	return out
}
