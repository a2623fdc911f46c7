package lmm

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// Factor is a fixed factor; its first level is the baseline.
type Factor struct {
	Name   string
	Levels []string
	Code   []int // of each row, an index into Levels
}

// Covariate is a fixed quantity.
type Covariate struct {
	Name  string
	Value []float64
}

// Variables are what fixed effects are made of.
type Variables struct {
	Rows       int
	Factors    []Factor
	Covariates []Covariate
}

// Design is a matrix of fixed effects with the meaning of its columns.
//
// Columns follow the terms in the order given. A factor has one column a level
// but the first, 1 in the rows of that level (treatment coding), named
// "condition salt"; a covariate has one, named by itself; an interaction has
// their products, "condition salt:fall 2", the levels of the first part running
// fastest. The first column is the intercept.
type Design struct {
	X     *mat.Dense
	Names []string // of the columns
	Terms []string // "intercept", then as given
	Of    []int    // of each column: the index of its term

	variables Variables
	parts     [][]part
}

// part is one variable in a term.
type part struct {
	factor    *Factor
	covariate *Covariate
}

func (p part) columns() int {
	if p.factor != nil {
		return len(p.factor.Levels) - 1
	}
	return 1
}

// Design makes the columns of terms such as "condition", "fall" and
// "condition:fall". It returns ErrShape for variables of unequal length or a
// factor without two levels, ErrNotFinite for a covariate that is not finite,
// and ErrRange for a code outside the levels or a name that is not there.
func (v Variables) Design(terms ...string) (*Design, error) {
	if err := v.check(); err != nil {
		return nil, err
	}
	d := &Design{Terms: append([]string{"intercept"}, terms...), variables: v, parts: [][]part{nil}}
	for _, term := range terms {
		var parts []part
		for name := range strings.SplitSeq(term, ":") {
			p, err := v.find(name)
			if err != nil {
				return nil, err
			}
			parts = append(parts, p)
		}
		d.parts = append(d.parts, parts)
	}
	for t, parts := range d.parts {
		names := []string{""}
		for _, p := range parts {
			names = cross2(names, p.names())
		}
		for _, name := range names {
			if name == "" {
				name = "intercept"
			}
			d.Names = append(d.Names, name)
			d.Of = append(d.Of, t)
		}
	}
	d.X = mat.NewDense(v.Rows, len(d.Names), nil)
	for i := range v.Rows {
		d.X.SetRow(i, d.row(func(p part, c int) float64 { return p.value(i, c) }))
	}
	return d, nil
}

func (v Variables) check() error {
	for _, f := range v.Factors {
		if len(f.Code) != v.Rows || len(f.Levels) < 2 {
			return fmt.Errorf("%w: factor %q has %d levels and %d codes for %d rows", ErrShape, f.Name, len(f.Levels), len(f.Code), v.Rows)
		}
		for i, c := range f.Code {
			if c < 0 || c >= len(f.Levels) {
				return fmt.Errorf("%w: factor %q has code %d in row %d and %d levels", ErrRange, f.Name, c, i+1, len(f.Levels))
			}
		}
	}
	for _, c := range v.Covariates {
		if len(c.Value) != v.Rows {
			return fmt.Errorf("%w: covariate %q has %d values for %d rows", ErrShape, c.Name, len(c.Value), v.Rows)
		}
		for i, x := range c.Value {
			if !finite(x) {
				return fmt.Errorf("%w: covariate %q is %g in row %d", ErrNotFinite, c.Name, x, i+1)
			}
		}
	}
	return nil
}

func (v Variables) find(name string) (part, error) {
	for i := range v.Factors {
		if v.Factors[i].Name == name {
			return part{factor: &v.Factors[i]}, nil
		}
	}
	for i := range v.Covariates {
		if v.Covariates[i].Name == name {
			return part{covariate: &v.Covariates[i]}, nil
		}
	}
	return part{}, fmt.Errorf("%w: no factor or covariate is named %q", ErrRange, name)
}

func (p part) names() []string {
	if p.covariate != nil {
		return []string{p.covariate.Name}
	}
	var out []string
	for _, l := range p.factor.Levels[1:] {
		out = append(out, p.factor.Name+" "+l)
	}
	return out
}

// value of column c in row i.
func (p part) value(i, c int) float64 {
	if p.covariate != nil {
		return p.covariate.Value[i]
	}
	return one(p.factor.Code[i] == c+1)
}

// cross2 joins names, the first running fastest.
func cross2(a, b []string) []string {
	if len(a) == 1 && a[0] == "" {
		return b
	}
	var out []string
	for _, y := range b {
		for _, x := range a {
			out = append(out, x+":"+y)
		}
	}
	return out
}

// row makes a row of X from the values of single columns.
func (d *Design) row(value func(p part, c int) float64) []float64 {
	var out []float64
	for _, parts := range d.parts {
		row := []float64{1}
		for _, p := range parts {
			next := make([]float64, 0, len(row)*p.columns())
			for c := range p.columns() {
				v := value(p, c)
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

// Row gives the coefficients of the marginal mean at some levels and values:
// for a factor that is not named the average over its levels, each counting
// alike, and for a covariate that is not named its mean over the rows. A
// difference of two rows is a contrast. A product of a covariate with another
// covariate is taken at their means. It returns ErrRange for a name or level
// that is not there.
func (d *Design) Row(levels map[string]string, values map[string]float64) ([]float64, error) {
	at := map[*Factor]int{}
	for name, level := range levels {
		p, err := d.variables.find(name)
		if err != nil {
			return nil, err
		}
		if p.factor == nil || !slices.Contains(p.factor.Levels, level) {
			return nil, fmt.Errorf("%w: %q is no level of %q", ErrRange, level, name)
		}
		at[p.factor] = slices.Index(p.factor.Levels, level)
	}
	for name := range values {
		p, err := d.variables.find(name)
		if err != nil {
			return nil, err
		}
		if p.covariate == nil {
			return nil, fmt.Errorf("%w: %q is a factor, give a level of it", ErrRange, name)
		}
	}
	return d.row(func(p part, c int) float64 {
		if p.covariate != nil {
			if x, given := values[p.covariate.Name]; given {
				return x
			}
			return mean(p.covariate.Value)
		}
		if level, given := at[p.factor]; given {
			return one(level == c+1)
		}
		return 1 / float64(len(p.factor.Levels))
	}), nil
}

// Slope gives the coefficients of the change of the mean per unit of a
// covariate at some levels of the factors, averaged over the others.
func (d *Design) Slope(covariate string, levels map[string]string) ([]float64, error) {
	low, err := d.Row(levels, map[string]float64{covariate: 0})
	if err != nil {
		return nil, err
	}
	high, err := d.Row(levels, map[string]float64{covariate: 1})
	if err != nil {
		return nil, err
	}
	axpy(-1, low, high)
	return high, nil
}

// Difference is a − b, the contrast of two rows.
func Difference(a, b []float64) []float64 {
	out := append([]float64(nil), a...)
	axpy(-1, b, out)
	return out
}

// Test gives the contrasts of the type III hypothesis of a term; see Hypothesis.
//
// It returns ErrRange for a term that is not there, and ErrNotEstimable when
// cells without a row leave the hypothesis without a meaning of its own.
func (d *Design) Test(term string) ([][]float64, error) {
	out, err := d.Hypothesis(term)
	if err != nil {
		return nil, err
	}
	b, err := newBasis(d.X)
	if err != nil {
		return nil, err
	}
	if b.p < len(d.Names) {
		return nil, fmt.Errorf("%w: cells without a row, so that term %q has no test apart from the others; test contrasts", ErrNotEstimable, term)
	}
	return out, nil
}
