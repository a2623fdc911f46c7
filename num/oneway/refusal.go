package oneway

import (
	"errors"
	"fmt"
	"math"
)

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrTooFew: there are not enough values or groups.
	ErrTooFew = errors.New("too few")
	// ErrNotFinite: a value, mean or standard deviation is no finite number.
	ErrNotFinite = errors.New("not finite")
	// ErrNoSpread: values are all the same where an interval needs some spread.
	ErrNoSpread = errors.New("no spread")
	// ErrRange: a level, bound or width is not what it has to be.
	ErrRange = errors.New("out of range")
)

func noSpread() error {
	return fmt.Errorf("%w: the values of each group are all the same", ErrNoSpread)
}

// usable refuses a sample that has no spread to speak of.
func (s Sample) usable() error {
	switch {
	case s.N < 2:
		return fmt.Errorf("%w: %d in a group, a spread needs 2", ErrTooFew, s.N)
	case !finite(s.Mean) || !finite(s.SD):
		return fmt.Errorf("%w: a group with mean %g and standard deviation %g", ErrNotFinite, s.Mean, s.SD)
	case s.SD < 0:
		return fmt.Errorf("%w: standard deviation %g, it cannot be negative", ErrRange, s.SD)
	}
	return nil
}

// present refuses a group whose numbers are not there; one value will do.
func (s Sample) present() error {
	if s.N != 1 {
		return s.usable()
	}
	if !finite(s.Mean) {
		return fmt.Errorf("%w: a group of one with mean %g", ErrNotFinite, s.Mean)
	}
	return nil
}

func usableLevel(level float64) error {
	if level > 0 && level < 1 {
		return nil
	}
	return fmt.Errorf("%w: level %g, an interval needs one between 0 and 1", ErrRange, level)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
