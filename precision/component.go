package precision

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/lmm"
	"fallwright.example/num/varcomp"
	"fallwright.example/problem"
)

// Line is one line of an analysis of variance.
type Line struct {
	Source string  `json:"source"`
	DF     float64 `json:"df"`
	SS     float64 `json:"ss"`
	MS     float64 `json:"ms"`
	// F is against the line or combination of lines with the same expectation
	// but for this component, on Against degrees of freedom; null without one.
	F       *float64 `json:"f"`
	Against *float64 `json:"f_df"`
	P       *float64 `json:"p"`
	// Expected are the coefficients of the components in the expected mean
	// square, in the order of the lines.
	Expected []float64 `json:"expected"`
}

// Component is a variance with what it comes to as a standard deviation. Values
// below zero are shown in Estimate and taken as zero in all others.
type Component struct {
	Name     string    `json:"component"`
	Estimate float64   `json:"anova_estimate"` // of the variance, may be negative
	Variance float64   `json:"variance"`
	SD       float64   `json:"sd"`
	Percent  float64   `json:"percent_of_variance"`
	Interval *Interval `json:"sd_interval"` // null where none can be had
	// REML is the standard deviation by restricted maximum likelihood, null when
	// that fit could not be had; for equal numbers and no estimate below zero it
	// is the same.
	REML *float64 `json:"reml_sd"`
}

// Estimate is a mean with its standard error and interval, by Kenward and
// Roger's degrees of freedom where a REML fit is at hand.
type Estimate struct {
	Mean     float64   `json:"mean"`
	SE       *float64  `json:"se"`
	DF       *float64  `json:"df"`
	Interval *Interval `json:"interval"`
}

// analysis carries what nested samples and gauge studies share.
type analysis struct {
	table *varcomp.Table
	fit   *lmm.Fit // nil without one
	notes []string
}

func (a *analysis) lines() []Line {
	out := make([]Line, len(a.table.Lines))
	for i, l := range a.table.Lines {
		out[i] = Line{l.Name, l.DF, l.SS, l.MS, known(l.F), known(l.Against), known(l.P), l.Expected}
	}
	return out
}

// sum is the variance of some components together with its limits; weights are
// 0 or 1 by line. Estimates below zero count as zero.
func (a *analysis) sum(name string, weights []float64) Component {
	c := Component{Name: name, Estimate: a.table.Value(weights)}
	var reml float64
	for i, w := range weights {
		c.Variance += w * max(0, a.table.Estimate[i])
		if a.fit != nil {
			reml += w * a.remlVariance(i)
		}
	}
	c.SD = math.Sqrt(c.Variance)
	if total := a.total(); total > 0 {
		c.Percent = 100 * c.Variance / total
	}
	if a.usable() {
		c.Interval = rootLimits(a.table, weights)
	}
	if a.fit != nil {
		c.REML = known(math.Sqrt(reml))
	}
	return c
}

// rootLimits is the interval of the square root of a sum of components. Where one
// of them is estimated below zero and counts as zero, the interval of the sum
// without it is taken in, so that the interval holds the figure beside it.
func rootLimits(t *varcomp.Table, weights []float64) *Interval {
	low, high := t.Limits(weights, level)
	kept, count := append([]float64(nil), weights...), 0
	for i, e := range t.Estimate {
		if e < 0 {
			kept[i] = 0
		}
		if kept[i] != 0 {
			count++
		}
	}
	if !slices.Equal(kept, weights) && count > 0 {
		l, h := t.Limits(kept, level)
		low, high = min(low, l), max(high, h)
	}
	if math.IsNaN(low) || math.IsNaN(high) || high < 0 {
		return nil
	}
	return &Interval{math.Sqrt(max(0, low)), math.Sqrt(high)}
}

// usable reports whether there is any spread to give limits for.
func (a *analysis) usable() bool { return a.total() > 0 }

func (a *analysis) total() float64 {
	t := 0.0
	for _, e := range a.table.Estimate {
		t += max(0, e)
	}
	return t
}

func (a *analysis) remlVariance(line int) float64 {
	if line == len(a.table.Lines)-1 {
		return a.fit.ResidualVariance
	}
	return a.fit.Components[line].Covariance[0][0]
}

func (a *analysis) say(format string, args ...any) {
	a.notes = append(a.notes, fmt.Sprintf(format, args...))
}

// freedom writes degrees of freedom in words.
func freedom(df float64) string {
	if df == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%g degrees of freedom", df)
}

// common says what holds for any table of components.
func (a *analysis) common() {
	for i, e := range a.table.Estimate {
		if e < 0 {
			a.say("%s: the estimate of its variance is below zero, −%.3g; it is taken as zero, there is no sign of it in these readings", a.table.Lines[i].Name, -e)
		}
		if l := a.table.Lines[i]; l.DF < 4 {
			a.say("%s: %s, its spread is hardly known; see the interval", l.Name, freedom(l.DF))
		}
	}
	if !a.table.Balanced {
		a.say("numbers are unequal: intervals and tests of the analysis of variance are approximate, and REML may differ")
	}
	if !a.usable() {
		a.say("the readings are all alike: they are read too coarsely for a spread")
	}
}

// maxRows keeps the REML fit to what it does in a moment.
const maxRows = 20000

// reml fits the same components by REML. A fit that cannot be had is a note, not
// a refusal: the analysis of variance stands by itself.
func (a *analysis) reml(y []float64, terms []lmm.Term) {
	if len(y) > maxRows {
		a.say("no REML fit: %d readings, the limit is %d", len(y), maxRows)
		return
	}
	d, err := lmm.Variables{Rows: len(y)}.Design()
	if err == nil {
		a.fit, err = lmm.New(lmm.Model{Y: y, X: d.X, Names: d.Names, Random: terms}, lmm.REML)
	}
	if err != nil {
		a.fit = nil
		a.say("no REML fit: %v", err)
	}
}

// mean is the general mean: generalised least squares with a REML fit, else the
// plain one.
func (a *analysis) mean() Estimate {
	e := Estimate{Mean: a.table.Mean}
	if a.fit == nil {
		return e
	}
	c, err := a.fit.Contrast([]float64{1}, lmm.KenwardRoger)
	if err != nil {
		return e
	}
	low, high := c.Interval(level)
	e = Estimate{c.Estimate, known(c.SE), known(c.DF), nil}
	if known(low) != nil && known(high) != nil {
		e.Interval = &Interval{low, high}
	}
	return e
}

// refuse turns what varcomp refuses into a problem.
func refuse(err error, hint string) error {
	kind := problem.Invalid
	if errors.Is(err, varcomp.ErrTooFew) || errors.Is(err, varcomp.ErrConfounded) {
		kind = problem.TooFew
	}
	return problem.New(kind, "", "%v", err).Hint("%s", hint)
}
