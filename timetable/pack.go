package timetable

import (
	"cmp"
	"slices"
)

// A group is who takes turns on one tower now: each comes off in its rests, so
// that others can fall. What one waits for can be moved when another joins, as
// long as every lag is kept.
type group struct {
	members []*berth
	order   []turn // of the tower
}

// A turn is one stay of a member on the tower, by the steps that begin and end it.
type turn struct {
	of          *berth
	first, last int
	opens       bool // it is the member's first
}

func (t turn) start() int64 { return t.of.at[t.first] }

func (t turn) end() int64 { return t.of.at[t.last] + t.of.steps[t.last].long }

// packs tells whether a family is to take turns: on towers that all allow it, when
// nothing of it was done.
func (b *builder) packs(r *recipe, f int) bool {
	c := b.leave[f]
	return !c.begun() && r.leave[f] && len(b.families[f]) == 1 && len(b.leave[f].steps) > len(b.stay[f].steps) &&
		!slices.ContainsFunc(c.towers, func(t int) bool { return !b.ask.Towers[t].Remount })
}

// pack lets a family join the group of the tower that it leaves first, and books it.
func (b *builder) pack(r *recipe, f int) *berth {
	c := b.leave[f]
	var best *joining
	for _, t := range c.towers {
		if r.tower[f] >= 0 && r.tower[f] != t && len(c.towers) > 1 {
			continue
		}
		if b.groups[t] == nil {
			b.groups[t] = &group{}
		}
		if _, taken := b.held[t]; taken {
			continue
		}
		j := b.join(b.groups[t], c, t, int(r.delay[f]/30))
		if j != nil && (best == nil || j.down < best.down) {
			best = j
		}
	}
	if best == nil {
		return nil
	}
	return b.admit(best)
}

// A joining is a group with one more member, not booked yet.
type joining struct {
	tower int
	order []turn    // with the newcomer's
	at    [][]int64 // by member, the newcomer last
	new   *berth
	down  int64
}

// join finds the first place in the order of turns at which a chain can join. The
// newcomer's first turn ends just as the next one begins, so that their later
// turns follow each other as well and leave one long gap, which somebody new may
// fit in, rather than two short ones. A whim of 1, 2, ... skips places, and by turns
// lets the newcomer come as early as it can.
func (b *builder) join(g *group, c *chain, tower, whim int) *joining {
	skip, early := whim/2%3, whim%2 == 1
	for _, m := range g.members {
		b.work.release(b.yard, m)
	}
	defer func() {
		for _, m := range g.members {
			b.work.rebook(b.yard, m)
		}
	}()
	alone, ok := b.earliest(&b.work, c, tower, b.lows(c))
	if !ok {
		return nil
	}
	k := &berth{chain: c, tower: tower, at: alone, slot: make([]int, len(c.holds)), who: make([][]int, len(c.steps))}
	const places = 8 // tried before it goes to the end
	var last *joining
	from := g.firstPlace(k.comes())
	for p := from; p <= len(g.order); p++ {
		if p == from+places {
			p = len(g.order)
		}
		k.at = alone
		if !early {
			k.at = g.flush(k, p)
		}
		order := g.with(k, alone, p)
		at, ok := b.together(g, k, order)
		if !ok {
			continue
		}
		last = &joining{tower: tower, order: order, at: at, new: k}
		last.down = at[len(at)-1][c.down()]
		if skip == 0 {
			break
		}
		skip--
	}
	return last
}

// firstPlace is the first place in the order that a newcomer may take: after the
// first turns of all others, and not before turns that are over when it can come.
func (g *group) firstPlace(from int64) int {
	p := 0
	for i, t := range g.order {
		if t.opens || t.start() <= from {
			p = i + 1
		}
	}
	// Of those that begin before it could come the last may wait for it.
	for p > 0 && !g.order[p-1].opens && g.order[p-1].end() > from {
		p--
	}
	return p
}

// flush are a newcomer's bounds such that its first turn ends when the one that is
// at a place now begins.
func (g *group) flush(k *berth, p int) []int64 {
	if p == len(g.order) {
		return k.at
	}
	at := slices.Clone(k.at)
	first := k.turns()[0]
	drop := k.drops(first.first, first.last)[0]
	at[drop] = max(at[drop], g.order[p].start()-k.path(drop, first.last))
	return at
}

// with is the order of turns with a newcomer's first one at a place and the others
// where their times would be.
func (g *group) with(k *berth, alone []int64, p int) []turn {
	own := k.turns()
	drop := k.drops(own[0].first, own[0].last)[0]
	late := k.at[drop] - alone[drop]
	if p > 0 {
		late += max(0, g.order[p-1].end()-k.comes())
	}
	out := append(slices.Clone(g.order[:p]), own[0])
	rest := g.order[p:]
	for _, t := range own[1:] {
		for len(rest) > 0 && rest[0].start() <= alone[t.first]+late {
			out, rest = append(out, rest[0]), rest[1:]
		}
		out = append(out, t)
	}
	return append(out, rest...)
}

// comes is when a berth needs its tower at the latest for its first fall.
func (k *berth) comes() int64 {
	hung := k.hung()
	drop := k.drops(hung, len(k.steps)-1)[0]
	return k.at[drop] + k.steps[drop].long - k.path(hung, drop)
}

// turns are the stays of a berth on its tower.
func (k *berth) turns() []turn {
	var out []turn
	for _, h := range k.holds {
		if h.place < 0 {
			out = append(out, turn{k, h.first, h.last, len(out) == 0})
		}
	}
	slices.SortFunc(out, func(x, y turn) int { return x.first - y.first })
	return out
}

// together finds the earliest times of a group and a newcomer with their turns in
// an order. Where two of them need the same people or the same slot, the newcomer
// waits, otherwise the one that comes later, and all are found again.
func (b *builder) together(g *group, k *berth, order []turn) ([][]int64, bool) {
	all := append(slices.Clone(g.members), k)
	at := make([][]int64, len(all))
	index := map[*berth]int{}
	for i, m := range all {
		at[i], index[m] = slices.Clone(m.at), i // one more can only make them later
	}
	// The newcomer's times are after all first falls already; the others' order stands.
	first := b.work.first
	b.work.first = b.empty.first
	defer func() { b.work.first = first }()
	const tries = 40
	for range tries {
		if !b.inTurn(all, at, order, index) {
			return nil, false
		}
		i, step, t := b.clash(all, at)
		if i < 0 {
			return at, b.keepsFirsts(all, at)
		}
		at[i][step] = t
	}
	return nil, false
}

// inTurn raises times until the rules of each member hold, and each turn begins
// when the one before it is over.
func (b *builder) inTurn(all []*berth, at [][]int64, order []turn, index map[*berth]int) bool {
	// An order that cannot be kept pushes its turns on and on: most settle in a few
	// rounds, and what does not is given up.
	const rounds = 25
	changed := true
	for round := 0; changed && round < rounds; round++ {
		for i, m := range all {
			if !b.settle(&b.work, m.chain, m.tower, at[i]) {
				return false
			}
		}
		changed = false
		for n := 1; n < len(order); n++ {
			x, y := order[n-1], order[n]
			end := at[index[x.of]][x.last] + x.of.steps[x.last].long
			if own := at[index[y.of]]; own[y.first] < end {
				own[y.first], changed = end, true
			}
		}
	}
	return !changed
}

// clash books people and slots in order of time, the newcomer's last, until something is taken, gives
// all back, and returns what has to wait until when; -1 when nothing has to.
func (b *builder) clash(all []*berth, at [][]int64) (member, step int, until int64) {
	type item struct{ m, i int }
	var items []item
	for m, k := range all {
		for i := range k.steps {
			items = append(items, item{m, i})
		}
	}
	slices.SortStableFunc(items, func(x, y item) int {
		if last := len(all) - 1; (x.m == last) != (y.m == last) { // the newcomer after all others
			return cmp.Compare(x.m, y.m)
		}
		return cmp.Compare(at[x.m][x.i], at[y.m][y.i])
	})
	s := &b.work
	var undo []func()
	defer func() {
		for _, u := range slices.Backward(undo) {
			u()
		}
	}()
	for _, x := range items {
		k, t := all[x.m], at[x.m][x.i]
		p := &k.steps[x.i]
		if free := s.free(p, t); free > t {
			return x.m, x.i, free
		}
		for _, w := range s.crew(p, t, nil) {
			span := stretch{t, t + p.long}
			undo = append(undo, func() { s.people[w].remove(span) })
		}
		for _, h := range k.holds {
			if h.first != x.i || h.place < 0 {
				continue
			}
			span := stretch{t, at[x.m][h.last] + k.steps[h.last].long}
			if room := s.room(h, k.tower, t, span.to); room > t {
				return x.m, x.i, room
			}
			for n := range s.places[h.place] {
				if l := &s.places[h.place][n]; l.free(span.from, span.to) {
					l.add(span)
					undo = append(undo, func() { l.remove(span) })
					break
				}
			}
		}
	}
	return -1, 0, 0
}

// keepsFirsts tells whether the first falls of the members stayed where they were:
// others may be in order after them.
func (b *builder) keepsFirsts(all []*berth, at [][]int64) bool {
	if b.ask.FreeOrder {
		return true
	}
	for i, m := range all[:len(all)-1] {
		for n, s := range m.steps {
			if s.first && at[i][n] != m.at[n] {
				return false
			}
		}
	}
	return true
}

// admit books a joining. Members whose turns are all before the newcomer's stay as
// they are from now on.
func (b *builder) admit(j *joining) *berth {
	g := b.groups[j.tower]
	for _, m := range g.members {
		b.work.release(b.yard, m)
	}
	all := append(slices.Clone(g.members), j.new)
	for i, m := range all {
		m.at = j.at[i]
	}
	b.bookAll(all[:len(all)-1])
	b.bookAll(all[len(all)-1:])
	first := slices.IndexFunc(j.order, func(t turn) bool { return t.of == j.new })
	still := map[*berth]bool{j.new: true}
	for _, t := range j.order[first:] {
		still[t.of] = true
	}
	g.members, g.order = nil, nil
	for _, m := range all {
		if still[m] {
			g.members = append(g.members, m)
		}
	}
	for _, t := range j.order {
		if still[t.of] {
			g.order = append(g.order, t)
		}
	}
	return j.new
}

// bookAll books members step by step in order of time, as clash tried it.
func (b *builder) bookAll(all []*berth) {
	type item struct {
		m *berth
		i int
	}
	var items []item
	for _, m := range all {
		m.who, m.slot = make([][]int, len(m.steps)), make([]int, len(m.holds))
		for i := range m.steps {
			items = append(items, item{m, i})
		}
	}
	slices.SortStableFunc(items, func(x, y item) int { return cmp.Compare(x.m.at[x.i], y.m.at[y.i]) })
	for _, x := range items {
		p := &x.m.steps[x.i]
		x.m.who[x.i] = b.work.crew(p, x.m.at[x.i], nil)
		if d := b.day(x.m.at[x.i]); p.first && d >= 0 {
			b.work.first[d] = max(b.work.first[d], x.m.at[x.i])
		}
		for n, h := range x.m.holds {
			if h.first == x.i {
				x.m.slot[n] = b.work.bookHold(x.m, h)
			}
		}
	}
}

// bookHold takes the tower, or the first slot that is free, and returns which.
func (s *state) bookHold(k *berth, h hold) int {
	span := stretch{k.at[h.first], k.at[h.last] + k.steps[h.last].long}
	if h.place < 0 {
		s.towers[k.tower].add(span)
		return 0
	}
	for n := range s.places[h.place] {
		if l := &s.places[h.place][n]; l.free(span.from, span.to) {
			l.add(span)
			return n
		}
	}
	return 0
}

// rebook takes again what release gave back.
func (s *state) rebook(y *yard, b *berth) {
	for i := range b.steps {
		for _, w := range b.who[i] {
			s.people[w].add(stretch{b.at[i], b.at[i] + b.steps[i].long})
		}
	}
	for i, h := range b.holds {
		span := stretch{max(b.at[h.first], y.from), b.at[h.last] + b.steps[h.last].long}
		if h.place < 0 {
			s.towers[b.tower].add(span)
		} else {
			s.places[h.place][b.slot[i]].add(span)
		}
	}
}
