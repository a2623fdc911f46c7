package power

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/compare"
	"fallwright.example/problem"
)

// Source is where variances come from.
type Source string

// The sources.
const (
	EarlierStudy Source = "earlier study"
	Pilot        Source = "pilot"
	Default      Source = "default" // common practice, no source
	Given        Source = "given"
)

// Variances are how much values differ, as standard deviations on the scale of
// the model.
type Variances struct {
	Source Source
	From   string // the study's or pilot's name, or who says so
	Scale  compare.Scale
	// Parts: "specimen" (term "intercept", and "fall" for trends of their own), the
	// blocks by name, and the residual without a name. One that is not there is zero.
	Parts []compare.Variance
	// Correlation of a specimen's level and its trend.
	Correlation float64
	// Spreads are residual standard deviations by condition where they differ;
	// others have the residual's.
	Spreads []compare.Spread
	// Uncertain draws other variances for each study, as far from these as their
	// degrees of freedom leave them open; see draw.
	Uncertain bool
}

// FromAnalysis takes the variances of an analysis, with their degrees of freedom.
// It refuses one that has none.
func FromAnalysis(a *compare.Analysis, source Source, name string) (Variances, error) {
	v := Variances{Source: source, From: name, Scale: a.Ask.Scale, Parts: a.Variances(), Spreads: a.Spreads}
	if len(v.Parts) == 0 {
		return v, problem.New(problem.TooFew, "variances of "+name, "the analysis has none: %d values in a model that leaves no spread", a.N).
			Hint("take another study, or the defaults")
	}
	for _, c := range a.Correlations {
		if c.Group == "specimen" && !math.IsNaN(c.Correlation) {
			v.Correlation = c.Correlation
		}
	}
	return v, nil
}

// Defaults of the spread of a reading, as shares of it: specimens of one rope 3 %,
// two falls of one specimen beyond their trend 2 %, ropes of one lot 2 %, days on
// one rig 1 %. They are common practice without a source: good enough to see
// whether three specimens or thirty are in question, no more. On the linear scale
// they are shares of the level.
func Defaults(scale compare.Scale, level float64) Variances {
	unit := 1.0
	if scale != compare.Log {
		scale, unit = compare.Linear, level
	}
	part := func(group string, share float64) compare.Variance {
		return compare.Variance{Group: group, Term: "intercept", SD: share * unit, DF: math.Inf(1)}
	}
	return Variances{
		Source: Default, From: "common practice, no source", Scale: scale,
		Parts: []compare.Variance{
			part("specimen", 0.03), part("rope", 0.02), part("day", 0.01),
			{SD: 0.02 * unit, DF: math.Inf(1)},
		},
	}
}

// Said is where the variances come from and what they are, for readers; unit is
// that of the linear scale.
func (v Variances) Said(unit string) string {
	text := "spreads from " + v.From
	switch v.Source {
	case Default:
		text = "spreads by " + v.From
	case EarlierStudy, Pilot:
		text = fmt.Sprintf("spreads from the %s %s", v.Source, strings.TrimPrefix(v.From, "study "))
	}
	for i, p := range v.Parts {
		name := p.Group
		switch {
		case name == "":
			name = "value to value"
		case p.Term == "fall":
			name += " per fall"
		}
		text += [2]string{":", ","}[min(i, 1)] + " " + name + " " + v.size(p.SD, unit)
	}
	if v.Uncertain {
		text += "; each simulated study has its own, as far as these are known"
	}
	return text
}

// size writes a standard deviation.
func (v Variances) size(sd float64, unit string) string {
	if v.Scale == compare.Log {
		return fmt.Sprintf("%.2g %%", 100*sd)
	}
	return strings.TrimSpace(fmt.Sprintf("%.3g %s", sd, unit))
}

// sd of a part, 0 where it is not there.
func (v Variances) sd(group, term string) float64 {
	for _, p := range v.Parts {
		if p.Group == group && (group == "" || p.Term == term) {
			return p.SD
		}
	}
	return 0
}

// check refuses variances that are none, or are on another scale than the model.
func (v Variances) check(ask compare.Ask) problem.List {
	var out problem.List
	scale := ask.Scale
	if scale == "" {
		scale = compare.Linear
	}
	if mine := v.Scale; mine != "" && mine != scale {
		out = append(out, problem.New(problem.Conflict, "variances", "they are on the %s scale, the model is on the %s one", mine, scale).
			Hint("analyse the earlier study on the %s scale", scale))
	}
	for _, p := range v.Parts {
		if !(p.SD >= 0) || math.IsInf(p.SD, 1) {
			out = append(out, problem.New(problem.Invalid, "variances", "the standard deviation of %q is %g, a positive one is needed", p.Group, p.SD))
		}
		if v.Uncertain && !(p.DF > 0) {
			out = append(out, problem.New(problem.TooFew, "variances", "that of %q has %g degrees of freedom, how well it is known cannot be said", p.Group, p.DF))
		}
	}
	if !(v.sd("", "") > 0) {
		out = append(out, problem.New(problem.TooFew, "variances", "the standard deviation from value to value is %g, a positive one is needed", v.sd("", "")).
			Hint("take the defaults, or those of an earlier study"))
	}
	if !(math.Abs(v.Correlation) <= 1) {
		out = append(out, problem.New(problem.Invalid, "variances", "the correlation of level and trend is %g, one from −1 to 1 is needed", v.Correlation))
	}
	return out
}

// draw sets out to the standard deviations of one study, beside Parts. When they
// are uncertain, the mean square behind each, PerLevel·SD² + residual², is taken
// as its estimate times DF/χ² of DF, the distribution that its own chance of error
// gives it, and what then is below zero is zero.
func (v Variances) draw(chi func(part int, df float64) float64, out []float64) {
	for i, p := range v.Parts {
		out[i] = p.SD
	}
	if !v.Uncertain {
		return
	}
	residual := v.sd("", "")
	now := residual
	for i, p := range v.Parts {
		if p.Group == "" {
			if !math.IsInf(p.DF, 1) {
				now = residual * math.Sqrt(p.DF/chi(i, p.DF))
			}
			out[i] = now
		}
	}
	for i, p := range v.Parts {
		if p.Group == "" || math.IsInf(p.DF, 1) || !(p.PerLevel > 0) {
			continue
		}
		if p.Term == "fall" {
			out[i] = p.SD * math.Sqrt(p.DF/chi(i, p.DF)) // its mean square depends on the falls
			continue
		}
		square := (p.PerLevel*p.SD*p.SD + residual*residual) * p.DF / chi(i, p.DF)
		out[i] = math.Sqrt(max(0, square-now*now) / p.PerLevel)
	}
}
