package main

import (
	"fmt"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/precision"
)

func (g *precisionPage) chart(c *precision.Chart) {
	d := decimals(c.Spread)
	g.title("%s chart of %s", map[precision.ChartKind]string{
		precision.Individuals: "individuals", precision.EWMA: "weighted mean (EWMA)", precision.CUSUM: "cumulative sum (CUSUM)",
	}[c.Kind], counted(len(c.Plotted), "point", "points"))
	if len(c.Signals) == 0 {
		g.line("\n  no signal: the points stay within their limits")
	} else {
		g.line("\n  %s, the first at %s", counted(len(c.Signals), "signal", "signals"), c.Signals[0].Label)
		for _, run := range runsOf(c.Signals) {
			g.line("%s", wrap("  · ", "    ", run))
		}
		g.line("%s", wrap("  → ", "    ", precision.WhatToDo))
	}
	if l := c.Later; l != nil {
		g.said("%s after the baseline against it: mean difference %s, 95 %% interval %s",
			counted(l.Points, "point", "points"), figure.Signed(l.Difference, d), betweenLimits(&l.Interval, d))
	}
	g.line("")
	g.said("centre %s, standard deviation of a point %s: %s", figure.Fixed(c.Centre, d), figure.Fixed(c.Spread, d), c.From)
	if c.Kind == precision.CUSUM {
		g.line("  decision interval %s", orMissing(c.Upper, d))
	} else {
		g.line("  limits %s and %s%s", orMissing(c.Lower, d), orMissing(c.Upper, d), map[bool]string{true: " in the end"}[c.Kind == precision.EWMA])
	}
	if c.RangeLimit != nil {
		g.line("  mean range of neighbours %s, limit %s", orMissing(c.MeanRange, d), orMissing(c.RangeLimit, d))
	}
	g.plotted(c, d)
	t := newGrid(1, "shift in standard deviations", "points")
	for _, r := range c.Runs {
		t.row(fmt.Sprintf("%g", r.Shift), orMissing(r.Points, 1))
	}
	t.print(g.w, "points up to a signal, on average")
	without := ""
	if c.RangeLimit != nil {
		without = ", the range left aside"
	}
	g.closing(c.Notes, upperFirst(c.Settings)+". Run lengths are for independent normal points with known centre and spread"+without+". A spread from ranges is their mean over 2/√π.")
}

// runsOf says signals one after the other, those of neighbouring points that
// agree together.
func runsOf(signals []precision.Signal) []string {
	var out []string
	done := make([]bool, len(signals))
	for i, s := range signals {
		if done[i] {
			continue
		}
		last := s
		for j := i + 1; j < len(signals); j++ {
			if n := signals[j]; n.Rule == s.Rule && n.Side == s.Side && n.Point == last.Point+1 {
				last, done[j] = n, true
			}
		}
		where, side := s.Label, ""
		if last.Point > s.Point {
			where += " to " + last.Label
		}
		if s.Side != "" {
			side = " (" + s.Side + ")"
		}
		out = append(out, where+": "+s.Rule+side)
	}
	return out
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// plotted lists the points as the chart draws them.
func (g *precisionPage) plotted(c *precision.Chart, d int) {
	header := map[precision.ChartKind][]string{
		precision.Individuals: {"point", "", "value", "range", "+"},
		precision.EWMA:        {"point", "", "value", "weighted mean", "from", "+to", "+"},
		precision.CUSUM:       {"point", "", "value", "sum high", "+sum low", "+"},
	}[c.Kind]
	t := newGrid(2, header...)
	for _, p := range c.Plotted {
		row := []string{p.Label, "", figure.Fixed(p.Value, d)}
		if p.Baseline && c.Baseline < len(c.Plotted) {
			row[1] = "baseline"
		}
		switch c.Kind {
		case precision.EWMA:
			row = append(row, orMissing(p.EWMA, d+1), orMissing(p.Lower, d+1), orMissing(p.Upper, d+1))
		case precision.CUSUM:
			row = append(row, orMissing(p.High, d+1), orMissing(p.Low, d+1))
		default:
			row = append(row, orMissing(p.Range, d))
		}
		mark := ""
		if len(p.Signals) > 0 {
			mark = "← signal"
		}
		t.row(append(row, mark)...)
	}
	g.line("")
	t.lines(g.w)
}

func (g *precisionPage) agreement(a *precision.Agreement, second string) {
	d := decimals(a.SD)
	g.title("%s, second readings in %s", counted(a.N, "pair", "pairs"), second)
	if a.Verdict != precision.NoMargin {
		g.line("\n%s %s", sign(string(a.Verdict)), strings.ToUpper(string(a.Verdict)))
	}
	g.line("%s", wrap("  ", "  ", a.Sentence))
	t := newGrid(1, "", "value", "+95 % interval")
	for _, row := range [][]string{
		{"mean of first readings", figure.Fixed(a.MeanFirst, d), ""},
		{"mean of second readings", figure.Fixed(a.MeanSecond, d), ""},
		{"mean difference, second − first", figure.Fixed(a.Difference, d), betweenLimits(&a.Interval, d)},
		{"the same, at 90 %", "", betweenLimits(a.Interval90, d)},
		{"SD of one reading", figure.Fixed(a.Reading.SD, d), betweenLimits(a.Reading.Interval, d)},
		{"repeatability limit, 2.8 SD", figure.Fixed(a.Reading.Limit, d), ""},
		{"lower limit of agreement", figure.Fixed(a.LowerLimit.Value, d), betweenLimits(&a.LowerLimit.Interval, d)},
		{"upper limit of agreement", figure.Fixed(a.UpperLimit.Value, d), betweenLimits(&a.UpperLimit.Interval, d)},
	} {
		t.row(row...)
	}
	g.line("")
	t.lines(g.w)
	if a.P != nil {
		g.said("against no difference at all: p %s (t %.3f on %s)", chance(a.P), *a.T, counted(int(a.DF), "degree of freedom", "degrees of freedom"))
	}
	if e := a.Equivalence; e != nil {
		g.said("against a difference beyond the margin of %s on either side: p %s (two one-sided tests)", g.with(e.Margin, a.SD), pValue(e.P))
	}
	g.line("\nrule\n%s", wrap("  ", "  ", a.Rule))
	g.closing(a.Notes, "Student's interval for the mean difference, χ² for the spread; limits of agreement are the mean difference ± 1.96 standard deviations. Intervals are at 95 % where nothing else is said.")
}
