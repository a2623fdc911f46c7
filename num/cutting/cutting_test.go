package cutting

import (
	"math/rand/v2"
	"testing"
)

// sound holds a plan to the problem by itself: what is cut fits, nothing is cut
// twice, and cost and missing pieces are what they are said to be.
func sound(t *testing.T, p Problem, plan Plan) {
	t.Helper()
	opened, got, cost := make([]int, len(p.Stocks)), make([]int, len(p.Pieces)), 0
	for _, c := range plan.Cuts {
		stock := p.Stocks[c.Stock]
		opened[c.Stock]++
		cost += stock.Cost
		if stock.Cost == 0 {
			cost += stock.Length
		}
		length, n := 0, 0
		for i, count := range c.Pieces {
			length += count * p.Pieces[i].Length
			n += count
			got[i] += count
		}
		if n == 0 || length+(n-1)*p.Kerf > stock.Length {
			t.Errorf("%d pieces of %d in all and %d cuts of %d from a stock of %d", n, length, n-1, p.Kerf, stock.Length)
		}
	}
	for i, n := range opened {
		if n > p.Stocks[i].Count {
			t.Errorf("%d of stock %d opened, there are %d", n, i, p.Stocks[i].Count)
		}
	}
	for i, n := range got {
		if n+plan.Missing[i] != p.Pieces[i].Count {
			t.Errorf("piece %d: %d cut, %d missing, %d wanted", i, n, plan.Missing[i], p.Pieces[i].Count)
		}
	}
	if cost != plan.Cost {
		t.Errorf("the stocks cost %d, the plan says %d", cost, plan.Cost)
	}
}

// least tries every way to give each single piece to a stock or to none.
func least(p Problem) (short, cost int) {
	var rooms, costs, items []int
	for _, s := range p.Stocks {
		for range s.Count {
			rooms = append(rooms, s.Length+p.Kerf)
			if s.Cost == 0 {
				s.Cost = s.Length
			}
			costs = append(costs, s.Cost)
		}
	}
	for _, piece := range p.Pieces {
		for range piece.Count {
			items = append(items, piece.Length+p.Kerf)
		}
	}
	full := append([]int(nil), rooms...)
	short, cost = len(items)+1, 0
	var give func(i, missed int)
	give = func(i, missed int) {
		if missed > short {
			return
		}
		if i == len(items) {
			sum := 0
			for k, room := range rooms {
				if room < full[k] {
					sum += costs[k]
				}
			}
			if missed < short || sum < cost {
				short, cost = missed, sum
			}
			return
		}
		for k := range rooms {
			if rooms[k] >= items[i] {
				rooms[k] -= items[i]
				give(i+1, missed)
				rooms[k] += items[i]
			}
		}
		give(i+1, missed+1)
	}
	give(0, 0)
	return short, cost
}

func drawn(random *rand.Rand) Problem {
	p := Problem{Kerf: random.IntN(3)}
	for range 1 + random.IntN(3) {
		s := Stock{Length: 10 + random.IntN(30), Count: 1 + random.IntN(2)}
		if random.IntN(3) == 0 {
			s.Cost = 1 + random.IntN(9)
		}
		p.Stocks = append(p.Stocks, s)
	}
	for n := 3 + random.IntN(4); n > 0; {
		c := 1 + random.IntN(min(n, 3))
		p.Pieces = append(p.Pieces, Piece{Length: 3 + random.IntN(20), Count: c})
		n -= c
	}
	return p
}

// Every plan of 600 small problems against all ways to deal the pieces out, by
// both methods: they share neither a bound nor an order of looking.
func TestAgainstEveryWay(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	short, tight := 0, 0
	for range 600 {
		p := drawn(random)
		s := newScaled(p)
		wantShort, wantCost := least(p)
		if wantShort > 0 {
			short++
		}
		staged, ok := s.stages()
		if !ok {
			t.Fatalf("%+v: not gone through by stages", p)
		}
		best := s.greedy()
		if best.total > staged.total {
			tight++
		}
		bound := s.search(&best, 0)
		for method, plan := range map[string]Plan{"stages": s.report(staged, staged.total), "search": s.report(best, bound)} {
			sound(t, p, plan)
			if plan.Short() != wantShort || plan.Cost != wantCost || !plan.Proven() {
				t.Errorf("%s of %+v: %d short, cost %d (bound %d), proven %v; the least is %d short, cost %d",
					method, p, plan.Short(), plan.Cost, plan.Bound, plan.Proven(), wantShort, wantCost)
			}
		}
	}
	if short < 50 || tight < 50 {
		t.Errorf("%d problems too short of stock and %d where greed is not enough: the draw is too easy", short, tight)
	}
}
