package compare

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Analyse fits the model and makes every table.
//
// Condition and fall are fixed effects with their interaction, as far as the
// data have them with two levels or more, then the covariates; each specimen
// has a random intercept (and a slope over falls with TrendPerSpecimen), and so
// has each level of the blocks. Without conditions, falls or specimens the
// model is what remains.
//
// Where no variance can be had (one specimen, one specimen a condition, values
// that fit exactly), the numbers are there without intervals, and a note says
// why. It refuses, naming rows, values that are no numbers, falls that are no
// numbers under a trend, values that are not positive on the log scale; a
// baseline or block that is not there, and a block that cannot be told from the
// rest of the model.
func Analyse(d Data, ask Ask) (*Analysis, error) {
	ask, err := ask.complete(d)
	if err != nil {
		return nil, err
	}
	a := &Analysis{Ask: ask, data: d, limits: memo{}, ResidualSD: math.NaN(), Deviance: math.NaN()}
	if a.table, a.Notes, err = d.rows(ask); err != nil {
		return nil, err
	}
	a.N = a.table.n
	if err := a.baseline(); err != nil {
		return nil, err
	}
	m, notes, err := fitted(a.table, a.Ask)
	if err != nil {
		return nil, err
	}
	a.model = m
	a.Notes = append(a.Notes, notes...)
	if a.grid, err = m.cells(a.table); err != nil {
		return nil, problem.New(problem.Invalid, "model", "%v", err)
	}
	a.variances()
	for _, table := range []func() error{a.means, a.against, a.trends, a.terms} {
		if err := table(); err != nil {
			return nil, err
		}
	}
	a.describe()
	a.remark()
	return a, nil
}

// complete fills in the defaults and refuses what is none of the choices.
func (ask Ask) complete(d Data) (Ask, error) {
	if ask.FallsAs == "" {
		ask.FallsAs = Levels
	}
	if ask.Scale == "" {
		ask.Scale = Linear
	}
	if ask.Adjust == "" {
		ask.Adjust = None
	}
	if ask.Measure == "" {
		ask.Measure = "value"
	}
	refuse := func(what, got, choice string) (Ask, error) {
		return ask, problem.New(problem.Invalid, what, "%q is none of %s", got, choice)
	}
	switch {
	case !slices.Contains([]FallsAs{Levels, Trend, TrendPerSpecimen}, ask.FallsAs):
		return refuse("falls as", string(ask.FallsAs), "levels, trend, trend-per-specimen")
	case ask.Scale != Linear && ask.Scale != Log:
		return refuse("scale", string(ask.Scale), "linear, log")
	case !slices.Contains([]Adjust{None, Holm, Joint}, ask.Adjust):
		return refuse("adjust", string(ask.Adjust), "none, holm, joint")
	case ask.DF != lmm.KenwardRoger && ask.DF != lmm.Satterthwaite:
		return refuse("degrees of freedom", ask.DF.String(), "Kenward-Roger, Satterthwaite")
	case ask.FallsAs == TrendPerSpecimen && d.Specimen == nil:
		return ask, problem.New(problem.Invalid, "trend-per-specimen", "the table has no specimens").Hint("name the column of specimens, or take falls as a trend")
	case ask.FallsAs != Levels && d.Fall == nil:
		return ask, problem.New(problem.Invalid, string(ask.FallsAs), "the table has no falls").Hint("name the column of falls")
	}
	return ask, ask.Margin.check(ask.Scale)
}

// check refuses a margin that cannot be judged.
func (m Margin) check(scale Scale) error {
	switch {
	case !(m.Share >= 0 && m.Share < 1):
		return problem.New(problem.Invalid, "margin", "%g %% of the baseline, a share above 0 and below 100 %% is needed", 100*m.Share)
	case !(m.Amount >= 0) || math.IsInf(m.Amount, 1):
		return problem.New(problem.Invalid, "margin", "%g, a positive amount is needed", m.Amount)
	case m.Share > 0 && m.Amount > 0:
		return problem.New(problem.Invalid, "margin", "%g %% and %g, one of the two is needed", 100*m.Share, m.Amount)
	case m.Amount > 0 && scale == Log:
		return problem.New(problem.Invalid, "margin", "an amount of %g cannot be judged on the log scale, where differences are ratios", m.Amount).
			Hint("give the margin in per cent, or take the linear scale")
	}
	return nil
}

// baseline fills in the first condition and refuses one without a value.
func (a *Analysis) baseline() error {
	levels := a.table.condition.levels
	switch {
	case len(levels) == 0:
		if a.Ask.Baseline != "" {
			return problem.New(problem.Invalid, "baseline "+a.Ask.Baseline, "the table has no conditions").Hint("name the column of conditions")
		}
	case a.Ask.Baseline == "":
		a.Ask.Baseline = levels[0]
	case !slices.Contains(levels, a.Ask.Baseline):
		return problem.New(problem.NotFound, "baseline "+a.Ask.Baseline, "no value of it").Hint("there is %s", some(levels, 10))
	}
	return nil
}

// base is the place of the baseline among the conditions.
func (a *Analysis) base() int { return slices.Index(a.grid.conditions, a.Ask.Baseline) }

// variances takes the spreads from the fit.
func (a *Analysis) variances() {
	a.Random, a.Correlations = []Random{}, []Correlation{}
	f := a.model.fit
	if f == nil {
		return
	}
	a.Deviance, a.ResidualSD, a.Record = f.Deviance, f.ResidualSD[0], f.Record
	if a.model.given.Spread != nil {
		a.ResidualSD = f.ResidualSD[a.base()]
		for g, name := range a.table.condition.levels {
			a.Spreads = append(a.Spreads, Spread{name, f.ResidualSD[g]})
		}
	}
	for _, c := range f.Components {
		for e, name := range c.Effects {
			a.Random = append(a.Random, Random{Group: c.Term, Term: name, SD: math.Sqrt(c.Covariance[e][e]), Levels: c.Levels})
		}
		if len(c.Effects) == 2 {
			a.Correlations = append(a.Correlations, Correlation{c.Term, [2]string{c.Effects[0], c.Effects[1]}, c.Correlation})
		}
	}
}
