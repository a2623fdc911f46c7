package parquet

import (
	"encoding/binary"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// footer is what the end of a file says of all of it.
type footer struct {
	rows    int64
	columns []element
	words   map[string]string // key and value
	groups  []byte            // the list of row groups, as it stands
}

// element is one column of the schema.
type element struct {
	title    string
	physical int // type of its values as stored
	length   int // bytes of a value of fixed length
	optional bool
	logical  meaning
	scale    int // decimals of a decimal
}

// meaning is what the values of a column stand for.
type meaning byte

const (
	plain    meaning = iota // what their type says
	unsigned                // whole numbers without a sign
	decimal                 // whole numbers, with decimals
	millis                  // a moment, or a time of day
	micros
	nanos
	other // no number
)

// Types as stored.
const (
	tBool   = 0
	tInt32  = 1
	tInt64  = 2
	tInt96  = 3
	tFloat  = 4
	tDouble = 5
	tBytes  = 6
	tFixed  = 7
)

// open reads the footer.
func (s *source) open() (*footer, error) {
	const ends = 8 // length and magic
	n := len(s.data)
	if !begins(s.data) || n < 4+ends {
		return nil, s.damaged("it does not begin as a Parquet file does, or is too short")
	}
	if string(s.data[:4]) == "PARE" || string(s.data[n-4:]) == "PARE" {
		return nil, s.refuse(problem.Unreadable, "", "the file is encrypted").Hint("export the recording again without encryption")
	}
	size := int64(binary.LittleEndian.Uint32(s.data[n-ends:]))
	if string(s.data[n-4:]) != "PAR1" || size > int64(n-4-ends) {
		return nil, s.damaged("its end does not say where the columns are")
	}
	f := &footer{words: map[string]string{}}
	t := &thrift{b: s.data[n-ends-int(size) : n-ends]}
	var wrong *problem.Problem
	encrypted := false
	t.fields(func(id int, kind byte) bool {
		switch {
		case id == 2 && kind == isList:
			wrong = s.schema(t, f)
		case id == 3 && kind == isI64:
			f.rows = t.whole()
		case id == 4 && kind == isList:
			before := t.b
			t.skip(kind, 0)
			f.groups = before[:len(before)-len(t.b)]
		case id == 5 && kind == isList:
			t.list(isStruct, func() { f.word(t) })
		case id == 8:
			encrypted = true
			return false
		default:
			return false
		}
		return true
	})
	switch {
	case wrong != nil:
		return nil, wrong
	case t.bad || f.rows < 0:
		return nil, s.damaged("its footer cannot be read")
	case encrypted:
		return nil, s.refuse(problem.Unreadable, "", "columns of the file are encrypted").Hint("export the recording again without encryption")
	case len(f.columns) == 0:
		return nil, s.damaged("it has no columns")
	}
	return f, nil
}

// word reads one key and value.
func (f *footer) word(t *thrift) {
	var key, value string
	t.fields(func(id int, kind byte) bool {
		switch {
		case id == 1 && kind == isBinary:
			key = t.text()
		case id == 2 && kind == isBinary:
			value = t.text()
		default:
			return false
		}
		return true
	})
	const most = 1 << 16 // of keys; our own
	if len(f.words) < most {
		f.words[key] = value
	}
}

// schema reads the columns; a column within a column is refused.
func (s *source) schema(t *thrift, f *footer) (wrong *problem.Problem) {
	first := true
	t.list(isStruct, func() {
		e, children, repetition := readElement(t)
		switch {
		case first:
			first = false
		case wrong != nil || t.bad:
		case children > 0 || repetition == 2:
			wrong = s.refuse(problem.Invalid, "", "column %q holds columns or lists, and one row has to be one sample", traceio.Shorten(e.title)).
				Hint("export a flat table: one row for each sample")
		case len(f.columns) == MostColumns:
			wrong = s.refuse(problem.Unreadable, "", "the file has more than %d columns, which is our limit", MostColumns).
				Hint("export the columns that are wanted")
		default:
			e.optional = repetition == 1
			f.columns = append(f.columns, e)
		}
	})
	return wrong
}

// readElement reads one element of the schema.
func readElement(t *thrift) (e element, children, repetition int) {
	e.physical = -1
	t.fields(func(id int, kind byte) bool {
		switch {
		case id == 4 && kind == isBinary:
			e.title = t.text()
		case id == 10 && kind == isStruct:
			e.logicalType(t)
		case kind != isI32:
			return false
		case id == 1:
			e.physical = t.i32()
		case id == 2:
			e.length = t.i32()
		case id == 3:
			repetition = t.i32()
		case id == 5:
			children = t.i32()
		case id == 6:
			e.convertedType(t.i32())
		case id == 7:
			e.scale = t.i32()
		default:
			return false
		}
		return true
	})
	return e, children, repetition
}

// convertedType is the older way to say what values stand for.
func (e *element) convertedType(kind int) {
	if e.logical != plain {
		return
	}
	switch kind {
	case 5:
		e.logical = decimal
	case 7, 9:
		e.logical = millis
	case 8, 10:
		e.logical = micros
	case 11, 12, 13, 14:
		e.logical = unsigned
	case 15, 16, 17, 18:
	default:
		e.logical = other
	}
}

// logicalType is the newer way: one of several structures.
func (e *element) logicalType(t *thrift) {
	t.fields(func(id int, kind byte) bool {
		if kind != isStruct {
			return false
		}
		e.logical = other
		switch id {
		case 5:
			e.logical = decimal
		case 10:
			e.logical = plain
		}
		t.fields(func(part int, kind byte) bool {
			switch {
			case id == 5 && part == 1 && kind == isI32:
				e.scale = t.i32()
				return true
			case (id == 7 || id == 8) && part == 2 && kind == isStruct:
				e.logical = unitOfTime(t)
				return true
			case id == 10 && part == 2 && kind == isFalse:
				e.logical = unsigned
			}
			return false
		})
		return true
	})
}

// unitOfTime is one of three empty structures.
func unitOfTime(t *thrift) meaning {
	unit := other
	t.fields(func(id int, _ byte) bool {
		if id >= 1 && id <= 3 {
			unit = []meaning{millis, micros, nanos}[id-1]
		}
		return false
	})
	return unit
}
