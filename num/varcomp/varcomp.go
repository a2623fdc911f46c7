// Package varcomp estimates variance components by the analysis of variance:
// from sums of squares, each set equal to what it is expected to be.
//
// Symbols as in [Searle1992]: T of a factor is Σ n·(mean of a level)² ↔ sum;
// MS is a line of the table over its degrees of freedom; k(σ²ᵢ, T) ↔
// coefficient. Nested factors are analysed by the first and crossed ones by the
// third method of [Henderson1953]. Both are unbiased for any numbers of values,
// need no normal distribution, and are the classic analysis when all numbers are
// equal. An estimate may be negative, and is given so.
package varcomp

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/num/dist"
)

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrShape: lengths do not fit each other.
	ErrShape = errors.New("sizes do not fit")
	// ErrNotFinite: a value is no finite number.
	ErrNotFinite = errors.New("not finite")
	// ErrTooFew: a line of the table has no degree of freedom.
	ErrTooFew = errors.New("too few")
	// ErrConfounded: two components cannot be told apart.
	ErrConfounded = errors.New("cannot be told apart")
)

// Factor is a random factor. Levels of a nested factor must not share numbers
// between the levels that they lie in.
type Factor struct {
	Name  string
	Level []int // of each value
}

// Line is one line of an analysis of variance.
type Line struct {
	Name       string
	DF, SS, MS float64
	// Expected holds the coefficients of the components in the expectation of
	// MS, in the order of the lines.
	Expected []float64
	// F is MS over the combination of the other lines that has the same
	// expectation when this line's component is zero, with its degrees of
	// freedom by [Satterthwaite1946]; exact when numbers are equal. NaN for the
	// last line and where no such combination is there.
	F, Against, P float64
}

// Table is an analysis of variance with the components of its lines.
type Table struct {
	Lines    []Line
	Mean     float64 // of all values
	N        int
	Balanced bool      // all numbers equal and no cell empty: F and limits rest on exact distributions
	Estimate []float64 // components, in the order of the lines; the last is the residual

	weight [][]float64 // of each component on the MS
}

// grouping is a partition of the values: of a factor, of all, or of each alone.
type grouping struct {
	level []int // of each value, from 0 without gaps
	count []float64
}

func group(level []int) grouping {
	g := grouping{level: make([]int, len(level))}
	known := make(map[int]int, 64)
	last, number := 0, -1
	for i, l := range level {
		if i == 0 || l != last { // values of one level often follow each other
			var there bool
			if number, there = known[l]; !there {
				number = len(g.count)
				known[l] = number
				g.count = append(g.count, 0)
			}
			last = l
		}
		g.level[i] = number
		g.count[number]++
	}
	return g
}

// cross is the grouping by both.
func (g grouping) cross(f grouping) grouping {
	both := make([]int, len(g.level))
	for i, l := range g.level {
		both[i] = l*len(f.count) + f.level[i]
	}
	return group(both)
}

// sum is T for values whose mean is zero.
func (g grouping) sum(y []float64) float64 {
	total := make([]float64, len(g.count))
	for i, l := range g.level {
		total[l] += y[i]
	}
	t := 0.0
	for l, s := range total {
		t += s * s / g.count[l]
	}
	return t
}

// coefficient is that of the component of f in the expectation of T of g,
// Σ n²/n(g) over the cells of both, which is Σ n/n(g) over the values.
func (g grouping) coefficient(f grouping) float64 {
	if len(f.count) == len(f.level) {
		return float64(len(g.count))
	}
	k, cells := 0.0, g.cross(f)
	for i, l := range g.level {
		k += cells.count[cells.level[i]] / g.count[l]
	}
	return k
}

func (g grouping) equal() bool {
	return !slices.ContainsFunc(g.count, func(n float64) bool { return n != g.count[0] })
}

// Nested analyses values in factors that lie in each other, from the outermost;
// any depth. What is within the innermost is the residual, named so.
//
// It returns ErrShape, ErrNotFinite, and ErrTooFew or ErrConfounded when a
// factor has no level more than the one that it lies in.
func Nested(y []float64, factors []Factor, residual string) (*Table, error) {
	parts := []grouping{group(make([]int, len(y)))}
	lines := make([]Line, 0, len(factors)+1)
	signs := [][]float64{}
	for i, f := range factors {
		if len(f.Level) != len(y) {
			return nil, fmt.Errorf("%w: factor %q has %d levels for %d values", ErrShape, f.Name, len(f.Level), len(y))
		}
		parts = append(parts, group(f.Level))
		lines = append(lines, Line{Name: f.Name})
		signs = append(signs, step(len(factors)+2, i))
	}
	parts = append(parts, group(each(len(y))))
	lines = append(lines, Line{Name: residual})
	signs = append(signs, step(len(factors)+2, len(factors)))
	t := &Table{Lines: lines, Balanced: true}
	for _, p := range parts[1:] {
		t.Balanced = t.Balanced && p.equal()
	}
	return t, t.analyse(y, parts, signs)
}

func step(n, i int) []float64 {
	s := make([]float64, n)
	s[i], s[i+1] = -1, 1
	return s
}

func each(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// analyse fills the table. parts are all values together, one grouping a
// component but the residual, and each value alone.
func (t *Table) analyse(y []float64, parts []grouping, signs [][]float64) error {
	centred, err := t.centre(y)
	if err != nil {
		return err
	}
	sums := make([]float64, len(parts))
	for p, g := range parts {
		sums[p] = g.sum(centred)
	}
	for i := range t.Lines {
		l := &t.Lines[i]
		l.Expected = make([]float64, len(t.Lines))
		for p, sign := range signs[i] {
			if sign == 0 {
				continue
			}
			l.SS += sign * sums[p]
			l.DF += sign * float64(len(parts[p].count))
			for c := range l.Expected {
				l.Expected[c] += sign * parts[p].coefficient(parts[c+1])
			}
		}
	}
	return t.solve(sums[len(sums)-1])
}

// squares turns sums into means, of the squares and of what is expected of them.
func (t *Table) squares(total float64) error {
	for i := range t.Lines {
		l := &t.Lines[i]
		if l.DF < 1 {
			return fmt.Errorf("%w: %s has %g degrees of freedom", ErrTooFew, l.Name, l.DF)
		}
		if math.Abs(l.SS) <= 1e-13*total {
			l.SS = 0 // what rounding left
		}
		l.MS = l.SS / l.DF
		for c := range l.Expected {
			l.Expected[c] = tidy(l.Expected[c] / l.DF)
		}
	}
	return nil
}

// tidy makes a whole number of what is one but for rounding.
func tidy(x float64) float64 {
	if r := math.Round(x); math.Abs(x-r) < 1e-10 {
		return r
	}
	return x
}

// centre returns the values less their mean, which it keeps.
func (t *Table) centre(y []float64) ([]float64, error) {
	if len(y) == 0 {
		return nil, fmt.Errorf("%w: no values", ErrTooFew)
	}
	origin, shift := y[0], 0.0
	for i, v := range y {
		if math.IsNaN(v) || math.Abs(v) > 1e150 {
			return nil, fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, v)
		}
		shift += (v - origin) / float64(len(y))
	}
	t.Mean, t.N = origin+shift, len(y)
	out := make([]float64, len(y))
	for i, v := range y {
		out[i] = v - origin - shift
	}
	return out, nil
}

// solve sets each MS equal to its expectation.
func (t *Table) solve(total float64) error {
	if err := t.squares(total); err != nil {
		return err
	}
	n := len(t.Lines)
	expected := mat.NewDense(n, n, nil)
	for i, l := range t.Lines {
		expected.SetRow(i, l.Expected)
	}
	var inverse mat.Dense
	if err := inverse.Inverse(expected); err != nil {
		return fmt.Errorf("%w: the expected mean squares do not part them", ErrConfounded)
	}
	t.Estimate, t.weight = make([]float64, n), make([][]float64, n)
	for c := range n {
		t.weight[c] = make([]float64, n)
		for i := range n {
			t.weight[c][i] = inverse.At(c, i)
			t.Estimate[c] += t.weight[c][i] * t.Lines[i].MS
		}
	}
	for i := range t.Lines {
		t.test(i)
	}
	return nil
}

// test fills F of line i.
func (t *Table) test(i int) {
	l := &t.Lines[i]
	l.F, l.Against, l.P = math.NaN(), math.NaN(), math.NaN()
	if i == len(t.Lines)-1 {
		return
	}
	rest := append([]float64(nil), l.Expected...)
	rest[i] = 0
	parts, below := t.onSquares(rest), 0.0
	for j, w := range parts {
		if math.Abs(w) < 1e-10 {
			w = 0
		}
		if w != 0 && j == i {
			return
		}
		parts[j] = w * t.Lines[j].MS
		below += parts[j]
	}
	if below > 0 && l.MS >= 0 {
		l.F, l.Against = l.MS/below, t.degrees(parts)
		l.P = dist.FTail(l.F, l.DF, l.Against)
	}
}

// onSquares turns weights of components into weights of mean squares.
func (t *Table) onSquares(weights []float64) []float64 {
	out := make([]float64, len(t.Lines))
	for c, w := range weights {
		for i, x := range t.weight[c] {
			out[i] += w * x
		}
	}
	return out
}
