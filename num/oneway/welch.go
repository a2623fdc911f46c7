package oneway

import (
	"fmt"
	"math"
)

// Contrast is the difference of two means by Welch's method.
type Contrast struct {
	Amount float64 // x̄a − x̄b
	SE     float64
	DF     float64 // Welch-Satterthwaite, rarely whole
	T      float64
	P      float64 // two-sided, of no difference
}

// Welch compares the means of two groups without taking their spreads to be
// equal:
//
//	va = sa²/na,  vb = sb²/nb,  SE = √(va + vb),  t = (x̄a − x̄b)/SE
//	df = (va + vb)² / (va²/(na − 1) + vb²/(nb − 1))
//
// df lies between the smaller n − 1 and na + nb − 2. The method is approximate:
// docs/METHODS.md tabulates its true error rate at small n. One group without
// spread is allowed, the interval then rests on the other alone.
//
// It returns ErrTooFew for fewer than two values in a group, ErrNoSpread for
// none in both, ErrNotFinite, and ErrRange for a negative SD. Source: [Welch1947], with the
// degrees of freedom of [Satterthwaite1946].
func Welch(a, b Sample) (Contrast, error) {
	for _, s := range []Sample{a, b} {
		if err := s.usable(); err != nil {
			return Contrast{}, err
		}
	}
	if a.SD == 0 && b.SD == 0 {
		return Contrast{}, noSpread()
	}
	c := Contrast{
		Amount: a.Mean - b.Mean,
		SE:     math.Hypot(a.SE(), b.SE()),
		DF:     satterthwaite(a, b),
	}
	c.T = c.Amount / c.SE
	c.P = 2 * above(math.Abs(c.T), c.DF)
	return c, nil
}

// satterthwaite works on shares of the variance, which cannot overflow.
func satterthwaite(a, b Sample) float64 {
	se := math.Hypot(a.SE(), b.SE())
	share := func(s Sample) float64 { return s.SE() / se * (s.SE() / se) }
	wa, wb := share(a), share(b)
	return 1 / (wa*wa/float64(a.N-1) + wb*wb/float64(b.N-1))
}

// Interval returns the interval of the difference at a level such as 0.95,
// Amount ± t·SE on DF degrees of freedom. It returns ErrRange
// for a level outside (0, 1).
func (c Contrast) Interval(level float64) (Interval, error) {
	return around(c.Amount, c.SE, c.DF, level)
}

// Equivalence is two one-sided tests of a difference against two bounds.
type Equivalence struct {
	TLower, PLower float64 // against "at or below the lower bound"
	TUpper, PUpper float64 // against "at or above the upper bound"
	P              float64 // the larger of the two
}

// Equivalence tests whether the difference lies between lower and upper:
//
//	tL = (Amount − lower)/SE,  tU = (Amount − upper)/SE
//	P = max(P(t > tL), P(t < tU)) on DF degrees of freedom
//
// P < α says the same as: the interval at level 1 − 2α lies wholly between the
// bounds. It returns ErrRange for bounds that are NaN or not in order.
// Source: [Schuirmann1987]; [Lakens2017] has the form with Welch's SE and df.
func (c Contrast) Equivalence(lower, upper float64) (Equivalence, error) {
	if !(lower < upper) {
		return Equivalence{}, fmt.Errorf("%w: bounds %g and %g, the lower has to come first", ErrRange, lower, upper)
	}
	e := Equivalence{TLower: (c.Amount - lower) / c.SE, TUpper: (c.Amount - upper) / c.SE}
	e.PLower, e.PUpper = above(e.TLower, c.DF), above(-e.TUpper, c.DF)
	e.P = max(e.PLower, e.PUpper)
	return e, nil
}
