package series

import (
	"math"

	"fallwright.example/fall/fit"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
)

// Law is the section of a law fitted to the falls.
type Law struct {
	Choice   entry.Field // of the law
	Fitted   *study.Law  // nil where none is asked for, or it is refused
	Refused  []*problem.Problem
	Pictures []frame.Picture // of the falls
}

// parameter is a row of the table of parameters.
type parameter struct{ name, value, interval, last, lastInterval, note string }

// parameters are those of the series, or of each fall by itself.
func (l Law) parameters() []parameter {
	var out []parameter
	row := func(p fit.Parameter, name string) *parameter {
		if p.Unit != "" {
			name += ", " + p.Unit
		}
		out = append(out, parameter{name, study.Digits(p.Value, 4), study.LawInterval(p), "", "", study.LawNote(p)})
		return &out[len(out)-1]
	}
	c := l.Fitted.Course
	if c == nil {
		for i, f := range l.Fitted.Fits {
			for _, p := range f.Parameters {
				row(p, p.Name+", fall "+study.Digits(float64(l.Fitted.Falls[i].Number), 3))
			}
		}
		return out
	}
	for _, t := range c.Terms {
		r := row(t.First, t.Name)
		if t.First == t.Last {
			r.last = "stays"
		} else {
			r.last, r.lastInterval = study.Digits(t.Last.Value, 4), study.LawInterval(t.Last)
		}
		r.note = study.SettlingNote(t)
	}
	row(c.Pace, c.Pace.Name)
	if !math.IsNaN(c.Recovery.Value) && !c.Recovery.AtBound {
		row(c.Recovery, c.Recovery.Name)
	}
	return out
}

func newtons(v float64) string { return figure.Fixed(v, 1) }
