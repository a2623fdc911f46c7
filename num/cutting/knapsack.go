package cutting

import "sort"

// knapsack holds the dearest content of every length that pieces can sum up to.
type knapsack struct {
	s     scaled
	left  []int
	chunk []chunk
	value []int // by place in scaled.sums
	taken [][]bool
}

// chunk is some pieces of one length, so that any number up to what is wanted is
// a sum of chunks.
type chunk struct{ piece, count int }

// sums are all lengths, up to the longest stock, that the pieces wanted can sum up
// to, rising.
func sums(length, want []int, longest int) []int {
	can := make([]bool, longest+1)
	can[0] = true
	for i, l := range length {
		for range min(want[i], longest/l) {
			for at := longest; at >= l; at-- {
				can[at] = can[at] || can[at-l]
			}
		}
	}
	var out []int
	for at, yes := range can {
		if yes {
			out = append(out, at)
		}
	}
	return out
}

func newKnapsack(s scaled, left []int) *knapsack {
	k := &knapsack{s: s, left: left}
	longest := s.sums[len(s.sums)-1]
	for i, n := range left {
		n = min(n, longest/s.length[i])
		for size := 1; n > 0; size *= 2 {
			k.chunk = append(k.chunk, chunk{i, min(size, n)})
			n -= size
		}
	}
	k.value = make([]int, len(s.sums))
	k.taken = make([][]bool, len(k.chunk))
	for i := range k.taken {
		k.taken[i] = make([]bool, len(s.sums))
	}
	return k
}

func (k *knapsack) fill(price []int) {
	clear(k.value)
	for i, c := range k.chunk {
		taken := k.taken[i]
		clear(taken)
		length, worth := c.count*k.s.length[c.piece], c.count*price[c.piece]
		if worth == 0 {
			continue
		}
		below := len(k.value) - 1 // the largest sum that leaves room for the chunk
		for at := len(k.value) - 1; k.s.sums[at] >= length; at-- {
			for k.s.sums[below] > k.s.sums[at]-length {
				below--
			}
			if v := k.value[below] + worth; v > k.value[at] {
				k.value[at], taken[at] = v, true
			}
		}
	}
}

// at is the place of the largest sum that a length has room for.
func (k *knapsack) at(room int) int {
	return sort.Search(len(k.s.sums), func(i int) bool { return k.s.sums[i] > room }) - 1
}

// worth is the dearest content of a length.
func (k *knapsack) worth(room int) int { return k.value[k.at(room)] }

// content is what makes up the dearest content of a length.
func (k *knapsack) content(room int) []int {
	count := make([]int, len(k.left))
	at := k.at(room)
	for i := len(k.chunk) - 1; i >= 0; i-- {
		if k.taken[i][at] {
			c := k.chunk[i]
			count[c.piece] += c.count
			at = k.at(k.s.sums[at] - c.count*k.s.length[c.piece])
		}
	}
	return count
}

// bound is the bound that prices prove, in grains.
func (k *knapsack) bound(left, stocks []int, p prices) int {
	b := 0
	for i, n := range left {
		b += n * p.piece[i]
	}
	for i, n := range stocks {
		b += n * min(0, k.s.stocks[i].Cost*grain-k.worth(k.s.stocks[i].Length))
	}
	return b
}
