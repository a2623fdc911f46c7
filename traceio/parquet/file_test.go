package parquet_test

import (
	"encoding/binary"

	"fallwright.example/trace"
)

// thriftOut writes the compact protocol of Thrift, so that a test can say what no
// program would.
type thriftOut struct {
	b    []byte
	last int
}

func (t *thriftOut) field(id int, kind byte) {
	t.b = append(t.b, byte(id-t.last)<<4|kind)
	t.last = id
}

func (t *thriftOut) unsigned(v uint64) { t.b = binary.AppendUvarint(t.b, v) }

func (t *thriftOut) number(id int, kind byte, v int64) {
	t.field(id, kind)
	t.unsigned(uint64(v<<1) ^ uint64(v>>63))
}

func (t *thriftOut) text(id int, s string) {
	t.field(id, 8)
	t.unsigned(uint64(len(s)))
	t.b = append(t.b, s...)
}

// of writes a structure, or a member of a list when id is 0.
func (t *thriftOut) of(id int, write func(t *thriftOut)) {
	if id > 0 {
		t.field(id, 12)
	}
	in := &thriftOut{b: t.b}
	write(in)
	t.b = append(in.b, 0)
}

func (t *thriftOut) list(id int, kind byte, n int, write func(t *thriftOut, i int)) {
	t.field(id, 9)
	t.b = append(t.b, 0xF0|kind)
	t.unsigned(uint64(n))
	for i := range n {
		write(t, i)
	}
}

// flat is a file of columns of doubles in one page each, with what a test wants
// to be wrong.
type flat struct {
	names    []string
	columns  [][]float64
	words    [][2]string // metadata
	physical int         // 0 stands for 5, double
	optional bool        // with all values there
	children int         // of the last column
	codec    int
	encoding int
	rows     int64                             // 0 stands for as many as there are
	values   int                               // that the pages say; likewise
	unpacked int                               // likewise
	body     func(column int, b []byte) []byte // what stands in a page instead
	groups   func(t *thriftOut)                // what stands in the footer instead
	offset   int64                             // added to where a column is said to be
	longer   int64                             // added to how long it is said to be
	fewer    int64                             // taken from how many values the last is said to have
}

func (f flat) write() []byte {
	out := []byte("PAR1")
	type place struct{ at, size int64 }
	places := make([]place, len(f.columns))
	for c, values := range f.columns {
		var body []byte
		if f.optional {
			level := binary.AppendUvarint(nil, uint64(len(values))<<1)
			level = append(level, 1)
			body = append(binary.LittleEndian.AppendUint32(nil, uint32(len(level))), level...)
		}
		for _, v := range values {
			body = binary.LittleEndian.AppendUint64(body, bitsOf(v))
		}
		unpacked := len(body)
		if f.body != nil {
			body = f.body(c, body)
			unpacked = len(body)
		}
		if f.unpacked > 0 {
			unpacked = f.unpacked
		}
		said := len(values)
		if f.values > 0 {
			said = f.values
		}
		t := &thriftOut{}
		t.number(1, 5, 0)
		t.number(2, 5, int64(unpacked))
		t.number(3, 5, int64(len(body)))
		t.of(5, func(t *thriftOut) {
			t.number(1, 5, int64(said))
			t.number(2, 5, int64(f.encoding))
			t.number(3, 5, 3)
			t.number(4, 5, 3)
		})
		at := int64(len(out))
		out = append(append(append(out, t.b...), 0), body...)
		places[c] = place{at + f.offset, int64(len(out)) - at}
	}
	rows := int64(len(f.columns[0]))
	if f.rows > 0 {
		rows = f.rows
	}
	t := &thriftOut{}
	t.number(1, 5, 1)
	t.list(2, 12, len(f.names)+1, func(t *thriftOut, i int) { t.of(0, func(t *thriftOut) { f.element(t, i) }) })
	t.number(3, 6, rows)
	if f.groups != nil {
		f.groups(t)
	} else {
		t.list(4, 12, 1, func(t *thriftOut, _ int) {
			t.of(0, func(t *thriftOut) {
				t.list(1, 12, len(f.columns), func(t *thriftOut, c int) {
					t.of(0, func(t *thriftOut) {
						t.of(3, func(t *thriftOut) {
							t.number(4, 5, int64(f.codec))
							values := rows
							if c == len(f.columns)-1 {
								values -= f.fewer
							}
							t.number(5, 6, values)
							t.number(7, 6, places[c].size+f.longer)
							t.number(9, 6, places[c].at)
						})
					})
				})
				t.number(3, 6, rows)
			})
		})
	}
	if len(f.words) > 0 {
		t.list(5, 12, len(f.words), func(t *thriftOut, i int) {
			t.of(0, func(t *thriftOut) { t.text(1, f.words[i][0]); t.text(2, f.words[i][1]) })
		})
	}
	t.b = append(t.b, 0)
	out = append(out, t.b...)
	return append(binary.LittleEndian.AppendUint32(out, uint32(len(t.b))), "PAR1"...)
}

func (f flat) element(t *thriftOut, i int) {
	if i == 0 {
		t.text(4, "schema")
		t.number(5, 5, int64(len(f.names)))
		return
	}
	physical := f.physical
	if physical == 0 {
		physical = 5
	}
	t.number(1, 5, int64(physical))
	repetition := int64(0)
	if f.optional {
		repetition = 1
	}
	t.number(3, 5, repetition)
	t.text(4, f.names[i-1])
	if f.children > 0 && i == len(f.names) {
		t.number(5, 5, int64(f.children))
	}
}

var none trace.Ask
