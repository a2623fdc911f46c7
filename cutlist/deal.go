package cutlist

import (
	"fmt"
	"math"
	"slices"
)

// dealt is how many pieces of each kind each rope gives.
type dealt [][]int

// deal gives the pieces of the lot to its ropes, balanced, with the least opened:
// dynamic programming over the ropes, the state being what is still to be dealt. It
// reports false when the pieces do not fit in that way.
func (l *lot) deal() (dealt, bool) {
	total := l.total()
	states := 1
	for _, n := range total {
		states *= n + 1
	}
	const never = math.MaxInt / 2
	best := slices.Repeat([]int{never}, states)
	best[states-1] = 0 // all still to be dealt
	via := make([][]int, len(l.ropes))
	for r := range l.ropes {
		options := l.options(r)
		next := slices.Repeat([]int{never}, states)
		via[r] = slices.Repeat([]int{-1}, states)
		for at, c := range best {
			if c == never {
				continue
			}
			left := digits(at, total)
			for _, o := range options {
				to, fits := less(left, o.pieces, total)
				if fits && c+o.cost < next[to] {
					next[to], via[r][to] = c+o.cost, at
				}
			}
		}
		best = next
	}
	if best[0] == never {
		return nil, false
	}
	out := make(dealt, len(l.ropes))
	for r, at := len(l.ropes)-1, 0; r >= 0; r-- {
		before := via[r][at]
		from, to := digits(before, total), digits(at, total)
		for k := range from {
			out[r] = append(out[r], from[k]-to[k])
		}
		at = before
	}
	return out, true
}

// option is a number of pieces of each kind that fits a rope, and what it costs:
// the usable length when the rope is opened, counted so that any length of rope
// comes before any number of sets that are not full.
type option struct {
	pieces []int
	cost   int
}

const fullSets = 1000 // more than there are ropes

// options are whole sets and what is over, the most first, so that of equal costs
// the first ropes are filled.
func (l *lot) options(r int) []option {
	var out []option
	per, total := l.perSet(), l.total()
	over := l.perKind(func(i int) int { return max(l.set[i], l.spares(i)) })
	for whole := l.sets(); whole >= 0; whole-- {
		extra := make([]int, len(per))
		l.extend(0, whole, per, over, extra, func() {
			pieces := make([]int, len(per))
			for k := range per {
				if pieces[k] = whole*per[k] + extra[k]; pieces[k] > total[k] {
					return
				}
			}
			if slices.ContainsFunc(out, func(o option) bool { return slices.Equal(o.pieces, pieces) }) || !l.fits(r, pieces) {
				return
			}
			out = append(out, option{pieces, l.cost(r, pieces)})
		})
	}
	return out
}

// extend goes through all numbers of pieces over, the most first.
func (l *lot) extend(k, whole int, per, over, extra []int, do func()) {
	if k == len(per) {
		do()
		return
	}
	for n := over[k]; n >= 0; n-- {
		extra[k] = n
		l.extend(k+1, whole, per, over, extra, do)
	}
}

// spares is how many pieces of a want stand in no set.
func (l *lot) spares(want int) int {
	if l.set[want] > 0 {
		return 0
	}
	return l.wants[want].Count
}

func (l *lot) cost(r int, pieces []int) int {
	n := sum(pieces)
	if l.spread {
		return n*n*fullSets + l.partial(pieces)
	}
	if n == 0 {
		return 0
	}
	return usable(l.usable[r])*fullSets + l.partial(pieces)
}

// partial is 1 when some pieces leave a set that is not full.
func (l *lot) partial(pieces []int) int {
	whole := l.wholeIn(pieces)
	for k, n := range l.perSet() {
		if pieces[k] != whole*n {
			return 1
		}
	}
	return 0
}

// fits reports whether a rope holds the pieces.
func (l *lot) fits(r int, pieces []int) bool {
	key := fmt.Sprint(r, pieces)
	known, ok := l.memo[key]
	if ok {
		return known
	}
	need := 0
	for k, n := range pieces {
		need += n * l.length[k]
	}
	if need <= usable(l.usable[r]) {
		plan, err := l.cut(l.usable[r], pieces)
		known = err == nil && plan.Short() == 0
		l.certain = l.certain && (known || plan.LeastShort > 0)
	}
	l.memo[key] = known
	return known
}

// digits are the numbers of a state, the first fastest.
func digits(state int, total []int) []int {
	out := make([]int, len(total))
	for k, n := range total {
		out[k] = state % (n + 1)
		state /= n + 1
	}
	return out
}

// less is the state after pieces are dealt, and whether there were as many.
func less(left, pieces, total []int) (int, bool) {
	state, unit := 0, 1
	for k, n := range total {
		if pieces[k] > left[k] {
			return 0, false
		}
		state += (left[k] - pieces[k]) * unit
		unit *= n + 1
	}
	return state, true
}
