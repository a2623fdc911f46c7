package html

import (
	"fmt"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
)

// beside lists the numbers and cross-checks under a finding.
func beside(a compare.Answer) []string {
	var out []string
	d := a.Difference
	if p := figure.Probability(d.PAdjusted); p != figure.Missing {
		text := "Against no difference p " + p + ", " + figure.DF(d.DF)
		if d.P != d.PAdjusted {
			text += ", p " + figure.Probability(d.P) + " before it is adjusted"
		}
		if e := figure.Probability(d.EquivalencePAdjusted); e != figure.Missing {
			text += "; against the margin p " + e
		}
		out = append(out, text+".")
	}
	if r := a.Randomisation; r != nil && !slices.ContainsFunc(a.Notes, func(n string) bool { return strings.Contains(n, r.Said) }) {
		out = append(out, upper(tied(r.Said))+".")
	}
	if c := a.Welch; c != nil {
		out = append(out, fmt.Sprintf("Welch’s test, one value a specimen, this question alone: p %s; it would say: %s.",
			figure.Probability(c.P), c.Verdict.Word(a.Question.Measure)))
	}
	return out
}

// adjustment says whether the findings allow for the number of questions.
func adjustment(a campaign.Adjust) string {
	switch a {
	case campaign.Holm:
		return "The findings about one value are adjusted for their number by Holm’s method."
	case campaign.Joint:
		return "The findings about one value are adjusted for their number jointly."
	}
	return "The findings are not adjusted for their number."
}

// adjusted says how the intervals of a table allow for their number.
func adjusted(a campaign.Adjust) string {
	switch a {
	case campaign.Holm:
		return ", adjusted for the conditions compared there by Bonferroni’s share"
	case campaign.Joint:
		return ", adjusted jointly for the conditions compared there"
	}
	return ", not adjusted for looking at many"
}

// onScale sets a second model of a measure apart from the first.
func onScale(place int, model study.Model) string {
	switch {
	case place == 0:
		return ""
	case model.Scale == compare.Log:
		return ", on logarithms, for margins in per cent"
	}
	return ", on the values as they are, for margins in the unit"
}

// group is the means of one condition.
type group struct {
	condition string
	means     []compare.Mean
}

// groups has every condition of the plan, those without a fall too, and then
// any that only the model has.
func (p *page) groups(model study.Model) []group {
	all := make([]group, len(p.names))
	for i, n := range p.names {
		all[i].condition = n
	}
	for _, c := range model.Analysis.Means {
		i := slices.IndexFunc(all, func(g group) bool { return g.condition == c.Condition })
		if i < 0 {
			i, all = len(all), append(all, group{condition: c.Condition})
		}
		all[i].means = append(all[i].means, c)
	}
	return all
}

// difference finds a condition's difference to the baseline at a fall.
func difference(model study.Model, condition string, fall compare.Fall) (compare.Difference, bool) {
	for _, d := range model.Analysis.Against {
		if d.Condition == condition && d.Fall == fall {
			return d, true
		}
	}
	return compare.Difference{}, false
}

// overall finds a condition's difference to the baseline over all falls.
func overall(model study.Model, condition string) (compare.Difference, bool) {
	for _, d := range model.Analysis.Overall {
		if d.Condition == condition {
			return d, true
		}
	}
	return compare.Difference{}, false
}

// differing is a difference and its interval.
func differing(model study.Model, d compare.Difference) [2]string {
	number, limits := figure.Written(model.Measure, model.Analysis, d)
	return [2]string{number, limits}
}

func between(m campaign.Measure, lower, upper float64) string {
	u := figure.UnitOf(m)
	return figure.Range(lower*u.Scale, upper*u.Scale, u.Decimals)
}
