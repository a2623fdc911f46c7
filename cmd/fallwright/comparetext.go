package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	compare "fallwright.example/compare"
	"fallwright.example/figure"
)

// print says what was found: sentences first, numbers second, method third.
func (r *compared) print(w io.Writer) {
	a := r.analysis
	fmt.Fprintf(w, "%s: %s of %s%s\n", r.table.Name, figure.Counted(a.N, "value"), a.Ask.Measure, r.unit(", "))
	for _, x := range r.answers {
		fmt.Fprintf(w, "\n%s %s\n", sign(string(x.Verdict)), strings.ToUpper(x.Verdict.Word(a.Ask.Measure)))
		fmt.Fprintln(w, wrap("  ", "  ", x.Sentence))
		for _, n := range x.Notes {
			if !slices.Contains(r.notes, n) {
				fmt.Fprintln(w, wrap("  · ", "    ", n))
			}
		}
	}
	r.printMeans(w)
	r.printDifferences(w, "difference to "+a.Ask.Baseline, a.Against, a.Ask.Margin != (compare.Margin{}) && len(r.answers) > 0)
	if r.falls() > 1 {
		r.printDifferences(w, "difference to "+a.Ask.Baseline+" over falls", a.Overall, len(r.answers) > 0)
	}
	r.printTrends(w)
	r.printTerms(w)
	r.printModel(w)
	r.printDealt(w)
	r.printBootstrap(w)
	if r.ask.checks {
		printChecks(w, r.checks)
	}
	printList(w, "notes", r.notes)
	var rules []string
	for _, x := range r.answers {
		if !slices.Contains(rules, x.Rule) {
			rules = append(rules, x.Rule)
		}
	}
	printList(w, "rule", rules)
}

// unit is the unit of the values behind some words; nothing without one.
func (r *compared) unit(words string) string {
	if r.analysis.Ask.Unit == "" {
		return ""
	}
	return words + r.analysis.Ask.Unit
}

// scaled is what numbers on the model's scale are in.
func (r *compared) scaled() string {
	if r.analysis.Ask.Scale == compare.Log {
		return ", logarithms"
	}
	return r.unit(", ")
}

// falls is how many there are in the tables.
func (r *compared) falls() int {
	var names []compare.Fall
	for _, m := range r.analysis.Means {
		if m.Fall != "" && !slices.Contains(names, m.Fall) {
			names = append(names, m.Fall)
		}
	}
	return len(names)
}

func (r *compared) printMeans(w io.Writer) {
	a := r.analysis
	title := "means" + r.unit(", ")
	var se, sds []float64
	most := 0.0
	for _, m := range a.Means {
		se, sds, most = append(se, m.SE), append(sds, m.SD), max(most, abs(m.Centre))
	}
	d := decimalsFor(most, append(se, sds...)...)
	what := "mean"
	if a.Ask.Scale == compare.Log {
		what, d = "geometric mean", decimalsFor(most, centres(a.Means)...)
	}
	g := newGrid(2, "condition", "fall", "n", what, "+95 % interval", "df", "SD", "a new one, 95 %")
	for _, m := range a.Means {
		g.row(m.Condition, string(m.Fall), strconv.Itoa(m.N), figure.Fixed(m.Centre, d), figure.Range(m.CentreLower, m.CentreUpper, d),
			degrees(m.DF), figure.Fixed(m.SD, d), figure.Range(m.NewLower, m.NewUpper, d))
	}
	g.print(w, title)
}

// centres are half-widths in the unit, by which decimals are chosen on the
// logarithmic scale.
func centres(means []compare.Mean) []float64 {
	var out []float64
	for _, m := range means {
		out = append(out, (m.CentreUpper-m.CentreLower)/4, m.SD)
	}
	return out
}

func (r *compared) printDifferences(w io.Writer, title string, table []compare.Difference, verdicts bool) {
	if len(table) == 0 {
		return
	}
	adjusted, ratios := r.analysis.Ask.Adjust != compare.None, r.analysis.Ask.Scale == compare.Log
	heads := []string{"condition", "fall", "n"}
	if !ratios {
		heads = append(heads, "difference", "+95 % interval")
	}
	heads = append(heads, "per cent", "+95 % interval")
	if verdicts {
		heads = append(heads, "+verdict")
	}
	heads = append(heads, "df", "t", "p")
	if adjusted {
		heads = append(heads, "+p adjusted")
	}
	g := newGrid(2, heads...)
	var se []float64
	for _, d := range table {
		se = append(se, d.SE)
	}
	n := decimalsFor(0, se...)
	for _, d := range table {
		cells := []string{d.Condition, string(d.Fall), fmt.Sprintf("%d, %d", d.N, d.NBaseline)}
		if !ratios {
			cells = append(cells, figure.Signed(d.Amount, n), figure.Range(d.Lower, d.Upper, n))
		}
		cells = append(cells, figure.Signed(d.Percent, 1), figure.Range(d.PercentLower, d.PercentUpper, 1))
		if verdicts {
			cells = append(cells, sign(string(d.Verdict))+" "+d.Verdict.Word(r.analysis.Ask.Measure))
		}
		cells = append(cells, degrees(d.DF), figure.Fixed(d.T, 2), pValue(d.P))
		if adjusted {
			cells = append(cells, pValue(d.PAdjusted))
		}
		g.row(cells...)
	}
	if ratios {
		g.print(w, title+", ratios of geometric means")
		return
	}
	g.print(w, title+r.scaled())
}

func (r *compared) printTrends(w io.Writer) {
	a := r.analysis
	if len(a.Trends) == 0 {
		return
	}
	var se []float64
	for _, t := range a.Trends {
		se = append(se, t.SE)
	}
	n := decimalsFor(0, se...)
	g := newGrid(1, "condition", "slope", "SE", "df", "95 % interval")
	for _, t := range a.Trends {
		g.row(t.Condition, figure.Signed(t.Slope, n), figure.Fixed(t.SE, n), degrees(t.DF), figure.Range(t.Lower, t.Upper, n))
	}
	g.print(w, "change from fall to fall"+r.scaled())
	r.printDifferences(w, "difference of that change to "+a.Ask.Baseline, a.TrendsAgainst, false)
}

func (r *compared) printTerms(w io.Writer) {
	g := newGrid(1, "term", "F", "df", "df of the residual", "p")
	if !slices.ContainsFunc(r.analysis.Terms, func(t compare.TermTest) bool { return !math.IsNaN(t.F) }) {
		return // a note says why
	}
	for _, t := range r.analysis.Terms {
		g.row(t.Term, figure.Fixed(t.F, 3), figure.Fixed(t.DF1, 0), degrees(t.DF2), pValue(t.P))
	}
	g.print(w, "terms")
}

func (r *compared) printModel(w io.Writer) {
	a := r.analysis
	fmt.Fprintf(w, "\nmodel\n%s\n%s\n", wrap("  ", "  ", a.Said), wrap("  ", "  ", a.Formula))
	g := newGrid(2, "spread", "", "SD", "levels")
	var sds []float64
	for _, x := range a.Random {
		sds = append(sds, x.SD)
	}
	n := decimalsFor(0, append(sds, a.ResidualSD)...) + 1
	for _, x := range a.Random {
		g.row(x.Group, x.Term, figure.Fixed(x.SD, n), strconv.Itoa(x.Levels))
	}
	if len(a.Spreads) > 0 {
		for _, s := range a.Spreads {
			g.row("residual", s.Condition, figure.Fixed(s.SD, n), "")
		}
	} else {
		g.row("residual", "", figure.Fixed(a.ResidualSD, n), "")
	}
	if !math.IsNaN(a.ResidualSD) {
		g.lines(w)
	}
	for _, c := range a.Correlations {
		fmt.Fprintf(w, "  correlation of %s and %s between levels of %s: %s\n", c.Terms[0], c.Terms[1], c.Group, figure.Fixed(c.Correlation, 3))
	}
	method := map[string]string{"kenward-roger": "Kenward-Roger", "satterthwaite": "Satterthwaite"}[r.ask.df]
	if !math.IsNaN(a.Deviance) {
		fmt.Fprintf(w, "  REML deviance %s; degrees of freedom by %s\n", figure.Fixed(a.Deviance, 4), method)
	}
}

func (r *compared) printDealt(w io.Writer) {
	if r.dealt == nil {
		return
	}
	var said []string
	for _, d := range r.dealt {
		within := ""
		if r.ask.within != "" {
			within = ", within each " + r.ask.within
		}
		said = append(said, fmt.Sprintf("%s against %s%s: %s", d.Condition, d.Baseline, within, d.Said))
	}
	printList(w, "dealt anew", said)
}

func (r *compared) printBootstrap(w io.Writer) {
	b := r.bootstrap
	if b == nil {
		return
	}
	for _, t := range []struct {
		title string
		rows  []compare.Bootstrapped
	}{{"at falls", b.Against}, {"over falls", b.Overall}, {"of the change from fall to fall", b.Slopes}} {
		var widths []float64
		for _, x := range t.rows {
			widths = append(widths, (x.Percentile[1]-x.Percentile[0])/4)
		}
		n := decimalsFor(0, widths...)
		g := newGrid(2, "condition", "fall", "difference", "studentised", "percentile", "basic")
		for _, x := range t.rows {
			g.row(x.Condition, string(x.Fall), figure.Signed(x.Difference, n), figure.Range(x.Studentised[0], x.Studentised[1], n),
				figure.Range(x.Percentile[0], x.Percentile[1], n), figure.Range(x.Basic[0], x.Basic[1], n))
		}
		g.print(w, fmt.Sprintf("95 %% intervals by a parametric bootstrap of %d draws, seed %d, %s%s", b.Draws, b.Seed, t.title, r.scaled()))
	}
}

// decimalsFor shows the smallest of some spreads with two digits; four decimals
// where none is known. What is less than 1e-9 of the value beside it is rounding
// and no spread.
func decimalsFor(beside float64, spreads ...float64) int {
	least := math.Inf(1)
	for _, s := range spreads {
		if s > 1e-9*math.Abs(beside) && s > 0 && s < least {
			least = s
		}
	}
	if math.IsInf(least, 1) {
		return 4
	}
	return min(max(1-int(math.Floor(math.Log10(least))), 0), 12)
}

// degrees writes degrees of freedom: one decimal unless they are whole.
func degrees(df float64) string {
	if math.Abs(df-math.Round(df)) < 1e-6*df {
		return figure.Fixed(df, 0)
	}
	return figure.Fixed(df, 1)
}

// pValue writes a probability.
func pValue(p float64) string {
	if p < 1e-4 {
		return "< 0.0001"
	}
	return figure.Fixed(p, 4)
}

// printList prints some sentences under a title.
func printList(w io.Writer, title string, said []string) {
	for i, s := range said {
		if i == 0 {
			fmt.Fprintf(w, "\n%s\n", title)
		}
		fmt.Fprintln(w, wrap("  · ", "    ", s))
	}
}
