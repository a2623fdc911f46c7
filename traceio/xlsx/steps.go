package xlsx

import (
	"slices"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// fewestOfDrop is how many rows in a row have to have the same value, on
// average, for a column to name drops: our own choice.
const fewestOfDrop = 4

// steps is what a column called drop, run, specimen or the like goes through
// down the sheet. Several drops in one sheet are not read, but not taken for one
// either.
type steps struct {
	col      pick.Column
	was, now string
	rows     int // that have a value
	count    int // of changes
	first    int // row of the first change
}

// naming are the columns of a table that may name drops and are not read.
func (t *table) naming() []*steps {
	var out []*steps
	for _, c := range t.columns {
		used := slices.ContainsFunc(t.choice.Used(), func(o pick.Column) bool { return o.No == c.No })
		if c.NamesDrops() && !used {
			out = append(out, &steps{col: c})
		}
	}
	return out
}

func (s *steps) see(at int, cells []cell) {
	c, ok := in(cells, s.col.No)
	if !ok || c.kind == blank {
		return
	}
	if v := c.shown(); s.rows > 0 && v != s.now {
		if s.count++; s.first == 0 {
			s.first, s.was = at, s.now
		}
		s.now = v
	} else {
		s.now = v
	}
	s.rows++
}

// refuse refuses a sheet whose column names several drops; it returns err where
// it does not.
func (s *steps) refuse(r *reading, err error) error {
	if s.first == 0 || fewestOfDrop*(s.count+1) > s.rows {
		return err
	}
	return r.refuse(problem.Invalid, r.sheet, row(s.first), "%s, %q before, has another value, so it seems to name the drop of each row, and one sheet is read as one drop", s.col, traceio.Shorten(s.was)).
		Hint("put each drop on a sheet of its own, or save the sheet as CSV: there the column parts the drops")
}
