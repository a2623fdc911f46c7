package main

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/precision"
	"fallwright.example/problem"
)

func (f *precisionFlags) points(cmd *cobra.Command, p *precisionTable) (any, func(*precisionPage), error) {
	if err := f.settings(cmd); err != nil {
		return nil, nil, err
	}
	order, err := f.ranks(p)
	if err != nil {
		return nil, nil, err
	}
	labels := make([]string, len(p.values))
	if f.order != "" {
		if labels, err = p.text(f.order); err != nil {
			return nil, nil, err
		}
	}
	points := make([]precision.Point, len(p.values))
	for i, from := range order {
		points[i] = precision.Point{Label: labels[from], Value: p.values[from]}
	}
	o := precision.ChartOptions{
		Kind: precision.ChartKind(f.chart), Baseline: f.baseline,
		Lambda: f.weight, Limit: f.limit, Reference: f.reference, Decision: f.decide,
	}
	if cmd.Flags().Changed("centre") {
		o.Centre = &f.centre
	}
	if cmd.Flags().Changed("sd") {
		o.Spread = &f.sd
	}
	if o.Rules, err = f.runs(cmd); err != nil {
		return nil, nil, err
	}
	c, err := precision.NewChart(points, o)
	if err != nil {
		return nil, nil, err
	}
	return struct {
		precisionHead
		*precision.Chart
	}{p.head("control chart"), c}, func(page *precisionPage) { page.chart(c) }, nil
}

// settings refuses a setting of zero or less, which the chart would take for one
// that was not given, and one that its kind has no use for.
func (f *precisionFlags) settings(cmd *cobra.Command) error {
	for _, s := range []struct {
		flag  string
		value float64
		kind  precision.ChartKind // "" for all
	}{
		{"baseline", float64(f.baseline), ""},
		{"weight", f.weight, precision.EWMA},
		{"limit", f.limit, precision.EWMA},
		{"reference", f.reference, precision.CUSUM},
		{"decision", f.decide, precision.CUSUM},
	} {
		if !cmd.Flags().Changed(s.flag) {
			continue
		}
		if !(s.value > 0) {
			return problem.New(problem.Invalid, "--"+s.flag, "it is %g, and has to be above 0", s.value)
		}
		if s.kind != "" && precision.ChartKind(f.chart) != s.kind {
			return problem.New(problem.Invalid, "--"+s.flag, "it belongs to --chart %s", s.kind)
		}
	}
	return nil
}

// runs are the rules of a chart of individuals; single points always signal.
func (f *precisionFlags) runs(cmd *cobra.Command) ([]precision.Rule, error) {
	if !cmd.Flags().Changed("rules") {
		return nil, nil
	}
	if f.chart != string(precision.Individuals) {
		return nil, problem.New(problem.Invalid, "--rules", "an %s has its own limit and no runs", f.chart).Hint("use --chart individuals")
	}
	rules := []precision.Rule{precision.OnePoint}
	for _, name := range f.rules {
		rule, known := map[string]precision.Rule{"2of3": precision.TwoOf3, "4of5": precision.FourOf5, "8side": precision.EightSide}[strings.TrimSpace(name)]
		if !known {
			return nil, problem.New(problem.Invalid, "--rules", "there is no rule %q", name).Hint("they are 2of3, 4of5 and 8side")
		}
		rules = append(rules, rule)
	}
	return rules, nil
}

var dated = regexp.MustCompile(`^\d{4}-\d\d-\d\d`)

// ranks is the order of the values by the column that --order names, or that of
// the rows. Equal entries stay in the order of the rows.
func (f *precisionFlags) ranks(p *precisionTable) ([]int, error) {
	at := make([]int, len(p.values))
	for i := range at {
		at[i] = i
	}
	if f.order == "" {
		return at, nil
	}
	labels, err := p.text(f.order)
	if err != nil {
		return nil, err
	}
	numbers, asNumbers, dates := make([]float64, len(labels)), true, true
	for i, l := range labels {
		v, err := strconv.ParseFloat(l, 64)
		numbers[i] = v
		asNumbers = asNumbers && err == nil
		dates = dates && dated.MatchString(l)
	}
	if !asNumbers && !dates {
		return nil, problem.New(problem.Invalid, "--order", "the column %s holds neither numbers nor dates as 2026-05-31 throughout", f.order).
			Hint("without --order the rows are taken in the order of the table")
	}
	slices.SortStableFunc(at, func(a, b int) int {
		if asNumbers {
			return cmp.Compare(numbers[a], numbers[b])
		}
		return cmp.Compare(labels[a], labels[b])
	})
	return at, nil
}
