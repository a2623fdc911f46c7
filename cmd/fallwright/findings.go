package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
)

// noQuestions is said of a study that puts none.
const noQuestions = "The study puts no question, so nothing is found: the tables below are there to be looked at, and what they suggest is a question for another study."

// printFindings says the findings: sentences first, numbers second, method
// third.
func printFindings(w io.Writer, f *study.Findings) {
	plan := f.Study.Plan
	fmt.Fprintf(w, "%s\n", plan.Title)
	if plan.Invented {
		fmt.Fprintln(w, "INVENTED: a demonstration, no rope was tested")
	}
	if f.Exploratory != "" {
		fmt.Fprintf(w, "exploratory: %s\n", f.Exploratory)
	}
	if len(f.Answers) == 0 {
		fmt.Fprintf(w, "\n%s\n", wrap("", "", noQuestions))
	}
	for _, a := range f.Answers {
		printAnswer(w, a)
	}
	for _, m := range f.Measures {
		for i, model := range m.Models {
			printModel(w, plan, model, i == 0)
		}
	}
	for i, u := range f.Unmodelled() {
		if i == 0 {
			fmt.Fprintln(w, "\nwhat no model holds")
		}
		fmt.Fprintln(w, wrap("  · ", "    ", u.Line()))
	}
	if len(f.Left) > 0 {
		fmt.Fprintln(w, "\nfalls that count but have no value")
		for _, l := range f.Left {
			fmt.Fprintf(w, "  %s fall %d, %s: %s\n", l.Drop.Specimen, l.Drop.Fall, l.Measure, l.Why)
		}
	}
	fmt.Fprintf(w, "\nmethod\n%s\n", wrap("  ", "  ", f.Method))
	for i, rule := range rules(f.Answers) {
		if i == 0 {
			fmt.Fprintln(w, "\nrules")
		}
		fmt.Fprintln(w, wrap("  ", "  ", rule))
	}
}

// printAnswer is one finding with its cross-checks.
func printAnswer(w io.Writer, a compare.Answer) {
	fmt.Fprintf(w, "\n%s %s\n", figure.VerdictSign(a.Verdict), strings.ToUpper(a.Verdict.Word(a.Question.Measure)))
	fmt.Fprintln(w, wrap("  ", "  ", a.Question.Asks))
	fmt.Fprintln(w, wrap("  ", "  ", a.Sentence))
	var beside []string
	if p := figure.Probability(a.Difference.PAdjusted); p != figure.Missing {
		beside = append(beside, "p "+p+" on "+figure.DF(a.Difference.DF))
	}
	if r := a.Randomisation; r != nil && !slices.ContainsFunc(a.Notes, func(n string) bool { return strings.Contains(n, r.Said) }) {
		beside = append(beside, fmt.Sprintf("p %s with the specimens dealt anew (at best %s)", figure.Probability(r.P), figure.Probability(r.Smallest)))
	}
	if c := a.Welch; c != nil {
		beside = append(beside, "p "+figure.Probability(c.P)+" by Welch's test of this question alone")
	}
	if len(beside) > 0 {
		fmt.Fprintln(w, wrap("  ", "  ", strings.Join(beside, "; ")))
	}
	for _, n := range a.Notes {
		fmt.Fprintln(w, wrap("  · ", "    ", n))
	}
}

// rules lists each rule that gave a verdict once.
func rules(answers []compare.Answer) []string {
	var out []string
	for _, a := range answers {
		if !slices.Contains(out, a.Rule) {
			out = append(out, a.Rule)
		}
	}
	return out
}

// printModel is one model: its means by condition and fall, unless they are
// printed already, what varies, and what its checks found.
func printModel(w io.Writer, plan campaign.Plan, model study.Model, means bool) {
	m := model.Measure
	if model.Analysis == nil {
		fmt.Fprintf(w, "\n%s: no model could be fitted\n", m)
		for _, why := range model.Why() {
			fmt.Fprintln(w, wrap("  · ", "    ", why))
		}
		return
	}
	if means {
		printMeans(w, plan, model)
	}
	a := model.Analysis
	fmt.Fprintf(w, "\nmodel of %s\n%s\n", m, wrap("  ", "  ", a.Said))
	fmt.Fprintf(w, "  %s\n", a.Formula)
	var varies []string
	for _, v := range model.Varies() {
		varies = append(varies, v.What+" "+v.SD)
	}
	if len(varies) > 0 {
		fmt.Fprintln(w, wrap("  ", "  ", "standard deviations: "+strings.Join(varies, ", ")))
	}
	notes := slices.Clone(a.Notes)
	if model.Checks != nil {
		notes = append(notes, model.Checks.Notes...)
	}
	for _, n := range notes {
		fmt.Fprintln(w, wrap("  · ", "    ", n))
	}
}

// printMeans is the table of means by condition and fall.
func printMeans(w io.Writer, plan campaign.Plan, model study.Model) {
	u := figure.UnitOf(model.Measure)
	what := "mean by the model"
	if model.Scale == compare.Log {
		what = "geometric mean by the model"
	}
	fmt.Fprintf(w, "\n%s, %s: %s (below it the 95 %% interval)\n", model.Measure, u.Name, what)
	heads := []string{"condition", "specimens"}
	for n := 1; n <= plan.Series.Falls; n++ {
		heads = append(heads, fmt.Sprintf("fall %d", n))
	}
	g := newGrid(2, heads...)
	for _, c := range plan.Conditions {
		cells, most := map[compare.Fall]compare.Mean{}, 0
		for _, mean := range model.Analysis.Means {
			if mean.Condition == c.Name {
				cells[mean.Fall], most = mean, max(most, mean.N)
			}
		}
		row := []string{c.Name, strconv.Itoa(most)}
		for n := 1; n <= plan.Series.Falls; n++ {
			mean, ok := cells[compare.FallNumber(n)]
			if !ok || mean.N == 0 {
				row = append(row, figure.Missing)
				continue
			}
			cell := u.Write(mean.Centre) + "\n" + figure.Range(mean.CentreLower*u.Scale, mean.CentreUpper*u.Scale, u.Decimals)
			if mean.N < most {
				cell += fmt.Sprintf("\nof %d", mean.N)
			}
			row = append(row, cell)
		}
		g.row(row...)
	}
	g.lines(w)
}
