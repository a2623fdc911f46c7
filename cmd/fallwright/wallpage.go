package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	catches "fallwright.example/field"
	"fallwright.example/figure"
)

// wallPage prints falls on the wall for people.
type wallPage struct{ w io.Writer }

func (p wallPage) line(format string, args ...any) { fmt.Fprintf(p.w, format+"\n", args...) }

func (p wallPage) print(all []wallCase, swept []wallSweep) {
	for i, c := range all {
		if i > 0 {
			p.line("")
		}
		p.line("%s", c.name)
		for _, s := range c.bands.Sentences(c.catch) {
			p.line("%s", wrap("  ", "  ", s))
		}
		p.line("")
		p.rows(c)
		for _, n := range c.bands.Outcome.Notes {
			p.line("%s", wrap("  note: ", "    ", n))
		}
	}
	if len(all) == 2 {
		p.line("\n%s beside %s", all[0].name, all[1].name)
		for _, s := range all[0].bands.Against(all[1].bands, all[0].name, all[1].name) {
			p.line("%s", wrap("  ", "    ", s))
		}
	}
	for _, s := range swept {
		p.sweep(s)
	}
	p.line("\n%s", wrap("", "", catches.Caution))
}

func (p wallPage) rows(c wallCase) {
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	certain := c.bands.Runs == 1
	for _, r := range c.bands.Rows(c.catch) {
		v, low, high := r.Shown()
		if math.IsNaN(v) {
			continue // a value that the fall does not come to, as behind a ground fall
		}
		span := "95 %: " + figure.Range(low, high, r.Decimals)
		if certain {
			span = ""
		}
		fmt.Fprintf(t, "  %s\t%s %s\t%s\n", r.Name, figure.Fixed(v, r.Decimals), r.Unit, span)
	}
	t.Flush()
	if certain {
		p.line("  no intervals: no uncertainty of the law is given")
	} else {
		p.line("%s", wrap("  ", "  ", fmt.Sprintf("intervals from the doubt about the law alone, by %d computed falls", c.bands.Runs)))
	}
	b := c.bands.Outcome.Books
	if !math.IsNaN(c.bands.Outcome.Lowest.At) {
		p.line("%s", wrap("  ", "    ", fmt.Sprintf("energy at the lowest point: %.0f J from the fall; %.0f stored in the rope, %.0f lost in it, %.0f at runners, %.0f in the device, %.0f in the belayer's height, %.0f still moving, %.0f at wall and stops",
			b.Given, b.Stored, b.Rope, b.Runners, b.Device, b.Lifted, b.Moving, b.Wall+b.Stopped)))
	}
}

func (p wallPage) sweep(s wallSweep) {
	p.line("\n%s, %s", s.name, map[string]string{"rope-out": "by rope out", "slack": "by slack"}[s.what])
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "m\tinto the wall, m/s\t95 %%\tclimber, kN\t95 %%\t\n")
	for _, at := range s.points {
		b := at.Bands
		span := func(i catches.Interval, scale float64) string {
			if b.Runs == 1 {
				return figure.Missing
			}
			return figure.Range(i.Low*scale, i.High*scale, 2)
		}
		fmt.Fprintf(t, "%.2f\t%s\t%s\t%s\t%s\t\n", at.Setting, figure.Fixed(b.WallNormal.Value, 2), span(b.WallNormal, 1),
			figure.KN(b.Climber.Value), span(b.Climber, 1e-3))
	}
	t.Flush()
}
