package precision

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/oneway"
	"fallwright.example/num/runlength"
	"fallwright.example/problem"
)

// ChartKind is a kind of control chart.
type ChartKind string

// Kinds of chart.
const (
	Individuals ChartKind = "individuals" // each value, and its range to the one before
	EWMA        ChartKind = "ewma"        // the exponentially weighted mean: small lasting shifts
	CUSUM       ChartKind = "cusum"       // two sums of deviations: small lasting shifts
)

// Rule is a run that signals on a chart of individuals: Of of the last Among
// points beyond Beyond standard deviations on one side.
type Rule = runlength.Rule

// Rules of the usual charts of individuals, by what they state; the e-Handbook
// [NISTHB151] 6.3.2 has them, from memory.
var (
	OnePoint  = Rule{Of: 1, Among: 1, Beyond: 3}
	TwoOf3    = Rule{Of: 2, Among: 3, Beyond: 2}
	FourOf5   = Rule{Of: 4, Among: 5, Beyond: 1}
	EightSide = Rule{Of: 8, Among: 8}
)

// ruleWords states a rule.
func ruleWords(r Rule) string {
	switch {
	case r.Of == 1 && r.Among == 1:
		return fmt.Sprintf("beyond %g standard deviations", r.Beyond)
	case r.Beyond == 0 && r.Of == r.Among:
		return fmt.Sprintf("%d in a row on one side of the centre", r.Of)
	}
	return fmt.Sprintf("%d of the last %d beyond %g standard deviations on one side", r.Of, r.Among, r.Beyond)
}

// Point is one value on a chart, in the order of time.
type Point struct {
	Label string
	Value float64
}

// ChartOptions are the choices of a chart; zero values mean the usual ones.
type ChartOptions struct {
	Kind ChartKind // "" means Individuals
	// Baseline is how many points from the start set centre and spread, against
	// which all are judged; 0 means all points.
	Baseline int
	// Centre and Spread, where not nil, are given and not had from the baseline.
	Centre, Spread *float64
	// Rules of a chart of individuals; nil means OnePoint.
	Rules []Rule
	// Lambda is the weight of the newest value, and Limit the distance of the
	// limits in standard deviations, of an EWMA; 0 means 0.2 and 2.962, which run
	// 500 points without a shift [LucasSaccucci1990].
	Lambda, Limit float64
	// Reference and Decision of a CUSUM in standard deviations; 0 means 0.5 and
	// 5, which run 465 points without a shift [LucasCrosier1982].
	Reference, Decision float64
}

// Chart is a control chart.
type Chart struct {
	Kind     ChartKind `json:"kind"`
	Centre   float64   `json:"centre"`
	Spread   float64   `json:"sd"` // of one point
	From     string    `json:"from"`
	Baseline int       `json:"baseline"` // points that set centre and spread; 0 when both were given
	Plotted  []Plotted `json:"points"`
	// MeanRange and RangeLimit are of ranges of neighbours, on a chart of
	// individuals.
	MeanRange  *float64 `json:"mean_range,omitempty"`
	RangeLimit *float64 `json:"range_limit,omitempty"`
	// Lower and Upper are the limits, of an EWMA the final ones; of a CUSUM
	// Upper is the decision interval in the unit of the values.
	Lower    *float64  `json:"lower_limit"`
	Upper    *float64  `json:"upper_limit"`
	Settings string    `json:"settings"`
	Signals  []Signal  `json:"signals"`
	Runs     []RunRate `json:"average_run_lengths"`
	Later    *Later    `json:"later_against_baseline"` // null with fewer than two of either
	Notes    []string  `json:"notes"`
}

// Plotted is one point with what the chart draws of it.
type Plotted struct {
	Label    string   `json:"label"`
	Value    float64  `json:"value"`
	Baseline bool     `json:"baseline"`
	Range    *float64 `json:"range,omitempty"` // to the point before
	EWMA     *float64 `json:"ewma,omitempty"`
	Lower    *float64 `json:"lower,omitempty"` // limits of the EWMA at this point
	Upper    *float64 `json:"upper,omitempty"`
	High     *float64 `json:"sum_high,omitempty"` // of a CUSUM, both from zero up
	Low      *float64 `json:"sum_low,omitempty"`
	Signals  []string `json:"signals,omitempty"`
}

// Signal is a point at which the chart says that something has changed.
type Signal struct {
	Point int    `json:"point"` // from 1
	Label string `json:"label"`
	Rule  string `json:"rule"`
	Side  string `json:"side"` // "high" or "low"; "" for a range
}

// RunRate is how many points the chart draws on average up to a signal, for a
// lasting shift of the mean in standard deviations of a point; with centre and
// spread known.
type RunRate struct {
	Shift  float64  `json:"shift_sd"`
	Points *float64 `json:"points"` // null when beyond all bounds
}

// Later compares the points after the baseline with those in it, by Welch's
// method [Welch1947]. The chart asks when something changed, this how far.
type Later struct {
	Points     int      `json:"points"`
	Difference float64  `json:"difference"` // mean of later points − mean of the baseline
	SE         float64  `json:"se"`
	DF         float64  `json:"df"`
	Interval   Interval `json:"interval"`
}

// later fills Later where it can be had.
func (c *Chart) later() {
	var base, after []float64
	for i, p := range c.Plotted {
		if i < c.Baseline {
			base = append(base, p.Value)
		} else {
			after = append(after, p.Value)
		}
	}
	if len(base) < 2 || len(after) < 2 {
		return
	}
	a, errA := oneway.Summarise(after)
	b, errB := oneway.Summarise(base)
	d, err := oneway.Welch(a, b)
	if errA != nil || errB != nil || err != nil {
		return
	}
	if i, err := d.Interval(level); err == nil {
		c.Later = &Later{len(after), d.Amount, d.SE, d.DF, Interval(i)}
	}
}

// WhatToDo is said beside signals.
const WhatToDo = "before the next fall that counts: drop the reference rope again; if it stays out, look at the cell's zero and mounting, the guides, mass, drop height and the rope itself, and write down what was found. Falls since the last point within limits are in doubt"

// rangeFactor is d₂, the mean range of two normal values in standard deviations,
// 2/√π; rangeSpread is d₃, its standard deviation, √(2 − 4/π).
var rangeFactor, rangeSpread = 2 / math.Sqrt(math.Pi), math.Sqrt(2 - 4/math.Pi)

// NewChart draws a control chart of points in the order of time.
//
// The spread of a point is the mean range of neighbours in the baseline over
// 2/√π, so that a slow drift does not widen the limits; the centre is the mean of
// the baseline. Points are taken to be normal and independent.
//
// It refuses values that are no numbers, fewer than two points in the baseline
// when something is to be had from it, a baseline without spread, and settings
// that make no chart.
func NewChart(points []Point, o ChartOptions) (*Chart, error) {
	o = o.usual()
	if err := o.check(points); err != nil {
		return nil, err
	}
	c := &Chart{Kind: o.Kind, Plotted: make([]Plotted, len(points)), Signals: []Signal{}, Notes: []string{}}
	for i, p := range points {
		c.Plotted[i] = Plotted{Label: p.Label, Value: p.Value, Baseline: i < o.Baseline}
		if c.Plotted[i].Label == "" {
			c.Plotted[i].Label = fmt.Sprint(i + 1)
		}
	}
	if err := c.baseline(points, o); err != nil {
		return nil, err
	}
	var run func(shift float64) float64
	switch o.Kind {
	case EWMA:
		run = c.ewma(o)
	case CUSUM:
		run = c.cusum(o)
	default:
		run = c.individuals(o)
	}
	for _, shift := range []float64{0, 0.5, 1, 2, 3} {
		c.Runs = append(c.Runs, RunRate{shift, known(run(shift))})
	}
	c.later()
	c.notes(points, o)
	return c, nil
}

// usual fills what was left at zero.
func (o ChartOptions) usual() ChartOptions {
	set := func(to *float64, usual float64) {
		if *to == 0 {
			*to = usual
		}
	}
	if o.Kind == "" {
		o.Kind = Individuals
	}
	if o.Rules == nil {
		o.Rules = []Rule{OnePoint}
	}
	set(&o.Lambda, 0.2)
	set(&o.Limit, 2.962)
	set(&o.Reference, 0.5)
	set(&o.Decision, 5)
	return o
}

func (o *ChartOptions) check(points []Point) error {
	refused := checkValues(len(points), func(i int) float64 { return points[i].Value }, func(i int) string {
		if points[i].Label != "" {
			return "point " + points[i].Label
		}
		return fmt.Sprintf("point %d", i+1)
	})
	bad := func(format string, args ...any) {
		refused = append(refused, problem.New(problem.Invalid, "", format, args...))
	}
	if !slices.Contains([]ChartKind{Individuals, EWMA, CUSUM}, o.Kind) {
		bad("there is no chart %q: they are individuals, ewma and cusum", o.Kind)
	}
	if !(o.Lambda > 0 && o.Lambda <= 1) {
		bad("a weight of %g for the newest value: it lies above 0 and at most at 1", o.Lambda)
	}
	for i, v := range []float64{o.Limit, o.Reference, o.Decision} {
		if !(v > 0) || math.IsInf(v, 0) {
			bad("a %s of %g standard deviations: it has to be above 0", []string{"limit", "reference value", "decision interval"}[i], v)
		}
	}
	if o.Spread != nil && !(*o.Spread > 0) {
		bad("a standard deviation of %g: it has to be above 0", *o.Spread)
	}
	if o.Centre != nil && (math.IsNaN(*o.Centre) || math.IsInf(*o.Centre, 0)) {
		bad("a centre of %g, which is no reading", *o.Centre)
	}
	if o.Baseline < 0 || o.Baseline > len(points) {
		bad("a baseline of %d of %d points", o.Baseline, len(points))
	}
	if o.Kind == Individuals && math.IsNaN(runlength.Rules(o.Rules, 0)) {
		bad("%+v are no rules of runs", o.Rules)
	}
	if len(refused) == 0 && o.Baseline == 0 {
		o.Baseline = len(points)
	}
	return refused.Err()
}

// baseline sets centre and spread.
func (c *Chart) baseline(points []Point, o ChartOptions) error {
	if o.Centre != nil && o.Spread != nil {
		c.Centre, c.Spread, c.From = *o.Centre, *o.Spread, "centre and standard deviation as given"
		for i := range c.Plotted {
			c.Plotted[i].Baseline = false
		}
		if len(points) == 0 {
			return problem.New(problem.TooFew, "", "there are no points")
		}
		return nil
	}
	if o.Baseline < 2 || len(points) < 2 {
		return problem.New(problem.TooFew, "", "a baseline of %d points: a spread needs 2, and limits worth having 20", min(o.Baseline, len(points))).
			Hint("give centre and standard deviation from earlier drops instead")
	}
	base := make([]float64, o.Baseline)
	ranges := 0.0
	for i := range base {
		base[i] = points[i].Value
		if i > 0 {
			ranges += math.Abs(base[i]-base[i-1]) / float64(o.Baseline-1)
		}
	}
	c.Centre, c.Spread, c.Baseline = momentsOf(base).mean, ranges/rangeFactor, o.Baseline
	c.From = fmt.Sprintf("mean and ranges of neighbours of the first %d points", o.Baseline)
	if o.Baseline == len(points) {
		c.From = fmt.Sprintf("mean and ranges of neighbours of all %d points", o.Baseline)
	}
	if o.Centre != nil {
		c.Centre, c.From = *o.Centre, c.From+", centre as given"
	}
	if o.Spread != nil {
		c.Spread, c.From = *o.Spread, c.From+", standard deviation as given"
	}
	if c.Spread == 0 {
		return problem.New(problem.TooFew, "", "the %d points of the baseline are all %g: they give no limits", o.Baseline, base[0]).
			Hint("read the values with more digits, or give a standard deviation")
	}
	return nil
}

func (c *Chart) signal(i int, rule, side string) {
	c.Plotted[i].Signals = append(c.Plotted[i].Signals, rule)
	c.Signals = append(c.Signals, Signal{i + 1, c.Plotted[i].Label, rule, side})
}

// notes say what the chart rests on.
func (c *Chart) notes(points []Point, o ChartOptions) {
	if c.Baseline > 0 && c.Baseline < 20 {
		c.Notes = append(c.Notes, fmt.Sprintf("limits from %d points are uncertain by themselves, and the run lengths with them; 20 to 30 points settle them", c.Baseline))
	}
	if c.Baseline > 0 && c.Baseline == len(points) {
		c.Notes = append(c.Notes, "all points set the limits and are judged by them; name a baseline to judge later points by earlier ones")
	}
	if r, bound := neighbours(points[:max(c.Baseline, 0)]), 2/math.Sqrt(float64(c.Baseline)); c.Baseline >= 8 && math.Abs(r) > bound {
		c.Notes = append(c.Notes, fmt.Sprintf("neighbours in the baseline hang together (correlation %+.2f): the run lengths do not hold", r))
	}
	in := 0
	for _, s := range c.Signals {
		if c.Plotted[s.Point-1].Baseline && c.Baseline < len(points) {
			in++
		}
	}
	if in > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("%d of the signals lie in the baseline: look into them before trusting its limits", in))
	}
}

// neighbours is the correlation of each point with the next.
func neighbours(points []Point) float64 {
	if len(points) < 3 {
		return 0
	}
	v := make([]float64, len(points))
	for i, p := range points {
		v[i] = p.Value
	}
	m := momentsOf(v)
	sum := 0.0
	for i := 1; i < len(v); i++ {
		sum += (v[i] - m.mean) * (v[i-1] - m.mean)
	}
	return sum / (square(m.sd) * float64(m.n-1))
}
