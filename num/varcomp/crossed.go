package varcomp

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Crossed analyses values under two crossed factors, with their interaction or
// with it pooled into the residual. Lines are a, b, the interaction, residual.
//
// Each factor's sum of squares is what it adds to a fit of the other, so that
// with unequal numbers no difference between the levels of one leaks into the
// other, and the interaction's what it adds to both: the third method of
// [Henderson1953]. A component adds to an expected sum of squares the sums of
// squares of its levels' indicators.
//
// It returns ErrShape, ErrNotFinite, ErrTooFew for a line without a degree of
// freedom, and ErrConfounded when the factors fall into groups that have no
// level in common.
func Crossed(y []float64, a, b Factor, interaction bool, residual string) (*Table, error) {
	if len(a.Level) != len(y) || len(b.Level) != len(y) {
		return nil, fmt.Errorf("%w: %d and %d levels for %d values", ErrShape, len(a.Level), len(b.Level), len(y))
	}
	t := &Table{Lines: []Line{{Name: a.Name}, {Name: b.Name}, {Name: a.Name + " × " + b.Name}, {Name: residual}}}
	centred, err := t.centre(y)
	if err != nil {
		return nil, err
	}
	c, err := newCrossing(group(a.Level), group(b.Level))
	if err != nil {
		return nil, err
	}
	t.Balanced = c.cells.equal() && len(c.cells.count) == len(c.a.count)*len(c.b.count)
	cellTotals := make([]float64, len(c.cells.count))
	total := 0.0
	for i, v := range centred {
		cellTotals[c.cells.level[i]] += v
		total += v * v
	}
	c.fill(t, cellTotals, total, interaction)
	return t, t.solve(total)
}

// fill sets sums of squares, degrees of freedom and what is expected.
func (c *crossing) fill(t *Table, cellTotals []float64, total float64, interaction bool) {
	na, nb, nc, n := float64(len(c.a.count)), float64(len(c.b.count)), float64(len(c.cells.count)), float64(t.N)
	ss, expected := c.squares(cellTotals), c.expected()
	for i, df := range []float64{na - 1, nb - 1, nc - na - nb + 1} {
		l := &t.Lines[i]
		l.DF, l.SS, l.Expected = df, ss[i], expected[i]
		l.Expected[3] = df
	}
	last := &t.Lines[3]
	last.SS, last.DF, last.Expected = total-ss[3], n-nc, []float64{0, 0, 0, n - nc}
	if interaction {
		return
	}
	last.SS, last.DF = last.SS+ss[2], n-na-nb+1
	t.Lines = append(t.Lines[:2], *last)
	for i := range t.Lines {
		l := &t.Lines[i]
		l.Expected = []float64{l.Expected[0], l.Expected[1], l.DF}
	}
}

// crossing is two factors, what each value's cell is, and the normal equations
// of b with a swept out.
type crossing struct {
	a, b, cells grouping
	ofA, ofB    []int // of each cell
	swept       mat.Cholesky
}

func newCrossing(a, b grouping) (*crossing, error) {
	c := &crossing{a: a, b: b, cells: a.cross(b)}
	c.ofA, c.ofB = make([]int, len(c.cells.count)), make([]int, len(c.cells.count))
	for i, cell := range c.cells.level {
		c.ofA[cell], c.ofB[cell] = a.level[i], b.level[i]
	}
	k := len(b.count) - 1 // the last effect is zero
	if k < 1 || len(a.count) < 2 {
		return nil, fmt.Errorf("%w: crossed factors with %d and %d levels", ErrTooFew, len(a.count), len(b.count))
	}
	m := mat.NewSymDense(k, nil)
	for j := range k {
		m.SetSym(j, j, b.count[j])
	}
	inA := make([][]int, len(a.count)) // the cells of each level of a
	for cell, l := range c.ofA {
		inA[l] = append(inA[l], cell)
	}
	for l, cells := range inA {
		for _, x := range cells {
			for _, y := range cells {
				if i, j := c.ofB[x], c.ofB[y]; i <= j && j < k {
					m.SetSym(i, j, m.At(i, j)-c.cells.count[x]*c.cells.count[y]/a.count[l])
				}
			}
		}
	}
	if !c.swept.Factorize(m) || c.swept.Cond() > 1e12 {
		return nil, fmt.Errorf("%w: the levels fall into groups that share none", ErrConfounded)
	}
	return c, nil
}

// squares are the sums of squares of a beside b, b beside a, the interaction
// beside both, and all of them, from the totals of the cells.
func (c *crossing) squares(total []float64) [4]float64 {
	ta, tb := make([]float64, len(c.a.count)), make([]float64, len(c.b.count))
	all := 0.0
	for cell, v := range total {
		ta[c.ofA[cell]] += v
		tb[c.ofB[cell]] += v
		all += v * v / c.cells.count[cell]
	}
	k := len(tb) - 1
	rest := mat.NewVecDense(k, nil)
	for j := range k {
		rest.SetVec(j, tb[j])
	}
	for cell, n := range c.cells.count {
		if j := c.ofB[cell]; j < k {
			l := c.ofA[cell]
			rest.SetVec(j, rest.AtVec(j)-n*ta[l]/c.a.count[l])
		}
	}
	var effect mat.VecDense
	_ = c.swept.SolveVecTo(&effect, rest) // its condition was looked at
	bBesideA := mat.Dot(rest, &effect)
	a, b := 0.0, 0.0
	for l, v := range ta {
		a += v * v / c.a.count[l]
	}
	for l, v := range tb {
		b += v * v / c.b.count[l]
	}
	return [4]float64{a + bBesideA - b, bBesideA, all - a - bBesideA, all}
}

// expected are the coefficients of a, b and the interaction in the expected sums
// of squares of the three; those that are zero by the way the sums are made stay
// so. The residual's are for the caller.
func (c *crossing) expected() [3][]float64 {
	out := [3][]float64{make([]float64, 4), make([]float64, 4), make([]float64, 4)}
	for l := range c.a.count {
		out[0][0] += c.squares(c.indicator(func(cell int) bool { return c.ofA[cell] == l }))[0]
	}
	for l := range c.b.count {
		out[1][1] += c.squares(c.indicator(func(cell int) bool { return c.ofB[cell] == l }))[1]
	}
	for cell := range c.cells.count {
		ss := c.squares(c.indicator(func(x int) bool { return x == cell }))
		for line := range out {
			out[line][2] += ss[line]
		}
	}
	return out
}

// indicator has the totals of values that are 1 in some cells and 0 in others.
func (c *crossing) indicator(in func(cell int) bool) []float64 {
	z := make([]float64, len(c.cells.count))
	for cell, n := range c.cells.count {
		if in(cell) {
			z[cell] = n
		}
	}
	return z
}
