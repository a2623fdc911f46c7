package lmm

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Alike fits a model with the random terms and residual groups of f to other
// rows or other fixed effects, by the method of f. The search begins at the
// estimates of f, which makes it several times as fast as New, and makes no
// other starts. It returns ErrShape when the random parts differ in kind, and
// the refusals of New.
func (f *Fit) Alike(m Model) (*Fit, error) {
	fr, err := newFrame(m, f.Method)
	if err != nil {
		return nil, err
	}
	if fr.theta != f.frame.theta || fr.groups != f.frame.groups {
		return nil, fmt.Errorf("%w: %d parameters and %d residual groups, the fit that it starts from has %d and %d",
			ErrShape, fr.theta, fr.groups, f.frame.theta, f.frame.groups)
	}
	return fr.fit(fr.newEngine(), m.Y, f.Theta)
}

// Without fits the same model to the rows that are not left out, numbered from
// 0; see Alike. Contrasts keep their columns: one that the rows left do not
// hold is ErrNotEstimable.
func (f *Fit) Without(rows ...int) (*Fit, error) {
	out := make([]bool, f.N)
	for _, i := range rows {
		if i < 0 || i >= f.N {
			return nil, fmt.Errorf("%w: row %d of %d", ErrRange, i, f.N)
		}
		out[i] = true
	}
	m := f.Model()
	_, p := m.X.Dims()
	var y, x []float64
	keep := func(level []int) []int {
		var kept []int
		for i, l := range level {
			if !out[i] {
				kept = append(kept, l)
			}
		}
		return kept
	}
	for i, left := range out {
		if !left {
			y = append(y, m.Y[i])
			x = append(x, mat.Row(nil, i, m.X)...)
		}
	}
	if len(y) == 0 {
		return nil, fmt.Errorf("%w: no row is left", ErrTooFew)
	}
	m.Y, m.X = y, mat.NewDense(len(y), p, x)
	terms := make([]Term, len(m.Random))
	for t, term := range m.Random {
		terms[t] = term
		terms[t].Level, terms[t].Slope = keep(term.Level), nil
		for i, s := range term.Slope {
			if !out[i] {
				terms[t].Slope = append(terms[t].Slope, s)
			}
		}
	}
	m.Random = terms
	if m.Spread != nil {
		m.Spread = &Spread{Name: m.Spread.Name, Groups: m.Spread.Groups, Group: keep(m.Spread.Group)}
	}
	return f.Alike(m)
}

// Model returns what was fitted, with the values of the last Refit. Its parts
// are shared with f.
func (f *Fit) Model() Model {
	m := f.frame.model
	m.Y = f.y
	return m
}

// mostRanked bounds the random effects whose rank is counted out.
const mostRanked = 300

// ResidualDF is the number of values that neither fixed nor random effects
// hold, n − rank(X Z): the degrees of freedom behind each residual spread, by
// group. What a row adds is 1 − h, h its entry in the diagonal of the projection
// on (X Z). Beyond 300 random effects each counts as one of rank, and the rows
// share alike.
func (f *Fit) ResidualDF() []float64 {
	fr := f.frame
	out := make([]float64, fr.groups)
	if fr.q > mostRanked {
		for g, rows := range fr.count {
			out[g] = rows * (1 - float64(fr.basis.p+fr.q)/float64(f.N))
		}
		return out
	}
	b := fr.spanned(func(int) bool { return true })
	for i, g := range fr.group {
		qi := b.q[i*b.p : i*b.p+b.p]
		out[g] += 1 - dot(qi, qi)
	}
	return out
}

// TermDF is what a term adds to the rank of all the others, rank(X Z) less that
// without it: the degrees of freedom behind its spread. Beyond 300 random
// effects it is the number of its own.
func (f *Fit) TermDF(term int) float64 {
	fr := f.frame
	if fr.q > mostRanked {
		own := 0
		for _, b := range fr.blocks {
			if b.from == term {
				own += b.levels * b.k
			}
		}
		return float64(own)
	}
	all := fr.spanned(func(int) bool { return true })
	others := fr.spanned(func(t int) bool { return t != term })
	return float64(all.p - others.p)
}

// spanned is the basis of X and the random effects of some terms.
func (f *frame) spanned(chosen func(term int) bool) *basis {
	p := f.basis.p
	x := mat.NewDense(f.n, p+f.q, nil)
	for i := range f.n {
		for j := range p {
			x.Set(i, j, f.basis.q[i*p+j])
		}
		for k := range f.blocks {
			b := &f.blocks[k]
			for c := range b.k {
				if chosen(b.from) {
					x.Set(i, p+b.offset+b.level[i]*b.k+c, b.z[c][i])
				}
			}
		}
	}
	b, _ := newBasis(x) // Q is not zero
	return b
}

// With fits the model anew with columns added to X, one row of them for each
// value, from the variances of the fit it has. It returns what New does.
func (f *Fit) With(columns [][]float64, names []string) (*Fit, error) {
	model := f.Model()
	if len(columns) != f.N {
		return nil, fmt.Errorf("%w: %d rows of added columns for %d values", ErrShape, len(columns), f.N)
	}
	_, p := model.X.Dims()
	x := mat.NewDense(f.N, p+len(names), nil)
	for i, row := range columns {
		if len(row) != len(names) {
			return nil, fmt.Errorf("%w: %d added values in row %d for %d names", ErrShape, len(row), i+1, len(names))
		}
		for j := range p {
			x.Set(i, j, model.X.At(i, j))
		}
		for j, v := range row {
			x.Set(i, p+j, v)
		}
	}
	model.X, model.Names = x, append(slices.Clone(model.Names), names...)
	return f.Alike(model)
}
