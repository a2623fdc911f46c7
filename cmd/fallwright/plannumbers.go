package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"fallwright.example/compare"
	"fallwright.example/power"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// chanceText is what a plan does for one question.
func chanceText(c power.Chance) string {
	q := c.Question
	half := fmt.Sprintf("a 95 %% interval of ± %s", ofMargin(q, c.Half.Mean))
	truth := "if there is no difference"
	if c.Truth != (power.Truth{}) {
		truth = fmt.Sprintf("if the difference is %s", supposed(q, c.Truth))
	}
	return fmt.Sprintf("chance of %q %s: %.0f %% (± %.1f by simulation); %s on average",
		c.Calls.Word(q.Measure), truth, 100*c.Power.P, 100*2*c.Power.SE, half)
}

// supposed is the difference that a simulation took, in the unit of the margin.
func supposed(q compare.Question, t power.Truth) string {
	size := math.Abs(t.Margins) * q.Amount
	if q.Share > 0 {
		size = 100 * math.Abs(t.Margins) * q.Share
	}
	way := "upwards"
	if t.Margins < 0 {
		way = "downwards"
	}
	return fmt.Sprintf("%g margins, %s %s", math.Abs(t.Margins), ofMargin(q, size), way)
}

// ofMargin is an amount on the scale of a question's margin.
func ofMargin(q compare.Question, x float64) string {
	switch {
	case math.IsNaN(x):
		return "?"
	case q.Share > 0:
		return fmt.Sprintf("%.1f %%", x)
	case q.Unit == "N":
		return fmt.Sprintf("%.2f kN", x/1000)
	}
	return strings.TrimSpace(fmt.Sprintf("%.3g %s", x, q.Unit))
}

// printHowMany says what the plan can show of one measure, and which would do.
func printHowMany(out io.Writer, h study.HowMany) {
	fmt.Fprintf(out, "\nHOW MANY, %s\n", h.Measure)
	say := func(format string, args ...any) { fmt.Fprintln(out, wrap("", "  ", fmt.Sprintf(format, args...))) }
	if h.Refused != nil {
		sayProblems(out, h.Refused)
		return
	}
	printCurve(out, h)
	switch {
	case h.Choice != nil && h.Short == nil:
		b := h.Choice.Best
		say("the cheapest plan with a chance of %.0f %% for every question: %d specimens of each condition, %d falls, %d drops, %.1f m of rope, %.1f h of tower when nothing overlaps",
			100*h.Wanted, b.Specimens, b.Falls, b.Bill.Drops, b.Bill.Metres, b.Bill.Hours)
		for _, n := range h.Choice.Notes {
			say("note: %s", n)
		}
	case h.Short != nil:
		sayProblems(out, h.Short)
	}
	for _, m := range h.Best {
		if m.Refused != nil {
			continue
		}
		say("at best, with %d specimens of each condition and %d falls (stopped by %s):", m.Specimens, m.Falls, m.Stopped)
		for _, s := range m.Shown {
			say("  %s: a difference from %s is found, and none that matters inside %s", s.Question.Name,
				ofMargin(s.Question, s.Difference), ofMargin(s.Question, s.Margin))
		}
	}
	say("%s", h.Result.Said)
	for _, n := range append(append([]string{}, h.Notes...), h.Result.Notes...) {
		say("note: %s", n)
	}
}

// printCurve is the least chance of all questions over specimens and falls.
func printCurve(out io.Writer, h study.HowMany) {
	if h.Curve == nil {
		return
	}
	heads := []string{"chance of the finding, least of all questions"}
	for _, n := range h.Curve.Specimens {
		heads = append(heads, fmt.Sprint(n))
	}
	g := newGrid(1, heads...)
	for i, f := range h.Curve.Falls {
		row := []string{fmt.Sprintf("%d falls, specimens of each condition:", f)}
		for j := range h.Curve.Specimens {
			c := h.Curve.Cells[i*len(h.Curve.Specimens)+j]
			cell := "-"
			if c.Result != nil {
				cell = fmt.Sprintf("%.0f %%", 100*c.Result.Least().Power.P)
			}
			row = append(row, cell)
		}
		g.row(row...)
	}
	g.lines(out)
}

// sayProblems prints refusals that are part of an answer.
func sayProblems(out io.Writer, err error) {
	for _, p := range problem.All(err) {
		fmt.Fprintln(out, wrap("", "  ", p.Error()))
		for _, h := range p.Hints {
			fmt.Fprintln(out, wrap("  -> ", "     ", h))
		}
	}
}
