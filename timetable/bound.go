package timetable

import "slices"

// A bound is a time before which no timetable ends, and what sets it.
//
// Each of these is a problem with rules taken away, so its earliest finish is no
// later than that of the whole; the latest of them is the bound. All count lags
// from their set values, as a timetable does (Lag).
//
//   - One specimen: at its earliest times with nothing in its way, and the closing
//     check after it; in a kept order, with those before it in its way as far as
//     that is sure (earliestOf).
//   - Towers, people, a place: for any set of visits, the first begins no earlier
//     than the least head in the set (what goes before), the work takes at least
//     its sum over the number of servers, and after the last the least tail of
//     the set still comes. All sets with a head or a tail not below some value
//     are tried; no other set can give more. Servers work when they are there
//     only (shifts); what a tower can hold before a break is counted by the
//     series that could be whole before it (fits).
//   - After a break: in a kept order, those that cannot all fall before it fall after
//     it, from the first that is one too many (afterBreaks).
//   - Towers once falls have begun: where all first falls of a set come after some
//     time, each tower has by then done no more of the set than one hanging.
type bound struct {
	at int64
	by string
}

func (b *builder) bound() bound {
	best := bound{-forever, "nothing"}
	try := func(at int64, by string) {
		if at = b.attended(at); at > best.at {
			best = bound{at, by}
		}
	}
	b.bounds(len(b.stay), 0, try)
	for wait, until := range b.afterBreaks() {
		b.bounds(wait, until, try)
	}
	for _, who := range b.crews() {
		try(b.crewBound(who), "people")
	}
	return best
}

// bounds tries what follows when the first falls of the families from one on wait
// until some time.
func (b *builder) bounds(wait int, until int64, try func(int64, string)) {
	onTower := b.earliestOf(wait, until)
	for f, c := range b.stay {
		at, last := b.soonest[f], len(c.steps)-1
		if at == nil {
			continue
		}
		by := "specimen " + b.ask.Jobs[b.families[f][0]].specimen()
		if onTower {
			by = "tower and order"
		}
		try(max(at[last]+c.steps[last].long, at[c.down()]+c.steps[c.down()].long+b.checkLong(Closing)), by)
	}
	for _, v := range b.towerVisits() {
		try(latestOf(v, b.towerShifts(v), 0), "towers")
	}
	begun, less := b.begun()
	try(latestOf(begun, b.towerShifts(begun), less), "towers")
	for i, p := range b.ask.Places {
		v := b.placeVisits(i)
		try(latestOf(v, shifts{{stretch{b.from, forever}, nil, 0, int64(p.Holds)}}, 0), p.Name)
	}
}

// attended moves a time to where somebody is there to end something.
func (b *builder) attended(at int64) int64 {
	for _, d := range b.ask.Days {
		from := b.at(d.Open)
		if at <= from {
			return max(at, from)
		}
		for _, s := range b.spans(d.Breaks) {
			if at > s.from && at < s.to {
				return s.to
			}
		}
		if at <= b.at(d.Close) {
			return at
		}
	}
	return at
}

// opening is when the first series of all can be hung.
func (b *builder) opening() int64 {
	if len(b.ask.Towers) == 0 || b.ask.Reference == nil || !b.ask.Reference.Opens || b.from > 0 {
		return b.from
	}
	return b.days[0].from + b.checkLong(Opening)
}

// checkLong is how long a check drop takes a tower at least; 0 for a plan made anew,
// where some are done.
func (b *builder) checkLong(turn Turn) int64 {
	r := b.ask.Reference
	if r == nil || b.from > b.days[0].from || turn == Opening && !r.Opens || turn == Closing && !r.Closes {
		return 0
	}
	c := b.checkChain(0, 0, turn)
	return c.path(0, len(c.steps)-1)
}

// down is the step of taking down for the last time.
func (c *chain) down() int {
	i := len(c.steps) - 1
	for c.steps[i].kind != TakeDown {
		i--
	}
	return i
}

// path is the least time from the start of one step to the end of a later one.
func (c *chain) path(from, to int) int64 {
	at := make([]int64, len(c.steps))
	for i := range at {
		at[i] = -forever
	}
	at[from] = 0
	for i := from + 1; i <= to; i++ {
		for _, l := range c.limits {
			if l.to == i && l.from >= from {
				at[i] = max(at[i], at[l.from]+l.set)
			}
		}
	}
	return at[to] + c.steps[to].long
}

// visit is work for a server: not before head, so long, and no end of all before
// tail after it. parts are the lengths that a break may cut it into.
type visit struct {
	head, long, tail int64
	cuts             []cut
}

// cut is a lag within a visit that may hold a break: what comes before it, the
// lag at its set value, and what comes after.
type cut struct{ before, lag, after, most int64 }

// shift is when servers are there; fits tells how much of so many seconds they
// can fill, bonus what a break after it may hold of a lag.
type shift struct {
	stretch
	fits  func(long int64) int64
	bonus int64
	n     int64 // servers
}

type shifts []shift

// ends is the earliest end of so much work that begins no earlier than head; with
// loose, what the first shift holds may have begun before.
func (all shifts) ends(head, work int64, loose bool) int64 {
	for i, s := range all {
		from := max(s.from, head)
		if from >= s.to {
			continue
		}
		can := s.to - from
		if i == len(all)-1 || (work+s.n-1)/s.n <= can && (s.fits == nil || loose && from == head) {
			return from + (work+s.n-1)/s.n
		}
		whole := can
		if s.fits != nil && !(loose && from == head) {
			whole = s.fits(can)
		}
		if (work+s.n-1)/s.n <= whole {
			return from + (work+s.n-1)/s.n
		}
		work -= s.n * (whole + s.bonus)
		if work <= 0 {
			return s.to
		}
	}
	return head
}

// latestOf is the latest bound over sets of visits whose heads and tails are not
// below some value. less is work of a set that may be done before its head.
func latestOf(visits []visit, s shifts, less int64) int64 {
	if len(visits) == 0 || len(s) == 0 {
		return -forever
	}
	best := -forever
	byTail := slices.Clone(visits)
	slices.SortFunc(byTail, func(a, b visit) int { return int(b.tail - a.tail) })
	heads := map[int64]bool{}
	for _, v := range visits {
		if heads[v.head] {
			continue
		}
		heads[v.head] = true
		var work int64
		var longs []int64
		for _, w := range byTail {
			if w.head >= v.head {
				work += w.long
				i, _ := slices.BinarySearch(longs, w.long)
				longs = slices.Insert(longs, i, w.long)
				// One server has this many of them, and no shorter ones.
				var most int64
				for _, long := range longs[:(int64(len(longs))+s[0].n-1)/s[0].n] {
					most += long
				}
				work := max(work, s[0].n*most)
				best = max(best, s.ends(v.head, max(0, work-less), less > 0)+w.tail)
			}
		}
	}
	return best
}

// crews are sets of people such that some work is theirs alone.
func (b *builder) crews() [][]int {
	n := len(b.ask.People)
	if n > 8 {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return [][]int{all}
	}
	var out [][]int
	for mask := 1; mask < 1<<n; mask++ {
		var who []int
		for i := range n {
			if mask>>i&1 == 1 {
				who = append(who, i)
			}
		}
		out = append(out, who)
	}
	return out
}

// crewBound is when people can have done all that only they can do.
func (b *builder) crewBound(who []int) int64 {
	var work int64
	all := slices.Clone(b.stay)
	for _, turn := range []Turn{Opening, Closing} {
		if b.checkLong(turn) > 0 && b.from <= b.days[0].from {
			all = append(all, b.checkChain(0, 0, turn)) // at least on one tower
		}
	}
	for _, c := range all {
		for _, s := range c.steps {
			if !s.done && !slices.ContainsFunc(s.who, func(w int) bool { return !slices.Contains(who, w) }) {
				work += s.long * int64(s.people)
			}
		}
	}
	if work == 0 {
		return -forever
	}
	var edges []int64
	for _, w := range who {
		for _, s := range b.empty.people[w].busy {
			edges = append(edges, s.from, s.to)
		}
	}
	slices.Sort(edges)
	edges = slices.Compact(edges)
	for i, from := range edges[:max(0, len(edges)-1)] {
		var n int64
		for _, w := range who {
			if b.empty.people[w].free(from, from+1) {
				n++
			}
		}
		to := edges[i+1]
		if n == 0 {
			continue
		}
		if work <= n*(to-from) {
			return from + (work+n-1)/n
		}
		work -= n * (to - from)
	}
	return -forever
}
