package cutting

import (
	"math"
	"slices"
)

const (
	work   = 60_000_000 // steps that stages may take: a few tenths of a second
	memory = 8_000_000  // numbers that it may keep
	never  = math.MaxInt / 2
)

// stages goes through the stocks one by one and keeps for every number of pieces
// of each length that can have been cut the least cost: dynamic programming, which
// sees every plan. It declines when that would take too long.
//
// To cut more is never worse, so only patterns to which nothing can be added are
// looked at, and numbers beyond what is wanted count as what is wanted.
func (s scaled) stages() (packing, bool) {
	states := 1
	for _, n := range s.want {
		if states > memory/(n+1) {
			return packing{}, false
		}
		states *= n + 1
	}
	ways := make([][][]int, len(s.stocks))
	spent, copies := 0, 0
	for k, stock := range s.stocks {
		s.maximal(stock.Length, s.want, func(count []int) bool {
			ways[k] = append(ways[k], slices.Clone(count))
			return len(ways[k])*states*stock.Count <= work-spent
		})
		spent += len(ways[k]) * states * stock.Count
		copies += stock.Count
		if spent > work || copies*states > memory {
			return packing{}, false
		}
	}
	cost := slices.Repeat([]int{never}, states)
	cost[0] = 0
	var steps []step
	for k, stock := range s.stocks {
		for range stock.Count {
			var next step
			next, cost = s.open(k, ways[k], cost)
			steps = append(steps, next)
		}
	}
	return s.trace(cost, steps), true
}

// step is one copy of a stock: the state that each state was reached from.
type step struct {
	stock int
	from  []int32
}

// open adds one copy of a stock, cut in one of the ways or not opened.
func (s scaled) open(stock int, ways [][]int, cost []int) (step, []int) {
	next := step{stock, make([]int32, len(cost))}
	for at := range next.from {
		next.from[at] = int32(at)
	}
	after := slices.Clone(cost)
	for at, c := range cost {
		if c == never {
			continue
		}
		for _, way := range ways {
			if to := s.after(at, way); c+s.stocks[stock].Cost < after[to] {
				after[to], next.from[to] = c+s.stocks[stock].Cost, int32(at)
			}
		}
	}
	return next, after
}

// after is the state that a pattern leads to. A state is the numbers cut, in mixed
// radix with the first piece fastest.
func (s scaled) after(at int, way []int) int {
	to, unit := 0, 1
	for i, want := range s.want {
		to += min(at%(want+1)+way[i], want) * unit
		at /= want + 1
		unit *= want + 1
	}
	return to
}

// trace walks back from the best state.
func (s scaled) trace(cost []int, steps []step) packing {
	all, best, least := len(cost)-1, 0, math.MaxInt
	for at, c := range cost {
		if c == never {
			continue
		}
		for _, n := range s.difference(at, all) {
			c += n * s.miss
		}
		if c < least {
			best, least = at, c
		}
	}
	var cuts []pattern
	at := best
	for k := len(steps) - 1; k >= 0; k-- {
		if before := int(steps[k].from[at]); before != at {
			cuts = append(cuts, pattern{steps[k].stock, s.difference(before, at)})
			at = before
		}
	}
	return s.priced(cuts, s.difference(best, all))
}

// difference is the numbers of pieces between two states.
func (s scaled) difference(from, to int) []int {
	out := make([]int, len(s.want))
	for i, w := range s.want {
		out[i] = to%(w+1) - from%(w+1)
		from, to = from/(w+1), to/(w+1)
	}
	return out
}
