package delimited

import (
	"encoding/binary"
	"math/bits"
)

// shape is how many decimals the numbers of a column have, as a rule: those of
// the one before.
type shape struct {
	decimals int
	mask     uint64  // of eight characters, the decimals and the one after them
	flag     uint64  // what is left of them by notDigits
	shift    uint64  // that brings the last decimal to the highest byte
	ten      uint64  // 10^decimals
	power    float64 // likewise
}

// window is how many bytes number may look at.
const window = 32

// number is the package's number, and reads one that is like the one before in
// fewer steps: up to 7 digits one by one, up to 7 decimals together. Both make a
// whole number below 2^53, which is divided once by a power of ten.
func (s *shape) number(b []byte, from int, mark byte) (v float64, next int, ok bool) {
	if from+window > len(b) {
		return number(b, from, mark)
	}
	c := (*[window]byte)(b[from:])
	i, m := 0, uint64(0)
	if c[0] == '-' {
		i = 1
	}
	first := i
	for i < 8 {
		d := c[i] - '0'
		if d > 9 {
			break
		}
		m = m*10 + uint64(d)
		i++
	}
	if i == first || c[i] != mark {
		return number(b, from, mark)
	}
	w := binary.LittleEndian.Uint64(c[i+1:]) ^ '0'*ones
	if notDigits(w)&s.mask != s.flag || s.decimals == 0 {
		if !s.learn(w) {
			return number(b, from, mark)
		}
	}
	i += 1 + s.decimals
	if c[i&31]|0x20 == 'e' {
		return number(b, from, mark)
	}
	v = float64(m*s.ten+together(w<<s.shift)) / s.power
	if c[0] == '-' {
		v = -v
	}
	return v, from + i, true
}

const ones = 0x0101010101010101

// notDigits flags the bytes above 9, from the lowest on up to the first of them.
func notDigits(w uint64) uint64 { return (w + (0x80-10)*ones | w) & (0x80 * ones) }

// learn takes the shape of a number from its decimals; it is false where those
// are none or more than seven.
func (s *shape) learn(w uint64) bool {
	n := bits.TrailingZeros64(notDigits(w)) / 8
	if n == 0 || n == 8 {
		return false
	}
	*s = shape{decimals: n, mask: 1<<(8*n+8) - 1, flag: 0x80 << (8 * n), shift: uint64(64 - 8*n), ten: 1, power: exact[n]}
	for range n {
		s.ten *= 10
	}
	return true
}

// together is the number that eight digits make, the first in the lowest byte:
// neighbours are put together two and two, four and four, eight.
func together(w uint64) uint64 {
	const pairs = 0x000000ff000000ff
	w = w*10 + w>>8
	return (w&pairs*(100+1000000<<32) + w>>16&pairs*(1+10000<<32)) >> 32
}
