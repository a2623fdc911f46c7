package precision

import (
	"fmt"
	"math"
	"sort"

	"fallwright.example/figure"
	"fallwright.example/num/dist"
	"fallwright.example/problem"
)

// Pair is two readings of the same thing: fall one and fall one again on a
// matched specimen, or the same on two rigs.
type Pair struct {
	Name          string
	First, Second float64
}

// PairVerdict is the answer to whether two readings agree.
type PairVerdict string

// Verdicts on pairs.
const (
	Higher   PairVerdict = "higher"
	Lower    PairVerdict = "lower"
	Same     PairVerdict = "no difference that matters"
	Unsure   PairVerdict = "not settled"
	NoMargin PairVerdict = "" // without a margin nothing is claimed
)

// Agreement is what pairs say of repeatability.
type Agreement struct {
	N          int     `json:"pairs"`
	MeanFirst  float64 `json:"mean_first"`
	MeanSecond float64 `json:"mean_second"`

	Difference float64   `json:"difference"` // mean of second − first
	SD         float64   `json:"sd_of_differences"`
	SE         float64   `json:"se"`
	DF         float64   `json:"df"`
	T          *float64  `json:"t"`
	P          *float64  `json:"p"`
	Interval   Interval  `json:"interval"`
	Interval90 *Interval `json:"interval_90"`

	// Reading is the standard deviation of one reading, SD/√2, whatever the mean
	// difference; its limit is the repeatability limit.
	Reading Spread `json:"single_reading"`
	// LowerLimit and UpperLimit of agreement hold 95 % of differences, mean ±
	// 1.96·SD, each with its own interval.
	LowerLimit LimitOfAgreement `json:"lower_limit_of_agreement"`
	UpperLimit LimitOfAgreement `json:"upper_limit_of_agreement"`

	Equivalence *Equivalence `json:"equivalence"` // null without a margin
	Verdict     PairVerdict  `json:"verdict"`
	Sentence    string       `json:"sentence"`
	Rule        string       `json:"rule"`
	Notes       []string     `json:"notes"`
}

// LimitOfAgreement is one limit and how well it is known.
type LimitOfAgreement struct {
	Value    float64  `json:"value"`
	Interval Interval `json:"interval"`
}

// Equivalence is two one-sided tests against a margin on either side.
type Equivalence struct {
	Margin float64 `json:"margin"`
	PLower float64 `json:"p_lower"`
	PUpper float64 `json:"p_upper"`
	P      float64 `json:"p"` // the larger
	// Pairs is how many would settle it, were difference and spread again those
	// seen; null when it is settled or the difference lies beyond the margin.
	Pairs *int `json:"pairs_needed"`
}

const pairRule = "no difference that matters: the 90 % interval of the mean difference lies inside the margin (two one-sided tests at 5 %); higher or lower: the 95 % interval excludes zero and the estimate lies at or beyond the margin; otherwise not settled"

// Pairs answers whether second readings agree with first ones. margin is the
// smallest difference that matters, in the unit of the values; 0 for none.
//
//	d = second − first    t = d̄/(s/√n) on n − 1    reading SD = s/√2
//
// Intervals: Student's for the mean difference, χ² for the standard deviations,
// and for the limits of agreement [BlandAltman1999] those put together from both
// by squares [DonnerZou2012]. Equivalence as in [Schuirmann1987].
//
// It refuses values that are no numbers, fewer than two pairs, and a margin
// below zero.
func Pairs(pairs []Pair, margin float64) (*Agreement, error) {
	refused := checkValues(2*len(pairs), func(i int) float64 {
		if i%2 == 0 {
			return pairs[i/2].First
		}
		return pairs[i/2].Second
	}, func(i int) string {
		if name := pairs[i/2].Name; name != "" {
			return "pair " + name
		}
		return fmt.Sprintf("pair %d", i/2+1)
	})
	if !(margin >= 0) || math.IsInf(margin, 0) {
		refused = append(refused, problem.New(problem.Invalid, "margin", "it is %g, and has to be the smallest difference that matters", margin))
	}
	if err := refused.Err(); err != nil {
		return nil, err
	}
	if len(pairs) < 2 {
		return nil, problem.New(problem.TooFew, "", "%d complete pairs: a spread needs 2", len(pairs)).
			Hint("repeat more drops; six pairs tell the spread of a reading within a factor of about 2.5")
	}
	first, second, d := make([]float64, len(pairs)), make([]float64, len(pairs)), make([]float64, len(pairs))
	for i, p := range pairs {
		first[i], second[i], d[i] = p.First, p.Second, p.Second-p.First
	}
	m := momentsOf(d)
	a := &Agreement{
		N: m.n, MeanFirst: momentsOf(first).mean, MeanSecond: momentsOf(second).mean,
		Difference: m.mean, SD: m.sd, SE: m.sd / math.Sqrt(float64(m.n)), DF: float64(m.n - 1), Notes: []string{},
	}
	a.Interval = a.around(level)
	narrow := a.around(0.90)
	a.Interval90 = &narrow
	a.Reading = *spread(square(m.sd)/2, a.DF)
	a.limits()
	if a.SE > 0 {
		t := a.Difference / a.SE
		a.T, a.P = known(t), known(2*dist.TTail(math.Abs(t), a.DF))
	} else {
		a.Notes = append(a.Notes, "all differences are the same: they are read too coarsely for a spread, and no test is made")
	}
	if margin > 0 && a.SE > 0 {
		a.equivalence(margin)
	}
	a.judge(margin)
	a.trend(first, d)
	return a, nil
}

func (a *Agreement) around(level float64) Interval {
	half := dist.T((1-level)/2, a.DF) * a.SE
	return Interval{a.Difference - half, a.Difference + half}
}

// limits fills the limits of agreement. With l and u the distances of the mean
// from its interval and of 1.96·s from its own, a limit of the sum lies at
// √(l² + u²).
func (a *Agreement) limits() {
	z := dist.NormalQuantile((1 - level) / 2)
	half := a.Interval.Upper - a.Difference
	below, above := 0.0, 0.0
	if s := spread(square(a.SD), a.DF); s.Interval != nil {
		below, above = z*(s.SD-s.Interval.Lower), z*(s.Interval.Upper-s.SD)
	}
	up, down := a.Difference+z*a.SD, a.Difference-z*a.SD
	a.UpperLimit = LimitOfAgreement{up, Interval{up - math.Hypot(half, below), up + math.Hypot(half, above)}}
	a.LowerLimit = LimitOfAgreement{down, Interval{down - math.Hypot(half, above), down + math.Hypot(half, below)}}
}

func (a *Agreement) equivalence(margin float64) {
	e := &Equivalence{Margin: margin}
	e.PLower = dist.TTail((a.Difference+margin)/a.SE, a.DF)
	e.PUpper = dist.TTail((margin-a.Difference)/a.SE, a.DF)
	e.P = max(e.PLower, e.PUpper)
	a.Equivalence = e
	room := margin - math.Abs(a.Difference)
	if e.P < 0.05 || room <= 0 {
		return
	}
	// The half width falls as pairs are added.
	const most = 100000
	n := a.N + 1 + sort.Search(most, func(more int) bool {
		pairs := float64(a.N + 1 + more)
		return dist.T(0.05, pairs-1)*a.SD/math.Sqrt(pairs) < room
	})
	if n <= most {
		e.Pairs = &n
	}
}

// judge puts the verdict and its sentence.
func (a *Agreement) judge(margin float64) {
	// Three digits of the spread are what the sentence needs.
	decimals := 4
	if a.SD > 0 {
		decimals = min(9, max(0, 2-int(math.Floor(math.Log10(a.SD)))))
	}
	size := func(x float64) string { return figure.Fixed(x, decimals) }
	interval := fmt.Sprintf("mean difference %s, 95 %% interval %s to %s", size(a.Difference), size(a.Interval.Lower), size(a.Interval.Upper))
	switch {
	case margin == 0:
		a.Verdict = NoMargin
		a.Sentence = interval + "; without a margin nothing is claimed"
		a.Rule = "none: no margin was given"
		return
	case a.SE == 0:
		a.Verdict, a.Sentence = Unsure, interval+"; the differences have no spread to judge by"
	case a.Equivalence.P < 0.05:
		a.Verdict = Same
		a.Sentence = fmt.Sprintf("second and first readings agree within the margin of %s: %s", size(margin), interval)
	case a.Interval.Lower > 0 && a.Difference >= margin, a.Interval.Upper < 0 && a.Difference <= -margin:
		a.Verdict = Higher
		if a.Difference < 0 {
			a.Verdict = Lower
		}
		a.Sentence = fmt.Sprintf("second readings are %s than first ones: %s, margin %s", a.Verdict, interval, size(margin))
	default:
		a.Verdict = Unsure
		a.Sentence = fmt.Sprintf("whether second and first readings agree within %s is not settled: %s", size(margin), interval)
		if n := a.Equivalence.Pairs; n != nil {
			a.Sentence += fmt.Sprintf("; %d pairs would settle it, were the differences again like these", *n)
		}
	}
	a.Rule = pairRule
}

// trend notes when differences grow or shrink with the size of the reading.
func (a *Agreement) trend(first, d []float64) {
	if a.N < 5 || a.SD == 0 {
		return
	}
	middle := make([]float64, len(d))
	for i := range d {
		middle[i] = first[i] + d[i]/2
	}
	m := momentsOf(middle)
	if !(m.sd > 0) {
		return
	}
	r := 0.0
	for i := range d {
		r += (middle[i] - m.mean) / m.sd * (d[i] - a.Difference) / a.SD / float64(a.N-1)
	}
	t := math.Abs(r) * math.Sqrt(float64(a.N-2)/max(1e-300, 1-r*r))
	if dist.TTail(t, float64(a.N-2)) < 0.025 {
		a.Notes = append(a.Notes, fmt.Sprintf("differences change with the size of the reading (correlation %+.2f): one spread for all is a simplification, ratios may be steadier", r))
	}
}
