package delimited

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// record reads the rows and makes the recording of them, in SI.
func (s source) record(t *table, c *choice) (*trace.Recording, error) {
	r, err := s.rows(t, c)
	if err != nil {
		return nil, err
	}
	if err := r.plenty(); err != nil {
		return nil, err
	}
	rec := &trace.Recording{Time: r.times, Force: r.forces, Unit: c.forceUnit.Symbol, ForceColumn: c.force.own()}
	if r.t >= 0 {
		rec.TimeColumn = c.time.own()
		c.timeUnit.Convert(rec.Time)
	} else {
		rec.Time = evenly(len(rec.Force), s.ask.Rate)
	}
	c.forceUnit.Convert(rec.Force)
	if err := r.sound(rec); err != nil {
		return nil, err
	}
	if r.ended.rows > 0 {
		c.note(trace.Said, fmt.Sprintf("%s ends at line %d; the %s after it have no value there", c.force, r.lastRow, count(r.ended.rows, "row")))
	}
	rec.Notes = c.notes
	return rec, nil
}

// plenty refuses fewer than two samples.
func (r *rows) plenty() error {
	n := len(r.forces)
	if n >= 2 {
		return nil
	}
	p := r.refuse(problem.TooFew, r.lines[r.first].no, "%s has %s; a trace has 2 at least", r.force, count(n, "value")).
		Hint("export the recording again")
	if r.ended.rows > 0 {
		p.Hint("or choose a column that is filled: %s", r.catalogue(r.such(func(c column) bool { return c.kind == numeric })))
	}
	return p
}

// evenly returns n times at the rate, from zero.
func evenly(n int, rate float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) / rate
	}
	return out
}

// sound refuses what bringing the values to SI has made of extreme ones: past
// what a number can hold, or no longer apart.
func (r *rows) sound(rec *trace.Recording) error {
	last := rec.Time[len(rec.Time)-1]
	if math.IsInf(last, 0) || rec.Time[1] <= rec.Time[0] || r.t >= 0 && !r.timeUnit.Plain() && !rising(rec.Time) {
		return r.refuse(problem.Unreadable, r.lines[r.first].no, "the times are too large or too close together to be told apart in seconds").
			Hint("give a rate that the logger can have: --rate HZ")
	}
	if !r.forceUnit.Plain() && slices.ContainsFunc(rec.Force, func(v float64) bool { return math.IsInf(v, 0) }) {
		return r.refuse(problem.Unreadable, r.lines[r.first].no, "a force in %s is larger than a number can be in newtons", r.force).
			Hint("check the unit: --unit %s", r.forceUnit.Symbol)
	}
	return nil
}

func rising(v []float64) bool {
	for i := 1; i < len(v); i++ {
		if !(v[i] > v[i-1]) {
			return false
		}
	}
	return true
}
