package figure

import (
	"math"
	"sort"
)

// Pyramid is a curve with the smallest and the largest value of its stretches
// worked out in levels, so that any window of it can be thinned at once however
// many samples it has. The lowest level is the samples themselves: what is
// drawn is always samples, at their own times.
type Pyramid struct {
	time, value []float64
	levels      []level
}

// level holds the extremes of blocks: of pyramidBase samples on the first
// level, of pyramidStep blocks of the level below on the others.
type level struct {
	block  int // samples in one block
	blocks []block
}

// block is the smallest and the largest value of some samples, the first of
// equals; lowAt is below 0 when none is a number. What belongs together lies
// together in memory: that is what a query waits for.
type block struct {
	low, high     float64
	lowAt, highAt int32
}

const (
	pyramidBase = 16
	pyramidStep = 4
)

// NewPyramid works out the levels in one pass over the samples. time must be
// increasing and as long as value, and hold at most 2³¹−1 samples; both are kept,
// not copied, and must not change. NaN values are passed over.
func NewPyramid(time, value []float64) *Pyramid {
	p := &Pyramid{time: time, value: value}
	if len(value) <= pyramidBase || len(value) > math.MaxInt32 {
		return p // so few that no level helps, or more than one can number
	}
	first := newLevel(pyramidBase, len(value))
	for b := range first.blocks {
		e := nothing
		e.samples(value, b*pyramidBase, min((b+1)*pyramidBase, len(value)))
		first.blocks[b] = e
	}
	p.levels = append(p.levels, first)
	for below := first; len(below.blocks) > pyramidStep; below = p.levels[len(p.levels)-1] {
		next := newLevel(below.block*pyramidStep, len(value))
		for b := range next.blocks {
			e := nothing
			for i := b * pyramidStep; i < min((b+1)*pyramidStep, len(below.blocks)); i++ {
				e.take(&below.blocks[i])
			}
			next.blocks[b] = e
		}
		p.levels = append(p.levels, next)
	}
	return p
}

func newLevel(size, samples int) level {
	return level{size, make([]block, (samples+size-1)/size)}
}

var nothing = block{math.Inf(1), math.Inf(-1), -1, -1}

func (e *block) samples(value []float64, from, end int) {
	for i := from; i < end; i++ {
		v := value[i]
		if v < e.low || e.lowAt < 0 && v == v {
			e.low, e.lowAt = v, int32(i)
		}
		if v > e.high || e.highAt < 0 && v == v {
			e.high, e.highAt = v, int32(i)
		}
	}
}

func (e *block) take(b *block) {
	if b.low < e.low || e.lowAt < 0 {
		e.low, e.lowAt = b.low, b.lowAt
	}
	if b.high > e.high || e.highAt < 0 {
		e.high, e.highAt = b.high, b.highAt
	}
}

// between finds the extremes of the samples from first to end, which is not
// among them: samples at the ragged ends, and between them whole blocks, up the
// levels as far as they fit and down again. It costs O(log n).
func (p *Pyramid) between(first, end int) block {
	e := nothing
	i := min(end, (first+pyramidBase-1)/pyramidBase*pyramidBase)
	e.samples(p.value, first, i)
	k := 0
	for ; k < len(p.levels); k++ {
		l := &p.levels[k]
		for b := i / l.block; b%pyramidStep != 0 && i+l.block <= end; b++ {
			e.take(&l.blocks[b])
			i += l.block
		}
		if i+l.block*pyramidStep > end {
			break
		}
	}
	for k = min(k, len(p.levels)-1); k >= 0; k-- {
		l := &p.levels[k]
		for ; i+l.block <= end; i += l.block {
			e.take(&l.blocks[i/l.block])
		}
	}
	e.samples(p.value, i, end)
	return e
}

// reach is the first sample from i on at or after t, before end. It looks
// around a guess first: times are nearly even as a rule, and a search of all of
// them is slow for reaching all over the memory.
func (p *Pyramid) reach(i, end, guess int, t float64) int {
	low, high := i, end // samples before low are earlier, from high on are not
	for step := 1; ; step *= 4 {
		if guess <= low || guess >= high {
			break
		}
		if p.time[guess] < t {
			low = guess + 1
			guess += step
		} else {
			high = guess
			guess -= step
		}
		if step > 4096 {
			break
		}
	}
	return low + sort.SearchFloat64s(p.time[low:high], t)
}

// Len is the number of samples.
func (p *Pyramid) Len() int {
	if p == nil {
		return 0
	}
	return len(p.value)
}

// Bytes is what the levels take in memory; the samples are not counted.
func (p *Pyramid) Bytes() int64 {
	if p == nil {
		return 0
	}
	n := int64(0)
	for _, l := range p.levels {
		n += 24 * int64(len(l.blocks))
	}
	return n
}

// Thin gives what the function Thin gives of the same samples, to the bit, at a
// cost of O(buckets·log n). A nil Pyramid has no samples.
func (p *Pyramid) Thin(from, to float64, buckets int) (t, v []float64) {
	if p == nil || buckets < 1 {
		return nil, nil
	}
	first := sort.SearchFloat64s(p.time, from)
	end := sort.Search(len(p.time), func(i int) bool { return p.time[i] > to })
	if first >= end {
		return nil, nil
	}
	if end-first <= 2*buckets {
		return Thin(p.time, p.value, from, to, buckets)
	}
	t, v = make([]float64, 0, 2*buckets+2), make([]float64, 0, 2*buckets+2)
	last := -1
	keep := func(i int, x float64) {
		if i > last {
			if x == x {
				t, v = append(t, p.time[i]), append(v, x)
			}
			last = i
		}
	}
	start, span := p.time[first], p.time[end-1]-p.time[first]
	keep(first, p.value[first])
	for b, i := 1, first; b <= buckets && i < end; b++ {
		next := end
		if limit := start + span*float64(b)/float64(buckets); b < buckets {
			next = p.reach(i, end, first+b*(end-first)/buckets, limit)
		}
		switch e := p.between(i, next); {
		case e.lowAt < 0:
		case e.lowAt < e.highAt:
			keep(int(e.lowAt), e.low)
			keep(int(e.highAt), e.high)
		default:
			keep(int(e.highAt), e.high)
			keep(int(e.lowAt), e.low)
		}
		i = next
	}
	keep(end-1, p.value[end-1])
	return t, v
}
