package findings

import (
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/web/page/mark"
)

// mean writes a condition's mean at one fall, and below it the interval.
func (m Model) mean(condition string, fall compare.Fall) (number, below string) {
	u := figure.UnitOf(m.Measure)
	for _, c := range m.Analysis.Means {
		if c.Condition == condition && c.Fall == fall {
			below := orNothing(figure.Range(c.CentreLower*u.Scale, c.CentreUpper*u.Scale, u.Decimals))
			if most := m.most(condition); c.N < most {
				below += fmt.Sprintf("; %d of %d", c.N, most)
			}
			return u.Write(c.Centre), below
		}
	}
	return figure.Missing, ""
}

// most is the number of specimens of a condition at the fall that has most.
func (m Model) most(condition string) int {
	n := 0
	for _, c := range m.Analysis.Means {
		if c.Condition == condition {
			n = max(n, c.N)
		}
	}
	return n
}

// difference writes a condition's difference to the baseline at one fall, or over
// all where it is empty, and below it the interval.
func (m Model) difference(condition string, fall compare.Fall) (number, below string) {
	all := m.Analysis.Against
	if fall == "" {
		all = m.Analysis.Overall
	}
	for _, d := range all {
		if d.Condition == condition && (fall == "" || d.Fall == fall) {
			number, limits := figure.Written(m.Measure, m.Analysis, d)
			return number, orNothing(limits)
		}
	}
	return figure.Missing, ""
}

// orNothing leaves out what is missing below a number.
func orNothing(text string) string {
	if text == figure.Missing {
		return ""
	}
	return text
}

// falls are those that the model has, in order.
func (m Model) falls() []compare.Fall {
	var out []compare.Fall
	for _, c := range m.Analysis.Means {
		if !slices.Contains(out, c.Fall) {
			out = append(out, c.Fall)
		}
	}
	slices.SortStableFunc(out, figure.CompareFalls)
	return out
}

func (m Model) meansSaid() string {
	what := "Mean"
	if m.Scale == compare.Log {
		what = "Geometric mean"
	}
	said := fmt.Sprintf("%s by the model in %s; below it the 95\u202f%% interval", what, figure.UnitOf(m.Measure).Name)
	if slices.ContainsFunc(m.Analysis.Means, func(c compare.Mean) bool { return c.N < m.most(c.Condition) }) {
		said += ", and how many of the specimens have a value where one is missing"
	}
	return said + "."
}

func (m Model) differencesSaid(v View) string {
	return fmt.Sprintf("Difference to %s; below it the 95\u202f%% interval%s.", v.plan().BaselineCondition(), adjustedSaid(v.Findings.Rule.Adjust))
}

// adjustedSaid says how the intervals of a table allow for their number.
func adjustedSaid(a campaign.Adjust) string {
	switch a {
	case campaign.Holm:
		return ", adjusted for the conditions compared at a fall by Bonferroni’s share"
	case campaign.Joint:
		return ", adjusted jointly for the conditions compared at a fall"
	}
	return ", not adjusted for looking at many"
}

// conditions are those of the plan that the model has a mean of.
func (m Model) conditions(p *campaign.Plan) []mark.Condition {
	var out []mark.Condition
	for i, c := range p.Conditions {
		if slices.ContainsFunc(m.Analysis.Means, func(x compare.Mean) bool { return x.Condition == c.Name }) {
			out = append(out, mark.Condition{Place: i, Name: c.Name})
		}
	}
	return out
}

// compared are the conditions of a model that are not the baseline.
func (m Model) compared(p *campaign.Plan) []mark.Condition {
	return slices.DeleteFunc(m.conditions(p), func(c mark.Condition) bool { return c.Name == p.BaselineCondition() })
}
