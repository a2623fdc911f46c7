package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
)

func compareCommand() *cobra.Command {
	var b bookFlags
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "compare",
		Short: "Answer a study's questions from its falls",
		Args:  noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				f, err := desk.Findings(ctx, b.study)
				if err != nil {
					return err
				}
				if asJSON {
					return printJSON(cmd, findingsJSON(f))
				}
				printFindings(cmd.OutOrStdout(), f)
				return nil
			})
		}),
	}
	b.register(cmd, true, false)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, values in SI")
	return cmd
}

// findingsOut is the JSON of compare.
type findingsOut struct {
	Study       string           `json:"study"`
	Invented    bool             `json:"invented"`
	Method      string           `json:"method"`
	Exploratory *string          `json:"exploratory"` // why, or null
	Answers     []compare.Answer `json:"answers"`
	Measures    []measureOut     `json:"measures"`
	LeftOut     []leftOut        `json:"left_out"`
}

type measureOut struct {
	Measure     string               `json:"measure"`
	Unit        string               `json:"unit"`
	Means       []compare.Cell       `json:"means"`
	Differences []compare.Difference `json:"against_baseline"`
}

type leftOut struct {
	Specimen string `json:"specimen"`
	Fall     int    `json:"fall"`
	Measure  string `json:"measure"`
	Why      string `json:"why"`
}

func findingsJSON(f *study.Findings) findingsOut {
	out := findingsOut{
		Study: f.Study.Plan.Name, Invented: f.Study.Plan.Invented, Method: f.Method,
		Answers: append([]compare.Answer{}, f.Answers...), Measures: []measureOut{}, LeftOut: []leftOut{},
	}
	if f.Exploratory != "" {
		out.Exploratory = &f.Exploratory
	}
	for _, m := range f.Measures {
		out.Measures = append(out.Measures, measureOut{string(m.Measure), m.Measure.Unit(), m.Cells, m.Differences})
	}
	for _, l := range f.Left {
		out.LeftOut = append(out.LeftOut, leftOut{l.Drop.Specimen, l.Drop.Fall, string(l.Measure), l.Why})
	}
	return out
}

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
		fmt.Fprintf(w, "\n%s %s\n", figure.VerdictSign(a.Verdict), strings.ToUpper(a.Verdict.Word(a.Question.Measure)))
		fmt.Fprintln(w, wrap("  ", "  ", a.Question.Asks))
		fmt.Fprintln(w, wrap("  ", "  ", a.Sentence))
		for _, n := range a.Notes {
			fmt.Fprintln(w, wrap("  · ", "    ", n))
		}
	}
	for _, m := range f.Measures {
		printMeasure(w, plan, m)
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

// printMeasure is the table of means by condition and fall.
func printMeasure(w io.Writer, plan campaign.Plan, m study.MeasureTable) {
	u := figure.UnitOf(m.Measure)
	fmt.Fprintf(w, "\n%s, %s: mean of the specimens (standard deviation)\n", m.Measure, u.Name)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "  condition\tspecimens")
	for n := 1; n <= plan.Series.Falls; n++ {
		fmt.Fprintf(t, "\tfall %d", n)
	}
	fmt.Fprintln(t)
	for _, c := range plan.Conditions {
		cells := map[int]compare.Cell{}
		most := 0
		for _, cell := range m.Cells {
			if cell.Condition == c.Name {
				cells[cell.Fall] = cell
				most = max(most, cell.N)
			}
		}
		fmt.Fprintf(t, "  %s\t%d", c.Name, most)
		for n := 1; n <= plan.Series.Falls; n++ {
			cell, ok := cells[n]
			if !ok {
				fmt.Fprint(t, "\t–")
				continue
			}
			fmt.Fprintf(t, "\t%s (%s)", u.Write(cell.Mean), figure.Fixed(cell.SD*u.Scale, u.Decimals))
			if cell.N < most {
				fmt.Fprintf(t, " n=%d", cell.N)
			}
		}
		fmt.Fprintln(t)
	}
	t.Flush()
}
