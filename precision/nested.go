package precision

import (
	"strings"

	"fallwright.example/num/lmm"
	"fallwright.example/num/varcomp"
	"fallwright.example/problem"
)

// Sample is one value and the path to it, such as lot, rope and specimen.
type Sample struct {
	Path  []string
	Value float64
}

// Hierarchy is a nested sample taken apart.
type Hierarchy struct {
	Levels   []string `json:"levels"`
	N        int      `json:"readings"`
	Counts   []int    `json:"groups"` // at each level
	Balanced bool     `json:"balanced"`
	Mean     Estimate `json:"mean"`
	Lines    []Line   `json:"anova"`
	// Components are of each level, the outermost first, and of repeats within
	// the innermost; Total is all of them, the variance of a single reading.
	Components []Component `json:"components"`
	Total      Component   `json:"total"`
	// REMLDeviance is −2 log of the restricted likelihood.
	REMLDeviance *float64 `json:"reml_deviance"`
	Notes        []string `json:"notes"`
}

// Repeat names what is left within the innermost level.
const Repeat = "repeat"

// Nested takes a nested sample apart, to any depth: levels name the parts of
// the paths from the outermost, and the last of them must hold repeats. A name
// counts within what it lies in, so piece 1 of two ropes are two pieces.
//
// Components are had from the sums of squares (num/varcomp: with unequal numbers
// the first method of [Henderson1953]) and by REML (num/lmm). Intervals are of
// the modified large-sample method, with χ² for repeats. F of a level is against
// the next one in.
//
// It refuses paths of another length, empty names, values that are no numbers,
// and a level that never branches, naming it.
func Nested(levels []string, samples []Sample) (*Hierarchy, error) {
	refused := checkValues(len(samples), func(i int) float64 { return samples[i].Value }, reading)
	for i, s := range samples {
		if len(s.Path) != len(levels) {
			refused = append(refused, problem.New(problem.Invalid, reading(i), "it has %d names for %d levels", len(s.Path), len(levels)))
			continue
		}
		for j, name := range s.Path {
			if name == "" {
				refused = append(refused, problem.New(problem.Invalid, reading(i), "it has no %s", levels[j]).Hint("name the %s in each row", levels[j]))
			}
		}
	}
	if len(levels) == 0 {
		refused = append(refused, problem.New(problem.Invalid, "", "no level is named").Hint("name the levels from the outermost, such as lot, rope, specimen"))
	}
	if err := refused.Err(); err != nil {
		return nil, err
	}
	y := make([]float64, len(samples))
	for i, s := range samples {
		y[i] = s.Value
	}
	out := &Hierarchy{Levels: levels, N: len(y)}
	var factors []varcomp.Factor
	var terms []lmm.Term
	for depth, name := range levels {
		numbers, paths := numbered(len(samples), func(i int) string { return strings.Join(samples[i].Path[:depth+1], "\x00") })
		factors = append(factors, varcomp.Factor{Name: name, Level: numbers})
		terms = append(terms, lmm.Term{Name: name, Level: numbers})
		out.Counts = append(out.Counts, len(paths))
	}
	table, err := varcomp.Nested(y, factors, Repeat)
	if err != nil {
		return nil, refuse(err, "each level must branch somewhere: leave out a level that has one group in each of the one above, and the last level when nothing repeats within it")
	}
	a := &analysis{table: table}
	if a.usable() {
		a.reml(y, terms)
	}
	out.fill(a)
	return out, nil
}

func (h *Hierarchy) fill(a *analysis) {
	h.Balanced, h.Lines, h.Mean = a.table.Balanced, a.lines(), a.mean()
	all := make([]float64, len(h.Lines))
	for i, l := range h.Lines {
		one := make([]float64, len(h.Lines))
		one[i], all[i] = 1, 1
		h.Components = append(h.Components, a.sum(l.Source, one))
	}
	h.Total = a.sum("total", all)
	if a.fit != nil {
		h.REMLDeviance = known(a.fit.Deviance)
	}
	a.common()
	h.Notes = append([]string{}, a.notes...)
}
