package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/precision"
	"fallwright.example/problem"
)

func (f *precisionFlags) pairs(_ *cobra.Command, p *precisionTable) (any, func(*precisionPage), error) {
	gather := f.inRows
	if f.again != "" {
		gather = f.inColumns
	}
	pairs, second, err := gather(p)
	if err != nil {
		return nil, nil, err
	}
	mean := 0.0
	for _, pair := range pairs {
		mean += (pair.First + pair.Second) / 2 / float64(len(pairs))
	}
	margin, err := p.margin(f.margin, mean)
	if err != nil {
		return nil, nil, err
	}
	a, err := precision.Pairs(pairs, margin)
	if err != nil {
		return nil, nil, err
	}
	return struct {
		precisionHead
		Second string `json:"second_value"`
		*precision.Agreement
	}{p.head("pairs"), second, a}, func(page *precisionPage) { page.agreement(a, second) }, nil
}

// inColumns takes the second reading from the column beside the first.
func (f *precisionFlags) inColumns(p *precisionTable) ([]precision.Pair, string, error) {
	second, err := p.table.Find(f.again)
	if err != nil {
		return nil, "", err
	}
	if unit, err := p.table.Unit(second); err != nil || unit != p.unit {
		return nil, "", problem.New(problem.Invalid, "--again", "%s is in %q and %s in %q", second, unit, p.value, p.unit).Hint("give both in one unit")
	}
	all, err := p.table.Numbers(second)
	if err != nil {
		return nil, "", err
	}
	names := make([]string, len(p.rows))
	if f.pair != "" {
		if names, err = p.text(f.pair); err != nil {
			return nil, "", err
		}
	}
	var pairs []precision.Pair
	for i, row := range p.rows {
		if all[row] != all[row] {
			p.Missing = append(p.Missing, p.table.Row(row))
			continue
		}
		pairs = append(pairs, precision.Pair{Name: names[i], First: p.values[i], Second: all[row]})
	}
	return pairs, second, nil
}

// inRows takes the two rows of a name as a pair, the first by --order or by the
// order of the table. A name with one row is left out and named.
func (f *precisionFlags) inRows(p *precisionTable) ([]precision.Pair, string, error) {
	names, err := p.text(f.pair)
	if err != nil {
		return nil, "", err
	}
	order, err := f.ranks(p)
	if err != nil {
		return nil, "", err
	}
	var pairs []precision.Pair
	count, at := map[string]int{}, map[string]int{}
	for _, i := range order {
		name := names[i]
		switch count[name]++; count[name] {
		case 1:
			at[name] = len(pairs)
			pairs = append(pairs, precision.Pair{Name: name, First: p.values[i]})
		case 2:
			pairs[at[name]].Second = p.values[i]
		default:
			return nil, "", problem.New(problem.Invalid, p.table.Name+", "+p.table.Row(p.rows[i]), "it is the third reading of %s, and a pair has two", name).
				Hint("leave the others out, or ask for --nested %s", f.pair)
		}
	}
	pairs = slices.DeleteFunc(pairs, func(q precision.Pair) bool {
		if count[q.Name] == 1 {
			p.Missing = append(p.Missing, "the second of "+q.Name)
		}
		return count[q.Name] == 1
	})
	return pairs, "the second row of each " + f.pair, nil
}

// margin reads the smallest difference that matters; a share is of the mean.
func (p *precisionTable) margin(text string, mean float64) (float64, error) {
	if text == "" {
		return 0, nil
	}
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	m, err := p.number(number)
	if err != nil || !(m > 0) {
		return 0, problem.New(problem.Invalid, "--margin", "%q is no difference above 0 in %s or in %%", text, orNone(p.unit)).
			Hint("write --margin 5%% or --margin 0.2%s", p.unit)
	}
	if !percent {
		return m, nil
	}
	if !(mean > 0) {
		return 0, problem.New(problem.Invalid, "--margin", "%s of a mean of %g", text, mean).Hint("give the margin in the unit of the values")
	}
	return m / 100 * mean, nil
}

func orNone(unit string) string {
	if unit == "" {
		return "the unit of the values"
	}
	return fmt.Sprintf("%q", unit)
}
