package runlength

import (
	"math"
	"slices"

	"fallwright.example/num/dist"
)

// Rule signals when Of the last Among points, the newest included, lie beyond
// Beyond standard deviations on one side of the centre; Beyond 0 means on one
// side at all.
type Rule struct {
	Of, Among int
	Beyond    float64
}

// Rules returns the average run length of single points judged by all of rules
// at once, for a shift of the mean. The last points as the rules see them are
// the states of a Markov chain, as in [ChampWoodall1987]. NaN for no rules, a
// rule that no run of points can meet, and one among more than 16 points.
func Rules(rules []Rule, shift float64) float64 {
	for _, r := range rules {
		if r.Of < 1 || r.Among < r.Of || r.Among > 16 || !(r.Beyond >= 0) {
			return math.NaN()
		}
	}
	if len(rules) == 0 {
		return math.NaN()
	}
	return newChain(rules, shift).average()
}

// chain holds, for each state, where a point of each zone leads; −1 is a signal.
type chain struct {
	rules  []Rule
	edges  []float64 // upper ends of the zones
	chance []float64 // of the zones
	to     [][]int
}

func newChain(rules []Rule, shift float64) *chain {
	c := &chain{rules: rules}
	for _, r := range rules {
		c.edges = append(c.edges, -r.Beyond, r.Beyond)
	}
	slices.Sort(c.edges)
	c.edges = append(slices.Compact(c.edges), math.Inf(1))
	below := 0.0
	for _, e := range c.edges {
		p := dist.Normal(e - shift)
		c.chance = append(c.chance, p-below)
		below = p
	}
	c.explore()
	return c
}

// explore finds the states that can be reached from a fresh start. A state is
// the last Among − 1 points of each rule on each side, as bits.
func (c *chain) explore() {
	start := make([]uint16, 2*len(c.rules))
	states, numbers := [][]uint16{start}, map[string]int{key(start): 0}
	for at := 0; at < len(states); at++ {
		row := make([]int, len(c.edges))
		low := math.Inf(-1)
		for z, high := range c.edges {
			next, signal := c.follow(states[at], low, high)
			low = high
			if row[z] = -1; signal {
				continue
			}
			n, known := numbers[key(next)]
			if !known {
				n = len(states)
				numbers[key(next)] = n
				states = append(states, next)
			}
			row[z] = n
		}
		c.to = append(c.to, row)
	}
}

func key(state []uint16) string {
	b := make([]byte, 0, 2*len(state))
	for _, s := range state {
		b = append(b, byte(s), byte(s>>8))
	}
	return string(b)
}

// follow puts a point between low and high to a state.
func (c *chain) follow(state []uint16, low, high float64) (next []uint16, signal bool) {
	next = make([]uint16, len(state))
	for i, r := range c.rules {
		for side, beyond := range []bool{low >= r.Beyond, high <= -r.Beyond} {
			bits := state[2*i+side] << 1
			if beyond {
				bits |= 1
			}
			if count(bits) >= r.Of {
				return nil, true
			}
			bits &= 1<<(r.Among-1) - 1
			// Points too old to take part in a signal are forgotten, which
			// keeps the states few.
			for b := r.Among - 2; b >= 0 && count(bits&(2<<b-1))+r.Among-1-b < r.Of; b-- {
				bits &^= 1 << b
			}
			next[2*i+side] = bits
		}
	}
	return next, false
}

func count(bits uint16) int {
	n := 0
	for ; bits != 0; bits &= bits - 1 {
		n++
	}
	return n
}

// average sums the chance that no signal has come by each point; when that
// falls by a steady factor the rest is a geometric series.
func (c *chain) average() float64 {
	now, next := make([]float64, len(c.to)), make([]float64, len(c.to))
	now[0] = 1
	sum, left, factor := 0.0, 1.0, 0.0
	for point := range 1_000_000 {
		sum += left
		clear(next)
		for s, p := range now {
			if p == 0 {
				continue
			}
			for z, to := range c.to[s] {
				if to >= 0 {
					next[to] += p * c.chance[z]
				}
			}
		}
		now, next = next, now
		before := left
		left = 0
		for _, p := range now {
			left += p
		}
		ratio := left / before
		// At first no run is long enough for a signal, and the factor stands still.
		if left == 0 || point > 100 && math.Abs(ratio-factor) < 1e-15 {
			return sum + left/(1-ratio)
		}
		factor = ratio
	}
	return sum
}
