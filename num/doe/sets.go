package doe

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
)

// Sets is a draw over rows, ropes say, along which sets follow each other: each
// whole set holds every treatment as often as Set says (randomised complete
// blocks), and what a row has over is a last set that is not full (an incomplete
// block), in which a treatment stands no more often than in a whole one, unless its
// number is no multiple of what a set holds and it must. So
// treatments are balanced over rows, and along each row over the places in it.
type Sets struct {
	Count  []int  // of each treatment over all rows
	Set    []int  // of each treatment in a whole set; 0 for one that fills what is over, a spare
	Rows   []Row  // together as many slots as Count
	Kind   []int  // see Draw; nil for one kind
	MaxRun int    // see Draw
	AnyRun []bool // see Draw
	Loose  bool   // a row holds what its sets hold, in any order
}

// Row is one row of slots.
type Row struct {
	Slots int
	Whole int // sets in it that are whole

	// Quota says for stretches of the row, segments of a rope say, how many slots of
	// each kind they have; nil where there is one kind.
	Stretch []int
	Of      [][]int
}

// Arranged is what was drawn for Sets.
type Arranged struct {
	Treatment [][]int  // by row, then slot
	Size      *big.Int // number of arrangements that are permitted, if Uniform
	Uniform   bool     // over all of them; else in each of two steps only
}

// Draw draws an arrangement.
//
// Where all treatments stand once in a set it does so in two steps: first which treatments the sets that are not full hold, with seed, then the
// order along each row, row r from 1 with SeedOf(seed, r). The first is uniform over
// the contents that are permitted, the second over the orders of the row, and each
// content has as many orders: so every arrangement is as likely as any other.
//
// Where they do not (a baseline that stands twice, spares) all rows are one
// Draw, if it can be counted. If not, or if the rows are Loose, there are two steps
// all the same, each uniform by itself only, which Uniform says; contents that leave
// a row without an order are drawn anew, from the seeds Mixed(seed, 1), Mixed(seed, 2) ...
func (s Sets) Draw(seed uint64) (Arranged, error) {
	if err := s.check(); err != nil {
		return Arranged{}, err
	}
	if s.alike() {
		return s.inSteps(seed, seed)
	}
	if out, ok, err := s.atOnce(seed); ok || err != nil {
		return out, err
	}
	for try := 0; ; try++ {
		contents := seed
		if try > 0 {
			contents = Mixed(seed, uint64(try))
		}
		out, err := s.inSteps(contents, seed)
		if err == nil || !errors.Is(err, ErrEmpty) || try == 50 {
			out.Uniform, out.Size = false, nil
			return out, err
		}
	}
}

// inSteps draws contents and then orders.
func (s Sets) inSteps(contents, seed uint64) (Arranged, error) {
	over, err := s.over(contents)
	if err != nil {
		return Arranged{}, err
	}
	out := Arranged{Size: over.size, Uniform: true}
	for r, row := range s.Rows {
		d := Draw{Count: over.count[r], MaxRun: s.MaxRun, AnyRun: s.AnyRun}
		if !s.Loose {
			d.Families = []Family{s.sets(row)}
		}
		if row.Of != nil {
			d.Kind, d.Quota = s.Kind, &Quota{Block: row.Stretch, Of: row.Of}
		}
		urn, err := d.Urn()
		if err != nil {
			return Arranged{}, fmt.Errorf("row %d: %w", r+1, err)
		}
		a, err := urn.Draw(SeedOf(seed, r+1))
		if err != nil {
			return Arranged{}, fmt.Errorf("row %d: %w", r+1, err)
		}
		out.Treatment = append(out.Treatment, a.Treatment)
		if size := urn.Size(); size == nil || out.Size == nil {
			out.Size = nil
		} else {
			out.Size.Mul(out.Size, size)
		}
	}
	return out, nil
}

// atOnce draws all rows as one, and reports whether they could be counted.
func (s Sets) atOnce(seed uint64) (Arranged, bool, error) {
	if s.Loose {
		return Arranged{}, false, nil
	}
	d := s.joint()
	c := newCounter(d)
	c.most = mostStates / 10
	size := c.ways(0)
	if size == nil {
		return Arranged{}, false, nil
	}
	if size.Sign() == 0 {
		return Arranged{}, false, d.empty()
	}
	a := c.arrangement(Below(size, seed))
	out := Arranged{Size: new(big.Int).Set(size), Uniform: true}
	for _, row := range s.Rows {
		out.Treatment = append(out.Treatment, a[:row.Slots:row.Slots])
		a = a[row.Slots:]
	}
	return out, true, nil
}

// joint is all rows as one draw.
func (s Sets) joint() Draw {
	d := Draw{Count: s.Count, Kind: s.Kind, MaxRun: s.MaxRun, AnyRun: s.AnyRun}
	whole := Family{Name: "sets along a row", Weight: s.Set}
	part := Family{Name: "sets that are not full"}
	quota, sets, unfilled := Quota{}, 0, 0
	over := slices.Clone(s.Count)
	for r, row := range s.Rows {
		d.Row = append(d.Row, slices.Repeat([]int{r}, row.Slots)...)
		for _, b := range s.sets(row).Block {
			if b < 0 {
				whole.Block, part.Block = append(whole.Block, -1), append(part.Block, r)
			} else {
				whole.Block, part.Block = append(whole.Block, sets+b), append(part.Block, -1)
			}
		}
		sets += row.Whole
		if row.Slots > row.Whole*total(s.Set) {
			unfilled++
		}
		for t, k := range s.Set {
			over[t] -= k * row.Whole
		}
		for _, k := range row.Stretch {
			quota.Block = append(quota.Block, len(quota.Of)+k)
		}
		quota.Of = append(quota.Of, row.Of...)
	}
	part.Most = s.most(over, unfilled)
	d.Families = []Family{whole, part}
	if s.Kind != nil {
		d.Quota = &quota
	}
	return d
}

// alike reports whether every content of the sets that are not full leaves as many
// orders along the rows: there is one content only, or all treatments stand once in a
// set, full or not, under one rule of runs, so that contents are each other's images.
func (s Sets) alike() bool {
	part := s.joint().Families[1]
	if !slices.ContainsFunc(part.Block, func(b int) bool { return b >= 0 }) {
		return true
	}
	for t, n := range s.Set {
		if n != 1 || part.Most[t] != 1 || s.AnyRun != nil && s.AnyRun[t] != s.AnyRun[0] {
			return false
		}
	}
	return true
}

// sets is the family of the whole sets along a row. What the last one holds, when it
// is not full, is settled before.
func (s Sets) sets(row Row) Family {
	f := Family{Name: "sets along a row", Weight: s.Set, Block: make([]int, row.Slots)}
	size := total(s.Set)
	for i := range f.Block {
		if f.Block[i] = -1; i < row.Whole*size {
			f.Block[i] = i / size
		}
	}
	return f
}

func total(counts []int) int {
	n := 0
	for _, c := range counts {
		n += c
	}
	return n
}

// leftover is what the sets that are not full hold.
type leftover struct {
	count [][]int  // of each treatment in each row, whole sets included
	size  *big.Int // number of contents
}

// over draws the contents of the sets that are not full, with an order that is not
// used: of different treatments all contents have as many.
func (s Sets) over(seed uint64) (leftover, error) {
	d := Draw{Count: slices.Clone(s.Count)}
	orders := big.NewInt(1)
	f := Family{Name: "sets that are not full"}
	unfilled := 0 // rows with something over
	quota := Quota{}
	for r, row := range s.Rows {
		n := row.Slots
		for t, k := range s.Set {
			d.Count[t] -= k * row.Whole
			n -= k * row.Whole
		}
		if n > 0 {
			unfilled++
		}
		f.Block = append(f.Block, slices.Repeat([]int{r}, n)...)
		orders.Mul(orders, new(big.Int).MulRange(1, int64(n)))
		quota.Of = append(quota.Of, s.kindsOver(row))
	}
	for t, n := range d.Count {
		if n < 0 {
			return leftover{}, fmt.Errorf("%w: whole sets take %d of treatment %d, which has %d", ErrRange, s.Count[t]-n, t+1, s.Count[t])
		}
	}
	f.Most = s.most(d.Count, unfilled)
	d.Families = []Family{f}
	if s.Kind != nil {
		quota.Block = f.Block
		d.Kind, d.Quota = s.Kind, &quota
	}
	urn, err := d.Urn()
	if err != nil {
		return leftover{}, err
	}
	a, err := urn.Draw(seed)
	if err != nil {
		return leftover{}, err
	}
	out := leftover{size: urn.Size(), count: make([][]int, len(s.Rows))}
	if out.size != nil {
		out.size.Quo(out.size, orders)
	}
	for r, row := range s.Rows {
		for _, k := range s.Set {
			out.count[r] = append(out.count[r], k*row.Whole)
		}
	}
	for i, t := range a.Treatment {
		out.count[f.Block[i]][t]++
	}
	return out, nil
}

// most is how often each treatment may stand in a set that is not full: as often as
// in a whole one, or as often as it must to be used up; spares as often as they come.
func (s Sets) most(over []int, unfilled int) []int {
	most := slices.Clone(s.Set)
	for t, n := range over {
		if s.Set[t] == 0 {
			most[t] = n
		} else if unfilled > 0 {
			most[t] = max(most[t], (n+unfilled-1)/unfilled)
		}
	}
	return most
}

// kindsOver is how many slots of each kind a row has beyond its whole sets.
func (s Sets) kindsOver(row Row) []int {
	if s.Kind == nil {
		return nil
	}
	of := make([]int, slices.Max(s.Kind)+1)
	for _, stretch := range row.Of {
		for kind, n := range stretch {
			of[kind] += n
		}
	}
	for t, k := range s.Set {
		of[s.Kind[t]] -= k * row.Whole
	}
	return of
}

func (s Sets) check() error {
	slots, size := 0, total(s.Set)
	if len(s.Set) != len(s.Count) || s.AnyRun != nil && len(s.AnyRun) != len(s.Count) || s.Kind != nil && len(s.Kind) != len(s.Count) {
		return fmt.Errorf("%w: sets of %d treatments, rules of runs for %d, kinds of %d, %d in all", ErrRange, len(s.Set), len(s.AnyRun), len(s.Kind), len(s.Count))
	}
	for r, row := range s.Rows {
		if row.Whole < 0 || row.Whole*size > row.Slots {
			return fmt.Errorf("%w: row %d has %d slots for %d whole sets of %d", ErrRange, r+1, row.Slots, row.Whole, size)
		}
		if s.Kind != nil && len(row.Stretch) != row.Slots {
			return fmt.Errorf("%w: row %d has stretches for %d of %d slots", ErrRange, r+1, len(row.Stretch), row.Slots)
		}
		slots += row.Slots
	}
	if slots != total(s.Count) {
		return fmt.Errorf("%w: %d slots for %d", ErrRange, slots, total(s.Count))
	}
	return nil
}
