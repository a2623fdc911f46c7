package parquet

import "encoding/binary"

// thrift reads what Parquet writes its heads in, the compact protocol of Thrift.
// It allocates nothing: text is a part of the bytes, and lists are gone over.
type thrift struct {
	b   []byte
	bad bool // the bytes ended, or were nonsense
}

// The kinds of value.
const (
	isTrue   = 1
	isFalse  = 2
	isByte   = 3
	isI16    = 4
	isI32    = 5
	isI64    = 6
	isDouble = 7
	isBinary = 8
	isList   = 9
	isSet    = 10
	isMap    = 11
	isStruct = 12
)

func (t *thrift) fail() { t.bad, t.b = true, nil }

func (t *thrift) byte() byte {
	if len(t.b) == 0 {
		t.fail()
		return 0
	}
	c := t.b[0]
	t.b = t.b[1:]
	return c
}

func (t *thrift) unsigned() uint64 {
	v, n := binary.Uvarint(t.b)
	if n <= 0 {
		t.fail()
		return 0
	}
	t.b = t.b[n:]
	return v
}

// whole is a number of 16, 32 or 64 bits.
func (t *thrift) whole() int64 {
	v := t.unsigned()
	return int64(v>>1) ^ -int64(v&1)
}

// i32 is a number of 32 bits; a larger one is nonsense.
func (t *thrift) i32() int {
	v := t.whole()
	if v != int64(int32(v)) {
		t.fail()
		return 0
	}
	return int(v)
}

func (t *thrift) text() string {
	n := t.unsigned()
	if n > uint64(len(t.b)) {
		t.fail()
		return ""
	}
	s := string(t.b[:n])
	t.b = t.b[n:]
	return s
}

// fields goes over the fields of a structure. see reads the value of a field and
// says so; what it does not know is skipped.
func (t *thrift) fields(see func(id int, kind byte) bool) {
	id := 0
	for !t.bad {
		head := t.byte()
		kind := head & 15
		if head == 0 || t.bad {
			return
		}
		if delta := int(head >> 4); delta > 0 {
			id += delta
		} else {
			id = t.i32()
		}
		if !see(id, kind) {
			t.skip(kind, 0)
		}
	}
}

// list goes over the members of a list; each takes a byte at least.
func (t *thrift) list(kind byte, see func()) {
	have, n := t.listHead()
	if have != kind && n > 0 {
		t.fail()
	}
	for ; n > 0 && !t.bad; n-- {
		see()
	}
}

func (t *thrift) listHead() (kind byte, n int) {
	head := t.byte()
	size := uint64(head >> 4)
	if size == 15 {
		size = t.unsigned()
	}
	if size > uint64(len(t.b)) {
		t.fail()
		return 0, 0
	}
	return head & 15, int(size)
}

// skip passes over a value.
func (t *thrift) skip(kind byte, depth int) {
	const deepest = 16
	if depth > deepest {
		t.fail()
	}
	if t.bad {
		return
	}
	switch kind {
	case isTrue, isFalse:
	case isByte:
		t.byte()
	case isI16, isI32, isI64:
		t.unsigned()
	case isDouble:
		for range 8 {
			t.byte()
		}
	case isBinary:
		t.text()
	case isList, isSet:
		of, n := t.listHead()
		for ; n > 0 && !t.bad; n-- {
			t.skipMember(of, depth)
		}
	case isMap:
		n := t.unsigned()
		if n == 0 {
			return
		}
		kinds := t.byte()
		for ; n > 0 && !t.bad; n-- {
			t.skipMember(kinds>>4, depth)
			t.skipMember(kinds&15, depth)
		}
	case isStruct:
		for !t.bad {
			head := t.byte()
			if head == 0 {
				return
			}
			if head>>4 == 0 {
				t.unsigned()
			}
			t.skip(head&15, depth+1)
		}
	default:
		t.fail()
	}
}

// skipMember passes over a member of a list; there, unlike in a structure, a
// yes or no takes a byte.
func (t *thrift) skipMember(kind byte, depth int) {
	if kind == isTrue || kind == isFalse {
		kind = isByte
	}
	t.skip(kind, depth+1)
}
