package compare

import (
	"slices"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// contrast is a comparison that is wanted: coefficients of the two means, or
// slopes, and what it is called.
type contrast struct {
	condition, base string
	fall            Fall
	falls           []Fall // as asked
	seen, other     []float64
	n, nBase        int
	slope           bool // a difference of slopes: no share of a baseline
	margin          Margin
	claim           Claim
}

// Contrast is a condition against a base over some falls, each alike; none
// named is over all, as in Overall. It stands alone, adjusted for nothing, and
// is judged against the margin of Ask. Numbers that cannot be had are NaN. It
// refuses a condition or a fall that the table lacks.
func (a *Analysis) Contrast(condition, base string, falls []Fall) (Difference, error) {
	c, err := a.contrast(condition, base, falls)
	if err != nil {
		return Difference{}, err
	}
	c.margin = a.Ask.Margin
	out, err := a.differences([]contrast{c}, None)
	if err != nil {
		return Difference{}, err
	}
	return out[0], nil
}

// contrast prepares a comparison over falls.
func (a *Analysis) contrast(condition, base string, falls []Fall) (contrast, error) {
	if condition == base && condition != "" {
		return contrast{}, problem.New(problem.Invalid, "condition "+condition, "compared with itself, two conditions are needed")
	}
	return a.asked(Question{Condition: condition, Baseline: base, Falls: falls})
}

// asked prepares the comparison of a question.
func (a *Analysis) asked(q Question) (contrast, error) {
	c := contrast{
		condition: q.Condition, base: q.Baseline, falls: q.Falls, margin: q.margin(), claim: q.Claim,
		slope: q.Trend && a.Ask.Scale != Log,
	}
	var err error
	if c.seen, c.n, err = a.side(q, q.Condition, q.Falls); err != nil {
		return contrast{}, err
	}
	if c.other, c.nBase, err = a.side(q, q.Baseline, q.baselineFalls()); err != nil {
		return contrast{}, err
	}
	if len(q.Falls) == 1 {
		c.fall = q.Falls[0]
	}
	return c, nil
}

// side is the coefficients of a condition over falls, and how many specimens it
// has there.
func (a *Analysis) side(q Question, condition string, falls []Fall) ([]float64, int, error) {
	i, err := a.grid.condition(condition)
	if err != nil {
		return nil, 0, err
	}
	var at []int
	for _, f := range falls {
		k := slices.Index(a.grid.falls, string(f.tidy()))
		if k < 0 || f == "" {
			return nil, 0, problem.New(problem.NotFound, "fall "+string(f), "no value at it").Hint("there is fall %s", some(a.grid.falls, 10))
		}
		at = append(at, k)
	}
	n := a.table.count(a.grid.rows[i], at)
	switch {
	case len(at) == 0:
		return a.grid.over[i], n, nil
	case len(at) == 1 && !q.Trend:
		return a.grid.mean[i][at[0]], n, nil
	}
	return weighed(a.grid.mean[i], at, q.weights(falls)), n, nil
}

func (g *grid) condition(name string) (int, error) {
	k := slices.Index(g.conditions, name)
	if k < 0 || name == "" {
		return 0, problem.New(problem.NotFound, "condition "+name, "no value of it").Hint("there is %s", some(g.conditions, 10))
	}
	return k, nil
}

// weighed is the sum of the rows at some places, each by its weight.
func weighed(rows [][]float64, at []int, weights []float64) []float64 {
	out := make([]float64, len(rows[0]))
	for i, k := range at {
		for j, v := range rows[k] {
			out[j] += v * weights[i]
		}
	}
	return out
}

// count is how many specimens have a value at some of the falls, all when none
// is named; rows where there are no specimens.
func (t *table) count(rows [][]int, at []int) int {
	n, seen := 0, map[int]bool{}
	for k := range rows {
		if len(at) > 0 && !slices.Contains(at, k) {
			continue
		}
		n += len(rows[k])
		if len(t.specimen.levels) > 0 {
			for _, i := range rows[k] {
				seen[t.specimen.code[i]] = true
			}
		}
	}
	if len(t.specimen.levels) > 0 {
		return len(seen)
	}
	return n
}

// differences makes comparisons that are one family for the adjustment.
func (a *Analysis) differences(family []contrast, by Adjust) ([]Difference, error) {
	rows := make([][]float64, len(family))
	for i, c := range family {
		rows[i] = lmm.Difference(c.seen, c.other)
	}
	e, err := a.model.estimates(rows, a.Ask.DF)
	if err != nil {
		return nil, err
	}
	adjusted, err := a.adjust(e, family, by)
	if err != nil {
		return nil, err
	}
	out := make([]Difference, len(family))
	for i, c := range family {
		d := &out[i]
		*d = Difference{Condition: c.condition, Baseline: c.base, Fall: c.fall, N: c.n, NBaseline: c.nBase}
		if len(c.falls) > 1 {
			d.Falls = c.falls
		}
		x := e.each[i]
		d.Amount, d.SE, d.DF, d.T, d.P, d.PAdjusted = x.Estimate, x.SE, x.DF, x.T, x.P, adjusted.p[i]
		half, half90 := x.SE*adjusted.beyond(0.05, x.DF), x.SE*adjusted.beyond(0.10, x.DF)
		d.Lower, d.Upper, d.Lower90, d.Upper90 = x.Estimate-half, x.Estimate+half, x.Estimate-half90, x.Estimate+half90
		if err := a.share(d, c, adjusted); err != nil {
			return nil, err
		}
		d.EquivalencePAdjusted = d.EquivalenceP
	}
	if err := adjusted.equivalence(out); err != nil {
		return nil, err
	}
	for i := range out {
		out[i].Verdict = out[i].verdict(family[i].margin)
	}
	return out, nil
}

// against fills the tables of differences to the baseline: at each fall, by
// condition and then by fall, and over falls.
func (a *Analysis) against() error {
	a.Against, a.Overall = []Difference{}, []Difference{}
	if !a.model.condition {
		return nil
	}
	var families [][]contrast
	for _, fall := range a.grid.falls {
		var at []Fall
		if fall != "" {
			at = []Fall{Fall(fall)}
		}
		family, err := a.toBaseline(at)
		if err != nil {
			return err
		}
		families = append(families, family)
	}
	if !a.Ask.EachFall {
		families = [][]contrast{slices.Concat(families...)}
	}
	for _, family := range families {
		d, err := a.differences(family, a.Ask.Adjust)
		if err != nil {
			return err
		}
		a.Against = append(a.Against, d...)
	}
	place := func(d Difference) int { return slices.Index(a.grid.conditions, d.Condition) }
	slices.SortStableFunc(a.Against, func(x, y Difference) int { return place(x) - place(y) })
	overall, err := a.toBaseline(nil)
	if err != nil {
		return err
	}
	a.Overall, err = a.differences(overall, a.Ask.Adjust)
	return err
}

// toBaseline is every other condition against the baseline over falls.
func (a *Analysis) toBaseline(falls []Fall) ([]contrast, error) {
	var family []contrast
	for _, condition := range a.grid.conditions {
		if condition == a.Ask.Baseline {
			continue
		}
		c, err := a.contrast(condition, a.Ask.Baseline, falls)
		if err != nil {
			return nil, err
		}
		c.margin = a.Ask.Margin
		family = append(family, c)
	}
	return family, nil
}
