package lmm

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// ErrNotBalanced: the model does not fall apart into strata.
var ErrNotBalanced = errors.New("not balanced")

// Strata is a model whose fixed effects and random terms share their axes, as
// those of a balanced experiment do. Every Gᵢ of V = Σ γᵢGᵢ is then sᵢ times the
// projection Pᵢ on the means of its sᵢ rows a level, all of them and the one on X
// commute, and with Eₖ the projections on what the Pᵢ split the rows into
//
//	V = Σ ξₖ·Eₖ,  ξₖ = Σᵢ loadₖᵢ·γᵢ,  loadₖᵢ = sᵢ or 0, 1 for the residual
//
// [Nelder1965]. What values say is then held by ordinary least squares and one sum
// of squares a stratum, SSₖ = |Eₖ(I − P_X)y|² ~ ξₖ·χ² on the degrees that X leaves
// there, all of them independent: a study is drawn and judged without its rows.
type Strata struct {
	Degrees []float64   // that X leaves in each stratum
	Load    [][]float64 // by stratum: of each term, then the residual

	basis *basis
	names []string
	of    []partition
	which []int // of each stratum: the terms that hold it, as bits
}

// partition is a term that splits the rows into levels of one size.
type partition struct {
	level  []int
	levels int
	size   float64
}

// most terms that are taken apart: their patterns are counted out.
const mostStrata = 4

// Strata takes the model apart, whatever its Y. It returns ErrNotBalanced for one
// that does not fall into strata, has slopes, a Spread or more than 4 terms, or
// leaves a variance without degrees of freedom, and the refusals of New for
// what is no model.
func (m Model) Strata() (*Strata, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	if m.Spread != nil || len(m.Random) > mostStrata {
		return nil, fmt.Errorf("%w: the residual spread differs, or there are more than %d terms", ErrNotBalanced, mostStrata)
	}
	b, err := newBasis(m.X)
	if err != nil {
		return nil, err
	}
	s := &Strata{basis: b, names: m.Names}
	for _, t := range m.Random {
		p, err := t.partition()
		if err != nil {
			return nil, err
		}
		s.of = append(s.of, p)
	}
	if err := s.commute(m.Random); err != nil {
		return nil, err
	}
	return s, s.split()
}

// partition refuses a term of slopes or of uneven levels.
func (t Term) partition() (partition, error) {
	if t.Slope != nil {
		return partition{}, fmt.Errorf("%w: term %q has a slope", ErrNotBalanced, t.Name)
	}
	level, given := renumber(t.Level)
	p := partition{level: level, levels: len(given)}
	count := make([]int, p.levels)
	for _, l := range level {
		count[l]++
	}
	for _, c := range count {
		if c != count[0] {
			return p, fmt.Errorf("%w: levels of term %q have %d and %d rows", ErrNotBalanced, t.Name, count[0], c)
		}
	}
	p.size = float64(len(level)) / float64(p.levels)
	return p, nil
}

// commute refuses fixed effects or two terms that do not share their axes.
func (s *Strata) commute(terms []Term) error {
	p, n := s.basis.p, s.basis.n
	for i, t := range s.of {
		sums := make([]float64, t.levels*p) // of Q by level
		for r, l := range t.level {
			axpy(1, s.basis.q[r*p:r*p+p], sums[l*p:l*p+p])
		}
		// Q'PQ is a projection when P and QQ' commute: its trace is that of its square.
		inner := make([]float64, p*p)
		for l := range t.levels {
			row := sums[l*p : l*p+p]
			for a, v := range row {
				axpy(v/t.size, row, inner[a*p:a*p+p])
			}
		}
		trace := 0.0
		for a := range p {
			trace += inner[a*p+a]
		}
		if square := dot(inner, inner); math.Abs(trace-square) > 1e-9*float64(p) {
			return fmt.Errorf("%w: levels of term %q hold the fixed effects unevenly", ErrNotBalanced, terms[i].Name)
		}
		for j := range i {
			if !proportional(t, s.of[j], n) {
				return fmt.Errorf("%w: terms %q and %q are neither nested nor evenly crossed", ErrNotBalanced, terms[j].Name, terms[i].Name)
			}
		}
	}
	return nil
}

// proportional reports whether the projections of two terms commute: within each
// set of levels that hang together, every two of them share rows in proportion.
func proportional(a, b partition, n int) bool {
	joined, sets := join([]partition{a, b}, n)
	size := make([]float64, sets)
	both := map[[2]int]float64{}
	of := map[[2]int]int{}
	for i := range n {
		key := [2]int{a.level[i], b.level[i]}
		size[joined[i]]++
		both[key]++
		of[key] = joined[i]
	}
	// In a set of c rows each pair has sa·sb/c; where one is missing others have more.
	for key, v := range both {
		if c := size[of[key]]; math.Abs(v*c-a.size*b.size) > 1e-9*c*c {
			return false
		}
	}
	return true
}

// join numbers the rows by the sets that hang together over the levels of some
// terms; without terms each row stands alone.
func join(terms []partition, n int) (set []int, sets int) {
	parent := make([]int, n)
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for _, t := range terms {
		first := make([]int, t.levels)
		for i, l := range t.level {
			if first[l] == 0 {
				first[l] = i + 1
				continue
			}
			parent[root(i)] = root(first[l] - 1)
		}
	}
	roots := make([]int, n)
	for i := range roots {
		roots[i] = root(i)
	}
	set, given := renumber(roots)
	return set, len(given)
}

// split counts the degrees of every pattern of terms: the rank of Eₖ, by what
// hangs together, less what X holds of it.
func (s *Strata) split() error {
	n, t := s.basis.n, len(s.of)
	rank := make([]float64, 1<<t) // of the product of the projections of a set
	for bits := range rank {
		var chosen []partition
		for i, p := range s.of {
			if bits>>i&1 == 1 {
				chosen = append(chosen, p)
			}
		}
		_, sets := join(chosen, n)
		rank[bits] = float64(sets)
	}
	for bits := range rank {
		total := 0.0 // Σ over sets that hold bits, with alternating signs
		for more := range rank {
			if more&bits == bits {
				total += rank[more] * float64(1-2*(ones(more^bits)&1))
			}
		}
		if total < 0.5 {
			continue
		}
		load := make([]float64, t+1)
		load[t] = 1
		for i, p := range s.of {
			if bits>>i&1 == 1 {
				load[i] = p.size
			}
		}
		s.which, s.Load = append(s.which, bits), append(s.Load, load)
		s.Degrees = append(s.Degrees, math.Round(total-s.held(bits)))
	}
	return s.estimable()
}

func ones(bits int) int {
	k := 0
	for ; bits > 0; bits &= bits - 1 {
		k++
	}
	return k
}

// held is the rank of what X holds of a stratum, tr(Eₖ·P_X).
func (s *Strata) held(bits int) float64 {
	p, sum := s.basis.p, 0.0
	column := make([]float64, s.basis.n)
	for j := range p {
		for i := range column {
			column[i] = s.basis.q[i*p+j]
		}
		s.project(bits, column)
		sum += dot(column, column)
	}
	return sum
}

// project overwrites v with Eₖ·v: the means of the terms in the pattern, less
// those of the others.
func (s *Strata) project(bits int, v []float64) {
	for i, p := range s.of {
		mean := make([]float64, p.levels)
		for r, l := range p.level {
			mean[l] += v[r] / p.size
		}
		for r, l := range p.level {
			if bits>>i&1 == 1 {
				v[r] = mean[l]
			} else {
				v[r] -= mean[l]
			}
		}
	}
}

// estimable refuses strata that leave a variance without degrees of freedom.
func (s *Strata) estimable() error {
	k := len(s.of) + 1
	info := make([]float64, k*k)
	for q, load := range s.Load {
		for i := range k {
			axpy(s.Degrees[q]*load[i], load, info[i*k:i*k+k])
		}
	}
	scaleToUnit(info, k)
	var e mat.EigenSym
	if !e.Factorize(mat.NewSymDense(k, info), false) || e.Values(nil)[0] < 1e-9 {
		return fmt.Errorf("%w: a variance is left without degrees of freedom", ErrNotBalanced)
	}
	return nil
}

// scaleToUnit brings the diagonal of a symmetric matrix to one where it can.
func scaleToUnit(a []float64, n int) {
	unit := make([]float64, n)
	for i := range unit {
		if unit[i] = 1; a[i*n+i] > 0 {
			unit[i] = 1 / math.Sqrt(a[i*n+i])
		}
	}
	for i := range n {
		for j := range n {
			a[i*n+j] *= unit[i] * unit[j]
		}
	}
}

// Squares are the sums of squares of values by stratum.
func (s *Strata) Squares(y []float64) []float64 {
	rest := append([]float64(nil), y...)
	s.basis.shift(rest)
	s.basis.project(rest)
	out, v := make([]float64, len(s.which)), make([]float64, len(rest))
	for k, bits := range s.which {
		copy(v, rest)
		s.project(bits, v)
		out[k] = dot(v, v)
	}
	return out
}

// Rows are some contrasts of β and their covariance by stratum, for unit ξ.
type Rows struct {
	M     int
	Parts [][]float64 // by stratum, m by m
	u     []float64   // m by n: the estimates are u·y
}

// Rows takes contrasts, coefficients over the columns of X as given, to the
// strata. It returns what Fit.Contrast does for what is no contrast.
func (s *Strata) Rows(l [][]float64) (*Rows, error) {
	b := s.basis
	f := &Fit{frame: &frame{basis: b, model: Model{Names: s.names}}}
	m := len(l)
	out := &Rows{M: m, u: make([]float64, m*b.n)}
	for i, li := range l {
		c, err := f.coordinates(li)
		if err != nil {
			return nil, err
		}
		for r := range b.n {
			out.u[i*b.n+r] = dot(c, b.q[r*b.p:r*b.p+b.p])
		}
	}
	v := make([]float64, m*b.n)
	for _, bits := range s.which {
		copy(v, out.u)
		for i := range m {
			s.project(bits, v[i*b.n:i*b.n+b.n])
		}
		part := make([]float64, m*m)
		for i := range m {
			for j := range m {
				part[i*m+j] = dot(v[i*b.n:i*b.n+b.n], v[j*b.n:j*b.n+b.n])
			}
		}
		out.Parts = append(out.Parts, part)
	}
	return out, nil
}

// Estimates of the contrasts from values.
func (r *Rows) Estimates(y []float64) []float64 {
	out := make([]float64, r.M)
	for i := range out {
		out[i] = dot(r.u[i*len(y):i*len(y)+len(y)], y)
	}
	return out
}
