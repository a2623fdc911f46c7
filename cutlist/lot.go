package cutlist

import (
	"errors"
	"slices"

	"fallwright.example/num/cutting"
	"fallwright.example/num/doe"
)

// lot is the demand of one lot and what there is of it, in mm.
type lot struct {
	name    string
	ropes   []Rope
	usable  [][]stretch // by rope
	wants   []Want      // of this lot, each a treatment of the draw
	kind    []int       // of each want: the place of its length
	length  []int       // of the kinds
	set     []int       // of each want in a whole set
	kerf    int
	maxRun  int
	spread  bool
	memo    map[string]bool
	certain bool // every answer of fits was proven
}

func newLot(name string, ropes []Rope, d Demand) *lot {
	l := &lot{name: name, kerf: mmUp(d.Kerf), maxRun: d.MaxRun, spread: d.Spread, memo: map[string]bool{}, certain: true}
	for _, r := range ropes {
		if r.Lot == name {
			l.ropes, l.usable = append(l.ropes, r), append(l.usable, r.stretches())
		}
	}
	least := 0
	for _, w := range d.Wants {
		if w.Lot != name || w.Count == 0 {
			continue
		}
		length := mmUp(d.PieceLength(w.FreeLength))
		at := slices.Index(l.length, length)
		if at < 0 {
			at = len(l.length)
			l.length = append(l.length, length)
		}
		l.wants, l.kind = append(l.wants, w), append(l.kind, at)
		if w.Condition != "" && (least == 0 || w.Count < least) {
			least = w.Count
		}
	}
	for _, w := range l.wants {
		n := 0
		if w.Condition != "" {
			n = w.Count / least
		}
		l.set = append(l.set, n)
	}
	return l
}

// total is how many pieces of each kind are wanted.
func (l *lot) total() []int { return l.perKind(func(i int) int { return l.wants[i].Count }) }

// perSet is how many pieces of each kind a whole set has.
func (l *lot) perSet() []int { return l.perKind(func(i int) int { return l.set[i] }) }

func (l *lot) perKind(of func(want int) int) []int {
	out := make([]int, len(l.length))
	for i, k := range l.kind {
		out[k] += of(i)
	}
	return out
}

// sets is how many whole sets there can be.
func (l *lot) sets() int {
	n := -1
	for i, w := range l.wants {
		if l.set[i] > 0 && (n < 0 || w.Count/l.set[i] < n) {
			n = w.Count / l.set[i]
		}
	}
	return max(n, 0)
}

// wholeIn is how many whole sets some pieces make.
func (l *lot) wholeIn(pieces []int) int {
	n := l.sets()
	for k, per := range l.perSet() {
		if per > 0 {
			n = min(n, pieces[k]/per)
		}
	}
	return n
}

// cut cuts pieces of each kind from stretches, opening the least length of them.
func (l *lot) cut(from []stretch, pieces []int) (cutting.Plan, error) {
	p := cutting.Problem{Kerf: l.kerf}
	for _, s := range from {
		p.Stocks = append(p.Stocks, cutting.Stock{Length: s.length(), Count: 1})
	}
	for k, n := range pieces {
		p.Pieces = append(p.Pieces, cutting.Piece{Length: l.length[k], Count: n})
	}
	return cutting.Solve(p)
}

// segments cuts the pieces of a rope from its stretches: set after set where pieces
// of several lengths fit like that, else so that the least is opened.
func (l *lot) segments(r int, pieces []int) ([]segment, error) {
	if len(l.length) > 1 {
		if out, ok := l.setBySet(r, pieces); ok {
			return out, nil
		}
	}
	plan, err := l.cut(l.usable[r], pieces)
	if err != nil {
		return nil, err
	}
	var out []segment
	for _, c := range plan.Cuts {
		out = append(out, segment{l.usable[r][c.Stock], c.Pieces})
	}
	return out, nil
}

// setBySet fills the stretches in order with one set after the other, the long pieces
// of each first, so that every stretch has the lengths of whole sets. A set that does
// not fit goes on in the next stretch.
func (l *lot) setBySet(r int, pieces []int) ([]segment, bool) {
	per, left := l.perSet(), slices.Clone(pieces)
	set := l.next(per, left)
	var out []segment
	for _, s := range l.usable[r] {
		seg := segment{s, make([]int, len(left))}
		for room := s.length() + l.kerf; sum(left) > 0; {
			k := -1
			for i, n := range set {
				if n > 0 && l.length[i]+l.kerf <= room && (k < 0 || l.length[i] > l.length[k]) {
					k = i
				}
			}
			if k < 0 {
				break
			}
			room -= l.length[k] + l.kerf
			seg.pieces[k]++
			set[k]--
			left[k]--
			if sum(set) == 0 {
				set = l.next(per, left)
			}
		}
		if sum(seg.pieces) > 0 {
			out = append(out, seg)
		}
	}
	return out, sum(left) == 0
}

// next is the next set of what is left; all of it when that is no whole set.
func (l *lot) next(per, left []int) []int {
	for k, n := range per {
		if left[k] < n || sum(per) == 0 {
			return slices.Clone(left)
		}
	}
	return slices.Clone(per)
}

// draw says which want each slot of each rope gets. Slots of a rope are those of its
// cuts, in order along it. Where pieces of several lengths leave no order in which
// sets follow each other, a rope holds what its sets hold in any order.
func (l *lot) draw(cuts [][]segment, seed uint64) (doe.Arranged, doe.Sets, error) {
	s := doe.Sets{Set: l.set, MaxRun: l.maxRun}
	for _, w := range l.wants {
		s.Count = append(s.Count, w.Count)
		s.AnyRun = append(s.AnyRun, w.Condition == "" || l.alone())
	}
	if len(l.length) > 1 {
		s.Kind = l.kind
	}
	whole := 0
	for _, segments := range cuts {
		row := doe.Row{}
		pieces := make([]int, len(l.length))
		for k, seg := range segments {
			n := sum(seg.pieces)
			row.Slots += n
			row.Stretch = append(row.Stretch, slices.Repeat([]int{k}, n)...)
			for i, c := range seg.pieces {
				pieces[i] += c
			}
			if len(l.length) > 1 {
				row.Of = append(row.Of, seg.pieces)
			}
		}
		row.Whole = min(l.wholeIn(pieces), l.sets()-whole)
		whole += row.Whole
		s.Rows = append(s.Rows, row)
	}
	a, err := s.Draw(seed)
	if errors.Is(err, doe.ErrEmpty) && len(l.length) > 1 {
		s.Loose = true
		a, err = s.Draw(seed)
	}
	return a, s, err
}

// alone reports whether the lot has one condition only, which follows itself.
func (l *lot) alone() bool {
	n := 0
	for _, w := range l.wants {
		if w.Condition != "" {
			n++
		}
	}
	return n == 1
}

// segment is a stretch that is cut, and how many pieces of each kind it gives.
type segment struct {
	stretch
	pieces []int
}

func sum(counts []int) int {
	n := 0
	for _, c := range counts {
		n += c
	}
	return n
}
