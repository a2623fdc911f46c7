package doe

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
)

// Urn holds every arrangement that a draw permits.
type Urn struct {
	d       Draw
	counter *counter
	size    *big.Int
	relaxed bool // the counter leaves restrictions out
}

// mostTries bounds how often an arrangement of fewer restrictions is drawn anew.
const mostTries = 1000

// Urn counts the arrangements that d permits. When there is none it returns an
// *EmptyError that says which restrictions stand in the way. When they cannot be
// counted because the states are too many, the last families, then the limit of
// runs, are left to Urn.Draw.
func (d Draw) Urn() (*Urn, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	c := newCounter(d)
	size := c.ways(0)
	if size != nil {
		if size.Sign() == 0 {
			return nil, d.empty()
		}
		return &Urn{d: d, counter: c, size: size}, nil
	}
	for _, r := range d.fewer() {
		c := newCounter(r)
		if size := c.ways(0); size != nil {
			if size.Sign() == 0 {
				return nil, d.empty()
			}
			return &Urn{d: d, counter: c, size: size, relaxed: true}, nil
		}
	}
	return &Urn{d: d, relaxed: true}, nil
}

// fewer is the draw without its last family, its last two and so on, and then
// without a limit of runs.
func (d Draw) fewer() []Draw {
	var out []Draw
	for n := len(d.Families) - 1; n >= 0; n-- {
		r := d
		r.Families = d.Families[:n]
		out = append(out, r)
	}
	r := d
	r.Families, r.MaxRun = nil, 0
	return append(out, r)
}

// Size is the number of arrangements that are permitted, nil when it could not be
// counted.
func (u *Urn) Size() *big.Int {
	if u.relaxed {
		return nil
	}
	return new(big.Int).Set(u.size)
}

// Drawn is one arrangement.
type Drawn struct {
	Treatment []int    // of each slot
	Rank      *big.Int // its place in lexicographic order of all; nil when not counted
	Tries     int      // 1, or how often it was drawn before all restrictions held
}

// Draw takes one arrangement from the urn: the one whose place in lexicographic
// order, counted from 0, is Below(Size, seed). All are equally likely because all
// numbers are.
//
// When the size could not be counted, arrangements of the restrictions that could
// be are drawn in the same way, from one generator, until one is permitted: each
// that is permitted is still as likely as any other. Where not even those could be
// counted, the slots are shuffled (Fisher and Yates) instead. After 1000 tries in
// vain it returns ErrTooMany.
func (u *Urn) Draw(seed uint64) (Drawn, error) {
	if !u.relaxed {
		rank := Below(u.size, seed)
		return Drawn{Treatment: u.counter.arrangement(rank), Rank: rank, Tries: 1}, nil
	}
	source := rand.NewPCG(seed, stream)
	shuffle := rand.New(source)
	for try := range mostTries {
		var a []int
		if u.counter != nil {
			a = u.counter.arrangement(below(u.size, source))
		} else {
			a = u.d.inOrder()
			shuffle.Shuffle(len(a), func(i, j int) { a[i], a[j] = a[j], a[i] })
		}
		if u.d.Permits(a) {
			return Drawn{Treatment: a, Tries: try + 1}, nil
		}
	}
	return Drawn{}, fmt.Errorf("%w: %d slots, %d treatments and %d families of blocks, and none of %d arrangements with fewer restrictions kept them all", ErrTooMany, u.d.slots(), len(u.d.Count), len(u.d.Families), mostTries)
}

// inOrder is all slots of the first treatment, then those of the second and so on.
func (d Draw) inOrder() []int {
	var out []int
	for t, n := range d.Count {
		out = append(out, slices.Repeat([]int{t}, n)...)
	}
	return out
}

// Permits reports whether an arrangement keeps every restriction. It looks at the
// arrangement itself and shares nothing with the counting.
func (d Draw) Permits(a []int) bool {
	if len(a) != d.slots() {
		return false
	}
	got := make([]int, len(d.Count))
	run := 0
	for i, t := range a {
		got[t]++
		if i > 0 && a[i-1] == t && (d.Row == nil || d.Row[i] == d.Row[i-1]) {
			if !d.mayGrow(t, run) {
				return false
			}
			run++
		} else {
			run = 1
		}
		if want, fixed := d.Fixed[i]; fixed && want != t {
			return false
		}
	}
	return slices.Equal(got, d.Count) && d.balanced(a) && d.keepsQuota(a)
}

func (d Draw) balanced(a []int) bool {
	for _, f := range d.Families {
		for b := range f.blocks() {
			size, got := 0, make([]int, len(d.Count))
			for i, t := range a {
				if f.Block[i] == b {
					size++
					got[t]++
				}
			}
			for t, n := range got {
				if low, high := d.limits(f, t, size); n < low || n > high {
					return false
				}
			}
		}
	}
	return true
}

func (d Draw) keepsQuota(a []int) bool {
	if d.Quota == nil {
		return true
	}
	for b, of := range d.Quota.Of {
		got := make([]int, len(of))
		for i, t := range a {
			if d.Quota.Block[i] == b {
				got[d.Kind[t]]++
			}
		}
		if !slices.Equal(got, of) {
			return false
		}
	}
	return true
}
