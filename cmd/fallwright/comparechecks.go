package main

import (
	"fmt"
	"io"
	"slices"

	compare "fallwright.example/compare"
	"fallwright.example/figure"
)

// printChecks prints what speaks for and against the model.
func printChecks(w io.Writer, c *compare.Checks) {
	fmt.Fprintf(w, "\nchecks\n")
	if !(c.NormalP >= 0) && len(c.Residuals) == 0 {
		fmt.Fprintln(w, "  there are no residuals to look at")
	} else {
		fmt.Fprintf(w, "  residuals: skewness %s, excess kurtosis %s, Shapiro-Wilk p %s\n", figure.Fixed(c.Skewness, 2), figure.Fixed(c.Kurtosis, 2), pValue(c.NormalP))
	}
	var said []string
	for _, t := range []*compare.Test{c.SpreadTest, c.TrendPerSpecimen} {
		if t != nil {
			said = append(said, t.Said)
			fmt.Fprintln(w, wrap("  ", "  ", t.Said))
		}
	}
	g := newGrid(1, "condition", "specimens", "residual SD", "SD of specimens")
	var sds []float64
	for _, s := range c.SpreadByCondition {
		sds = append(sds, s.Residual, s.Specimen)
	}
	n := decimalsFor(0, sds...)
	for _, s := range c.SpreadByCondition {
		g.row(s.Condition, fmt.Sprint(s.Specimens), figure.Fixed(s.Residual, n), figure.Fixed(s.Specimen, n))
	}
	g.print(w, "spread by condition")
	printInfluence(w, "left out one by one: specimens", c.Specimens)
	g = newGrid(3, "value", "condition", "fall", "fitted", "residual", "standardised")
	var left []float64
	for _, r := range c.Residuals {
		left = append(left, r.Residual)
	}
	n = decimalsFor(0, spreadOf(left))
	for _, r := range c.Residuals {
		if r.Outlying {
			g.row(r.Row, r.Condition, string(r.Fall), figure.Fixed(r.Fitted, n), figure.Signed(r.Residual, n), figure.Signed(r.Standardised, 1))
		}
	}
	g.print(w, "outlying values")
	g = newGrid(2, "column", "as", "F", "df", "df of the residual", "p")
	var untried []string
	for _, f := range c.Factors {
		if !(f.P >= 0) {
			untried = append(untried, f.Said)
			continue
		}
		g.row(f.Name, string(f.Kind), figure.Fixed(f.F, 2), figure.Fixed(f.DF1, 0), degrees(f.DF2), pValue(f.P))
	}
	g.print(w, "columns tried, each by itself, as one more effect")
	for _, n := range c.Notes {
		if !slices.Contains(said, n) {
			untried = append(untried, n)
		}
	}
	printList(w, "what the checks say", untried)
}

// printInfluence prints what leaving out each specimen does: its largest change.
func printInfluence(w io.Writer, title string, all []compare.Influence) {
	g := newGrid(1, "specimen", "condition", "off by, in SD", "largest change", "+in SE", "p", "+p without it")
	for _, i := range all {
		name := i.Name
		if i.Outlying {
			name += " (outlying)"
		}
		if len(i.Changes) == 0 {
			g.row(name, i.Condition, figure.Signed(i.Effect, 2), "", "", "", "")
			continue
		}
		c := i.Changes[0]
		for _, other := range i.Changes {
			if abs(other.InSE) > abs(c.InSE) {
				c = other
			}
		}
		what := c.Condition + " against " + c.Baseline
		if c.Fall != "" {
			what += " at fall " + string(c.Fall)
		}
		g.row(name, i.Condition, figure.Signed(i.Effect, 2), what, figure.Signed(c.InSE, 2), pValue(c.P), pValue(c.PWithout))
	}
	g.print(w, title)
}

// abs is the size of a number; 0 when it is not known.
func abs(x float64) float64 {
	switch {
	case x < 0:
		return -x
	case x > 0:
		return x
	}
	return 0
}

// spreadOf is a tenth of the largest size among numbers, to choose decimals by.
func spreadOf(values []float64) float64 {
	most := 0.0
	for _, v := range values {
		most = max(most, abs(v))
	}
	return most / 10
}
