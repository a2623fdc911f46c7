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

// alike reads rows whose times have all long characters. What it works with is left
// in memory, as there are more of them than the processor has registers.
func (p *plain) alike(b []byte, at, to, long int, tail []byte, first, second *likeness, last float64, times, forces []float64) (n, next int, falls bool) {
	minus := uint64(0)
	if b[at] == '-' {
		minus = 1 << 63
	}
	after, ends, around := tail[0], len(tail), long-8 // before the last eight characters of the time
	times = times[:len(forces)]
	for at, to = at+around, to+around; n < len(forces) && at < to; n++ {
		c := (*[pairWindow]byte)(b[at:])
		w := binary.LittleEndian.Uint64(c[9:17]) ^ '0'*ones
		digits := bits.TrailingZeros64(notDigits(w) &^ 0xff) // eight bits each, and seven of the mark; a sign is as good here
		sign := (uint64(c[9]^'-') - 1) >> 63                 // 1 or 0, without a branch that noise about zero would mislead
		up := second.bits - digits + 8*int(sign)
		stop := 9 + digits>>3 + second.ends
		if uint(up) > uint(second.bits) || c[8] != p.delim || c[stop&31] != after || c[(stop+ends-1)&31] != '\n' {
			break
		}
		f := (binary.LittleEndian.Uint64(c[9+sign&1:][:8])^'0'*ones)<<(up&63) ^ second.point
		t := (binary.LittleEndian.Uint64(c[:8]) ^ first.text) & first.mask
		if ((t+first.over)|t|notDigits(f))&(0x80*ones) != 0 {
			break
		}
		v := math.Float64frombits(math.Float64bits(first.value(t)) | minus)
		if !(v > last) {
			falls = true
		}
		times[n], last = v, v
		forces[n] = math.Float64frombits(math.Float64bits(second.value(f)) | sign<<63)
		at += stop + ends + around
	}
	return n, at - around, falls
}

// likeness is how numbers of a shape look in their last eight characters. Xored
// with text they are their digits, and 0 at the mark; then over brings any other
// byte to 0x80 or more.
type likeness struct {
	text, over uint64
	mask       uint64    // of the characters that belong to it, where all have as many
	point      uint64    // what a mark in its place is more than a 0
	bits       int       // up to the highest of the mark there
	ends       int       // characters from the mark to what ends the row
	weights    [2]uint64 // of each two neighbours, the first and third, second and fourth
	power      float64   // of ten, as many as decimals
	least      int       // characters: one digit, the mark and the decimals
}

func (s *shape) likeness(mark byte) likeness {
	if s.decimals < 1 || s.decimals > 6 {
		return likeness{}
	}
	place := 7 - s.decimals
	l := likeness{
		text: '0' * ones, over: (0x80 - 10) * ones, power: s.power, least: s.decimals + 2,
		point: uint64(mark^'0') << (8 * place), bits: 8*place + 7, ends: s.decimals + 1,
	}
	// A pair that the mark is the second of is ten times its digit; those before the
	// mark count a tenth of what they would without it.
	var weight [4]uint64
	for k := range weight {
		if weight[k] = uint64(exact[6-2*k]); 2*k < place {
			weight[k] = uint64(exact[5-2*k])
		}
	}
	l.weights = [2]uint64{weight[2] + weight[0]<<32, weight[3] + weight[1]<<32}
	return l.with(mark, place)
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

// value is the number whose xored characters are w: together with 0 at the mark.
func (l *likeness) value(w uint64) float64 {
	const pairs = 0x000000ff000000ff
	w = w*10 + w>>8
	return float64(int64((w&pairs*l.weights[0]+w>>16&pairs*l.weights[1])>>32)) / l.power
}
