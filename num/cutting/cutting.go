// Package cutting cuts pieces of several lengths from stocks of several lengths
// so that the least stock is opened: the cutting stock problem in one dimension
// with stocks of different lengths and limited numbers, and bin packing, which is
// the case of one length of stock.
//
// All lengths are whole numbers of one unit that the caller chooses, a millimetre
// say, so that nothing here is rounded. With l the length of a piece, k what a cut
// takes away and L the length of a stock, n pieces fit when
//
//	Σ l + (n − 1)·k ≤ L
//
// since the last piece may end where the stock ends.
package cutting

import (
	"errors"
	"fmt"
)

// ErrRange: a length, count or cost is not what it has to be.
var ErrRange = errors.New("out of range")

// Stock is Count equal lengths that pieces can be cut from.
type Stock struct {
	Length int
	Count  int
	Cost   int // of opening one of them; 0 for its length
}

// Piece is Count equal lengths that are wanted.
type Piece struct {
	Length int
	Count  int
}

// Problem is what is wanted, and what from.
type Problem struct {
	Stocks []Stock
	Pieces []Piece
	Kerf   int // length that one cut takes away

	// Effort bounds the search, in steps of which some hundred million make a
	// second, when the problem is too large to be gone through whole; 0 stands for
	// 100 million. It counts work, not time: the answer is the same everywhere.
	Effort int
}

// Cut is one stock that is opened and what is cut from it.
type Cut struct {
	Stock  int   // place in Problem.Stocks
	Pieces []int // how many of each of Problem.Pieces
}

// Plan says what is cut from what: as many of the pieces as can be had, from
// stocks that cost as little as they can.
type Plan struct {
	Cuts    []Cut
	Missing []int // how many of each piece the stocks do not hold

	Cost       int // of all stocks opened
	Bound      int // no plan that misses as few pieces costs less
	LeastShort int // no plan misses fewer pieces
}

// Short is the number of pieces that the stocks do not hold.
func (p Plan) Short() int {
	n := 0
	for _, m := range p.Missing {
		n += m
	}
	return n
}

// Proven reports whether no plan can be better: none misses fewer pieces, and
// none that misses as few costs less.
func (p Plan) Proven() bool { return p.Short() == p.LeastShort && p.Cost == p.Bound }

// Solve finds the plan that leaves the fewest pieces uncut and of those one that
// costs least.
//
// Where the number of different demands still open times the number of ways to
// cut a stock is small (one or two lengths of a rope study always are) it goes
// through the stocks by dynamic programming and the plan is the least. Else it
// searches: patterns that hold the longest piece not yet cut, and to which no
// piece can be added, in the order in which a linear programme likes them, with
// the bound of [GilmoreGomory1961] recomputed in whole numbers from rounded
// prices. The search stops after Problem.Effort steps; Plan.Bound then says how
// far from the least the plan can be.
//
// It returns ErrRange for a stock or piece of no length, a negative count, cost or
// kerf. Stocks and pieces of count 0 are allowed.
func Solve(p Problem) (Plan, error) {
	if err := p.check(); err != nil {
		return Plan{}, err
	}
	s := newScaled(p)
	best := s.greedy()
	if plan, ok := s.stages(); ok {
		return s.report(plan, plan.total), nil
	}
	bound := s.search(&best, p.Effort)
	return s.report(best, bound), nil
}

func (p Problem) check() error {
	for i, s := range p.Stocks {
		if s.Length <= 0 || s.Count < 0 || s.Cost < 0 {
			return fmt.Errorf("%w: stock %d is of length %d, count %d, cost %d", ErrRange, i+1, s.Length, s.Count, s.Cost)
		}
	}
	for i, l := range p.Pieces {
		if l.Length <= 0 || l.Count < 0 {
			return fmt.Errorf("%w: piece %d is of length %d, count %d", ErrRange, i+1, l.Length, l.Count)
		}
	}
	if p.Kerf < 0 || p.Effort < 0 {
		return fmt.Errorf("%w: a kerf of %d, an effort of %d", ErrRange, p.Kerf, p.Effort)
	}
	return nil
}
