package parquet

import (
	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// chunk is where the values of one column in one row group are.
type chunk struct {
	codec      int
	values     int64
	size       int64 // compressed, of all pages
	pages      int64 // offset of the data pages
	dictionary int64 // offset of the page before them; 0 when there is none
	elsewhere  bool  // in another file
}

// chunks finds where the values of some columns are: for each column, one chunk a
// row group.
func (s *source) chunks(f *footer, wanted []int) ([][]chunk, error) {
	out := make([][]chunk, len(wanted))
	t := &thrift{b: f.groups}
	rows := int64(0)
	t.list(isStruct, func() {
		var here []chunk
		count := int64(-1)
		t.fields(func(id int, kind byte) bool {
			switch {
			case id == 1 && kind == isList:
				here = readChunks(t, wanted)
			case id == 3 && kind == isI64:
				count = t.whole()
			default:
				return false
			}
			return true
		})
		if t.bad || len(here) != len(wanted) || count < 0 {
			t.fail()
			return
		}
		rows += count
		for i, c := range here {
			if c.values != count {
				t.fail()
				return
			}
			out[i] = append(out[i], c)
		}
	})
	if t.bad || rows != f.rows {
		return nil, s.damaged("its footer does not say where each column is")
	}
	return out, nil
}

// readChunks reads the chunks of the wanted columns of one row group.
func readChunks(t *thrift, wanted []int) []chunk {
	out := make([]chunk, len(wanted))
	found, no := 0, 0
	t.list(isStruct, func() {
		at := -1
		for i, w := range wanted {
			if w == no {
				at = i
			}
		}
		no++
		if at < 0 {
			t.skip(isStruct, 0)
			return
		}
		found++
		t.fields(func(id int, kind byte) bool {
			switch {
			case id == 1 && kind == isBinary:
				out[at].elsewhere = t.text() != ""
			case id == 3 && kind == isStruct:
				out[at].metadata(t)
			default:
				return false
			}
			return true
		})
	})
	return out[:found]
}

func (c *chunk) metadata(t *thrift) {
	t.fields(func(id int, kind byte) bool {
		switch {
		case id == 4 && kind == isI32:
			c.codec = t.i32()
		case kind != isI64:
			return false
		case id == 5:
			c.values = t.whole()
		case id == 7:
			c.size = t.whole()
		case id == 9:
			c.pages = t.whole()
		case id == 11:
			c.dictionary = t.whole()
		default:
			return false
		}
		return true
	})
}

// bytes are the pages of a chunk, the dictionary first.
func (s *source) bytes(c chunk, name string) ([]byte, error) {
	if c.elsewhere {
		return nil, s.refuse(problem.Unreadable, "", "column %q is in another file", traceio.Shorten(name)).Hint("export the recording into one file")
	}
	from := c.pages
	if c.dictionary > 0 && c.dictionary < from {
		from = c.dictionary
	}
	if n := int64(len(s.data)); from < 4 || c.size < 0 || from > n || c.size > n-from {
		return nil, s.damaged("column %q begins or ends outside it", traceio.Shorten(name))
	}
	return s.data[from : from+c.size], nil
}
