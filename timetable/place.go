package timetable

import "slices"

// A berth is a chain with its times.
type berth struct {
	*chain
	tower int
	at    []int64 // start of each step
	slot  []int   // of each hold in a place
	who   [][]int // of each step
}

// free is the first time from t on at which enough people are there for a step:
// with one time for each of the next that each of them is free, no earlier one
// than the k-th smallest will do.
func (s *state) free(p *step, t int64) int64 {
	if p.people == 1 {
		best := forever
		for _, w := range p.who {
			best = min(best, s.people[w].next(t, p.long))
		}
		return best
	}
	next := make([]int64, 0, 8)
	for t < forever {
		next = next[:0]
		for _, w := range p.who {
			next = append(next, s.people[w].next(t, p.long))
		}
		if len(next) < p.people {
			return forever
		}
		slices.Sort(next)
		if next[p.people-1] == t {
			return t
		}
		t = next[p.people-1]
	}
	return forever
}

// room is the first time from t on from which a tower, or one slot of a place,
// is free until a given time.
func (s *state) room(h hold, tower int, t, until int64) int64 {
	if h.place < 0 {
		return s.towers[tower].gap(t, until)
	}
	best := forever
	for i := range s.places[h.place] {
		best = min(best, s.places[h.place][i].gap(t, until))
	}
	return best
}

// earliest finds the earliest times of a chain on a tower, each from its bound in
// low on; false when there are none.
//
// All rules are of two kinds: bounds on the difference of two starts, and sets
// that one start, or the ends of one hold, may lie in. Of two sets of times that
// keep such rules the earlier of each time keeps them too; so there is one
// earliest set, and raising single times until no rule is broken finds it.
func (y *yard) earliest(s *state, c *chain, tower int, low []int64) ([]int64, bool) {
	at := slices.Clone(low)
	if !y.settle(s, c, tower, at) {
		return nil, false
	}
	return at, true
}

// settle raises times until they are the earliest; false when there are none.
func (y *yard) settle(s *state, c *chain, tower int, at []int64) bool {
	for changed := true; changed; {
		changed = false
		raise := func(i int, t int64) {
			if t > at[i] {
				at[i], changed = t, true
			}
		}
		for _, l := range c.limits {
			raise(l.to, at[l.from]+l.set)
			if l.most < forever {
				raise(l.from, at[l.to]-l.most)
			}
		}
		for i := range c.steps {
			p := &c.steps[i]
			if p.done {
				if at[i] > p.early {
					return false
				}
				continue
			}
			raise(i, s.free(p, at[i]))
			if p.first {
				if d := y.day(at[i]); d >= 0 {
					raise(i, s.first[d])
				}
			}
			if at[i] > p.late || at[i] >= forever/2 {
				return false
			}
		}
		for _, h := range c.holds {
			end := at[h.last] + c.steps[h.last].long
			switch {
			case c.steps[h.last].done:
			case c.steps[h.first].done:
				if c.roomFrom(s, h, tower, y.from, end) > y.from {
					return false
				}
			default:
				raise(h.first, s.room(h, tower, at[h.first], end))
			}
		}
	}
	return true
}

// roomFrom is room for a specimen that is there already.
func (c *chain) roomFrom(s *state, h hold, tower int, t, until int64) int64 {
	if slot := c.steps[h.first].slot; h.place >= 0 && slot >= 0 {
		return s.places[h.place][slot].gap(t, until)
	}
	return s.room(h, tower, t, until)
}

// lows are the bounds that a chain's steps begin with.
func (y *yard) lows(c *chain) []int64 {
	low := make([]int64, len(c.steps))
	for i, p := range c.steps {
		low[i] = p.early
		if !p.done {
			low[i] = max(y.from, p.early)
		}
	}
	return low
}

// tighten moves what comes before the falls later, so that soaks and draining
// come as near to their set times as they can: the earliest times draw them out
// where something later has to wait.
func (y *yard) tighten(s *state, c *chain, at []int64) {
	for range 3 {
		moved := false
		for i := len(c.steps) - 1; i >= 0; i-- {
			p := &c.steps[i]
			if p.done || p.tower {
				continue
			}
			if t := y.later(s, c, at, i); t > at[i] {
				at[i], moved = t, true
			}
		}
		if !moved {
			return
		}
	}
}

// later is how late a step can be when the others stay: only as late as it makes
// a bounded lag shorter, down to its set time.
func (y *yard) later(s *state, c *chain, at []int64, i int) int64 {
	latest, drawn := c.steps[i].late, int64(0)
	for _, l := range c.limits {
		switch i {
		case l.from:
			latest = min(latest, at[l.to]-l.set)
			if l.most < forever {
				drawn = max(drawn, at[l.to]-at[i]-l.set)
			}
		case l.to:
			if l.most < forever {
				latest = min(latest, at[l.from]+l.most)
			}
		}
	}
	latest = min(latest, at[i]+drawn)
	for _, h := range c.holds {
		if h.last == i && h.place >= 0 {
			for latest > at[i] && s.room(h, 0, at[h.first], latest+c.steps[i].long) > at[h.first] {
				latest -= max(1, (latest-at[i])/2)
			}
		}
	}
	for latest > at[i] {
		if s.free(&c.steps[i], latest) == latest {
			return latest
		}
		latest -= min(60, latest-at[i])
	}
	return at[i]
}

// take books a chain.
func (s *state) take(y *yard, c *chain, tower int, at []int64) *berth {
	b := &berth{chain: c, tower: tower, at: at, slot: make([]int, len(c.holds)), who: make([][]int, len(c.steps))}
	s.book(y, b)
	return b
}

func (s *state) book(y *yard, b *berth) {
	var last []int
	for i := range b.steps {
		p := &b.steps[i]
		if p.done {
			continue
		}
		b.who[i] = s.crew(p, b.at[i], last)
		last = b.who[i]
		if p.first {
			if d := y.day(b.at[i]); d >= 0 {
				s.first[d] = max(s.first[d], b.at[i])
			}
		}
	}
	for i, h := range b.holds {
		span := stretch{b.at[h.first], b.at[h.last] + b.steps[h.last].long}
		if b.steps[h.last].done {
			continue
		}
		span.from = max(span.from, y.from)
		if h.place < 0 {
			s.towers[b.tower].add(span)
			continue
		}
		for k := range s.places[h.place] {
			if slot := b.steps[h.first].slot; slot >= 0 && slot != k {
				continue
			}
			if l := &s.places[h.place][k]; l.free(span.from, span.to) {
				l.add(span)
				b.slot[i] = k
				break
			}
		}
	}
}

// crew takes people for a step: who did the step before if they can, then those
// who can do the fewest other things come first in the Ask.
func (s *state) crew(p *step, at int64, last []int) []int {
	var crew []int
	try := func(w int) {
		if len(crew) < p.people && !slices.Contains(crew, w) && s.people[w].free(at, at+p.long) {
			crew = append(crew, w)
		}
	}
	for _, w := range last {
		if slices.Contains(p.who, w) {
			try(w)
		}
	}
	for _, w := range p.who {
		try(w)
	}
	for _, w := range crew {
		s.people[w].add(stretch{at, at + p.long})
	}
	return crew
}

// release gives back what book took.
func (s *state) release(y *yard, b *berth) {
	for i := range b.steps {
		for _, w := range b.who[i] {
			s.people[w].remove(stretch{b.at[i], b.at[i] + b.steps[i].long})
		}
	}
	for i, h := range b.holds {
		span := stretch{max(b.at[h.first], y.from), b.at[h.last] + b.steps[h.last].long}
		if h.place < 0 {
			s.towers[b.tower].remove(span)
		} else {
			s.places[h.place][b.slot[i]].remove(span)
		}
	}
}

// finish is when the last step of a berth ends.
func (b *berth) finish() int64 {
	n := len(b.steps) - 1
	return b.at[n] + b.steps[n].long
}

// down is when the tower is free of it.
func (b *berth) down() int64 {
	end := -forever
	for _, h := range b.holds {
		if h.place < 0 {
			end = max(end, b.at[h.last]+b.steps[h.last].long)
		}
	}
	return end
}
