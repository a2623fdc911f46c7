package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"fallwright.example/fall/fit"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/study"
)

// lawPage prints fitted laws for people.
type lawPage struct{ w io.Writer }

func (p lawPage) line(format string, args ...any) { fmt.Fprintf(p.w, format+"\n", args...) }

func (p lawPage) print(a lawAnswer) {
	for i, l := range a.laws {
		if i > 0 {
			p.line("")
		}
		p.one(l)
	}
	if a.study != nil {
		p.study(a)
	}
}

func (p lawPage) one(l fittedLaw) {
	if l.name != "" {
		p.line("%s", l.name)
	}
	for _, s := range l.law.Sentences() {
		p.line("%s", wrap("  ", "    ", s))
	}
	p.line("")
	p.parameters(l.law)
	p.falls(l.law)
	p.line("\n%s", wrap("  ", "  ", l.law.Method()))
}

// parameters are those of the law, of a series at its first fall and where they
// tend to.
func (p lawPage) parameters(l *study.Law) {
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	row := func(q fit.Parameter, last, note string) {
		fmt.Fprintf(t, "  %s\t%s\t%s%s\t%s\n", named(q), study.Digits(q.Value, 4), study.LawInterval(q), last, note)
	}
	if l.Course == nil {
		for i, one := range l.Fits {
			fmt.Fprintf(t, "  %s\tvalue\t95 %%\t\n", strings.TrimSpace("parameter"+numbered(l, i)))
			for _, q := range one.Parameters {
				row(q, "", study.LawNote(q))
			}
		}
		t.Flush()
		return
	}
	fmt.Fprint(t, "  parameter\tfirst fall\t95 %\tlast\t95 %\t\n")
	for _, s := range l.Course.Terms {
		last := "\tstays\t"
		if s.First != s.Last {
			last = "\t" + study.Digits(s.Last.Value, 4) + "\t" + study.LawInterval(s.Last)
		}
		row(s.First, last, study.SettlingNote(s))
	}
	row(l.Course.Pace, "\t\t", study.LawNote(l.Course.Pace))
	if r := l.Course.Recovery; !math.IsNaN(r.Value) && !r.AtBound {
		row(l.Course.Recovery, "\t\t", study.LawNote(l.Course.Recovery))
	}
	t.Flush()
}

func numbered(l *study.Law, i int) string {
	if len(l.Falls) == 1 {
		return ""
	}
	return fmt.Sprintf(", fall %d", l.Falls[i].Number)
}

func named(p fit.Parameter) string { return strings.TrimSuffix(p.Name+", "+p.Unit, ", ") }

// falls are the falls as the law has them beside what was measured.
func (p lawPage) falls(l *study.Law) {
	p.line("")
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "  fall\trest\tpeak, kN\tby the law\tabsorbed, J\tby the law\tnoise, N\tleft, N\tby the course\t\n")
	for _, r := range l.Rows() {
		rest := figure.Missing
		if r.Rest > 0 {
			rest = quantity.Format(math.Round(r.Rest), quantity.Time)
		}
		fmt.Fprintf(t, "  %d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", r.Number, rest, figure.KN(r.MeasuredPeak), figure.KN(r.Peak),
			figure.Fixed(r.Measured, 0), figure.Fixed(r.Energy, 0), figure.Fixed(r.Noise, 1), figure.Fixed(r.SD, 1), figure.Fixed(r.Course, 1))
	}
	t.Flush()
}

// study prints the states of a study's conditions, and which specimens they are from.
func (p lawPage) study(a lawAnswer) {
	for _, s := range a.study.Sentences() {
		p.line("%s", wrap("", "  ", s))
	}
	p.line("")
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	k := a.states[0].known
	fmt.Fprint(t, "state\tspecimens")
	for i, n := range k.Names {
		fmt.Fprintf(t, "\t%s", strings.TrimSuffix(n+", "+k.Units[i], ", "))
	}
	fmt.Fprintln(t)
	for _, s := range a.states {
		fmt.Fprintf(t, "%s\t%d", s.name, len(s.of.Specimens))
		for i, v := range s.known.Values {
			fmt.Fprintf(t, "\t%s", study.PlusMinus(v, math.Sqrt(s.known.Covariance[i][i])))
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	p.line("\n%s", wrap("", "", a.study.Method()))
}
