package lmm

import (
	"errors"
	"fmt"
	"math"
)

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrShape: lengths or counts do not fit each other.
	ErrShape = errors.New("sizes do not fit")
	// ErrNotFinite: a value is no finite number.
	ErrNotFinite = errors.New("not finite")
	// ErrTooFew: there are not enough rows or levels.
	ErrTooFew = errors.New("too few")
	// ErrNoSpread: nothing is left over from which a variance could be had.
	ErrNoSpread = errors.New("no spread")
	// ErrConfounded: two parts of the model cannot be told apart in these data.
	ErrConfounded = errors.New("cannot be told apart")
	// ErrNotEstimable: a contrast asks for what the data do not hold.
	ErrNotEstimable = errors.New("not estimable")
	// ErrMethod: the inference asked for needs another kind of fit.
	ErrMethod = errors.New("needs another fit")
	// ErrRange: a level, number or bound is not what it has to be.
	ErrRange = errors.New("out of range")
	// ErrTooLarge: the matrices would not fit into memory.
	ErrTooLarge = errors.New("too large")
	// ErrNotConverged: no minimum of the deviance was found.
	ErrNotConverged = errors.New("no minimum found")
)

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// check refuses a model whose parts do not fit each other.
func (m Model) check() error {
	n := len(m.Y)
	if m.X == nil {
		return fmt.Errorf("%w: a model needs fixed effects", ErrShape)
	}
	rows, p := m.X.Dims()
	if rows != n || p != len(m.Names) || p == 0 {
		return fmt.Errorf("%w: %d values, %d rows and %d columns of fixed effects, %d names", ErrShape, n, rows, p, len(m.Names))
	}
	for i, y := range m.Y {
		if !finite(y) {
			return fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, y)
		}
		for j := range p {
			if x := m.X.At(i, j); !finite(x) {
				return fmt.Errorf("%w: column %q has %g in row %d", ErrNotFinite, m.Names[j], x, i+1)
			}
		}
	}
	for _, t := range m.Random {
		if err := t.check(n); err != nil {
			return err
		}
	}
	return m.Spread.check(n)
}

func (t Term) check(n int) error {
	if len(t.Level) != n || t.Slope != nil && len(t.Slope) != n {
		return fmt.Errorf("%w: term %q has %d levels and %d slope values for %d rows", ErrShape, t.Name, len(t.Level), len(t.Slope), n)
	}
	for i, l := range t.Level {
		if l < 0 {
			return fmt.Errorf("%w: term %q has level %d in row %d, levels count from 0", ErrRange, t.Name, l, i+1)
		}
	}
	for i, x := range t.Slope {
		if !finite(x) {
			return fmt.Errorf("%w: slope of term %q is %g in row %d", ErrNotFinite, t.Name, x, i+1)
		}
	}
	return nil
}

func (s *Spread) check(n int) error {
	if s == nil {
		return nil
	}
	if len(s.Group) != n {
		return fmt.Errorf("%w: spread by %q has %d groups for %d rows", ErrShape, s.Name, len(s.Group), n)
	}
	count := make([]int, len(s.Groups))
	for i, g := range s.Group {
		if g < 0 || g >= len(s.Groups) {
			return fmt.Errorf("%w: spread by %q has group %d in row %d and %d names", ErrRange, s.Name, g, i+1, len(s.Groups))
		}
		count[g]++
	}
	for g, c := range count {
		if c < 2 {
			return fmt.Errorf("%w: spread by %q has %d rows in group %q, its own spread needs 2", ErrTooFew, s.Name, c, s.Groups[g])
		}
	}
	return nil
}
