package lmm

import (
	"fmt"
	"math"
	"slices"
)

// block is a term as the optimiser has it: k columns a level, correlated when k
// is two. An independent intercept and slope make two blocks.
type block struct {
	from    int // index into Model.Random
	effect  int // first effect of the term that it carries
	k       int
	levels  int
	level   []int        // of each row, from 0 without gaps
	given   []int        // numbers of the levels as given
	z       [2][]float64 // columns, k of them
	offset  int          // of its first column in Z
	theta   int          // of its first parameter
	centre  float64      // of the slope: z = (slope − centre)/unit
	unit    float64
	entries [][2]int // of Λ's lower triangle, row and column, one a parameter
}

// frame is all of a model that does not depend on y.
type frame struct {
	model  Model
	method Method
	basis  *basis
	blocks []block
	n, q   int
	theta  int       // number of parameters in Λ
	groups int       // of the residual
	group  []int     // of each row
	count  []float64 // rows by group
	small  *moments  // nil when the large engine works
	large  *clusters
}

func newFrame(m Model, method Method) (*frame, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	b, err := newBasis(m.X)
	if err != nil {
		return nil, err
	}
	f := &frame{model: m, method: method, basis: b, n: len(m.Y), groups: 1}
	if f.n <= b.p {
		return nil, fmt.Errorf("%w: %d rows for %d fixed effects leave nothing over", ErrTooFew, f.n, b.p)
	}
	for i, t := range m.Random {
		if err := f.add(i, t); err != nil {
			return nil, err
		}
	}
	f.group = make([]int, f.n)
	if m.Spread != nil {
		f.groups, f.group = len(m.Spread.Groups), m.Spread.Group
	}
	f.count = make([]float64, f.groups)
	for _, g := range f.group {
		f.count[g]++
	}
	if err := f.confounded(); err != nil {
		return nil, err
	}
	return f, f.engine()
}

// add appends the blocks of a term, its levels numbered anew without gaps.
func (f *frame) add(i int, t Term) error {
	level, given := renumber(t.Level)
	levels := len(given)
	if levels < 2 {
		return fmt.Errorf("%w: term %q has %d level, a spread between levels needs 2", ErrTooFew, t.Name, levels)
	}
	one := make([]float64, f.n)
	for r := range one {
		one[r] = 1
	}
	b := block{from: i, k: 1, levels: levels, level: level, given: given, unit: 1}
	b.z[0] = one
	if t.Slope == nil {
		return f.place(b)
	}
	slope := b
	slope.effect = 1
	if !t.Independent {
		slope.centre = mean(t.Slope)
	}
	z := make([]float64, f.n)
	for r, x := range t.Slope {
		z[r] = x - slope.centre
	}
	slope.unit = math.Sqrt(dot(z, z) / float64(f.n))
	if slope.unit <= 1e-12*math.Abs(mean(t.Slope)) || slope.unit == 0 {
		return fmt.Errorf("%w: the slope %q of term %q has the same value in all rows", ErrNoSpread, t.SlopeName, t.Name)
	}
	scale(1/slope.unit, z)
	if t.Independent {
		slope.z[0] = z
		if err := f.place(b); err != nil {
			return err
		}
		return f.place(slope)
	}
	slope.effect, slope.k = 0, 2
	slope.z = [2][]float64{one, z}
	return f.place(slope)
}

func (f *frame) place(b block) error {
	if b.levels*b.k >= f.n {
		return fmt.Errorf("%w: term %q has %d random effects for %d rows, so its spread and the residual", ErrConfounded,
			f.model.Random[b.from].Name, b.levels*b.k, f.n)
	}
	b.offset, b.theta = f.q, f.theta
	b.entries = [][2]int{{0, 0}}
	if b.k == 2 {
		b.entries = [][2]int{{0, 0}, {1, 0}, {1, 1}}
	}
	f.q += b.levels * b.k
	f.theta += len(b.entries)
	f.blocks = append(f.blocks, b)
	return nil
}

// confounded refuses terms that split the rows alike, and terms whose effects
// the fixed effects hold already.
func (f *frame) confounded() error {
	for i, a := range f.blocks {
		for _, b := range f.blocks[:i] {
			if a.from != b.from && slices.Equal(a.level, b.level) && a.effect == b.effect {
				return fmt.Errorf("%w: terms %q and %q group the rows alike, so their spreads", ErrConfounded,
					f.model.Random[b.from].Name, f.model.Random[a.from].Name)
			}
		}
	}
	if f.method == ML {
		return nil
	}
	for _, b := range f.blocks {
		for c := range b.k {
			if f.leftOver(b, c) < 1e-10 {
				return fmt.Errorf("%w: the fixed effects hold every level of term %q, so its spread and the fixed effects", ErrConfounded,
					f.model.Random[b.from].Name)
			}
		}
	}
	return nil
}

// leftOver is the share of a block's columns that X leaves over: tr(Z'MZ)/tr(Z'Z)
// with M = I − QQ'.
func (f *frame) leftOver(b block, c int) float64 {
	p := f.basis.p
	sums := make([]float64, b.levels*p)
	total := 0.0
	for i, l := range b.level {
		axpy(b.z[c][i], f.basis.q[i*p:i*p+p], sums[l*p:l*p+p])
		total += b.z[c][i] * b.z[c][i]
	}
	return 1 - dot(sums, sums)/total
}

// renumber gives levels numbers in the order of their first rows, and lists the
// numbers that they had.
func renumber(level []int) (out, given []int) {
	number := map[int]int{}
	out = make([]int, len(level))
	for i, l := range level {
		k, seen := number[l]
		if !seen {
			k = len(number)
			number[l] = k
			given = append(given, l)
		}
		out[i] = k
	}
	return out, given
}

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v / float64(len(x))
	}
	return s
}

// smallest q for which the sets of levels that share no row are worked through
// one by one; below it one matrix of all levels is as fast or faster.
const manyEffects = 64

// most random effects with unequal residual spread: each step then costs n·q².
const mostWithSpread = 500

func (f *frame) engine() error {
	if f.q <= manyEffects || f.groups > 1 {
		if f.q > mostWithSpread {
			return fmt.Errorf("%w: %d random effects with unequal residual spread, the limit of this package is %d", ErrTooLarge, f.q, mostWithSpread)
		}
		f.small = newMoments(f)
		return nil
	}
	var err error
	f.large, err = newClusters(f)
	return err
}
