package oneway

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// MostPerGroup is the largest group that SizeFor will name.
const MostPerGroup = 1_000_000

// SizeFor returns the smallest n, the same in both groups, at which Welch's
// interval at level is no wider than half on each side, were the standard
// deviations again those given:
//
//	t(df)·√((sa² + sb²)/n) ≤ half,  df = (n − 1)(sa² + sb²)²/(sa⁴ + sb⁴)
//
// It is a guess about groups to come: the spread of the next ones will differ,
// and after few values it is itself poorly known. An interval as narrow as a
// margin need not settle a difference that lies close to the margin.
//
// It returns ErrNoSpread for two standard deviations of zero, ErrNotFinite, and
// ErrRange for a negative one, a half-width that is not positive and finite, a
// level outside (0, 1), and an answer above MostPerGroup. Source: the definitions of Welch.
func SizeFor(sdA, sdB, half, level float64) (int, error) {
	if !(half > 0) || math.IsInf(half, 0) {
		return 0, fmt.Errorf("%w: half-width %g, a positive one is needed", ErrRange, half)
	}
	if err := usableLevel(level); err != nil {
		return 0, err
	}
	// The normal limit lies below: t exceeds z on any degrees of freedom.
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	limit := z * z * (sdA/half*sdA/half + sdB/half*sdB/half)
	if limit > MostPerGroup {
		return 0, fmt.Errorf("%w: more than %d in a group would be needed", ErrRange, MostPerGroup)
	}
	for n := max(2, int(limit)); ; n++ {
		c, err := Welch(Sample{N: n, SD: sdA}, Sample{N: n, SD: sdB})
		if err != nil {
			return 0, err
		}
		i, err := c.Interval(level)
		if err != nil {
			return 0, err
		}
		if i.Upper <= half {
			return n, nil
		}
	}
}
