package compare

import (
	"fmt"
	"math"
)

// Checks is what speaks for and against the model, and what a reader should
// know beside it. Nothing here changes a finding. What cannot be had is NaN, nil
// or empty, and a note says why.
type Checks struct {
	Residuals []Residual `json:"residuals"`
	Limit     float64    `json:"-"` // |Standardised| beyond it is outlying; where spreads differ, that of the first condition

	// Of the standardised residuals.
	Skewness float64 `json:"-"`
	Kurtosis float64 `json:"-"` // excess
	NormalP  float64 `json:"-"` // Shapiro-Wilk

	SpreadTest        *Test             `json:"spread_test"` // would a residual spread for each condition fit better
	SpreadByCondition []ConditionSpread `json:"spread_by_condition"`
	TrendPerSpecimen  *Test             `json:"trend_per_specimen"` // would a line over falls for each specimen

	Specimens     []Influence  `json:"specimens"` // empty where specimens are no random term
	SpecimenLimit float64      `json:"-"`         // |Effect| beyond it is outlying
	Drops         []Influence  `json:"drops"`     // each single value; empty for more than 400
	Factors       []FactorTest `json:"factors"`
	Hidden        []Hidden     `json:"hidden"`
	Notes         []string     `json:"notes"` // in words, each with what to do
}

// Test is one test of the model as a whole.
type Test struct {
	Name      string  `json:"name"`
	Statistic float64 `json:"-"`
	DF1       float64 `json:"-"`
	DF2       float64 `json:"-"` // NaN for a χ²
	P         float64 `json:"-"`
	Said      string  `json:"said"`
}

// ConditionSpread is how much values and specimens of a condition vary, on the
// model's scale.
type ConditionSpread struct {
	Condition string  `json:"condition"`
	Specimens int     `json:"specimens"`
	Residual  float64 `json:"-"` // SD, were it free to differ by condition; failing that, of the standardised residuals times the model's
	Specimen  float64 `json:"-"` // SD of the specimens' own means about those of condition and fall; NaN for one
}

// Limits of what is fitted again.
const (
	mostForSpread = 120   // levels of random terms: a step of the search costs their third power
	mostTried     = 20000 // values
)

// Check looks at the model from outside: whether residuals and specimens are at
// odds with it, what leaving out a specimen or a value changes, whether spreads
// differ, and what the table holds that the model does not. It returns an error
// only for what the model itself is at fault for.
func (a *Analysis) Check() (*Checks, error) {
	nan := math.NaN()
	c := &Checks{
		Limit: nan, SpecimenLimit: nan, Skewness: nan, Kurtosis: nan, NormalP: nan,
		Residuals: []Residual{}, SpreadByCondition: []ConditionSpread{}, Specimens: []Influence{}, Drops: []Influence{},
		Factors: []FactorTest{}, Hidden: hidden(a.data, a.Ask, a.table), Notes: []string{},
	}
	if a.model.fit == nil {
		c.Notes = append(c.Notes, "nothing else can be checked: "+a.model.why)
		return c, nil
	}
	if err := c.residuals(a.table, a.model); err != nil {
		return nil, err
	}
	if err := c.specimens(a.table, a.model); err != nil {
		return nil, err
	}
	z := c.standardised()
	c.Skewness, c.Kurtosis = shape(z)
	_, c.NormalP = shapiroWilk(z)
	c.spreads(a)
	c.trend(a)
	if a.N <= mostTried {
		c.Factors = factorTests(a.data, a.Ask, a.table, a.model)
	} else {
		c.Notes = append(c.Notes, fmt.Sprintf("%d values: columns were not tried in the model one by one and trends of specimens not tested, the limit is %d", a.N, mostTried))
	}
	left := c.influences(a)
	c.Notes = append(c.Notes, c.outlying()...)
	c.Notes = append(c.Notes, c.normal(a.Ask)...)
	c.Notes = append(c.Notes, c.tested()...)
	c.Notes = append(c.Notes, left...)
	return c, nil
}

// normal says what the shape of the residuals means.
func (c *Checks) normal(ask Ask) []string {
	if !(c.NormalP < 0.01) {
		return nil
	}
	cure := "look at the outlying values first"
	if ask.Scale != Log && c.Skewness > 0.5 {
		cure += ", then at the log scale"
	}
	return []string{fmt.Sprintf("the residuals do not look normal (skewness %.1f, excess kurtosis %.1f, Shapiro-Wilk p %s): "+
		"with few specimens intervals then err either way; %s, and read the re-randomisation test beside the findings",
		c.Skewness, c.Kurtosis, chance(c.NormalP), cure)}
}

// tested collects the words of tests that found something.
func (c *Checks) tested() []string {
	var out []string
	for _, t := range []*Test{c.SpreadTest, c.TrendPerSpecimen} {
		if t != nil && t.P < 0.05 {
			out = append(out, t.Said)
		}
	}
	tried := 0
	for _, f := range c.Factors {
		if !math.IsNaN(f.P) {
			tried++
		}
	}
	for _, f := range c.Factors {
		switch {
		case f.P < 0.05 && tried > 1:
			out = append(out, fmt.Sprintf("%s; of %d columns tried one in twenty would by chance: take it into the model if it was planned for, else say that it was seen", f.Said, tried))
		case f.P < 0.05:
			out = append(out, f.Said+": take it into the model if it was planned for, else say that it was seen")
		}
	}
	return out
}
