package main

import (
	"fmt"
	"math"
	"text/tabwriter"

	"fallwright.example/dial"
	"fallwright.example/num/quantity"
	"fallwright.example/study"
)

// dialPage prints an answer: the next setting as a sentence, then what to expect.
type dialPage struct {
	terminal
	q dial.Question
	a *study.Dialled

	notes []string
}

func (p dialPage) print() {
	p.line("%s", wrap("", "", p.a.Sentence()))
	p.line("")
	p.expected()
	if len(p.a.Trials) > 0 {
		p.line("")
		p.trials()
	}
	for _, w := range p.a.Warnings {
		p.line("")
		p.line("%s", wrap("warning: ", "  ", w))
	}
	for _, n := range p.notes {
		p.line("")
		p.line("%s", wrap("taken: ", "  ", n))
	}
	p.line("")
	p.line("%s", wrap("", "", study.DialCaution))
}

// between writes two forces with their unit once.
func between(low, high float64) string { return fmt.Sprintf("%.2f to %.2f kN", low/1000, high/1000) }

func inMetres(v float64) string { return fmt.Sprintf("%.2f m", v) }

func inKilonewtons(v float64) string { return fmt.Sprintf("%.2f kN", v/1000) }

func inPerCent(v float64) string {
	switch {
	case v > 0.995:
		return "over 99 %"
	case v < 0.005:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

func (p dialPage) expected() {
	a, q := p.a, p.q
	w := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	row := func(name, value, more string) {
		if more != "" {
			value += "\t" + more
		}
		fmt.Fprintf(w, "  %s\t%s\n", name, value)
	}
	band := func(b dial.Band) string {
		return fmt.Sprintf("%.0f %%: %s", 100*q.Level, between(b.Low, b.High))
	}
	row("peak of the first fall", inKilonewtons(a.Peak.Middle), band(a.Peak))
	row("lands in "+between(q.Window.Low, q.Window.High), inPerCent(a.Lands), "")
	if q.Falls > 1 {
		row(fmt.Sprintf("peak of fall %d", q.Falls), inKilonewtons(a.Last.Middle), band(a.Last))
		row(fmt.Sprintf("all %d falls stay there", q.Falls), inPerCent(a.Series), fmt.Sprintf("enough at %s; after one more trial likely %s", inPerCent(q.Enough), inPerCent(a.OneMore)))
	}
	row("1 cm more drop", fmt.Sprintf("%+.0f N", a.Per.Centimetre), "")
	row("1 kg more mass", fmt.Sprintf("%+.0f N", a.Per.Kilogram), "")
	row("fall factor", fmt.Sprintf("%.2f", a.Factor), "")
	row("stretch of rope and knots", inMetres(a.Stretch.Middle), fmt.Sprintf("%.0f %%: %.2f to %.2f m", 100*q.Level, a.Stretch.Low, a.Stretch.High))
	if !math.IsNaN(a.Spring) {
		row("as a spring of modulus", inKilonewtons(a.Spring), "")
	}
	w.Flush()
}

func (p dialPage) trials() {
	w := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  trial\tmass\tdrop\tfree length\tfall\tread\tby the others")
	for i, t := range p.a.Trials {
		fmt.Fprintf(w, "  %d\t%s\t%s\t%s\t%d\t%s\t%s\n", i+1, quantity.Format(t.Mass, quantity.Mass), inMetres(t.Drop), inMetres(t.FreeLength),
			max(1, t.Fall), inKilonewtons(t.Peak), between(t.Expected.Low, t.Expected.High))
	}
	w.Flush()
}
