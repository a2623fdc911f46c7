package delimited

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
)

// Most files are rows of a time and a force and nothing else. Their rows are read
// some dozens at a time: first where each begins, then all times, then all
// forces. Each of these loops is short and looks at eight characters at a time,
// where reading number after number waits for the end of one to find the next.

const (
	pairRows   = 64 // that are read at a time
	pairWindow = 32 // bytes of a row that are looked at: a time of 8, a force of 17, 7 beyond
)

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
	var room [pairRows + 1]int
	for n < len(forces) && at < to {
		long := bytes.IndexByte(b[at:at+9], p.delim)
		fixed, ok := first.fixed(b, at, long)
		if !ok {
			break
		}
		rows := p.starts(b, at, to, long, second.least, room[:min(len(room), len(forces)-n+1)])
		read := second.any(b, rows, long+1, tail, forces[n:])
		if n > 0 {
			last = times[n-1]
		}
		read, fell := fixed.all(b, rows[:read], long, last, times[n:])
		n, falls = n+read, falls || fell
		if at = room[read]; read < pairRows {
			break
		}
	}
	return n, at, falls
}

// starts finds where rows begin that have their delimiter after long characters,
// into out, and leaves the place after the last row behind those it returns.
func (p plain) starts(b []byte, at, to, long, least int, out []int) []int {
	out[0] = at
	for k := range out[1:] {
		if at >= to || b[at+long] != p.delim {
			return out[:k]
		}
		i := at + long + 1 + least
		w := binary.LittleEndian.Uint64(b[i:i+8:i+8]) ^ '\n'*ones
		feeds := (w - ones) &^ w & (0x80 * ones) // the lowest that is set is right
		if feeds == 0 {
			return out[:k]
		}
		at = i + bits.TrailingZeros64(feeds)/8 + 1
		out[k+1] = at
	}
	return out[:len(out)-1]
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

// all reads the numbers that begin rows and have long characters. It returns how
// many it read, and whether one is no larger than the one before, the first than
// last.
func (l likeness) all(b []byte, rows []int, long int, last float64, out []float64) (n int, falls bool) {
	minus := uint64(0)
	if len(rows) > 0 && b[rows[0]] == '-' {
		minus = 1 << 63
	}
	out = out[:len(rows)]
	for k, row := range rows {
		end := row + long
		w := (binary.LittleEndian.Uint64(b[end-8:end:end]) ^ l.text) & l.mask
		if (w+l.over|w)&(0x80*ones) != 0 {
			return k, falls
		}
		v := math.Float64frombits(math.Float64bits(l.value(w)) | minus)
		if !(v > last) {
			falls = true
		}
		out[k], last = v, v
	}
	return len(rows), falls
}

// any reads the numbers that stand skip bytes behind the start of each row, up to
// the tail before the next, and returns how many it read. The start of the next
// row stands behind rows.
func (l *likeness) any(b []byte, rows []int, skip int, tail []byte, out []float64) int {
	most := uint64(8 - l.least)
	after := tail[0]
	out, next := out[:len(rows)], rows[1:len(rows)+1]
	for k, row := range rows {
		from, end := row+skip, next[k]-len(tail)
		minus := (uint64(b[from]^'-') - 1) >> 63 // 1 or 0, without a branch that noise about zero would mislead
		left := uint64(from + int(minus) - (end - 8))
		if left > most || b[end] != after {
			return k
		}
		w := (binary.LittleEndian.Uint64(b[end-8:end:end]) ^ l.text) >> (8 * left & 63) << (8 * left & 63)
		if (w+l.over|w)&(0x80*ones) != 0 {
			return k
		}
		out[k] = math.Float64frombits(math.Float64bits(l.value(w)) | minus<<63)
	}
	return len(rows)
}
