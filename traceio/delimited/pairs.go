package delimited

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
)

// Most files are rows of a time and a force and nothing else. Such rows are read
// eight characters at a time, in a loop that looks for the end of the row while it
// still works out the numbers of the one before: nothing that it decides hangs on
// a number.

// pairWindow is the bytes of a row that are looked at: a time of 8, a force of 17,
// 7 beyond.
const pairWindow = 32

// pairs reads rows whose numbers are like those before and no more than eight
// characters, signs of forces aside, from b[at] on. It stops at the first that is
// not so, whatever is the matter with it. falls is true where a time is no later
// than the one before, the first than last.
func (p plain) pairs(b []byte, at, to int, shapes *[2]shape, last float64, times, forces []float64) (n, next int, falls bool) {
	first, second := shapes[0].likeness(p.mark), shapes[1].likeness(p.mark)
	if at < 8 || first.least == 0 || second.least == 0 {
		return 0, at, false
	}
	tail := b[at-1 : at] // that ends a row
	if b[at-2] == '\r' {
		tail = b[at-2 : at]
	}
	to = min(to, len(b)-pairWindow)
	for n < len(forces) && at < to {
		long := bytes.IndexByte(b[at:at+9], p.delim)
		fixed, ok := first.fixed(b, at, long)
		if !ok {
			break
		}
		read, after, fell := p.alike(b, at, to, long, tail, &fixed, &second, last, times[n:], forces[n:])
		if falls = falls || fell; read == 0 {
			break
		}
		n, at, last = n+read, after, times[n+read-1]
	}
	return n, at, falls
}

// alike reads rows whose times have all long characters.
func (p plain) alike(b []byte, at, to, long int, tail []byte, first, second *likeness, last float64, times, forces []float64) (n, next int, falls bool) {
	minus := uint64(0)
	if b[at] == '-' {
		minus = 1 << 63
	}
	most, after, ends := uint64(8-second.least), tail[0], len(tail)
	text, over, mask, whole, part, power := first.text, first.over, first.mask, first.whole, first.part, first.power
	times = times[:len(forces)]
	for n < len(forces) && at < to && b[at+long] == p.delim {
		cell := at + long + 1 // the force
		i := cell + second.least
		feeds := binary.LittleEndian.Uint64(b[i:i+8:i+8]) ^ '\n'*ones
		feeds = (feeds - ones) &^ feeds & (0x80 * ones) // the lowest that is set is right
		if feeds == 0 {
			break
		}
		end := i + bits.TrailingZeros64(feeds)/8 + 1
		t := (binary.LittleEndian.Uint64(b[cell-9:cell-1]) ^ text) & mask
		sign := (uint64(b[cell]^'-') - 1) >> 63 // 1 or 0, without a branch that noise about zero would mislead
		stop := end - ends
		left := uint64(cell + int(sign) - (stop - 8))
		if left > most || b[stop] != after {
			break
		}
		f := (binary.LittleEndian.Uint64(b[stop-8:stop:stop]) ^ second.text) >> (8 * left & 63) << (8 * left & 63)
		if ((t+over)|t|(f+second.over)|f)&(0x80*ones) != 0 {
			break
		}
		v := math.Float64frombits(math.Float64bits(float64(int64(together(t<<8&whole|t&part)))/power) | minus)
		if !(v > last) {
			falls = true
		}
		times[n], last = v, v
		forces[n] = math.Float64frombits(math.Float64bits(second.value(f)) | sign<<63)
		at = end
		n++
	}
	return n, at, falls
}

// likeness is how numbers of a shape look in their last eight characters. Xored
// with text they are their digits, and 0 at the mark; then over brings any other
// byte to 0x80 or more.
type likeness struct {
	text, over uint64
	mask       uint64  // of the characters that belong to it, where all have as many
	whole      uint64  // digits before the mark, when they are moved up over it
	part       uint64  // digits after it
	power      float64 // of ten, as many
	least      int     // characters: one digit, the mark and the decimals
}

func (s *shape) likeness(mark byte) likeness {
	if s.decimals < 1 || s.decimals > 6 {
		return likeness{}
	}
	part := uint64(math.MaxUint64) << (64 - 8*s.decimals)
	l := likeness{text: '0' * ones, over: (0x80 - 10) * ones, whole: ^part, part: part, power: s.power, least: s.decimals + 2}
	return l.with(mark, 7-s.decimals)
}

// with is a likeness that has a sign at one of the eight places.
func (l likeness) with(sign byte, place int) likeness {
	here := uint64(0xff) << (8 * place)
	l.text = l.text&^here | uint64(sign)<<(8*place)
	l.over = l.over&^here | 0x7f<<(8*place)
	return l
}

// fixed is the likeness of numbers that are all as long as the one at b[at], and
// have a minus where it has.
func (l likeness) fixed(b []byte, at, long int) (likeness, bool) {
	if long > 8 || long < l.least {
		return l, false
	}
	l.mask = math.MaxUint64 << (64 - 8*long)
	if b[at] == '-' {
		return l.with('-', 8-long), long > l.least
	}
	return l, true
}

// value is the number whose xored characters are w.
func (l *likeness) value(w uint64) float64 {
	return float64(int64(together(w<<8&l.whole|w&l.part))) / l.power
}
