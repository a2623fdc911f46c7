package timetable

import (
	"iter"
	"slices"
	"sort"
)

// earliestOf gives each family's earliest times when nothing else is in its way
// but, on a single day in a kept order, those that come before it: the first
// falls are in order, on a single tower the series are, and so are the stays in a
// place that all use alike. People, and towers when there are more, are taken as
// always free. onTower tells whether the series are in order.
//
// In a place that all use alike, with the same preparations and lags, the order
// of going in can be that of the first falls: where i falls before j and leaves
// the place later, the two can change their times there, since each keeps its
// lags with the other's time. So the k-th goes in when the one that is as many
// before it as the place holds is out. With all sequences fixed every rule says
// that something later waits for something earlier, and placing one family after
// the other at its earliest times gives the earliest of all.
// First falls from a family on wait until a time at least.
func (b *builder) earliestOf(wait int, until int64) (onTower bool) {
	ordered := b.ordered()
	b.soonest = nil
	onTower = ordered && len(b.ask.Towers) == 1 && !b.remounts()
	alike := b.alike()
	out := map[int][]int64{} // by place, when its visitors are out, in order
	fall := -forever
	tower := b.opening()
	for f, c := range b.stay {
		low := b.lows(c)
		if f == wait {
			fall = max(fall, until)
		}
		for i := range c.steps {
			s := &c.steps[i]
			if s.done || !ordered {
				continue
			}
			switch {
			case s.first:
				low[i] = max(low[i], fall)
			case s.kind == Hang && onTower:
				low[i] = max(low[i], tower)
			case s.kind == PutIn && alike[s.place]:
				if k := len(out[s.place]) - b.ask.Places[s.place].Holds; k >= 0 {
					low[i] = max(low[i], out[s.place][k])
				}
			}
		}
		at := b.alone(c, low)
		b.soonest = append(b.soonest, at)
		if at == nil {
			continue
		}
		for i, s := range c.steps {
			switch {
			case s.first:
				fall = max(fall, at[i])
			case s.kind == TakeDown:
				tower = max(tower, at[i]+s.long)
			case s.kind == TakeOut && alike[s.place]:
				out[s.place] = append(out[s.place], at[i]+s.long)
			}
		}
	}
	return onTower
}

// ordered is a single day, not begun, in a kept order.
func (b *builder) ordered() bool {
	return !b.ask.FreeOrder && len(b.days) == 1 && b.from <= b.days[0].from
}

// afterBreaks gives, for breaks that no rest can hold, the first family that cannot
// fall before it together with all before it in the order, and the break's end.
// Whoever begins to fall before such a break ends before it, and in a kept order
// these are the first so many families. They are too many when the towers cannot
// have done by then all that these need, but for taking one down each.
func (b *builder) afterBreaks() iter.Seq2[int, int64] {
	return func(yield func(int, int64) bool) {
		if !b.ordered() || b.remounts() {
			return
		}
		for _, s := range b.spans(b.ask.Days[0].Breaks) {
			if b.rests(s.to - s.from) {
				continue
			}
			b.earliestOf(len(b.stay), 0)
			b.whole = b.visits(0, 0)
			n := sort.Search(len(b.stay), func(n int) bool { return b.fallen(n+1) > s.from })
			if n < len(b.stay) && !yield(n, s.to) {
				return
			}
		}
	}
}

// rests tells whether a rest may last so long.
func (b *builder) rests(long int64) bool {
	return slices.ContainsFunc(b.stay, func(c *chain) bool {
		for i := range c.steps[1:] {
			if c.steps[i].kind == Drop && c.steps[i+1].kind == Drop && c.longest(i) >= long {
				return true
			}
		}
		return false
	})
}

// fallen is the earliest time at which the first n families can all have fallen.
func (b *builder) fallen(n int) int64 {
	visits, less := b.begun()
	if len(visits) != len(b.stay) { // follow-ups, or a family that fits no day
		return -forever
	}
	visits = slices.Clone(visits[:n])
	for i := range visits {
		visits[i].tail = 0
	}
	s := b.towerShifts(visits)
	for i := range s {
		s[i].fits = nil
	}
	return latestOf(visits, s, less+int64(len(b.ask.Towers))*seconds(b.ask.Work.TakeDown.Takes))
}

// alone is a chain at its earliest times on an empty bench.
func (b *builder) alone(c *chain, low []int64) []int64 {
	if i := c.hung(); i >= 0 {
		low[i] = max(low[i], b.opening())
	}
	var best []int64
	for _, t := range c.towers {
		if at, ok := b.earliest(&b.empty, c, t, low); ok && (best == nil || at[len(at)-1] < best[len(at)-1]) {
			best = at
		}
	}
	return best
}

// alike tells which places all who use them use in the same way, before falls and
// once, with people for it at the same times.
func (b *builder) alike() map[int]bool {
	out := map[int]bool{}
	first := map[int]*Job{}
	for i := range b.ask.Places {
		out[i] = true
	}
	for i := range b.ask.Jobs {
		j := &b.ask.Jobs[i]
		for _, p := range j.After {
			out[b.placeOf(p.In)] = false
		}
		seen := map[int]bool{}
		for _, p := range j.Before {
			k := b.placeOf(p.In)
			if k < 0 {
				continue
			}
			if first[k] == nil {
				first[k] = j
			}
			f := first[k]
			same := slices.Equal(f.Before, j.Before) && f.Drain == j.Drain && f.Settle == j.Settle
			out[k] = out[k] && same && !seen[k] && j.Follows == "" && f.Follows == ""
			seen[k] = true
		}
	}
	return out
}
