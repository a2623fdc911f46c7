package compare

import (
	"math"
	"slices"

	"fallwright.example/problem"
)

// Question is a contrast between two conditions with a margin; or between falls
// of one condition; or between the trends of two over their falls.
type Question struct {
	Name      string `json:"name"`
	Asks      string `json:"asks"`
	Measure   string `json:"measure"` // "peak force"
	Unit      string `json:"unit"`    // of the measure in SI, for the words of an amount: "N"
	Condition string `json:"condition"`
	Baseline  string `json:"baseline"`
	Falls     []Fall `json:"falls"` // averaged, each alike; empty: all of them

	// BaselineFalls are those of the baseline where they are others than Falls:
	// the baseline may then be the condition itself, as it was before.
	BaselineFalls []Fall `json:"baseline_falls,omitempty"`
	// Trend asks for the change per fall over Falls, by least squares through the
	// means, in the place of their mean. The margin is of a fall.
	Trend bool  `json:"trend,omitempty"`
	Claim Claim `json:"claim,omitempty"` // what it is to show

	Share  float64 `json:"margin_share"`  // margin as a share of the baseline; 0 when Amount is set
	Amount float64 `json:"margin_amount"` // margin in the unit; 0 when Share is set
	// Within is the column (rope, day) within whose levels the plan dealt the
	// specimens to the conditions; re-randomisation keeps to it. Empty: dealt
	// over all.
	Within string `json:"within,omitempty"`
}

// Claim is what a question is to show, said before the drops. One that has a
// direction is answered by the one-sided test at 5 %, and can find nothing the
// other way.
type Claim string

const (
	AnyDifference Claim = "" // higher or lower, or none that matters
	ClaimHigher   Claim = "higher"
	ClaimLower    Claim = "lower"
	// ClaimNone is that there is no difference that matters. It is answered by
	// the same rule as AnyDifference: what it changes is how many specimens are
	// planned.
	ClaimNone Claim = "no difference"
)

// Claims lists every Claim.
func Claims() []Claim { return []Claim{AnyDifference, ClaimHigher, ClaimLower, ClaimNone} }

// side is +1 and −1 for a claim that has a direction, 0 for one that has not.
func (c Claim) side() float64 {
	switch c {
	case ClaimHigher:
		return 1
	case ClaimLower:
		return -1
	}
	return 0
}

// margin is the question's.
func (q Question) margin() Margin { return Margin{Share: q.Share, Amount: q.Amount} }

// own reports whether a condition is compared with itself at other falls.
func (q Question) own() bool { return q.Condition == q.Baseline }

// baselineFalls are those that the baseline is taken at.
func (q Question) baselineFalls() []Fall {
	if len(q.BaselineFalls) > 0 {
		return q.BaselineFalls
	}
	return q.Falls
}

// check refuses a question that cannot be put.
func (q Question) check() error {
	refuse := func(format string, args ...any) error {
		return problem.New(problem.Invalid, "question "+q.Name, format, args...)
	}
	if q.Condition == "" || q.Baseline == "" || q.own() && len(q.BaselineFalls) == 0 {
		return refuse("compares %q with %q, two conditions are needed", q.Condition, q.Baseline)
	}
	if f, twice := repeated(q.Falls); twice {
		return refuse("names fall %q, each is named once", f)
	}
	if f, twice := repeated(q.BaselineFalls); twice {
		return refuse("names fall %q of the baseline, each is named once", f)
	}
	if err := q.shape(refuse); err != nil {
		return err
	}
	for _, margin := range []float64{q.Share, q.Amount} {
		if !(margin >= 0) || math.IsInf(margin, 1) {
			return refuse("has a margin of %g, a positive one is needed", margin)
		}
	}
	if (q.Share > 0) == (q.Amount > 0) {
		return refuse("has margins of %g %% and %g %s, exactly one is needed", 100*q.Share, q.Amount, q.Unit)
	}
	if q.Share >= 1 {
		return refuse("has a margin of %g %%, one below 100 %% is needed", 100*q.Share)
	}
	return nil
}

// shape refuses falls that make no contrast.
func (q Question) shape(refuse func(string, ...any) error) error {
	if !slices.Contains(Claims(), q.Claim) {
		return refuse("is to show %q, which is no claim: higher, lower or no difference", q.Claim)
	}
	if q.own() {
		for _, f := range q.Falls {
			if slices.ContainsFunc(q.BaselineFalls, func(o Fall) bool { return o.tidy() == f.tidy() }) {
				return refuse("compares fall %s of %q with itself", f, q.Condition)
			}
		}
		if len(q.Falls) == 0 {
			return refuse("compares %q with itself and does not say at which falls", q.Condition)
		}
	}
	if !q.Trend {
		return nil
	}
	if len(q.BaselineFalls) > 0 {
		return refuse("asks for a trend, which is over the same falls on both sides")
	}
	if len(q.Falls) == 1 {
		return refuse("asks for a trend over one fall, at least two are needed")
	}
	for _, f := range q.Falls {
		if _, ok := f.Number(); !ok {
			return refuse("asks for a trend over fall %q, which is no number", f)
		}
	}
	return nil
}

// repeated is a fall that is empty or named twice.
func repeated(falls []Fall) (Fall, bool) {
	for i, f := range falls {
		if f == "" || slices.ContainsFunc(falls[:i], func(o Fall) bool { return o.tidy() == f.tidy() }) {
			return f, true
		}
	}
	return "", false
}

// weights are what each fall counts for: alike, or so that the sum is the slope
// of the least-squares line through them.
func (q Question) weights(falls []Fall) []float64 {
	w := make([]float64, len(falls))
	for i := range w {
		w[i] = 1 / float64(len(w))
	}
	if !q.Trend {
		return w
	}
	mean, squares := 0.0, 0.0
	for i, f := range falls {
		w[i], _ = f.Number()
		mean += w[i] / float64(len(w))
	}
	for i := range w {
		w[i] -= mean
		squares += w[i] * w[i]
	}
	for i := range w {
		w[i] /= squares
	}
	return w
}
