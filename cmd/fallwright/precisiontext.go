package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

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

// table prints aligned rows under a header: the first column from the left, the
// others to the right but for those of words.
func (g *precisionPage) table(rows [][]string, words ...int) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := " "
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i == 0 || slices.Contains(words, i) {
				cell += pad
			} else {
				cell = pad + cell
			}
			if widths[i] > 0 {
				line += cell + "  "
			}
		}
		g.line("%s", strings.TrimRight(" "+line, " "))
	}
}

// chance writes a p value.
func chance(p *float64) string {
	if p != nil && *p < 0.0001 {
		return "< 0.0001"
	}
	return orMissing(p, 4)
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
	return figure.Fixed(i.Lower, decimals) + " to " + figure.Fixed(i.Upper, decimals)
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
	rows := [][]string{{"cell", "labs", "n", "mean", "s_r", "interval", "s_L", "s_R", "interval", "r", "R"}}
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
		rows = append(rows, []string{
			orAll(m.Name), fmt.Sprint(m.Labs), fmt.Sprint(m.N), figure.Fixed(m.Mean, d),
			rSD, rLimits, orMissing(m.Between, d), RSD, RLimits, rLimit, RLimit,
		})
	}
	g.line("")
	g.table(rows)
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
	rows := [][]string{{"lab", "readings", "mean", "SD", "h", "", "k", ""}}
	for _, c := range m.Cells {
		rows = append(rows, []string{
			c.Lab, fmt.Sprint(c.N), figure.Fixed(c.Mean, d), orMissing(c.SD, d),
			orMissing(c.H, 2), marks["h"+c.Lab], orMissing(c.K, 2), marks["k"+c.Lab],
		})
	}
	g.line("\n%s", orAll(m.Name))
	g.table(rows, 5, 7)
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
	rows := [][]string{{"source", "df", "sum of squares", "mean square", "F", "p"}}
	for _, l := range lines {
		rows = append(rows, []string{
			l.Source, fmt.Sprintf("%.4g", l.DF), fmt.Sprintf("%.6g", l.SS), fmt.Sprintf("%.6g", l.MS), orMissing(l.F, 3), chance(l.P),
		})
	}
	g.line("\nanalysis of variance")
	g.table(rows)
}

func (g *precisionPage) components(components []precision.Component, total precision.Component) {
	d := decimals(total.SD)
	rows := [][]string{{"component", "SD", "interval", "% of variance", "SD by REML"}}
	for _, c := range append(append([]precision.Component{}, components...), total) {
		rows = append(rows, []string{c.Name, figure.Fixed(c.SD, d), betweenLimits(c.Interval, d), figure.Fixed(c.Percent, 1), orMissing(c.REML, d)})
	}
	g.line("\nwhat each adds to the spread of a reading")
	g.table(rows)
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
	d := decimals(s.Total.SD)
	rows := [][]string{{"source", "SD", "interval", "% of study", "interval", "SD by REML"}}
	for _, c := range []precision.Source{s.Repeatability, s.Reproducibility, s.RandR, s.PartToPart} {
		rows = append(rows, []string{c.Name, figure.Fixed(c.SD, d), betweenLimits(c.Interval, d), figure.Fixed(c.PercentStudy, 1), betweenLimits(c.PercentLimits, 1), orMissing(c.REML, d)})
	}
	rows = append(rows, []string{"total", figure.Fixed(s.Total.SD, d), betweenLimits(s.Total.Interval, d), "100.0", "", orMissing(s.Total.REML, d)})
	g.line("")
	g.table(rows)
	g.line("\n  distinct categories %s, interval %s", orMissing(s.Distinct, 1), betweenLimits(s.DistinctLimits, 1))
	if t := s.Tolerance; t != nil {
		g.line("  precision to tolerance %s (%g standard deviations over %g), interval %s", figure.Fixed(t.Ratio, 3), t.Multiple, t.Width, betweenLimits(t.Interval, 3))
	}
	g.components(s.Components, s.Total)
	g.anova(s.Lines)
	g.closing(s.Notes, componentsMethod+" Parts and operators are taken as random. Shares of study are of standard deviations and do not add up to 100. Distinct categories are 1.41 times the parts' over the gauge's standard deviation.")
}
