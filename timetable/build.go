package timetable

import (
	"cmp"
	"iter"
	"slices"

	"fallwright.example/problem"
)

// A recipe is all that the search may choose; a plan follows from it.
type recipe struct {
	order []int   // of families
	leave []bool  // by family: it leaves a tower that allows it
	tower []int   // by family, -1 for the one that is free of it first
	delay []int64 // by family, seconds that hanging waits beyond the earliest
}

// A check is a reference on one tower at one end of a day.
type check struct {
	*berth
	day, tower int
	turn       Turn
}

// A plan is a recipe carried out.
type plan struct {
	berths []*berth
	checks []*check
	left   []int // families that found no time
	finish int64
	sum    int64 // of all finishes
	recipe *recipe
}

// better tells whether a plan is to be preferred: fewer jobs left, then the
// earlier finish, then the earlier ones on the whole.
func (p *plan) better(q *plan) int {
	return cmp.Or(cmp.Compare(len(p.left), len(q.left)), cmp.Compare(p.finish, q.finish), cmp.Compare(p.sum, q.sum))
}

// builder carries recipes out.
type builder struct {
	*yard
	families [][]int
	stay     []*chain // by family
	leave    []*chain
	loose    []*chain // where something was done: without what it has begun and cannot keep
	base     state    // with the checks of every day and tower taken
	checks   []*check
	work     state
	groups   map[int]*group // by tower, where specimens take turns
	held     map[int]int    // towers with a specimen that is not placed yet, and its family
	soonest  [][]int64      // by family: no earlier times are possible
	whole    []visit        // of towers, by series
}

func newBuilder(y *yard) (*builder, error) {
	b := &builder{yard: y}
	y.broken = nil
	var found problem.List
	for _, f := range families(y.ask.Jobs) {
		stay, leave := y.chainOf(f, false), y.chainOf(f, true)
		if p := y.happened(stay); p != nil {
			found = append(found, p)
			continue
		}
		y.happened(leave) // as the other
		y.notePast(stay)
		b.families = append(b.families, f)
		b.stay, b.leave, b.loose = append(b.stay, stay), append(b.leave, leave), append(b.loose, stay.loosened())
	}
	if len(found) > 0 {
		return nil, found
	}
	y.running()
	y.empty.copyTo(&b.base)
	if found := b.bookChecks(); len(found) > 0 {
		return nil, found
	}
	return b, nil
}

// bookChecks takes the first time of each day and tower for the opening check and
// the last for the closing one, and the tower outside of them.
func (b *builder) bookChecks() (found problem.List) {
	if b.ask.Reference == nil {
		return nil
	}
	for d := range b.days {
		for t := range b.ask.Towers {
			if b.days[d].to <= b.from {
				continue
			}
			for turn, asked := range b.ask.Reference.turns() {
				if !asked {
					continue
				}
				if p := b.bookCheck(d, t, turn); p != nil {
					found = append(found, p)
				}
			}
		}
	}
	return found
}

// turns are both turns and whether they are asked for.
func (r *Reference) turns() iter.Seq2[Turn, bool] {
	return func(yield func(Turn, bool) bool) {
		_ = yield(Opening, r.Opens) && yield(Closing, r.Closes)
	}
}

func (b *builder) bookCheck(d, t int, turn Turn) *problem.Problem {
	day := b.days[d]
	c := b.checkChain(d, t, turn)
	if p := b.happened(c); p != nil {
		return p
	}
	b.notePast(c)
	if c.over() {
		return nil
	}
	if turn == Opening && !c.begun() && b.fell(d, t) {
		b.broken = append(b.broken, Fault{"reference", b.ask.Reference.Specimen, b.time(day.from), "no check drop came before the first fall on " + b.ask.Towers[t].Name})
		return nil
	}
	at, ok := b.earliest(&b.base, c, t, b.lows(c))
	if !ok && c.begun() {
		c = c.loosened()
		at, ok = b.earliest(&b.base, c, t, b.lows(c))
	}
	if turn == Closing && ok && !c.begun() {
		at, ok = b.latest(c, d, t, at)
	}
	if !ok { // no series can be checked here, so there is none
		b.base.towers[t].fill(day)
		return nil
	}
	k := &check{b.base.take(b.yard, c, t, at), d, t, turn}
	b.checks = append(b.checks, k)
	if turn == Opening {
		b.base.towers[t].fill(stretch{max(b.from, day.from), k.at[0]})
	} else {
		b.base.towers[t].fill(stretch{k.finish(), day.to})
	}
	return nil
}

// latest finds late times of a closing check, minute by minute from the end.
func (b *builder) latest(c *chain, d, t int, at []int64) ([]int64, bool) {
	first := at[0]
	for start := b.days[d].to - (at[len(at)-1] - first); start > first; start -= 60 {
		low := b.lows(c)
		low[0] = start
		if late, ok := b.earliest(&b.base, c, t, low); ok {
			return late, true
		}
	}
	return at, true
}

func (b *builder) checkChain(d, t int, turn Turn) *chain {
	r := b.ask.Reference
	k := draft{&chain{towers: []int{t}, day: d + 1}, b.yard, false}
	k.series(-1, turn, r.Falls, r.Settle, r.Rest)
	for i := range k.steps {
		k.steps[i].early, k.steps[i].late = b.days[d].from, b.days[d].to-k.steps[i].long
	}
	return k.chain
}

// fill takes what is still free of a stretch.
func (l *line) fill(s stretch) {
	free := without([]stretch{s}, l.busy)
	for _, f := range free {
		l.add(f)
	}
}

// first is the recipe that asks for nothing.
func (b *builder) first() *recipe {
	n := len(b.families)
	r := &recipe{make([]int, n), make([]bool, n), make([]int, n), make([]int64, n)}
	for i := range n {
		r.order[i], r.leave[i], r.tower[i] = i, true, -1
	}
	return r
}

// carryOut makes the plan of a recipe: each family in turn at its earliest times.
func (b *builder) carryOut(r *recipe) *plan {
	b.base.copyTo(&b.work)
	p := &plan{recipe: r}
	b.held, b.groups = b.holders(), map[int]*group{}
	order := b.begunFirst(r.order)
	for i := 0; i < len(order); i++ {
		f := order[i]
		if b.stay[f].over() {
			continue
		}
		if b.packs(r, f) {
			if k := b.pack(r, f); k != nil {
				p.berths = append(p.berths, k)
			} else {
				p.left = append(p.left, f)
			}
			continue
		}
		best := b.place(r, f, b.stay)
		if best == nil && b.stay[f].begun() {
			best = b.place(r, f, b.loose)
		}
		if best == nil && i < len(r.order) && len(b.held) > 0 { // once more when towers are free
			order = append(order, f)
			continue
		}
		if best == nil {
			p.left = append(p.left, f)
			continue
		}
		b.work.book(b.yard, best)
		if h, ok := b.held[best.tower]; ok && h == f {
			delete(b.held, best.tower)
		}
		p.berths = append(p.berths, best)
	}
	b.closeDays(p)
	for _, k := range p.berths {
		p.finish = max(p.finish, k.finish())
		p.sum += k.finish()
	}
	for _, k := range p.checks {
		p.finish = max(p.finish, k.finish())
	}
	return p
}

// place finds the tower that a family leaves first.
func (b *builder) place(r *recipe, f int, chains []*chain) *berth {
	var best *berth
	for _, t := range chains[f].towers {
		if r.tower[f] >= 0 && r.tower[f] != t && len(chains[f].towers) > 1 {
			continue
		}
		if h, ok := b.held[t]; ok && h != f {
			continue
		}
		c := chains[f]
		if r.leave[f] && b.ask.Towers[t].Remount && c == b.stay[f] {
			c = b.leave[f]
		}
		at, ok := b.earliest(&b.work, c, t, b.lows(c))
		if i := c.hung(); ok && r.delay[f] > 0 && i >= 0 {
			low := b.lows(c)
			low[i] = at[i] + r.delay[f]
			if later, fits := b.earliest(&b.work, c, t, low); fits {
				at = later
			}
		}
		if !ok {
			continue
		}
		k := &berth{chain: c, tower: t, at: at, slot: make([]int, len(c.holds)), who: make([][]int, len(c.steps))}
		if best == nil || cmp.Or(cmp.Compare(k.down(), best.down()), cmp.Compare(k.finish(), best.finish())) < 0 {
			best = k
		}
	}
	if best != nil {
		b.tighten(&b.work, best.chain, best.at)
	}
	return best
}

// hung is the step at which a chain is first hung.
func (c *chain) hung() int {
	return slices.IndexFunc(c.steps, func(s step) bool { return s.kind == Hang && !s.done })
}

// holders are the families that are on towers now.
func (b *builder) holders() map[int]int {
	out := map[int]int{}
	if len(b.past) == 0 {
		return out
	}
	for f, c := range b.stay {
		if c.onTower() {
			out[c.towers[0]] = f
		}
	}
	return out
}

// begunFirst lists families that have fallen and are on a tower first, then others
// that have begun.
func (b *builder) begunFirst(order []int) []int {
	if len(b.past) == 0 {
		return order
	}
	out := slices.Clone(order)
	slices.SortStableFunc(out, func(x, y int) int {
		return cmp.Compare(b.stay[y].progress(), b.stay[x].progress())
	})
	return out
}

// closeDays keeps the checks of the days and towers in use, and moves closing
// ones to follow the last series.
func (b *builder) closeDays(p *plan) {
	for _, k := range b.checks {
		last, used := b.days[k.day].from, k.begun() || b.fell(k.day, k.tower)
		for _, s := range p.berths {
			if s.tower != k.tower {
				continue
			}
			for _, h := range s.holds {
				end := s.at[h.last] + s.steps[h.last].long
				if h.place < 0 && end > b.days[k.day].from && end <= b.days[k.day].to && end > b.from {
					last, used = max(last, end), true
				}
			}
		}
		switch {
		case !used:
			b.work.release(b.yard, k.berth)
		case k.turn == Opening || k.begun():
			p.checks = append(p.checks, k)
		default:
			b.work.release(b.yard, k.berth)
			b.work.towers[k.tower].remove(stretch{k.finish(), b.days[k.day].to})
			low := b.lows(k.chain)
			low[0] = max(low[0], last)
			at := k.at
			if sooner, ok := b.earliest(&b.work, k.chain, k.tower, low); ok && sooner[0] < at[0] {
				at = sooner
			}
			p.checks = append(p.checks, &check{b.work.take(b.yard, k.chain, k.tower, at), k.day, k.tower, k.turn})
		}
	}
}
