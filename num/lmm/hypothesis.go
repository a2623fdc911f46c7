package lmm

import (
	"fmt"
	"slices"
)

// Hypothesis gives the contrasts of the type III hypothesis of a term without
// looking whether the data hold it: its effect is zero, averaged over the levels
// of the other factors, each counting alike, with covariates at zero
// [SearleSpeedMilliken1980]. A factor of the term enters as a level less the
// first, a covariate of the term as its slope; that is lmerTest's choice, on
// which Satterthwaite's degrees of freedom of several contrasts depend, and
// nothing else does. A fit that dropped columns does not tell the term apart from
// the others. It returns ErrRange for a term that is not there.
func (d *Design) Hypothesis(term string) ([][]float64, error) {
	t := slices.Index(d.Terms, term)
	if t < 0 {
		return nil, fmt.Errorf("%w: no term is named %q", ErrRange, term)
	}
	levels := make([]int, len(d.parts[t])) // one combination of columns of the term
	var out [][]float64
	for {
		out = append(out, d.effect(d.parts[t], levels))
		k := 0
		for ; k < len(levels); k++ {
			if levels[k]++; levels[k] < d.parts[t][k].columns() {
				break
			}
			levels[k] = 0
		}
		if k == len(levels) {
			return out, nil
		}
	}
}

// effect is the contrast of one combination of columns. A column of X is a
// product over its variables, and so is its coefficient; it is zero when the
// column lacks a variable of the term.
func (d *Design) effect(term []part, column []int) []float64 {
	var out []float64
	for _, parts := range d.parts {
		row := []float64{1}
		for _, q := range term {
			if !slices.Contains(parts, q) {
				row[0] = 0
			}
		}
		for _, p := range parts {
			at := slices.Index(term, p)
			next := make([]float64, 0, len(row)*p.columns())
			for c := range p.columns() {
				v := 0.0
				switch {
				case p.factor == nil:
					v = one(at >= 0)
				case at >= 0:
					v = one(c == column[at])
				default:
					v = 1 / float64(len(p.factor.Levels))
				}
				for _, x := range row {
					next = append(next, x*v)
				}
			}
			row = next
		}
		out = append(out, row...)
	}
	return out
}

// Sequential gives the contrasts of the hypothesis of a term beside the terms
// before it alone (type I): the rows of R in X = QR for its columns, brought to a
// diagonal of one. With a single term it is the type III hypothesis in the form
// that lmerTest takes there. It returns ErrRange for a term that is not there and
// ErrNotEstimable when columns were dropped.
func (f *Fit) Sequential(d *Design, term string) ([][]float64, error) {
	t, b := slices.Index(d.Terms, term), f.frame.basis
	if t < 0 {
		return nil, fmt.Errorf("%w: no term is named %q", ErrRange, term)
	}
	if b.p < b.given || b.given != len(d.Of) {
		return nil, fmt.Errorf("%w: term %q has no test apart from the others", ErrNotEstimable, term)
	}
	var out [][]float64
	for k := range b.p {
		if d.Of[k] == t {
			row := append([]float64(nil), b.r[k*b.p:k*b.p+b.p]...)
			scale(1/row[k], row)
			out = append(out, row)
		}
	}
	return out, nil
}

// Estimable reports whether the data hold a contrast over the columns of X as
// given; the error is that of Contrast.
func (f *Fit) Estimable(l []float64) error {
	_, err := f.coordinates(l)
	return err
}
