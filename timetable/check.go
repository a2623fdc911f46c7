package timetable

import (
	"fmt"
	"slices"
	"time"
)

// Check holds a timetable against every rule of its Ask and returns what it
// breaks. It goes by the Ops alone and shares nothing with Build. What happened
// already (Done) is held to the lags only: nobody can undo when it was done.
func Check(a *Ask, t *Table) []Fault {
	c := &checker{a: a, t: t}
	c.known()
	for i := range a.Jobs {
		c.job(&a.Jobs[i])
	}
	c.people()
	c.towers()
	c.places()
	c.order()
	c.references()
	return c.faults
}

type checker struct {
	a      *Ask
	t      *Table
	faults []Fault
}

func (c *checker) fault(rule string, o *Op, format string, args ...any) {
	c.faults = append(c.faults, Fault{rule, o.Job, o.Start, fmt.Sprintf(format, args...)})
}

// known sees that each Op is of a job or the reference, takes as long as it should
// and is done by as many as it takes.
func (c *checker) known() {
	for i := range c.t.Ops {
		o := &c.t.Ops[i]
		if o.Turn == "" && !slices.ContainsFunc(c.a.Jobs, func(j Job) bool { return j.Name == o.Job }) {
			c.fault("job", o, "no such job")
		}
		if o.Done {
			continue
		}
		e, ok := map[Kind]Effort{
			Weigh: c.a.Work.Weigh, PutIn: c.a.Work.PutIn, TakeOut: c.a.Work.TakeOut, Hang: c.a.Work.Hang, Drop: c.a.Work.Drop,
			TakeOff: c.a.Work.TakeOff, PutBack: c.a.Work.PutBack, TakeDown: c.a.Work.TakeDown,
		}[o.Kind]
		if !ok || o.End.Sub(o.Start) != e.Takes {
			c.fault("time taken", o, "to %s takes %v, and here %v", o.Kind, e.Takes, o.End.Sub(o.Start))
		}
		if n := len(o.People); n != e.People && (e.People != 0 || n != 1) {
			c.fault("people", o, "to %s takes %d people, and here %d", o.Kind, e.People, n)
		}
		if !c.within(o.Start, o.End) {
			c.fault("hours", o, "%s to %s is not within a day's hours", o.Start, o.End)
		}
	}
}

// within tells whether a span lies in one day, outside its breaks.
func (c *checker) within(from, to time.Time) bool {
	for _, d := range c.a.Days {
		if from.Before(d.Open) || to.After(d.Close) {
			continue
		}
		for _, b := range d.Breaks {
			if from.Before(b.To) && to.After(b.From) {
				return false
			}
		}
		return true
	}
	return false
}

// job sees that a job is done from end to end, in its order and within its lags.
func (c *checker) job(j *Job) {
	var ops []*Op
	for i := range c.t.Ops {
		if o := &c.t.Ops[i]; o.Job == j.Name && o.Turn == "" {
			ops = append(ops, o)
		}
	}
	if len(ops) == 0 {
		c.fault("job", &Op{Job: j.Name}, "it is not done")
		return
	}
	before, after, tower := c.parts(j, ops)
	fall := c.series(j.Name, tower, j.Had, j.Falls, j.Settle, j.Rest)
	out := c.preps(j, before, j.Before)
	c.preps(j, after, j.After)
	if fall == nil {
		return
	}
	if out != nil {
		c.lag("drain", fall, j.Drain, fall.End.Sub(out.End))
	}
	for _, o := range tower {
		if j.Tower != "" && o.Tower != j.Tower {
			c.fault("tower", o, "it is on %q, not %q", o.Tower, j.Tower)
		}
		if d := c.day(o.Start); j.Day > 0 && d != j.Day {
			c.fault("day", o, "it is on day %d, not %d", d, j.Day)
		}
	}
	if j.Follows != "" {
		c.follow(j, fall, ops)
	}
}

// parts splits the Ops of a job at its tower, and sees that they do not overlap.
func (c *checker) parts(j *Job, ops []*Op) (before, after, tower []*Op) {
	for i, o := range ops {
		if i > 0 && o.Start.Before(ops[i-1].End) {
			c.fault("sequence", o, "to %s begins before to %s ends", o.Kind, ops[i-1].Kind)
		}
		switch {
		case o.Tower != "":
			if len(after) > 0 {
				c.fault("sequence", o, "to %s comes after the falls are over", o.Kind)
			}
			tower = append(tower, o)
		case len(tower) == 0:
			before = append(before, o)
		default:
			after = append(after, o)
		}
	}
	return before, after, tower
}

func (c *checker) day(at time.Time) int {
	for i, d := range c.a.Days {
		if !at.Before(d.Open) && !at.After(d.Close) {
			return i + 1
		}
	}
	return 0
}

// series sees that a specimen is hung, dropped so many times with its rests and
// taken down, all on one tower, and returns its first fall.
func (c *checker) series(name string, ops []*Op, had, falls int, settle, rest Lag) *Op {
	if len(ops) < 2 || ops[0].Kind != Hang || ops[len(ops)-1].Kind != TakeDown {
		c.fault("sequence", &Op{Job: name}, "it does not go from hanging to taking down")
		return nil
	}
	var first, last *Op
	hung, n := true, 0
	for i, o := range ops {
		if o.Tower != ops[0].Tower {
			c.fault("tower", o, "it changes from %q to %q", ops[0].Tower, o.Tower)
		}
		switch o.Kind {
		case Drop:
			n++
			if !hung || o.Fall != had+n {
				c.fault("sequence", o, "fall %d comes as number %d, hung: %v", o.Fall, had+n, hung)
			}
			if first == nil {
				first = o
				c.lag("settling", o, settle, o.End.Sub(ops[0].End))
			} else {
				c.lag("rest", o, rest, o.End.Sub(last.End))
			}
			last = o
		case TakeOff, PutBack:
			if !c.remounts(o.Tower) || hung != (o.Kind == TakeOff) || n == 0 || n == falls {
				c.fault("remounting", o, "to %s has no place here", o.Kind)
			}
			hung = o.Kind == PutBack
		default:
			if i > 0 && i < len(ops)-1 || !hung {
				c.fault("sequence", o, "to %s comes between falls", o.Kind)
			}
		}
	}
	if n != falls {
		c.fault("falls", ops[0], "it falls %d times, not %d", n, falls)
	}
	return first
}

func (c *checker) remounts(tower string) bool {
	return slices.ContainsFunc(c.a.Towers, func(t Tower) bool { return t.Name == tower && t.Remount })
}

func (c *checker) lag(rule string, at *Op, l Lag, got time.Duration) {
	if got < l.Least || l.Most > 0 && got > l.Most {
		c.fault(rule, at, "%v, and it is to be %v to %v", got, l.Least, l.Most)
	}
}

// preps sees that preparations are done in order, for long enough and not longer,
// and returns the last taking out of a soak.
func (c *checker) preps(j *Job, ops []*Op, want []Prep) (wet *Op) {
	for _, p := range want {
		n := 2
		if p.Do == Weigh {
			n = 1
		}
		if len(ops) < n {
			c.fault("preparation", &Op{Job: j.Name}, "to %s is missing", p.Do)
			return wet
		}
		switch {
		case p.Do == Weigh:
			if ops[0].Kind != Weigh {
				c.fault("preparation", ops[0], "to %s comes where it is weighed", ops[0].Kind)
			}
		case ops[0].Kind != PutIn || ops[1].Kind != TakeOut || ops[0].Place != p.In || ops[1].Place != p.In || ops[0].Slot != ops[1].Slot:
			c.fault("preparation", ops[0], "it does not go into %s and out again", p.In)
		default:
			c.lag(string(p.Do), ops[1], p.For, ops[1].Start.Sub(ops[0].End))
			if p.Do == Soak {
				wet = ops[1]
			}
		}
		ops = ops[n:]
	}
	if len(ops) > 0 {
		c.fault("preparation", ops[0], "to %s was not asked for", ops[0].Kind)
	}
	return wet
}

func (c *checker) follow(j *Job, fall *Op, ops []*Op) {
	var last *Op
	for i := range c.t.Ops {
		o := &c.t.Ops[i]
		if o.Job != j.Follows || o.Turn != "" {
			continue
		}
		if o.End.After(ops[0].Start) {
			c.fault("sequence", ops[0], "it begins before %s ends", j.Follows)
		}
		if o.Tower != "" && o.Tower != fall.Tower {
			c.fault("tower", fall, "%s fell on another tower", j.Follows)
		}
		if o.Kind == Drop {
			last = o
		}
	}
	if last != nil {
		c.lag("since", fall, j.Since, fall.End.Sub(last.End))
	}
}
