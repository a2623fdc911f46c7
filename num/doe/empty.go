package doe

import (
	"fmt"
	"strings"
)

// EmptyError says that no arrangement is permitted, and what would help: each of
// Nearest by itself.
type EmptyError struct{ Nearest []Loosening }

// Loosening is one restriction, as little looser as lets an arrangement through.
type Loosening struct {
	Restriction string // "runs", "fixed slots", or the name of a family
	Now, Need   int    // longest run, slack of the family; 0, 0 for fixed slots
	Text        string // "runs of 2 are allowed", in words
}

// Error says which restrictions could be loosened to which values.
func (e *EmptyError) Error() string {
	if len(e.Nearest) == 0 {
		return ErrEmpty.Error() + ", and loosening one restriction does not help"
	}
	texts := make([]string, len(e.Nearest))
	for i, n := range e.Nearest {
		texts[i] = n.Text
	}
	return ErrEmpty.Error() + "; there are some when " + strings.Join(texts, ", or when ")
}

// Unwrap makes errors.Is find ErrEmpty.
func (e *EmptyError) Unwrap() error { return ErrEmpty }

// empty tries to loosen one restriction after the other, each as little as will do.
func (d Draw) empty() error {
	e := &EmptyError{}
	if d.MaxRun > 0 {
		for run := d.MaxRun + 1; run <= min(d.slots(), d.MaxRun+20); run++ {
			r := d
			if r.MaxRun = run; r.some() {
				e.Nearest = append(e.Nearest, Loosening{"runs", d.MaxRun, run, fmt.Sprintf("runs of %d are allowed (now %d)", run, d.MaxRun)})
				break
			}
		}
	}
	for k, f := range d.Families {
		for slack := f.Slack + 1; slack <= f.Slack+5; slack++ {
			r := d
			r.Families = append([]Family(nil), d.Families...)
			if r.Families[k].Slack = slack; r.some() {
				e.Nearest = append(e.Nearest, Loosening{f.Name, f.Slack, slack, fmt.Sprintf("numbers over %s may be %d off their share (now %d)", f.Name, slack, f.Slack)})
				break
			}
		}
	}
	if len(d.Fixed) > 0 {
		r := d
		if r.Fixed = nil; r.some() {
			e.Nearest = append(e.Nearest, Loosening{Restriction: "fixed slots", Text: "no slot is given to a treatment beforehand"})
		}
	}
	return e
}

// some reports whether an arrangement is known to be permitted.
func (d Draw) some() bool {
	c := newCounter(d)
	c.most = mostStates / 5
	n := c.ways(0)
	return n != nil && n.Sign() > 0
}
