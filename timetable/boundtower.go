package timetable

import "math/big"

// towerVisits are the sets of visits to towers that are worth a bound: each series
// whole, and where a specimen may leave its tower also up to and from each fall.
func (b *builder) towerVisits() [][]visit {
	b.whole = b.visits(0, 0)
	out := [][]visit{b.whole}
	most := 0
	for _, j := range b.ask.Jobs {
		most = max(most, j.Falls)
	}
	if !b.remounts() {
		return out
	}
	for fall := 1; fall <= most; fall++ {
		out = append(out, b.visits(fall, 0), b.visits(0, fall))
	}
	return out
}

// visits are the series up to one fall, or from one on; 0 for no end.
func (b *builder) visits(upTo, from int) []visit {
	var out []visit
	for f, c := range b.stay {
		at := b.soonest[f]
		if at == nil {
			continue
		}
		for _, run := range c.runs() {
			first, last := run[0], run[1]
			drops := c.drops(first, last)
			if upTo > 0 && upTo <= len(drops) {
				last = drops[upTo-1]
			}
			if from > 0 && from <= len(drops) {
				first = drops[from-1]
			}
			if c.steps[last].done {
				continue
			}
			end := len(c.steps) - 1
			v := visit{head: max(b.from, at[first]), tail: c.path(last, end) - c.steps[last].long}
			v.tail = max(v.tail, c.path(last, run[1])-c.steps[last].long+b.checkLong(Closing))
			v.long = b.stands(c, first, last)
			if upTo == 0 && from == 0 && !b.remounts() {
				v.cuts = c.cuts(first, last)
			}
			out = append(out, v)
		}
	}
	return out
}

// begun are the series with their first fall as the head, and how much of any set
// of them the towers can have done before it: one specimen each is hung.
func (b *builder) begun() (out []visit, less int64) {
	if b.remounts() || b.from > b.days[0].from {
		return nil, 0
	}
	n := 0
	for f, c := range b.stay {
		if b.soonest[f] == nil {
			continue
		}
		for _, run := range c.runs() {
			drop := c.drops(run[0], run[1])[0]
			v := b.whole[n]
			n++
			v.head = b.soonest[f][drop]
			less = max(less, c.path(run[0], drop)-c.steps[drop].long)
			out = append(out, v)
		}
	}
	return out, less * int64(len(b.ask.Towers))
}

// stands is how long a tower is taken at least between two steps: through each
// rest or, where the specimen may leave and another's turn fits in, for a change.
func (b *builder) stands(c *chain, first, last int) int64 {
	if !b.remounts() {
		for c.steps[first].done { // what is left of it
			first++
		}
		return c.path(first, last)
	}
	swap := seconds(b.ask.Work.TakeOff.Takes + b.ask.Work.PutBack.Takes)
	var sum int64
	for i := first; i <= last; i++ {
		if c.steps[i].done {
			continue
		}
		sum += c.steps[i].long
		if i == last {
			break
		}
		gap := c.path(i, i+1) - c.steps[i].long - c.steps[i+1].long
		if c.steps[i].kind == Drop && c.steps[i+1].kind == Drop && c.longest(i) >= swap+b.shortestTurn() {
			gap = min(gap, swap)
		}
		sum += gap
	}
	return sum
}

// shortestTurn is how long a tower is taken at least by another in a rest.
func (b *builder) shortestTurn() int64 {
	w := &b.ask.Work
	return seconds(min(w.Hang.Takes, w.PutBack.Takes) + w.Drop.Takes + min(w.TakeOff.Takes, w.TakeDown.Takes))
}

// longest is how long the next step can wait at most once one is over.
func (c *chain) longest(i int) int64 {
	most := forever
	for _, l := range c.limits {
		if l.from <= i && l.to > i && l.most < forever && c.steps[l.from].kind == Drop {
			most = min(most, l.most-c.steps[i].long)
		}
	}
	return most
}

// runs lists hanging and taking down of each job of a chain.
func (c *chain) runs() [][2]int {
	var out [][2]int
	for i, s := range c.steps {
		switch s.kind {
		case Hang:
			out = append(out, [2]int{i, i})
		case TakeDown:
			out[len(out)-1][1] = i
		}
	}
	return out
}

func (c *chain) drops(first, last int) []int {
	var out []int
	for i := first; i <= last; i++ {
		if c.steps[i].kind == Drop {
			out = append(out, i)
		}
	}
	return out
}

// cuts are the lags between steps of a visit, with how long each may last.
func (c *chain) cuts(first, last int) []cut {
	var out []cut
	for i := first; i < last; i++ {
		most := forever
		for _, l := range c.limits {
			if l.from <= i && l.to > i && l.most < forever && l.from >= first && l.to <= last {
				most = min(most, l.most-c.steps[i].long)
			}
		}
		k := cut{before: c.path(first, i), after: c.path(i+1, last), most: most}
		k.lag = c.path(i, i+1) - c.steps[i].long - c.steps[i+1].long
		out = append(out, k)
	}
	return out
}

// towerShifts are the hours of the towers between breaks. What a shift can hold
// before a break is the largest sum, no longer than the shift, of whole visits
// with at most one that began before the shift and one that ends after it; these
// only over a break that one of their lags can hold.
func (b *builder) towerShifts(visits []visit) shifts {
	var out shifts
	n := int64(len(b.ask.Towers))
	for d, day := range b.days {
		open := without(without([]stretch{day}, b.spans(b.ask.Days[d].Breaks)), []stretch{{-forever, b.from}})
		for i, s := range open {
			k := shift{stretch: s, n: n}
			if i == 0 && b.from <= day.from {
				k.from += b.checkLong(Opening)
			}
			if i == len(open)-1 {
				k.to -= b.checkLong(Closing)
			} else {
				k.bonus = bonus(visits, open[i+1].from-s.to)
			}
			if b.from <= b.days[0].from { // what has begun would leave parts of any length
				k.fits = fits(visits, open, i)
			}
			if k.to > k.from {
				out = append(out, k)
			}
		}
	}
	return out
}

// bonus is how much of a lag a break can hold.
func bonus(visits []visit, long int64) int64 {
	var best int64
	for _, v := range visits {
		for _, k := range v.cuts {
			if k.most >= long {
				best = max(best, k.lag)
			}
		}
	}
	return best
}

// fits gives the largest part of so many seconds that the visits can fill in the
// i-th stretch of a day; nil when that is any part.
func fits(visits []visit, open []stretch, i int) func(int64) int64 {
	if len(visits) == 0 || visits[0].cuts == nil {
		return nil
	}
	longest := open[i].to - open[i].from
	sums := new(big.Int).SetBit(new(big.Int), 0, 1)
	mask := new(big.Int).Sub(new(big.Int).Lsh(big.NewInt(1), uint(longest+1)), big.NewInt(1))
	add := func(to *big.Int, from *big.Int, long int64) {
		if long <= longest {
			shifted := new(big.Int).Lsh(from, uint(long))
			to.Or(to, shifted.And(shifted, mask))
		}
	}
	for _, v := range visits {
		add(sums, sums, v.long)
	}
	part := func(side func(cut) int64, gap int64) {
		with := new(big.Int).Set(sums)
		seen := map[int64]bool{}
		for _, v := range visits {
			for _, k := range v.cuts {
				if long := side(k); k.most >= gap && !seen[long] {
					seen[long] = true
					add(with, sums, long)
				}
			}
		}
		sums = with
	}
	if i > 0 {
		part(func(k cut) int64 { return k.after }, open[i].from-open[i-1].to)
	}
	if i < len(open)-1 {
		part(func(k cut) int64 { return k.before }, open[i+1].from-open[i].to)
	}
	return func(long int64) int64 {
		for t := min(long, longest); t > 0; t-- {
			if sums.Bit(int(t)) == 1 {
				return t
			}
		}
		return 0
	}
}

// placeVisits are the times in one bath or rack.
func (b *builder) placeVisits(place int) []visit {
	var out []visit
	for f, c := range b.stay {
		at := b.soonest[f]
		if at == nil {
			continue
		}
		for _, h := range c.holds {
			if h.place != place || c.steps[h.last].done {
				continue
			}
			v := visit{head: at[h.first], long: c.path(h.first, h.last), tail: c.path(h.last, len(c.steps)-1) - c.steps[h.last].long}
			if c.steps[h.first].done {
				v.head, v.long = b.from, 0
			}
			down := c.down()
			if down > h.last {
				v.tail = max(v.tail, c.path(h.last, down)-c.steps[h.last].long+b.checkLong(Closing))
			}
			out = append(out, v)
		}
	}
	return out
}
