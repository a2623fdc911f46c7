package cutting

import "slices"

// scaled is a problem made ready: each piece longer by the kerf and each stock
// too, lengths and costs divided by what they share, pieces from the longest to
// the shortest, no more of a stock than there are pieces.
//
// A piece that is left uncut costs miss, which is more than all stocks together,
// so that fewest uncut comes before least cost in one number.
type scaled struct {
	length   []int // of pieces, falling
	want     []int
	piece    []int // place of each in the problem
	stocks   []Stock
	stock    []int // place of each in the problem
	costUnit int
	miss     int
	pieces   int   // in the problem
	sums     []int // lengths that pieces can sum up to, for the knapsack
}

// pattern is one stock and how many of each piece are cut from it.
type pattern struct {
	stock int
	count []int
}

// packing is a plan in scaled numbers.
type packing struct {
	cuts  []pattern
	left  []int // of each piece, uncut
	total int   // cost with miss for each piece uncut
}

func newScaled(p Problem) scaled {
	s := scaled{pieces: len(p.Pieces)}
	total, lengthUnit := 0, 0
	for i, piece := range p.Pieces {
		if piece.Count > 0 {
			s.piece = append(s.piece, i)
			total += piece.Count
		}
	}
	slices.SortStableFunc(s.piece, func(a, b int) int { return p.Pieces[b].Length - p.Pieces[a].Length })
	for _, i := range s.piece {
		s.length = append(s.length, p.Pieces[i].Length+p.Kerf)
		s.want = append(s.want, p.Pieces[i].Count)
		lengthUnit = gcd(lengthUnit, p.Pieces[i].Length+p.Kerf)
	}
	for i, stock := range p.Stocks {
		stock.Length += p.Kerf
		stock.Count = min(stock.Count, total)
		if stock.Cost == 0 {
			stock.Cost = p.Stocks[i].Length
		}
		if stock.Count > 0 {
			s.stocks, s.stock = append(s.stocks, stock), append(s.stock, i)
			s.costUnit = gcd(s.costUnit, stock.Cost)
		}
	}
	s.costUnit, lengthUnit = max(s.costUnit, 1), max(lengthUnit, 1)
	s.miss = 1
	for i := range s.stocks {
		s.stocks[i].Cost /= s.costUnit
		// Sums of pieces are multiples of the unit: what is over can hold nothing.
		s.stocks[i].Length /= lengthUnit
		s.miss += s.stocks[i].Cost * s.stocks[i].Count
	}
	for i := range s.length {
		s.length[i] /= lengthUnit
	}
	return s
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// report turns a packing and a bound of its total back into the problem's terms.
func (s scaled) report(p packing, bound int) Plan {
	plan := Plan{Missing: make([]int, s.pieces)}
	for i, n := range p.left {
		plan.Missing[s.piece[i]] = n
	}
	cost := 0
	for _, c := range p.cuts {
		counts := make([]int, s.pieces)
		for i, n := range c.count {
			counts[s.piece[i]] = n
		}
		plan.Cuts = append(plan.Cuts, Cut{Stock: s.stock[c.stock], Pieces: counts})
		cost += s.stocks[c.stock].Cost
	}
	slices.SortStableFunc(plan.Cuts, func(a, b Cut) int { return a.Stock - b.Stock })
	plan.Cost = cost * s.costUnit
	plan.LeastShort = bound / s.miss
	if plan.LeastShort == plan.Short() {
		plan.Bound = bound % s.miss * s.costUnit
	}
	return plan
}

// priced is the total of cuts and of what they leave uncut.
func (s scaled) priced(cuts []pattern, left []int) packing {
	p := packing{cuts: slices.Clone(cuts), left: slices.Clone(left)}
	for _, c := range cuts {
		p.total += s.stocks[c.stock].Cost
	}
	for _, n := range left {
		p.total += n * s.miss
	}
	return p
}
