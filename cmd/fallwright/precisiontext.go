package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/precision"
)

// precisionPage prints a precision study.
type precisionPage struct {
	w io.Writer
	p *precisionTable
}

// decimals shows three digits of a spread.
func decimals(sd float64) int {
	if !(sd > 0) {
		return 4
	}
	return min(9, max(0, 2-int(math.Floor(math.Log10(sd)))))
}

func (g *precisionPage) line(format string, args ...any) { fmt.Fprintf(g.w, format+"\n", args...) }

// title is the first line: what, of which column, how many.
func (g *precisionPage) title(format string, args ...any) {
	name := g.p.value
	if g.p.unit != "" {
		name += " [" + g.p.unit + "]"
	}
	g.line("%s: %s", name, fmt.Sprintf(format, args...))
}

// said prints a sentence: what was found, before the numbers.
func (g *precisionPage) said(format string, args ...any) {
	g.line("%s", wrap("  ", "  ", fmt.Sprintf(format, args...)))
}

// with writes a value in the unit of the column, with two digits of a spread.
func (g *precisionPage) with(v, spread float64) string {
	return strings.TrimSpace(figure.Fixed(v, decimalsFor(0, spread)) + " " + g.p.unit)
}

// chance writes a p value.
func chance(p *float64) string {
	if p == nil {
		return figure.Missing
	}
	return pValue(*p)
}

func orMissing(v *float64, decimals int) string {
	if v == nil {
		return figure.Missing
	}
	return figure.Fixed(*v, decimals)
}

func betweenLimits(i *precision.Interval, decimals int) string {
	if i == nil {
		return figure.Missing
	}
	return figure.Range(i.Lower, i.Upper, decimals)
}

// closing prints rows without a value, notes and the method.
func (g *precisionPage) closing(notes []string, method string) {
	if n := len(g.p.Missing); n > 0 {
		rows := g.p.Missing
		if n > 8 {
			rows = append(append([]string{}, rows[:8]...), "…")
		}
		notes = append([]string{"left out for want of a value: " + strings.Join(rows, ", ")}, notes...)
	}
	if len(notes) > 0 {
		g.line("\nnotes")
		for _, n := range notes {
			g.line("%s", wrap("  · ", "    ", n))
		}
	}
	g.line("\nmethod\n%s", wrap("  ", "  ", method))
}

func (g *precisionPage) interlab(s *precision.Interlab) {
	readings := 0
	for _, m := range s.Materials {
		readings += m.N
	}
	on := ""
	if len(s.Materials) > 1 {
		on = fmt.Sprintf(", %d cells", len(s.Materials))
	}
	g.title("%s by %s%s", counted(readings, "reading", "readings"), counted(len(s.Labs), "lab", "labs"), on)
	g.line("")
	for _, m := range s.Materials {
		if r, between := m.Repeatability, m.Reproducibility; r != nil && between != nil {
			where := ""
			if m.Name != "" {
				where = m.Name + ": "
			}
			g.said("%stwo readings of one lab differ by less than about %s in 95 of 100 cases, readings of two labs by less than about %s",
				where, g.with(r.Limit, r.SD), g.with(between.Limit, r.SD))
		}
	}
	g.materials(s)
	for _, m := range s.Materials {
		g.cells(m)
	}
	g.flags(s)
	if w := s.Without; w != nil {
		names := make([]string, len(w.LeftOut))
		for i, l := range w.LeftOut {
			names[i] = l.String()
		}
		g.line("\nwithout %s, left out by --without", strings.Join(names, "; "))
		g.materials(w)
		g.flags(w)
	}
	g.closing(s.Notes, "ISO 5725-2: repeatability s_r pooled within cells, s_L between labs from the analysis of variance, reproducibility s_R = √(s_r² + s_L²); r and R are 2.8 times s_r and s_R. h is a lab's mean off the mean of cells in standard deviations of the means, k its standard deviation over that of all. Flags: * beyond the 5 % limit (straggler), ** beyond the 1 % limit (outlier); nothing is left out by itself. Intervals are at 95 %.")
}

func (g *precisionPage) materials(s *precision.Interlab) {
	t := newGrid(1, "cell", "labs", "n", "mean", "s_r", "+95 % interval", "s_L", "s_R", "+95 % interval", "r", "+R")
	for _, m := range s.Materials {
		r, R := m.Repeatability, m.Reproducibility
		d := 4
		if r != nil {
			d = decimals(r.SD)
		} else if R != nil {
			d = decimals(R.SD)
		}
		rSD, rLimits, rLimit := spreadCells(r, d)
		RSD, RLimits, RLimit := spreadCells(R, d)
		t.row(
			orAll(m.Name), fmt.Sprint(m.Labs), fmt.Sprint(m.N), figure.Fixed(m.Mean, d),
			rSD, rLimits, orMissing(m.Between, d), RSD, RLimits, rLimit, RLimit,
		)
	}
	g.line("")
	t.lines(g.w)
}

func orAll(name string) string {
	if name == "" {
		return "all"
	}
	return name
}

func spreadCells(s *precision.Spread, d int) (sd, limits, limit string) {
	if s == nil {
		return figure.Missing, figure.Missing, figure.Missing
	}
	return figure.Fixed(s.SD, d), betweenLimits(s.Interval, d), figure.Fixed(s.Limit, d)
}

// cells is the table of one material, with marks at what stands out.
func (g *precisionPage) cells(m precision.Material) {
	marks := map[string]string{}
	for _, f := range m.Flags {
		if f.Statistic == "h" || f.Statistic == "k" {
			marks[f.Statistic+f.Labs[0]] = map[precision.Grade]string{precision.Straggler: "*", precision.Outlier: "**"}[f.Grade]
		}
	}
	d := 4
	if m.SDOfMeans != nil {
		d = decimals(*m.SDOfMeans)
	}
	t := newGrid(1, "lab", "readings", "mean", "SD", "h", "+", "k", "+")
	for _, c := range m.Cells {
		t.row(
			c.Lab, fmt.Sprint(c.N), figure.Fixed(c.Mean, d), orMissing(c.SD, d),
			orMissing(c.H, 2), marks["h"+c.Lab], orMissing(c.K, 2), marks["k"+c.Lab],
		)
	}
	t.print(g.w, orAll(m.Name))
	g.line("  limits at 5 %% and 1 %%: h %s and %s, k %s and %s", orMissing(m.Critical.H.Straggler, 2), orMissing(m.Critical.H.Outlier, 2), orMissing(m.Critical.K.Straggler, 2), orMissing(m.Critical.K.Outlier, 2))
}

func (g *precisionPage) flags(s *precision.Interlab) {
	said := false
	for _, m := range s.Materials {
		for _, f := range m.Flags {
			if !said {
				g.line("\nstands out")
				said = true
			}
			g.line("%s", wrap("  ", "    ", f.Sentence))
		}
	}
	if !said {
		g.line("\nnothing stands out at 5 %%")
	}
}

func (g *precisionPage) anova(lines []precision.Line) {
	t := newGrid(1, "source", "df", "sum of squares", "mean square", "F", "p")
	for _, l := range lines {
		t.row(l.Source, fmt.Sprintf("%.4g", l.DF), fmt.Sprintf("%.6g", l.SS), fmt.Sprintf("%.6g", l.MS), orMissing(l.F, 3), chance(l.P))
	}
	t.print(g.w, "analysis of variance")
}

func (g *precisionPage) components(components []precision.Component, total precision.Component) {
	d := decimals(total.SD)
	t := newGrid(1, "component", "SD", "+95 % interval", "% of variance", "SD by REML")
	for _, c := range append(append([]precision.Component{}, components...), total) {
		t.row(c.Name, figure.Fixed(c.SD, d), betweenLimits(c.Interval, d), figure.Fixed(c.Percent, 1), orMissing(c.REML, d))
	}
	t.print(g.w, "what each adds to the spread of a reading")
}

func (g *precisionPage) mean(e precision.Estimate, sd float64) {
	d := decimals(sd)
	g.line("  mean %s, standard error %s, interval %s", figure.Fixed(e.Mean, d), orMissing(e.SE, d), betweenLimits(e.Interval, d))
}

const componentsMethod = "Components from the analysis of variance, beside them by restricted maximum likelihood; intervals by the modified large-sample method. An estimate below zero is shown as zero. Intervals are at 95 %."

func (g *precisionPage) hierarchy(h *precision.Hierarchy) {
	counts := make([]string, len(h.Levels))
	for i, l := range h.Levels {
		counts[i] = fmt.Sprintf("%s %d", l, h.Counts[i])
	}
	g.title("%s; groups: %s", counted(h.N, "reading", "readings"), strings.Join(counts, ", "))
	g.line("")
	most := slices.MaxFunc(h.Components, func(a, b precision.Component) int { return cmp.Compare(a.Percent, b.Percent) })
	g.said("what adds most to the spread of a reading is %s: %s %% of its variance", most.Name, figure.Fixed(most.Percent, 1))
	g.mean(h.Mean, h.Total.SD)
	g.components(h.Components, h.Total)
	g.anova(h.Lines)
	g.closing(h.Notes, componentsMethod)
}

func (g *precisionPage) gauge(s *precision.Gauge) {
	how := "crossed"
	if !s.Crossed {
		how = "each operator with parts of their own"
	}
	g.title("gauge study, %s by %s, %s, %s", counted(s.Parts, "part", "parts"), counted(s.Operators, "operator", "operators"), counted(s.N, "reading", "readings"), how)
	g.line("")
	g.said("two readings of one part differ by less than about %s in 95 of 100 cases when one operator takes both, by less than about %s when two do",
		g.with(1.96*math.Sqrt2*s.Repeatability.SD, s.Repeatability.SD), g.with(1.96*math.Sqrt2*s.RandR.SD, s.Repeatability.SD))
	d := decimals(s.Total.SD)
	t := newGrid(1, "source", "SD", "+95 % interval", "% of study", "+95 % interval", "SD by REML")
	for _, c := range []precision.Source{s.Repeatability, s.Reproducibility, s.RandR, s.PartToPart} {
		t.row(c.Name, figure.Fixed(c.SD, d), betweenLimits(c.Interval, d), figure.Fixed(c.PercentStudy, 1), betweenLimits(c.PercentLimits, 1), orMissing(c.REML, d))
	}
	t.row("total", figure.Fixed(s.Total.SD, d), betweenLimits(s.Total.Interval, d), "100.0", "", orMissing(s.Total.REML, d))
	g.line("")
	t.lines(g.w)
	g.line("\n  distinct categories %s, interval %s", orMissing(s.Distinct, 1), betweenLimits(s.DistinctLimits, 1))
	if x := s.Tolerance; x != nil {
		g.line("  precision to tolerance %s (%g standard deviations over %g), interval %s", figure.Fixed(x.Ratio, 3), x.Multiple, x.Width, betweenLimits(x.Interval, 3))
	}
	g.components(s.Components, s.Total)
	g.anova(s.Lines)
	g.closing(s.Notes, componentsMethod+" Parts and operators are taken as random. Shares of study are of standard deviations and do not add up to 100. Distinct categories are 1.41 times the parts' over the gauge's standard deviation.")
}
