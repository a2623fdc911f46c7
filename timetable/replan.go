package timetable

import (
	"context"
	"fmt"
	"slices"
	"time"

	"fallwright.example/problem"
)

// Replan keeps what happened and plans the rest of an Ask from now. done lists
// what was done so far, each with its Job, Kind and Start, a Drop with its Fall,
// what is on a tower with its Tower, what is in a place with its Place and Slot; an
// End of zero or after now is still going on. Jobs that are given up are left out
// of the Ask together with what was done of them.
//
// Tolerances that are broken already, by what was done or because now is too late
// for them, are listed as the Table's Broken; what comes next then comes as soon
// as it can.
func Replan(ctx context.Context, ask Ask, done []Op, now time.Time) (*Table, error) {
	if err := ask.Validate(); err != nil {
		return nil, err
	}
	if now.Sub(ask.Days[0].Open)%time.Second != 0 {
		now = now.Truncate(time.Second).Add(time.Second)
	}
	y := newYard(&ask, seconds(now.Sub(ask.Days[0].Open)))
	past, err := y.remember(done, now)
	if err != nil {
		return nil, err
	}
	return build(ctx, &ask, y, past)
}

// remember sorts what was done by job and turns it into whole Ops.
func (y *yard) remember(done []Op, now time.Time) ([]Op, error) {
	var found problem.List
	past := slices.Clone(done)
	sortOps(past)
	y.past = map[string][]Op{}
	for i := range past {
		o := &past[i]
		o.Done = true
		if o.End.IsZero() {
			o.End = o.Start.Add(y.ask.Work.of(o.Kind).Takes)
		}
		where, key := "job "+o.Job, o.Job
		j := slices.IndexFunc(y.ask.Jobs, func(j Job) bool { return j.Name == o.Job })
		switch {
		case o.Start.After(now):
			found = append(found, problem.New(problem.Invalid, where, "to %s is done and begins at %s, after now (%s)", o.Kind, clock(o.Start), clock(now)))
			continue
		case o.Tower != "" && y.towerOf(o.Tower) < 0:
			found = append(found, problem.New(problem.Invalid, where, "to %s was done on %q, which is no tower", o.Kind, o.Tower))
			continue
		case o.Turn != "":
			key = checkKey(o.Turn, y.day(y.at(o.Start)), y.towerOf(o.Tower))
		case j < 0:
			found = append(found, problem.New(problem.Invalid, where, "something of it was done, and there is no such job").Hint("leave out what was done of jobs that are given up"))
			continue
		default:
			o.Specimen, o.Condition = y.ask.Jobs[j].specimen(), y.ask.Jobs[j].Condition
		}
		y.past[key] = append(y.past[key], *o)
	}
	return past, found.Err()
}

func checkKey(turn Turn, day, tower int) string { return fmt.Sprint(turn, day, tower) }

// happened marks the steps of a chain that were done, and lifts the upper bounds
// of lags that now is too late for.
func (y *yard) happened(c *chain) *problem.Problem {
	next := map[string]int{} // by job, how many of its Ops have a step
	for i := range c.steps {
		s := &c.steps[i]
		key := checkKey(s.turn, c.day-1, c.towers[0])
		if s.job >= 0 {
			key = y.ask.Jobs[s.job].Name
		}
		n := next[key]
		if n == len(y.past[key]) {
			continue
		}
		o := y.past[key][n]
		if o.Kind != s.kind || o.Kind == Drop && o.Fall != s.fall {
			return problem.New(problem.Invalid, "job "+o.Job, "to %s was done at %s, and what comes then is to %s", o.Kind, clock(o.Start), s.kind)
		}
		next[key]++
		y.mark(c, i, &o)
	}
	for i := range c.limits {
		l := &c.limits[i]
		from, to := &c.steps[l.from], &c.steps[l.to]
		switch {
		case from.done && to.done:
			l.set, l.most = to.early-from.early, forever
		case from.done && l.most < forever && from.early+l.most < y.from:
			l.most = forever
		}
	}
	return nil
}

// mark sets a step to what was done.
func (y *yard) mark(c *chain, i int, o *Op) {
	s := &c.steps[i]
	was := s.long
	s.done, s.early, s.late = true, y.at(o.Start), y.at(o.Start)
	s.long = max(0, y.at(o.End)-s.early)
	for k := range c.limits { // every lag counts from the end of what came before, and to a fall's end
		l := &c.limits[k]
		shift := int64(0)
		if l.from == i {
			shift = s.long - was
		}
		if l.to == i && s.kind == Drop && l.rule != "" {
			shift -= s.long - was
		}
		l.set, l.least = l.set+shift, l.least+shift
		if l.most < forever {
			l.most, l.last = l.most+shift, l.last+shift
		}
	}
	if s.tower {
		c.towers = []int{y.towerOf(o.Tower)}
	}
	if s.place >= 0 && o.Slot >= 1 && o.Slot <= y.ask.Places[s.place].Holds {
		s.slot = o.Slot - 1
	}
}

// running keeps people at what they are doing now, and what is being left taken
// until it is.
func (y *yard) running() {
	for _, ops := range y.past {
		for _, o := range ops {
			end := y.at(o.End)
			rest := stretch{y.from, end}
			if end <= y.from {
				continue
			}
			switch place := y.placeOf(o.Place); {
			case o.Tower != "" && (o.Kind == TakeDown || o.Kind == TakeOff):
				y.empty.towers[y.towerOf(o.Tower)].fill(rest)
			case o.Kind == TakeOut && place >= 0 && o.Slot >= 1 && o.Slot <= y.ask.Places[place].Holds:
				y.empty.places[place][o.Slot-1].fill(rest)
			}
			for w, p := range y.ask.People {
				if slices.Contains(o.People, p.Name) {
					y.empty.people[w].fill(rest)
				}
			}
		}
	}
}

// begun tells whether something of a chain was done, over whether all of it was.
func (c *chain) begun() bool { return c.steps[0].done }

func (c *chain) over() bool { return c.steps[len(c.steps)-1].done }

// progress is 2 for a chain on a tower now that has fallen, 1 for another that has
// begun, otherwise 0.
func (c *chain) progress() int {
	fallen := slices.ContainsFunc(c.steps, func(s step) bool { return s.kind == Drop && s.done })
	switch {
	case c.onTower() && fallen:
		return 2
	case c.begun():
		return 1
	}
	return 0
}

// onTower tells whether a chain is on a tower now.
func (c *chain) onTower() bool {
	return slices.ContainsFunc(c.holds, func(h hold) bool {
		return h.place < 0 && c.steps[h.first].done && !c.steps[h.last].done
	})
}

// name is the job's, or the reference's for a check drop.
func (y *yard) name(s *step) string {
	if s.job < 0 {
		return y.ask.Reference.Specimen
	}
	return y.ask.Jobs[s.job].Name
}

// loosened is a chain without upper bounds on lags that have begun.
func (c *chain) loosened() *chain {
	out := *c
	out.limits = slices.Clone(c.limits)
	for i := range out.limits {
		if l := &out.limits[i]; c.steps[l.from].done {
			l.most = forever
		}
	}
	return &out
}

// fell tells whether a job was on a tower on a day already.
func (y *yard) fell(day, tower int) bool {
	for _, ops := range y.past {
		for _, o := range ops {
			if o.Turn == "" && o.Tower != "" && y.towerOf(o.Tower) == tower && y.day(y.at(o.Start)) == day {
				return true
			}
		}
	}
	return false
}

// notePast lists the lags that what was done has broken.
func (y *yard) notePast(c *chain) {
	for _, l := range c.limits {
		if from, to := &c.steps[l.from], &c.steps[l.to]; from.done && to.done && l.rule != "" {
			y.broken = append(y.broken, y.breaks(c, l, to.early-from.early, "%s %s too %s before %s")...)
		}
	}
}

// willBreak lists the lags that a berth cannot keep any more.
func (y *yard) willBreak(b *berth) (out []Fault) {
	for _, l := range b.limits {
		if b.steps[l.from].done && !b.steps[l.to].done && l.rule != "" {
			out = append(out, y.breaks(b.chain, l, b.at[l.to]-b.at[l.from], "%s will be %s too %s before %s")...)
		}
	}
	return out
}

// breaks is a lag's fault, if it has one.
func (y *yard) breaks(c *chain, l limit, got int64, form string) []Fault {
	over, how := got-l.last, "long"
	if got < l.least {
		over, how = l.least-got, "short"
	}
	if over <= 0 {
		return nil
	}
	s := &c.steps[l.to]
	what := "to " + string(s.kind)
	if s.kind == Drop {
		what = fmt.Sprintf("fall %d", s.fall)
	}
	at := y.from
	if s.done {
		at = s.early
	}
	return []Fault{{l.rule, y.name(s), y.time(at), fmt.Sprintf(form, l.rule, Clock(time.Duration(over)*time.Second), how, what)}}
}
