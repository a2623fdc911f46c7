package doe

import (
	"fmt"
	"slices"
)

// Draw is what is to be drawn: which of the treatments each slot gets. A slot is a
// piece of rope in its order, or a run in its order.
type Draw struct {
	Count    []int // slots that each treatment gets, exactly; their sum is the number of slots
	Families []Family

	// MaxRun is how many slots in a row may have one treatment; 0 for any number. A
	// row is broken where Row changes; nil is one row.
	MaxRun int
	Row    []int
	AnyRun []bool // treatments that MaxRun is not about; nil for none

	// Fixed holds slots that have to get a certain treatment: the baseline first and
	// last of a day.
	Fixed map[int]int

	// Kind divides the treatments into kinds, each of which has slots in Quota only
	// as many as that says: pieces of one length. Nil when there is one kind.
	Kind  []int
	Quota *Quota
}

// Family divides the slots into blocks over which treatments are balanced: ropes,
// places along the rope, days. In each block the number of slots of a treatment is
// its share, Weight × size of the block / sum of weights, rounded down or up, when
// Slack is 0. Each unit of Slack allows one more or one fewer.
type Family struct {
	Name   string
	Block  []int // of each slot, from 0; negative for none
	Weight []int // of the treatments; nil for Draw.Count
	Most   []int // of each treatment in a block, from none on, instead of a share; nil for shares
	Slack  int
}

// Quota gives for each block how many slots each kind of treatment gets.
type Quota struct {
	Block []int   // of each slot, from 0
	Of    [][]int // by block, then kind
}

func (d Draw) slots() int {
	n := 0
	for _, c := range d.Count {
		n += c
	}
	return n
}

func (d Draw) check() error {
	n := d.slots()
	for t, c := range d.Count {
		if c < 0 {
			return fmt.Errorf("%w: treatment %d has %d slots", ErrRange, t+1, c)
		}
	}
	for _, f := range d.Families {
		if len(f.Block) != n || f.Slack < 0 || f.Weight != nil && len(f.Weight) != len(d.Count) || f.Most != nil && len(f.Most) != len(d.Count) {
			return fmt.Errorf("%w: %s has blocks for %d of %d slots, slack %d", ErrRange, f.Name, len(f.Block), n, f.Slack)
		}
	}
	if d.MaxRun < 0 || d.AnyRun != nil && len(d.AnyRun) != len(d.Count) || d.Row != nil && len(d.Row) != n {
		return fmt.Errorf("%w: runs of %d at most, rows for %d of %d slots", ErrRange, d.MaxRun, len(d.Row), n)
	}
	for slot, t := range d.Fixed {
		if slot < 0 || slot >= n || t < 0 || t >= len(d.Count) {
			return fmt.Errorf("%w: slot %d of %d is to get treatment %d of %d", ErrRange, slot+1, n, t+1, len(d.Count))
		}
	}
	return d.checkQuota(n)
}

func (d Draw) checkQuota(n int) error {
	if d.Quota == nil {
		return nil
	}
	if len(d.Kind) != len(d.Count) || len(d.Quota.Block) != n {
		return fmt.Errorf("%w: kinds of %d of %d treatments, quotas for %d of %d slots", ErrRange, len(d.Kind), len(d.Count), len(d.Quota.Block), n)
	}
	size := make([]int, len(d.Quota.Of))
	for slot, b := range d.Quota.Block {
		if b < 0 || b >= len(size) {
			return fmt.Errorf("%w: slot %d is in quota block %d of %d", ErrRange, slot+1, b+1, len(size))
		}
		size[b]++
	}
	for b, of := range d.Quota.Of {
		for _, q := range of {
			size[b] -= q
		}
		if size[b] != 0 || slices.Max(d.Kind) >= len(of) {
			return fmt.Errorf("%w: the quotas of block %d are %v for %d slots more", ErrRange, b+1, of, size[b])
		}
	}
	return nil
}

// limits is the least and the most of a treatment in a block of some size.
func (d Draw) limits(f Family, treatment, size int) (low, high int) {
	if f.Most != nil {
		return 0, min(f.Most[treatment]+f.Slack, d.Count[treatment], size)
	}
	weight, sum := f.Weight, 0
	if weight == nil {
		weight = d.Count
	}
	for _, w := range weight {
		sum += w
	}
	if sum == 0 {
		return 0, size
	}
	share := weight[treatment] * size
	low, high = share/sum, (share+sum-1)/sum
	return max(0, low-f.Slack), min(high+f.Slack, d.Count[treatment], size)
}

// mayGrow reports whether a row of run slots of a treatment may grow.
func (d Draw) mayGrow(treatment, run int) bool {
	return d.MaxRun == 0 || run < d.MaxRun || d.AnyRun != nil && d.AnyRun[treatment]
}

// blocks is how many blocks a family has.
func (f Family) blocks() int {
	n := 0
	for _, b := range f.Block {
		n = max(n, b+1)
	}
	return n
}
