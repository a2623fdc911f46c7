package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"fallwright.example/compare"
	"fallwright.example/figure"
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
	return fmt.Sprintf("chance of %q %s: %.0f %% (± %.1f by simulation); %s on average%s",
		c.Calls.Word(q.Measure), truth, 100*c.Power.P, 100*2*c.Power.SE, half, boundless(c.Half))
}

// boundless says how many studies have no interval, and are not in the average.
func boundless(w power.Width) string {
	if w.Unbounded == 0 || math.IsNaN(w.Mean) {
		return ""
	}
	return fmt.Sprintf(", beside %.0f %% of studies whose interval has no bounds", 100*w.Unbounded)
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

// printNumbers says how many specimens would do, measure by measure and for all.
func printNumbers(out io.Writer, planned *study.Planned) {
	specimens, falls, all := 0, 0, len(planned.HowMany) > 1
	for i, h := range planned.HowMany {
		title := "HOW MANY, " + string(h.Measure)
		for j, o := range planned.HowMany {
			if i != j && o.Measure == h.Measure {
				title = fmt.Sprintf("HOW MANY, %s, margins that are %s", h.Measure, map[bool]string{true: "shares", false: "amounts"}[h.Scale == compare.Log])
			}
		}
		fmt.Fprintf(out, "\n%s\n", title)
		printHowMany(out, planned, h)
		if all = all && h.Refused == nil && h.Short == nil && h.Choice != nil; all {
			specimens, falls = max(specimens, h.Choice.Best.Specimens), max(falls, h.Choice.Best.Falls)
		}
	}
	if all {
		fmt.Fprintf(out, "\nfor all questions together: %s of each condition, %s\n", figure.Counted(specimens, "specimen"), figure.Counted(falls, "fall"))
	}
}

// printHowMany says what the plan can show of one measure, and which would do.
func printHowMany(out io.Writer, planned *study.Planned, h study.HowMany) {
	say := func(format string, args ...any) {
		fmt.Fprintln(out, wrap("", "  ", tied(fmt.Sprintf(format, args...))))
	}
	if h.Refused != nil {
		sayProblems(out, h.Refused)
		return
	}
	printCurve(out, h)
	switch {
	case h.Choice != nil && h.Short == nil:
		b := h.Choice.Best
		rope, tower := fmt.Sprintf("%.1f m of rope", b.Bill.Metres), ""
		if planned.Plan.Cutting.Spares > 0 {
			rope += " without spares"
		}
		if planned.Plan.Days.Asked() {
			tower = fmt.Sprintf(", %.1f h of tower", b.Bill.Hours)
		}
		say("the cheapest plan with a chance of %.0f %% for every question: %s of each condition, %s, %s, %s%s",
			100*h.Wanted, figure.Counted(b.Specimens, "specimen"), figure.Counted(b.Falls, "fall"), figure.Counted(b.Bill.Drops, "drop"), rope, tower)
		for _, n := range h.Choice.Notes {
			say("note: %s", n)
		}
	case h.Short != nil:
		sayProblems(out, h.Short)
		sayEnough(out, h)
	}
	for _, m := range h.Best {
		if m.Refused != nil {
			continue
		}
		say("at best, with %s of each condition and %s (stopped by %s), a chance of %.0f %% of these:",
			figure.Counted(m.Specimens, "specimen"), figure.Counted(m.Falls, "fall"), m.Stopped, 100*h.Wanted)
		for _, s := range m.Shown {
			fmt.Fprintln(out, wrap("  ", "    ", tied(s.Question.Name+": "+shownText(s))))
		}
	}
	say("%s", h.Result.Said)
	for _, n := range append(append([]string{}, h.Notes...), h.Result.Notes...) {
		say("note: %s", n)
	}
}

// shownText is the least that can be shown of a question.
func shownText(s power.Shown) string {
	way := compare.Higher
	if s.Question.Claim == compare.ClaimLower {
		way = compare.Lower
	}
	found := fmt.Sprintf("%q for a difference of %s or more", way.Word(s.Question.Measure), ofMargin(s.Question, s.Difference))
	if math.IsNaN(s.Difference) {
		found = fmt.Sprintf("%q for no difference that was looked at", way.Word(s.Question.Measure))
	}
	if math.IsNaN(s.Margin) {
		return found + `; "no difference that matters" for no margin that was looked at`
	}
	return fmt.Sprintf(`%s; "no difference that matters" for a margin of %s or more`, found, ofMargin(s.Question, s.Margin))
}

// sayEnough names the smallest plan of the curve with the chance wanted, where the
// limits do not leave it.
func sayEnough(out io.Writer, h study.HowMany) {
	if h.Curve == nil {
		return
	}
	for _, c := range h.Curve.Cells {
		if c.Result == nil || c.Result.Least().Power.P < h.Wanted {
			continue
		}
		fmt.Fprintln(out, wrap("  -> ", "     ", tied(fmt.Sprintf("with %s of each condition and %s it would be %.0f %%",
			figure.Counted(c.Specimens, "specimen"), figure.Counted(c.Falls, "fall"), 100*c.Result.Least().Power.P))))
		return
	}
}

// printCurve is the least chance of all questions over specimens and falls.
func printCurve(out io.Writer, h study.HowMany) {
	if h.Curve == nil {
		return
	}
	fmt.Fprintln(out, "chance of the finding, least of all questions, by specimens of each condition")
	heads := []string{""}
	for _, n := range h.Curve.Specimens {
		heads = append(heads, fmt.Sprint(n))
	}
	g := newGrid(1, heads...)
	for i, f := range h.Curve.Falls {
		row := []string{figure.Counted(f, "fall")}
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
		fmt.Fprintln(out, wrap("", "  ", tied(p.Error())))
		for _, h := range p.Hints {
			fmt.Fprintln(out, wrap("  -> ", "     ", h))
		}
	}
}
