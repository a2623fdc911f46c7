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
	slope           bool // a difference of slopes: no share of a baseline, no margin
	margin          Margin
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
	seen, err := a.grid.condition(condition)
	if err != nil {
		return contrast{}, err
	}
	other, err := a.grid.condition(base)
	if err != nil {
		return contrast{}, err
	}
	if seen == other {
		return contrast{}, problem.New(problem.Invalid, "condition "+condition, "compared with itself, two conditions are needed")
	}
	c := contrast{condition: condition, base: base, falls: falls, seen: a.grid.over[seen], other: a.grid.over[other]}
	var at []int
	for _, f := range falls {
		k := slices.Index(a.grid.falls, string(f.tidy()))
		if k < 0 || f == "" {
			return contrast{}, problem.New(problem.NotFound, "fall "+string(f), "no value at it").Hint("there is fall %s", some(a.grid.falls, 10))
		}
		at = append(at, k)
	}
	if len(falls) == 1 {
		c.fall = falls[0]
	}
	if len(falls) > 0 {
		c.seen, c.other = average(a.grid.mean[seen], at), average(a.grid.mean[other], at)
	}
	c.n, c.nBase = a.table.count(a.grid.rows[seen], at), a.table.count(a.grid.rows[other], at)
	return c, nil
}

func (g *grid) condition(name string) (int, error) {
	k := slices.Index(g.conditions, name)
	if k < 0 || name == "" {
		return 0, problem.New(problem.NotFound, "condition "+name, "no value of it").Hint("there is %s", some(g.conditions, 10))
	}
	return k, nil
}

// average of the rows at some places.
func average(rows [][]float64, at []int) []float64 {
	if len(at) == 1 {
		return rows[at[0]]
	}
	out := make([]float64, len(rows[0]))
	for _, k := range at {
		for j, v := range rows[k] {
			out[j] += v / float64(len(at))
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
	adjusted, err := a.adjust(e, by)
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
		if !family[i].slope {
			out[i].Verdict = out[i].verdict(family[i].margin)
		}
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
