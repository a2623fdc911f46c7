package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/problem"
)

// What of a model is said in the same words at every end.

// Varying is one thing that the model lets vary.
type Varying struct {
	What   string
	SD     string // written, on the model's scale
	Levels int    // how many there are of it; 0 where that says nothing
}

// Varies lists the random effects and the residual; nothing where no variance
// could be had.
func (m Model) Varies() []Varying {
	a := m.Analysis
	var out []Varying
	for _, r := range a.Random {
		what := "between " + r.Group + "s"
		if r.Term != "intercept" {
			what += ", per " + r.Term
		}
		out = append(out, Varying{what, m.SD(r.SD), r.Levels})
	}
	for _, s := range a.Spreads {
		out = append(out, Varying{"from fall to fall, " + s.Condition, m.SD(s.SD), 0})
	}
	if len(a.Spreads) == 0 && !math.IsNaN(a.ResidualSD) {
		out = append(out, Varying{"from fall to fall", m.SD(a.ResidualSD), a.N})
	}
	return out
}

// SD writes a standard deviation on the model's scale.
func (m Model) SD(v float64) string { return figure.SD(m.Measure, m.Scale, v) }

// Difference writes a difference on the model's scale: in the unit, or in per
// cent.
func (m Model) Difference(x float64) string {
	if m.Scale == compare.Log {
		return figure.Percent(100 * math.Expm1(x))
	}
	return figure.UnitOf(m.Measure).Signed(x)
}

// Search says what the optimiser did.
func (m Model) Search() string {
	r := m.Analysis.Record
	if r.Evaluations == 0 {
		return "no search was needed"
	}
	text := fmt.Sprintf("search from %s, %s, %s, one more step would gain %.0e",
		figure.Counted(r.Starts, "start"), figure.Counted(r.Iterations, "step"), figure.Counted(r.Evaluations, "evaluation"), max(r.Decrement, 0))
	if !r.Converged {
		text += "; not converged"
	}
	for _, b := range r.Boundary {
		text += "; " + b
	}
	return text
}

// Tested are the words of the tests of the model as a whole.
func (m Model) Tested() []string {
	c := m.Checks
	var out []string
	if p := figure.Probability(c.NormalP); p != figure.Missing {
		out = append(out, fmt.Sprintf("normal residuals: Shapiro-Wilk p %s, skewness %s, excess kurtosis %s", p, figure.Fixed(c.Skewness, 2), figure.Fixed(c.Kurtosis, 2)))
	}
	for _, t := range []*compare.Test{c.SpreadTest, c.TrendPerSpecimen} {
		if t != nil && !slices.Contains(c.Notes, t.Said) { // a note has said it already
			out = append(out, t.Name+": "+t.Said)
		}
	}
	return out
}

// Influential are the specimens whose leaving out was tried, the one that moves a
// difference furthest first.
func (m Model) Influential() []compare.Influence {
	moved := func(i compare.Influence) float64 {
		if len(i.Changes) == 0 || math.IsNaN(i.Changes[0].InSE) {
			return math.Inf(1)
		}
		return math.Abs(i.Changes[0].InSE)
	}
	var out []compare.Influence
	for _, i := range m.Checks.Specimens {
		if len(i.Changes) > 0 {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b compare.Influence) int { return cmp.Compare(moved(b), moved(a)) })
	return out
}

// Tried are the factors that a test could be had of, each by itself as one more
// term.
func (m Model) Tried() []compare.FactorTest {
	return slices.DeleteFunc(slices.Clone(m.Checks.Factors), func(f compare.FactorTest) bool { return math.IsNaN(f.P) })
}

// Why are the reasons for which there is no model.
func (m Model) Why() []string {
	var out []string
	for _, p := range problem.All(m.Refused) {
		text := p.What
		if p.Where != "" {
			text = p.Where + ": " + text
		}
		out = append(out, text)
	}
	return out
}
