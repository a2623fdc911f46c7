package cutting

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// defaultEffort and mostWays bound the search: steps in all, some tenths of a
// second, and patterns looked at in one place.
const (
	defaultEffort = 100_000_000
	mostWays      = 4000
)

// search improves best and returns a bound of the total: best.total when it has
// seen, or excluded, everything.
func (s scaled) search(best *packing, effort int) int {
	if effort == 0 {
		effort = defaultEffort
	}
	q := &quest{best: best, effort: effort, seen: map[string]int{}}
	stocks := make([]int, len(s.stocks))
	longest := 0
	for i, stock := range s.stocks {
		stocks[i] = stock.Count
		longest = max(longest, stock.Length)
	}
	s.sums = sums(s.length, s.want, longest)
	q.s, q.pool = s, slices.Clone(best.cuts)
	root, _ := q.price(s.want, stocks, best.total)
	q.root = s.reachable(root)
	if q.root >= best.total {
		return best.total
	}
	// First only what meets the bound, which is often met; then anything better.
	q.limit, q.effort = q.root+1, effort/2
	q.descend(nil, slices.Clone(s.want), stocks, 0)
	if !q.cut {
		q.root = min(s.reachable(q.root+1), best.total)
	}
	if best.total <= q.root {
		return best.total
	}
	q.limit, q.effort, q.cut = math.MaxInt, effort, false
	clear(q.seen)
	q.descend(nil, slices.Clone(s.want), stocks, 0)
	if q.cut {
		return min(q.root, best.total)
	}
	return best.total
}

// most is the total that a plan has to stay below to be of use.
func (q *quest) most() int { return min(q.limit, q.best.total) }

// reachable is the least total, no less than bound, that costs of stocks and
// pieces uncut can sum up to.
func (s scaled) reachable(bound int) int {
	const largest = 20_000_000
	short, rest := bound/s.miss, bound%s.miss
	if s.miss > largest || short > 0 {
		return bound
	}
	sums := make([]bool, s.miss)
	sums[0] = true
	for _, stock := range s.stocks {
		if stock.Cost == 1 { // nearly every sum can be made
			return bound
		}
		for range stock.Count {
			for c := s.miss - 1; c >= stock.Cost; c-- {
				sums[c] = sums[c] || sums[c-stock.Cost]
			}
		}
	}
	for c := rest; c < s.miss; c++ {
		if sums[c] {
			return c
		}
	}
	return s.miss
}

// quest is the state of a search.
type quest struct {
	s     scaled
	best  *packing
	root  int // no plan has a smaller total
	limit int
	seen  map[string]int
	pool  []pattern // ways of cutting that linear programmes have used
	cut   bool      // something was left out

	effort, spent int
}

// descend cuts what is left after cuts of the given cost.
func (q *quest) descend(cuts []pattern, left, stocks []int, cost int) {
	longest := slices.IndexFunc(left, func(n int) bool { return n > 0 })
	if longest < 0 {
		if cost < q.best.total {
			*q.best = q.s.priced(cuts, q.uncut(cuts))
		}
		return
	}
	if q.spent > q.effort || q.best.total <= q.root {
		q.cut = q.cut || q.best.total > q.root
		return
	}
	key := key(left, stocks)
	if before, known := q.seen[key]; known && before <= cost {
		return
	}
	q.seen[key] = cost
	bound, at := q.price(left, stocks, q.most()-cost)
	if cost+bound >= q.most() {
		return
	}
	q.round(cuts, left, stocks, at.used)
	for _, w := range q.ways(longest, left, stocks, at) {
		q.take(w, cuts, left, stocks, cost)
	}
}

// take goes on with one pattern cut, or with one piece uncut where it has no stock.
func (q *quest) take(w pattern, cuts []pattern, left, stocks []int, cost int) {
	for i, n := range w.count {
		left[i] -= n
	}
	if w.stock < 0 {
		q.descend(cuts, left, stocks, cost+q.s.miss)
	} else {
		stocks[w.stock]--
		q.descend(append(cuts, w), left, stocks, cost+q.s.stocks[w.stock].Cost)
		stocks[w.stock]++
	}
	for i, n := range w.count {
		left[i] += n
	}
}

// ways are all patterns that hold the longest piece left and can hold no other
// one more, and to leave that piece uncut. Those that the linear programme uses
// most come first, then those of least reduced cost.
func (q *quest) ways(longest int, left, stocks []int, at prices) []pattern {
	type rated struct {
		pattern
		rate float64
	}
	var all []rated
	for k, n := range stocks {
		if n == 0 || q.s.stocks[k].Length < q.s.length[longest] {
			continue
		}
		q.s.maximal(q.s.stocks[k].Length, left, func(count []int) bool {
			q.spent += 10 * len(count)
			if count[longest] == 0 {
				return false // from here on none holds it
			}
			all = append(all, rated{pattern{k, slices.Clone(count)}, at.rate(q.s, k, count)})
			q.cut = q.cut || len(all) >= mostWays
			return len(all) < mostWays
		})
	}
	slices.SortStableFunc(all, func(a, b rated) int { return cmp.Compare(a.rate, b.rate) })
	out := make([]pattern, 0, len(all)+1)
	for _, r := range all {
		out = append(out, r.pattern)
	}
	none := make([]int, len(left))
	none[longest] = 1
	return append(out, pattern{-1, none})
}

// rate is the reduced cost of a pattern, or how often it is used with a minus.
func (p prices) rate(s scaled, stock int, count []int) float64 {
	for _, u := range p.used {
		if u.stock == stock && slices.Equal(u.count, count) {
			return -u.times
		}
	}
	worth := 0
	for i, c := range count {
		worth += c * p.piece[i]
	}
	return float64(s.stocks[stock].Cost) + p.stock[stock] - float64(worth)/grain
}

// round takes the whole part of what the linear programme uses, fills the rest
// greedily and keeps it if it is better.
func (q *quest) round(cuts []pattern, left, stocks []int, use []used) {
	cuts, left = slices.Clone(cuts), slices.Clone(left)
	taken := make([]int, len(stocks))
	for i, n := range stocks {
		taken[i] = q.s.stocks[i].Count - n
	}
	for _, u := range use {
		for times := int(u.times + 1e-6); times > 0 && taken[u.stock] < q.s.stocks[u.stock].Count && within(u.count, left); times-- {
			cuts = append(cuts, u.pattern)
			taken[u.stock]++
			for i, n := range u.count {
				left[i] -= n
			}
		}
	}
	for _, places := range q.s.orders() {
		p := q.s.fill(cuts, left, places, taken)
		if p = q.s.priced(p.cuts, q.uncut(p.cuts)); p.total < q.best.total {
			*q.best = p
		}
	}
}

func within(count, left []int) bool {
	for i, n := range count {
		if n > left[i] {
			return false
		}
	}
	return true
}

// uncut is what some cuts leave of all that is wanted.
func (q *quest) uncut(cuts []pattern) []int {
	left := slices.Clone(q.s.want)
	for _, c := range cuts {
		for i, n := range c.count {
			left[i] -= n
		}
	}
	return left
}

func key(left, stocks []int) string {
	var b strings.Builder
	for _, list := range [...][]int{left, stocks} {
		for _, n := range list {
			b.WriteByte(byte(n))
			b.WriteByte(byte(n >> 8))
			b.WriteByte(byte(n >> 16))
		}
	}
	return b.String()
}
