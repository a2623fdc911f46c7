package doe

import (
	"bytes"
	"math/big"
	"slices"
)

// mostStates bounds what a count may keep: some tens of MB.
const mostStates = 100_000

// counter counts the arrangements that a draw permits by going through the slots
// and adding up, for each state, in how many ways the rest can be filled.
//
// A state is, for each treatment, how often it has been put into each block that
// is begun and not yet full, and how long a row of it ends here. Treatments of the
// same number, kind and restrictions are exchangeable: states that differ only in
// which of them is which are one state, the multiset of their counts.
type counter struct {
	d        Draw
	n        int
	families []counted
	live     [][]spot // before each slot: blocks begun and not yet full
	class    []byte   // of each treatment: equal when exchangeable
	memo     []map[string]*state
	scratch  []scratch
	states   int
	most     int // of states
	last     int // treatment of the slot before, −1 for none
	run      int // how long it has been in a row
}

type spot struct{ family, block int }

// counted is a family with limits and what has been put into its blocks.
type counted struct {
	block     []int
	low, high [][]int // by block, then treatment
	put       [][]int
	free      []int // slots of each block not yet filled
	need      []int // slots of each block that its least numbers still ask for
	kinds     [][]int
}

func newCounter(d Draw) *counter {
	c := &counter{d: d, n: d.slots(), last: -1, class: d.classes(), most: mostStates}
	c.memo, c.scratch = make([]map[string]*state, c.n+1), make([]scratch, c.n+1)
	for i := range c.memo {
		c.memo[i] = map[string]*state{}
	}
	c.families = append(c.families, newCounted(d, Family{Block: make([]int, c.n)}))
	for _, f := range d.Families {
		c.families = append(c.families, newCounted(d, f))
	}
	if d.Quota != nil {
		q := newCounted(d, Family{Block: d.Quota.Block, Slack: c.n}) // no limits but those of kinds
		for _, of := range d.Quota.Of {
			q.kinds = append(q.kinds, slices.Clone(of))
		}
		c.families = append(c.families, q)
	}
	c.live = make([][]spot, c.n+1)
	for k, f := range c.families {
		for b := range f.free {
			for i := slices.Index(f.block, b) + 1; i < c.n && slices.Contains(f.block[i:], b); i++ {
				c.live[i] = append(c.live[i], spot{k, b})
			}
		}
	}
	return c
}

func newCounted(d Draw, f Family) counted {
	c := counted{block: f.Block}
	n := f.blocks()
	c.free, c.need = make([]int, n), make([]int, n)
	for _, b := range f.Block {
		if b >= 0 {
			c.free[b]++
		}
	}
	for b, size := range c.free {
		low, high := make([]int, len(d.Count)), make([]int, len(d.Count))
		for t := range d.Count {
			low[t], high[t] = d.limits(f, t, size)
			c.need[b] += low[t]
		}
		c.low, c.high, c.put = append(c.low, low), append(c.high, high), append(c.put, make([]int, len(d.Count)))
	}
	return c
}

// classes numbers the treatments so that exchangeable ones have one number.
func (d Draw) classes() []byte {
	class := make([]byte, len(d.Count))
	fixed := map[int]bool{}
	for _, t := range d.Fixed {
		fixed[t] = true
	}
	for t := range d.Count {
		class[t] = byte(t)
		for u := range t {
			if !fixed[u] && !fixed[t] && d.alike(t, u) {
				class[t] = class[u]
				break
			}
		}
	}
	return class
}

// alike reports whether two treatments have the same number, kind and weights.
func (d Draw) alike(t, u int) bool {
	for _, f := range d.Families {
		if f.Weight != nil && f.Weight[t] != f.Weight[u] || f.Most != nil && f.Most[t] != f.Most[u] {
			return false
		}
	}
	return d.Count[u] == d.Count[t] && (d.Kind == nil || d.Kind[u] == d.Kind[t]) && (d.AnyRun == nil || d.AnyRun[u] == d.AnyRun[t])
}

// allowed reports whether slot i can get the treatment after what stands before.
func (c *counter) allowed(i, t int) bool {
	if want, fixed := c.d.Fixed[i]; fixed && want != t {
		return false
	}
	if t == c.last && c.inRow(i) && !c.d.mayGrow(t, c.run) {
		return false
	}
	for _, f := range c.families {
		b := f.block[i]
		if b < 0 {
			continue
		}
		need := f.need[b]
		if f.put[b][t] < f.low[b][t] {
			need--
		}
		if f.put[b][t] >= f.high[b][t] || need > f.free[b]-1 {
			return false
		}
		if f.kinds != nil && f.kinds[b][c.d.Kind[t]] == 0 {
			return false
		}
	}
	return true
}

// inRow reports whether slot i is in one row with the slot before it.
func (c *counter) inRow(i int) bool {
	return i > 0 && (c.d.Row == nil || c.d.Row[i] == c.d.Row[i-1])
}

// put gives slot i the treatment, by = 1, or takes it back, by = −1.
func (c *counter) put(i, t, by int) {
	for k := range c.families {
		f := &c.families[k]
		b := f.block[i]
		if b < 0 {
			continue
		}
		if by > 0 && f.put[b][t] < f.low[b][t] || by < 0 && f.put[b][t] <= f.low[b][t] {
			f.need[b] -= by
		}
		f.put[b][t] += by
		f.free[b] -= by
		if f.kinds != nil {
			f.kinds[b][c.d.Kind[t]] -= by
		}
	}
}

// with fills slot i with the treatment, calls do, and undoes it.
func (c *counter) with(i, t int, do func()) {
	last, run := c.last, c.run
	c.put(i, t, 1)
	if t == last && c.inRow(i) {
		c.run++
	} else {
		c.run = 1
	}
	c.last = t
	do()
	c.put(i, t, -1)
	c.last, c.run = last, run
}

// scratch is room for the signatures before one slot: what of each treatment matters
// for the slots from there on.
type scratch struct {
	width  int
	signs  []byte // one after the other, by treatment
	sorted []byte
	order  []int // treatments by signature
}

// sign fills the scratch of slot i.
func (c *counter) sign(i int) *scratch {
	w := &c.scratch[i]
	w.signs, w.sorted, w.order = w.signs[:0], w.sorted[:0], w.order[:0]
	for t := range c.d.Count {
		run := 0
		if c.d.MaxRun > 0 && t == c.last && c.inRow(i) {
			run = c.run
		}
		w.signs = append(w.signs, c.class[t], byte(run), byte(run>>8))
		for _, l := range c.live[i] {
			n := c.families[l.family].put[l.block][t]
			w.signs = append(w.signs, byte(n), byte(n>>8))
		}
	}
	w.width = 3 + 2*len(c.live[i])
	for t := range c.d.Count { // few treatments: each goes to its place among those before
		w.order = append(w.order, t)
		for k := t; k > 0 && bytes.Compare(w.of(w.order[k]), w.of(w.order[k-1])) < 0; k-- {
			w.order[k], w.order[k-1] = w.order[k-1], w.order[k]
		}
	}
	for _, t := range w.order {
		w.sorted = append(w.sorted, w.of(t)...)
	}
	return w
}

func (w *scratch) of(t int) []byte { return w.signs[t*w.width : (t+1)*w.width] }

// state is in how many ways the slots from some slot on can be filled, and how many
// of them begin with each treatment, in the order of signatures.
type state struct {
	ways *big.Int
	with []*big.Int
}

// ways is in how many ways the slots from i on can be filled; nil when there are
// more states than can be kept.
func (c *counter) ways(i int) *big.Int {
	if i == c.n {
		return one
	}
	if s, _ := c.state(i); s != nil {
		return s.ways
	}
	return nil
}

// state looks the state before slot i up, or counts it; with the treatments in the
// order of state.with.
func (c *counter) state(i int) (*state, []int) {
	w := c.sign(i)
	if known, ok := c.memo[i][string(w.sorted)]; ok {
		return known, w.order
	}
	if c.states++; c.states > c.most {
		return nil, nil
	}
	s := &state{new(big.Int), make([]*big.Int, len(w.order))}
	for k, t := range w.order {
		if k > 0 && bytes.Equal(w.of(t), w.of(w.order[k-1])) { // exchangeable: the same again
			s.with[k] = s.with[k-1]
		} else if s.with[k] = c.after(i, t); s.with[k] == nil {
			return nil, nil
		}
		s.ways.Add(s.ways, s.with[k])
	}
	c.memo[i][string(w.sorted)] = s
	return s, w.order
}

// after is in how many ways the rest can be filled when slot i gets a treatment.
func (c *counter) after(i, t int) *big.Int {
	if !c.allowed(i, t) {
		return zero
	}
	var n *big.Int
	c.with(i, t, func() { n = c.ways(i + 1) })
	return n
}

var zero, one = new(big.Int), big.NewInt(1)

// arrangement is the one of the given rank in lexicographic order.
func (c *counter) arrangement(rank *big.Int) []int {
	rest := new(big.Int).Set(rank)
	out := make([]int, 0, c.n)
	var fill func(i int)
	fill = func(i int) {
		if i == c.n {
			return
		}
		s, order := c.state(i)
		for t := range c.d.Count {
			n := s.with[slices.Index(order, t)]
			if rest.Cmp(n) < 0 {
				out = append(out, t)
				c.with(i, t, func() { fill(i + 1) })
				return
			}
			rest.Sub(rest, n)
		}
	}
	fill(0)
	return out
}
