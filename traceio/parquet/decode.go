package parquet

import (
	"encoding/binary"
	"math"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// decoder gathers the values of one column. NaN stands for no value.
type decoder struct {
	*source
	element
	values     []float64
	width      int // bytes of a value as stored; 0 when they vary
	convert    func(b []byte) float64
	dictionary []float64
}

// none stands for a value that is not there.
var none = math.NaN()

// The encodings of values.
const (
	encPlain      = 0
	encDictionary = 2 // the older name of it
	encDelta      = 5
	encRLEDict    = 8
	encSplit      = 9
)

// broken refuses a column whose bytes cannot be what a program wrote.
func (d *decoder) broken(why string) *problem.Problem {
	return d.damaged("column %q, at row %d or after: %s", traceio.Shorten(d.title), len(d.values)+1, why)
}

// page decodes one data page. levels say of an optional column which values are
// there, in runs of one bit.
func (d *decoder) page(p page, levels, body []byte) error {
	from := len(d.values)
	there := p.values
	if d.optional {
		h := hybrid{b: levels, bits: 1}
		there = 0
		for range p.values {
			v, ok := h.next()
			if !ok {
				return d.broken("which of its values are there cannot be read")
			}
			there += int(v)
			d.values = append(d.values, float64(v))
		}
	} else {
		for range p.values {
			d.values = append(d.values, 1)
		}
	}
	next, ok := d.reader(p.encoding, body, there)
	if !ok {
		return d.refuse(problem.Unreadable, "", "column %q is in encoding %d, which is not read for its type", traceio.Shorten(d.title), p.encoding).
			Hint("write the file again with plain, dictionary, delta or byte-stream-split encoding")
	}
	for i := from; i < len(d.values); i++ {
		if d.values[i] == 0 {
			d.values[i] = none
			continue
		}
		if d.values[i], ok = next(); !ok {
			return d.broken("its values end too early")
		}
	}
	return nil
}

// reader returns what reads n values one by one; not ok when the encoding is not
// known for the type.
func (d *decoder) reader(encoding int, b []byte, n int) (next func() (float64, bool), ok bool) {
	switch {
	case encoding == encPlain:
		return d.plain(b), true
	case encoding == encDictionary || encoding == encRLEDict:
		if len(b) == 0 {
			return func() (float64, bool) { return 0, false }, true
		}
		h := hybrid{b: b[1:], bits: uint(b[0])}
		return func() (float64, bool) {
			v, ok := h.next()
			if !ok || uint64(v) >= uint64(len(d.dictionary)) {
				return 0, false
			}
			return d.dictionary[v], true
		}, true
	case encoding == encDelta && (d.physical == tInt32 || d.physical == tInt64):
		return d.delta(b), true
	case encoding == encSplit && d.width > 0 && d.width <= 16:
		return d.split(b, n), true
	}
	return nil, false
}

// plain reads values as they are; those that vary in length have it before them.
func (d *decoder) plain(b []byte) func() (float64, bool) {
	return func() (float64, bool) {
		n := d.width
		if n == 0 {
			if len(b) < 4 || uint64(binary.LittleEndian.Uint32(b)) > uint64(len(b)-4) {
				return 0, false
			}
			n = int(binary.LittleEndian.Uint32(b))
			b = b[4:]
		}
		if len(b) < n {
			return 0, false
		}
		v := d.convert(b[:n])
		b = b[n:]
		return v, true
	}
}

// readDictionary reads the values that pages refer to by number.
func (d *decoder) readDictionary(b []byte, p page) bool {
	if p.encoding != encPlain && p.encoding != encDictionary || p.values > len(b) {
		return false
	}
	d.dictionary = make([]float64, 0, p.values)
	next := d.plain(b)
	for range p.values {
		v, ok := next()
		if !ok {
			return false
		}
		d.dictionary = append(d.dictionary, v)
	}
	return true
}

// split reads values whose first bytes stand together, then their second ones.
func (d *decoder) split(b []byte, n int) func() (float64, bool) {
	one := make([]byte, d.width)
	i := 0
	return func() (float64, bool) {
		if i >= n || len(b) < n*d.width {
			return 0, false
		}
		for k := range one {
			one[k] = b[k*n+i]
		}
		i++
		return d.convert(one), true
	}
}

// hybrid reads small whole numbers in runs: of one number repeated, or of
// numbers in bits packed from the lowest.
type hybrid struct {
	b    []byte
	bits uint

	value    uint32
	repeated uint64
	packed   uint64 // numbers left of a packed run
	at       uint   // bit of the packed run
}

func (h *hybrid) next() (uint32, bool) {
	for h.repeated == 0 && h.packed == 0 {
		if !h.run() {
			return 0, false
		}
	}
	if h.repeated > 0 {
		h.repeated--
		return h.value, true
	}
	h.packed--
	v := bits(h.b, h.at, h.bits)
	if h.at += h.bits; h.packed == 0 {
		h.b = h.b[min(uint(len(h.b)), (h.at+7)/8):]
		h.at = 0
	}
	return uint32(v), true
}

// run begins the next run.
func (h *hybrid) run() bool {
	if h.bits > 32 {
		return false
	}
	head, n := binary.Uvarint(h.b)
	if n <= 0 {
		return false
	}
	h.b = h.b[n:]
	if head&1 == 1 {
		// Groups of eight. A last group may be cut short.
		h.packed = min(head>>1, uint64(len(h.b))) * 8
		if h.bits > 0 {
			h.packed = min(h.packed, uint64(len(h.b))*8/uint64(h.bits))
		} else {
			h.packed = head >> 1 * 8
		}
		return h.packed > 0
	}
	width := int(h.bits+7) / 8
	if len(h.b) < width {
		return false
	}
	h.value = 0
	for i, c := range h.b[:width] {
		h.value |= uint32(c) << (8 * i)
	}
	h.b, h.repeated = h.b[width:], head>>1
	return h.repeated > 0
}

// bits are n bits of b from bit at on, the lowest first; 0 beyond its end.
func bits(b []byte, at, n uint) uint64 {
	var v uint64
	for have := uint(0); have < n; {
		i, shift := at/8, at%8
		if i >= uint(len(b)) {
			break
		}
		take := min(8-shift, n-have)
		v |= uint64(b[i]>>shift&(1<<take-1)) << have
		have, at = have+take, at+take
	}
	return v
}

// delta reads whole numbers as differences: a first number, then blocks of
// miniblocks, each of differences from the block's least in as many bits as the
// widest takes.
func (d *decoder) delta(b []byte) func() (float64, bool) {
	bad := false
	number := func() uint64 {
		v, n := binary.Uvarint(b)
		if n <= 0 {
			bad = true
			return 0
		}
		b = b[n:]
		return v
	}
	signed := func() int64 { v := number(); return int64(v>>1) ^ -int64(v&1) }
	block, minis, total := number(), number(), number()
	last := signed()
	per := uint64(0) // numbers in a miniblock
	if bad || minis == 0 || block == 0 || block%minis != 0 || block/minis%32 != 0 || minis > 1<<16 || block > 1<<24 {
		bad = true
	} else {
		per = block / minis
	}
	var least int64
	var widths []byte
	var left uint64 // of the miniblock
	var at, width uint
	given := uint64(0)
	return func() (float64, bool) {
		if bad || given == total {
			return 0, false
		}
		if given > 0 {
			if left == 0 {
				b = b[min(uint(len(b)), (at+7)/8):]
				at = 0
				if len(widths) == 0 {
					if least = signed(); bad || uint64(len(b)) < minis {
						bad = true
						return 0, false
					}
					widths, b = b[:minis], b[minis:]
				}
				width, widths, left = uint(widths[0]), widths[1:], per
			}
			if width > 64 || uint64(len(b))*8 < uint64(at+width) {
				bad = true
				return 0, false
			}
			last += least + int64(bits(b, at, width))
			at += width
			left--
		}
		given++
		return d.convert(d.stored(last)), true
	}
}

// stored is a whole number as the column stores it.
func (d *decoder) stored(v int64) []byte {
	if d.physical == tInt32 {
		return binary.LittleEndian.AppendUint32(nil, uint32(v))
	}
	return binary.LittleEndian.AppendUint64(nil, uint64(v))
}
