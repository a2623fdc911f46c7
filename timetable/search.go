package timetable

import (
	"context"
	"math/rand/v2"
	"slices"
)

// search looks for a better plan by changing the recipe here or there: a change
// that makes the plan no worse is kept. It ends at its number of steps, or when
// the finish is the bound.
func (b *builder) search(ctx context.Context, bound int64) (*plan, int, error) {
	at := b.first()
	best := b.carryOut(at)
	for _, start := range b.starts() {
		if p := b.carryOut(start); p.better(best) < 0 {
			at, best = start, p
		}
	}
	steps := b.steps()
	random := rand.New(rand.NewPCG(b.ask.Seed, 1))
	moves := b.moves()
	step := 0
	for ; step < steps && len(moves) > 0 && (best.finish > bound || len(best.left) > 0); step++ {
		if err := ctx.Err(); err != nil {
			return nil, step, err
		}
		if b.ask.Progress != nil {
			b.ask.Progress(step, steps)
		}
		next := at.clone()
		for range 1 + random.IntN(3) {
			moves[random.IntN(len(moves))](next, random)
		}
		if p := b.carryOut(next); p.better(best) <= 0 {
			at, best = next, p
		}
	}
	return best, step, nil
}

// steps is how many steps the search takes.
func (b *builder) steps() int {
	if b.ask.Steps > 0 {
		return b.ask.Steps
	}
	if b.remounts() { // taking turns is found more slowly
		return min(50, 190/len(b.families))
	}
	return min(1000, 20000/len(b.families))
}

func (r *recipe) clone() *recipe {
	return &recipe{slices.Clone(r.order), slices.Clone(r.leave), slices.Clone(r.tower), slices.Clone(r.delay)}
}

// starts are other recipes to begin from: no leaving of towers, and in a free
// order those first that can be hung first.
func (b *builder) starts() []*recipe {
	var out []*recipe
	still := b.first()
	for i := range still.leave {
		still.leave[i] = false
	}
	if b.remounts() {
		out = append(out, still)
	}
	if b.ask.FreeOrder {
		soonest := b.first()
		head := make([]int64, len(b.families))
		for f, c := range b.stay {
			if at, ok := b.earliest(&b.empty, c, c.towers[0], b.lows(c)); ok {
				head[f] = at[max(0, c.hung())]
			}
		}
		slices.SortStableFunc(soonest.order, func(i, j int) int { return int(head[i] - head[j]) })
		out = append(out, soonest)
		if b.remounts() {
			both := soonest.clone()
			both.leave = still.leave
			out = append(out, both)
		}
	}
	return out
}

func (b *builder) remounts() bool {
	return slices.ContainsFunc(b.ask.Towers, func(t Tower) bool { return t.Remount })
}

// moves are the changes that can make a difference here.
func (b *builder) moves() []func(*recipe, *rand.Rand) {
	n := len(b.families)
	one := func(r *rand.Rand) int { return r.IntN(n) }
	moves := []func(*recipe, *rand.Rand){
		func(p *recipe, r *rand.Rand) { p.delay[one(r)] = int64(r.IntN(11)) * 30 },
		func(p *recipe, r *rand.Rand) { p.delay[one(r)] = 0 },
	}
	if len(b.ask.Towers) > 1 {
		moves = append(moves, func(p *recipe, r *rand.Rand) { p.tower[one(r)] = r.IntN(len(b.ask.Towers)+1) - 1 })
	}
	if b.remounts() {
		moves = append(moves, func(p *recipe, r *rand.Rand) { i := one(r); p.leave[i] = !p.leave[i] })
	}
	if b.ask.FreeOrder && n > 1 {
		shift := func(p *recipe, r *rand.Rand) {
			from, to := one(r), one(r)
			f := p.order[from]
			p.order = slices.Insert(slices.Delete(p.order, from, from+1), to, f)
		}
		moves = append(moves, shift, shift, func(p *recipe, r *rand.Rand) {
			i, j := one(r), one(r)
			p.order[i], p.order[j] = p.order[j], p.order[i]
		})
	}
	return moves
}
