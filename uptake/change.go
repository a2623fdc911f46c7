package uptake

import (
	"fmt"
	"math"

	"fallwright.example/num/dist"
	"fallwright.example/num/oneway"
	"fallwright.example/problem"
)

// Pair is one specimen before and after: its length or diameter dry and wet, its
// mass before the soak and dried again.
type Pair struct {
	Specimen      string
	Before, After float64
}

// Change is the mean change of specimens, each against itself.
type Change struct {
	N                 int
	Amount            Estimate // after − before, in the unit given; two-sided interval at Level
	Share             Estimate // (after − before)/before
	DF, P             float64  // P of no change, by Student's t
	Smallest, Largest float64  // change of a specimen
}

// Changed gives the mean change over specimens with Student's t interval on n − 1.
// With one specimen there are numbers and no interval. It refuses, with the
// specimen, values that are not above zero: Invalid; and no pair at all: TooFew.
func Changed(pairs []Pair) (Change, error) {
	if len(pairs) == 0 {
		return Change{}, problem.New(problem.TooFew, "", "there is no specimen measured before and after")
	}
	var amounts, shares []float64
	c := Change{N: len(pairs), Smallest: math.Inf(1), Largest: math.Inf(-1)}
	for _, p := range pairs {
		if !(p.Before > 0) || !(p.After > 0) || math.IsInf(p.Before+p.After, 1) {
			return Change{}, problem.New(problem.Invalid, p.Specimen, "%g before and %g after, and both have to be above zero", p.Before, p.After)
		}
		d := p.After - p.Before
		amounts, shares = append(amounts, d), append(shares, d/p.Before)
		c.Smallest, c.Largest = min(c.Smallest, d), max(c.Largest, d)
	}
	c.Amount, c.Share, c.DF = mean(amounts), mean(shares), float64(len(pairs)-1)
	c.P = math.NaN()
	if c.DF > 0 && c.Amount.SE > 0 {
		c.P = 2 * dist.TTail(math.Abs(c.Amount.Value)/c.Amount.SE, c.DF)
	}
	return c, nil
}

// mean is that of some values with its t interval.
func mean(values []float64) Estimate {
	nan := math.NaN()
	s, err := oneway.Summarise(values)
	if err != nil || len(values) < 2 {
		sum := 0.0
		for _, v := range values {
			sum += v / float64(len(values))
		}
		return Estimate{sum, nan, nan, nan}
	}
	se := s.SE()
	h := tQuantile(float64(len(values)-1)) * se
	return Estimate{s.Mean, se, s.Mean - h, s.Mean + h}
}

// DryAgain is what drying back came to.
type DryAgain string

// The outcomes.
const (
	Dry        DryAgain = "dry again"   // the interval of the residual mass lies within the limit
	Wet        DryAgain = "not dry yet" // it lies above the limit
	DryUnknown DryAgain = "not settled"
)

// DryingBack is the mass left after drying: that after drying less that before the
// soak.
type DryingBack struct {
	Change
	Limit   float64 // kg, what counts as nothing
	Outcome DryAgain
	Said    string
}

// DriedBack compares the masses of specimens before a soak and dried again. What
// counts as nothing is limit, kg; with 0 the resolution of the scale, or twice its
// uncertainty of a difference, whichever is more. The two-sided interval at Level
// decides; with one specimen it is the scale's own, ± 2·√2·u.
func DriedBack(pairs []Pair, scale Scale, limit float64) (DryingBack, error) {
	c, err := Changed(pairs)
	if err != nil {
		return DryingBack{}, err
	}
	apart := 2 * math.Sqrt2 * scale.Uncertainty()
	d := DryingBack{Change: c, Limit: limit, Outcome: DryUnknown}
	if d.Limit == 0 {
		d.Limit = max(scale.Resolution, apart)
	}
	low, high := c.Amount.Lower, c.Amount.Upper
	if c.N == 1 {
		low, high = c.Amount.Value-apart, c.Amount.Value+apart
	}
	switch {
	case low >= -d.Limit && high <= d.Limit:
		d.Outcome = Dry
	case low > d.Limit:
		d.Outcome = Wet
	case high < -d.Limit:
		d.Said = "; they are lighter than before the soak: something was washed out, or the dry mass was not dry"
	}
	d.Said = fmt.Sprintf("%s: %s of water left (95 %% interval %s to %s), with %s counted as nothing%s", d.Outcome, grams(c.Amount.Value), grams(low), grams(high), grams(d.Limit), d.Said)
	return d, nil
}
