package compare

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/dist"
	"fallwright.example/num/lmm"
	"fallwright.example/num/oneway"
)

// ratio is the likelihood ratio of two nested models, the narrow one first.
func ratio(narrow, wide *lmm.Fit) float64 { return max(0, narrow.Deviance-wide.Deviance) }

// spreads tests whether residual spreads differ by condition: the ratio of
// restricted likelihoods with and without, the same fixed effects, over
// Bartlett's factor for the degrees of freedom ν behind each spread,
//
//	C = 1 + (Σ 1/νᵢ − 1/Σνᵢ)/(3(k − 1)),  χ² on k − 1
//
// [Bartlett1937]. For plain samples it is Bartlett's test itself.
func (c *Checks) spreads(a *Analysis) {
	t, m := a.table, a.model
	k := len(t.condition.levels)
	if k < 2 {
		return
	}
	c.bySpecimen(t, m)
	if q := m.effects(); q > mostForSpread {
		c.Notes = append(c.Notes, fmt.Sprintf("whether the residual spread differs between conditions was not tested: %d levels of random terms, the limit is %d; "+
			"the spreads by condition are those of the standardised residuals", q, mostForSpread))
		return
	}
	narrow, wide, err := m.bySpread(t)
	if err != nil {
		c.Notes = append(c.Notes, "whether the residual spread differs between conditions cannot be tested: some condition has too few values for a spread of its own")
		return
	}
	factor, sum := 0.0, 0.0
	for g, df := range wide.ResidualDF() {
		c.SpreadByCondition[g].Residual = wide.ResidualSD[g]
		factor += 1 / df
		sum += df
	}
	factor = 1 + (factor-1/sum)/(3*float64(k-1))
	s := &Test{Name: "residual spread by condition", Statistic: ratio(narrow, wide) / factor, DF1: float64(k - 1), DF2: math.NaN()}
	s.P = dist.ChiSquaredTail(s.Statistic, s.DF1)
	s.Said = c.spreadSaid(s.P, m.given.Spread != nil)
	c.SpreadTest = s
}

// bySpread is the model with one residual spread and with one a condition.
func (m *model) bySpread(t *table) (narrow, wide *lmm.Fit, err error) {
	narrow, wide = m.fit, m.fit
	other := m.given
	if m.given.Spread == nil {
		other.Spread = &lmm.Spread{Name: "condition", Group: t.condition.code, Groups: t.condition.levels}
		wide, err = lmm.New(other, lmm.REML)
	} else {
		other.Spread = nil
		narrow, err = lmm.New(other, lmm.REML)
	}
	if err == nil && slices.Min(wide.ResidualDF()) < 1-1e-9 {
		err = lmm.ErrTooFew
	}
	return narrow, wide, err
}

// spreadSaid puts the test of spreads into words; free when the model lets them
// differ.
func (c *Checks) spreadSaid(p float64, free bool) string {
	low, high := c.extremes()
	from := fmt.Sprintf("from %.3g (%s) to %.3g (%s)", low.Residual, low.Condition, high.Residual, high.Condition)
	switch {
	case p >= 0.05:
		return fmt.Sprintf("nothing speaks against one residual spread for all conditions (p %s)", chance(p))
	case free:
		return fmt.Sprintf("the residual spread differs between conditions, as the model has it: %s, p %s", from, chance(p))
	}
	return fmt.Sprintf("the residual spread differs between conditions, %s, p %s: intervals are too wide for the calm ones and too narrow for the others; "+
		"take the spread by condition into the model, or the log scale if spread grows with the value", from, chance(p))
}

// effects counts the levels of random terms.
func (m *model) effects() int {
	q := 0
	for _, c := range m.fit.Components {
		q += c.Levels * len(c.Effects)
	}
	return q
}

// extremes are the conditions of the least and the largest residual spread.
func (c *Checks) extremes() (low, high ConditionSpread) {
	low, high = c.SpreadByCondition[0], c.SpreadByCondition[0]
	for _, s := range c.SpreadByCondition {
		if s.Residual < low.Residual {
			low = s
		}
		if s.Residual > high.Residual {
			high = s
		}
	}
	return low, high
}

// bySpecimen fills in how much the specimens of each condition vary: the SD of
// their mean distance from the means of condition and fall.
func (c *Checks) bySpecimen(t *table, m *model) {
	pieces := crossed(t.condition, t.specimen)
	mean, size, home := make([]float64, len(pieces.levels)), make([]float64, len(pieces.levels)), make([]int, len(pieces.levels))
	distances := m.fit.Distances()
	for i, p := range pieces.code {
		size[p]++
		mean[p] += (distances[i] - mean[p]) / size[p]
		home[p] = t.condition.code[i]
	}
	within, rows := make([]float64, len(t.condition.levels)), make([]float64, len(t.condition.levels))
	for i, r := range c.Residuals {
		if !math.IsNaN(r.Standardised) {
			g := t.condition.code[i]
			rows[g]++
			within[g] += r.Standardised * r.Standardised
		}
	}
	for g, name := range t.condition.levels {
		var own []float64
		for p, at := range home {
			if at == g {
				own = append(own, mean[p])
			}
		}
		s := ConditionSpread{Condition: name, Residual: m.residualSD(g) * math.Sqrt(within[g]/rows[g]), Specimen: math.NaN(), Specimens: len(own)}
		if m.specimen && len(own) > 1 {
			summary, _ := oneway.Summarise(own) // two at the least
			s.Specimen = summary.SD
		}
		c.SpreadByCondition = append(c.SpreadByCondition, s)
	}
}

// residualSD is that of a condition in the model.
func (m *model) residualSD(condition int) float64 {
	if m.given.Spread == nil {
		condition = 0
	}
	return m.fit.ResidualSD[condition]
}

// trend tests whether specimens have lines of their own over falls: the ratio
// of restricted likelihoods with an intercept and a slope a specimen, free to
// correlate, against an intercept alone. The slope's variance is at its bound
// when there is none, so chance is half χ² on 1 and half on 2 [StramLee1994].
func (c *Checks) trend(a *Analysis) {
	t, m := a.table, a.model
	if !m.specimen || len(t.fall.levels) < 3 || t.n > mostTried {
		return
	}
	x, ok := t.numbers()
	if !ok || 2*len(t.specimen.levels) >= t.n {
		return
	}
	narrow, wide := m.fit, m.fit
	var err error
	other := m.given
	other.Random = slices.Clone(m.given.Random)
	if m.given.Random[0].Slope == nil {
		other.Random[0].Slope, other.Random[0].SlopeName = x, "fall"
		wide, err = lmm.New(other, lmm.REML)
	} else {
		other.Random[0].Slope = nil
		narrow, err = lmm.New(other, lmm.REML)
	}
	if err != nil {
		return
	}
	s := &Test{Name: "a trend for each specimen", Statistic: ratio(narrow, wide), DF1: 2, DF2: math.NaN()}
	s.P = (dist.ChiSquaredTail(s.Statistic, 1) + dist.ChiSquaredTail(s.Statistic, 2)) / 2
	switch {
	case s.P >= 0.05:
		s.Said = fmt.Sprintf("nothing speaks for specimens with trends over falls of their own (p %s)", chance(s.P))
	case m.given.Random[0].Slope != nil:
		s.Said = fmt.Sprintf("specimens have trends over falls of their own, as the model has it (p %s)", chance(s.P))
	default:
		s.Said = fmt.Sprintf("specimens seem to have trends over falls of their own (p %s): "+
			"intervals at single falls and of trends are then too narrow; take a trend for each specimen into the model, or judge the average over falls", chance(s.P))
	}
	c.TrendPerSpecimen = s
}

// numbers gives the falls of the rows as numbers, where all are.
func (t *table) numbers() ([]float64, bool) {
	out := make([]float64, t.n)
	for i := range out {
		x, ok := t.fallAt(i).Number()
		if !ok {
			return nil, false
		}
		out[i] = x
	}
	return out, true
}
