// Package dsp filters sampled signals and takes them apart: the filter classes
// of impact tests, spectra, single lines, smooth derivatives and the tops of
// peaks. It knows time and samples, not ropes.
//
// Symbols: x ↔ the samples, in any unit; fs ↔ rate, samples a second; n the
// number of samples. Nothing writes to x unless it is also given as dst.
// Refusals wrap one of the errors of this package.
package dsp

import (
	"errors"
	"fmt"
	"math"
)

// The refusals of this package, for errors.Is; the texts say more.
var (
	// ErrRange: a rate, class, frequency, order or width is not what it has to be.
	ErrRange = errors.New("out of range")
	// ErrTooFew: there are not enough samples.
	ErrTooFew = errors.New("too few samples")
	// ErrNotFinite: a sample is no finite number.
	ErrNotFinite = errors.New("not finite")
	// ErrNoTop: the samples do not bend down around their largest.
	ErrNoTop = errors.New("no top")
)

// usable refuses samples that are too few or not finite.
func usable(x []float64, least int, what string) error {
	if len(x) < least {
		return fmt.Errorf("%w: %d, %s needs %d", ErrTooFew, len(x), what, least)
	}
	for i, v := range x {
		if !finite(v) {
			return fmt.Errorf("%w: sample %d is %g", ErrNotFinite, i, v)
		}
	}
	return nil
}

func usableRate(rate float64) error {
	if rate > 0 && finite(rate) {
		return nil
	}
	return fmt.Errorf("%w: %g samples a second, the rate is above 0", ErrRange, rate)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
