package cutting

import "math"

// grain is the number of steps a price is rounded down to within one unit of cost.
const grain = 1 << 20

// price solves the linear relaxation of what is left to be cut, by the simplex
// method of [GilmoreGomory1961] in which the columns, ways to cut a stock, are made
// by a knapsack as they are needed. It returns a bound that no way of cutting what
// is left falls below, and the prices of pieces and stocks that prove it.
//
// The simplex runs in floating point and need not be trusted: from its prices π,
// rounded to whole grains, the bound is
//
//	Σ d·π + Σ a·min(0, c − K)
//
// in whole numbers (d wanted, a stocks to be had, c their cost, K the dearest
// content of one at these prices), which holds for any π from 0 to miss.
// It stops when the bound reaches enough.
func (q *quest) price(left, stocks []int, enough int) (bound int, at prices) {
	t := newTableau(q.s, left, stocks)
	k := newKnapsack(q.s, left)
	best := math.MinInt
	for range 100 * (len(left) + len(stocks) + 5) {
		now := t.prices(q.s.miss)
		q.spent += len(t.value)*len(t.value) + len(q.pool)*len(left)
		if t.improve(q.s, q.pool, now) {
			continue
		}
		k.fill(now.piece)
		q.spent += len(k.chunk) * len(k.value)
		if b := k.bound(left, stocks, now); b > best {
			best, at = b, now
		}
		if ceil(best) >= enough || ceil(best) >= int(math.Ceil(t.objective()-1e-6)) {
			break
		}
		var fresh []pattern
		for i, stock := range q.s.stocks {
			fresh = append(fresh, pattern{i, k.content(stock.Length)})
		}
		if !t.improve(q.s, fresh, now) {
			break
		}
		q.pool = append(q.pool, fresh...)
	}
	for i, cut := range t.cut {
		if cut.count != nil && t.value[i] > 1e-9 {
			at.used = append(at.used, used{cut, t.value[i]})
		}
	}
	return max(0, ceil(best)), at
}

// ceil is the least whole cost that is no less than a sum of grains.
func ceil(grains int) int {
	if grains <= 0 {
		return 0
	}
	return (grains + grain - 1) / grain
}

// prices are what a piece of each length is worth and what it costs that stocks
// are short, in grains.
type prices struct {
	piece []int
	stock []float64 // in units of cost, never negative
	raw   []float64
	used  []used // the ways of cutting that the linear programme settled on
}

// used is a way of cutting and how often the linear programme, which knows no
// whole numbers, uses it.
type used struct {
	pattern
	times float64
}
