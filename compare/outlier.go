package compare

import (
	"fmt"
	"math"

	"fallwright.example/num/dist"
)

// Residual is a value beside what the model makes of it, on the model's scale.
type Residual struct {
	Row          string  `json:"row"`
	Specimen     string  `json:"specimen"`
	Condition    string  `json:"condition"`
	Fall         Fall    `json:"fall"`
	Fitted       float64 `json:"-"` // the mean with the predicted effects of its specimen and blocks
	Residual     float64 `json:"-"` // value less Fitted
	Standardised float64 `json:"-"` // over its own SD, lmm.Fit.Standing; NaN where the means hold the value by itself
	Outlying     bool    `json:"outlying"`
}

// outlyingBeyond is the size that the largest of n values, each over an SD that
// is estimated from all of them with df degrees of freedom, exceeds by chance
// in at most one table of twenty,
//
//	t·√(ν/(ν − 1 + t²)),  t Student's on ν − 1 exceeded with 0.05/(2n)
//
// Bonferroni over n; for one sample it is the limit of [Grubbs1950], exact for
// residuals of least squares. +Inf with one degree of freedom or none, which
// cannot tell.
func outlyingBeyond(n int, df float64) float64 {
	if !(df > 1) || n < 1 {
		return math.Inf(1)
	}
	t := dist.T(0.05/(2*float64(n)), df-1)
	return t * math.Sqrt(df/(df-1+t*t))
}

// fewestOfSpread is the degrees of freedom of a condition's own spread from which
// on its values are judged. They are part of what the spread is taken from, so
// that none can lie beyond √ν of it; the limit presses against that end where ν
// is small, and ν is an approximation here. Common practice, no source.
const fewestOfSpread = 5

// residuals stands each value beside the model and marks the outlying ones.
func (c *Checks) residuals(t *table, m *model) error {
	each := make([]int, t.n)
	for i := range each {
		each[i] = i
	}
	standing, err := m.fit.Standing(each)
	if err != nil {
		return err
	}
	df := m.fit.ResidualDF()
	limits := make([]float64, len(df))
	for g := range df {
		limits[g] = outlyingBeyond(t.n, df[g])
		if m.given.Spread != nil && df[g] < fewestOfSpread {
			limits[g] = math.Inf(1)
		}
	}
	c.Limit = limits[0]
	fitted := m.fit.Fitted()
	for i := range t.n {
		limit := limits[0]
		if m.given.Spread != nil {
			limit = limits[m.given.Spread.Group[i]]
		}
		r := Residual{
			Row: t.name(t.of[i]), Condition: t.conditionAt(i), Fall: t.fallAt(i),
			Fitted: fitted[i], Residual: t.value[i] - fitted[i], Standardised: standing[i],
		}
		if len(t.specimen.levels) > 0 {
			r.Specimen = t.specimenAt(i)
		}
		r.Outlying = math.Abs(r.Standardised) > limit
		c.Residuals = append(c.Residuals, r)
	}
	return nil
}

// standardised lists those that there are.
func (c *Checks) standardised() []float64 {
	var out []float64
	for _, r := range c.Residuals {
		if !math.IsNaN(r.Standardised) {
			out = append(out, r.Standardised)
		}
	}
	return out
}

// specimens stands each specimen beside the others of its condition.
func (c *Checks) specimens(t *table, m *model) error {
	if !m.specimen {
		return nil
	}
	standing, err := m.fit.Standing(t.specimen.code)
	if err != nil {
		return err
	}
	c.SpecimenLimit = outlyingBeyond(len(standing), m.fit.TermDF(0))
	home := t.homes()
	for s, name := range t.specimen.levels {
		i := Influence{Name: name, Effect: standing[s]}
		i.Outlying = math.Abs(i.Effect) > c.SpecimenLimit
		i.Condition = home[s]
		c.Specimens = append(c.Specimens, i)
	}
	return nil
}

// homes is the condition of each specimen; empty for one in several.
func (t *table) homes() []string {
	out := make([]string, len(t.specimen.levels))
	seen := make([]bool, len(out))
	for i, s := range t.specimen.code {
		condition := t.conditionAt(i)
		if seen[s] && out[s] != condition {
			condition = ""
		}
		out[s], seen[s] = condition, true
	}
	return out
}

// most outlying values and specimens that are named one by one.
const mostNamed = 5

// outlying says which values and specimens are at odds with the rest.
func (c *Checks) outlying() []string {
	var out []string
	named := 0
	for _, s := range c.Specimens {
		if !s.Outlying {
			continue
		}
		if named++; named <= mostNamed {
			out = append(out, fmt.Sprintf("specimen %s as a whole lies %s the others%s, %.1f of the SDs of such an effect (limit %.1f): "+
				"look at how it was cut, knotted, weighed and kept; it stays in unless a reason is found, and then the report says so",
				s.Name, aboveBelow(s.Effect), ofCondition(s.Condition), math.Abs(s.Effect), c.SpecimenLimit))
		}
	}
	out = append(out, beyond(named, "specimens"))
	named = 0
	for _, r := range c.Residuals {
		if !r.Outlying {
			continue
		}
		if named++; named <= mostNamed {
			out = append(out, r.said())
		}
	}
	return notEmpty(append(out, beyond(named, "values")))
}

// said is the sentence for an outlying value.
func (r Residual) said() string {
	from, look := "what the others say of it", "look at how it was taken and written down"
	if r.Specimen != "" {
		from = "what the rest of " + r.Specimen + " and the other specimens say of it"
		look = "a single drop is at odds, not its specimen: look at its trace, setting and rest"
	}
	return fmt.Sprintf("%s lies %s %s, %.1f of its own SDs: %s; it stays in unless a reason is found, and then the report says so",
		r.Row, aboveBelow(r.Standardised), from, math.Abs(r.Standardised), look)
}

func aboveBelow(x float64) string {
	if x < 0 {
		return "below"
	}
	return "above"
}

// ofCondition is " of dry", or nothing without a condition.
func ofCondition(condition string) string {
	if condition == "" {
		return ""
	}
	return " of " + condition
}

// beyond counts those that were not named.
func beyond(named int, what string) string {
	if named <= mostNamed {
		return ""
	}
	return fmt.Sprintf("%d more %s are marked in the table of the checks; so many speak for another scale, or for a spread that differs", named-mostNamed, what)
}

func notEmpty(notes []string) []string {
	var out []string
	for _, n := range notes {
		if n != "" {
			out = append(out, n)
		}
	}
	return out
}
