package delimited

import (
	"bytes"

	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// rows reads the wanted columns of a table, from its first row to the end of
// the file. What it collects is as the file has it: in its units, in its order.
type rows struct {
	source
	*table
	*pick.Choice
	dialect

	body       []byte // of the file, from the first row
	f, t, last int    // wanted columns from 0, and the larger; t is -1 without time
	usual      int    // cells of most rows, blank ones at their end counted
	padded     bool   // of these, the last belongs to no column and is blank
	careful    bool   // quick is not made for these rows: quotes, fixed width, times of day
	until      int    // samples to stop at; 0 for never

	times, forces []float64 // as in the file, not yet in SI
	falls         bool      // a time is no later than the one before
	stretch, gate extra     // likewise
	breaks        []brk     // where another drop may begin
	lead          string    // what a column calls the first drop
	below         int       // line of the comments below the table; 0 for none
	ways          []way     // to find lines again by samples

	no      int      // of the line at hand
	lastRow int      // number of the line of the last sample
	cells   [][]byte // of the row at hand, where it had to be split
	clock   clock    // of times of day
	blank   bool     // the line above was blank
	skip    int      // bytes behind the row at hand that hold no row either

	ended pending // rows at the end in which the column has no value
	short pending // rows at the end that have the columns but not all cells
}

// way is where the row of a sample begins; there is one for each waySamples.
type way struct {
	from int // byte of the body
	no   int // of the line before
}

const waySamples = 1 << 16

// pending is rows that are in order if they last to the end of the drop.
type pending struct {
	rows  int
	no    int    // line of the first
	row   []byte // the first
	cells int    // that the first has
	cut   bool   // the first has not even a blank cell there
}

func (p *pending) add(no int, row []byte, cells int, cut bool) {
	if p.rows == 0 {
		*p = pending{no: no, row: row, cells: cells, cut: cut}
	}
	p.rows++
}

// newRows is a table about to be read.
func (s source) newRows(t *table, c *pick.Choice, d dialect) *rows {
	first := t.lines[t.first]
	r := &rows{source: s, table: t, Choice: c, dialect: d, f: c.Force.No - 1, t: c.Time.No - 1, no: first.no - 1}
	r.body = s.data[first.from:]
	r.last = max(r.f, r.t)
	r.usual = t.usual()
	r.padded = r.usual > max(t.width, len(t.columns))
	r.careful = t.delim == fixed || c.Time.Holds == pick.Stamps || r.usual > wanted(r.f, r.t) && bytes.IndexByte(r.body, '"') >= 0
	r.stretch.column, r.gate.column = c.Stretch, c.Gate
	r.stretch.asked, r.gate.asked = c.StretchAsked, true
	return r
}

// read reads all rows.
func (r *rows) read() error {
	if r.rest != nil {
		return r.readRest()
	}
	n := newlines(r.body) + 1
	if least := 2 * len(r.Used()); n > len(r.body)/least+1 {
		n = len(r.body)/least + 1 // lines without room for the cells are no rows
	}
	r.forces = traceio.Room(n)
	if r.t >= 0 {
		r.times = traceio.Room(n)
	}
	at := 0
	if p, ok := r.plainly(); ok && len(r.body) > 2*r.chunk {
		at = r.together(p, r.body)
	}
	if err := r.walk(r.body, at); err != nil {
		return err
	}
	return r.cutOff()
}

// wanted is how many columns are read; time is -1 where there is none.
func wanted(force, time int) int {
	if time < 0 {
		return 1
	}
	return 2
}

// walk takes the rows from body[at] on: many at a time where they are plain, else
// one by one, the quick way where a row is what it should be, the slow way to
// find out what is the matter with it.
func (r *rows) walk(body []byte, at int) error {
	aside := r.stretch.column.No > 0 || r.gate.column.No > 0
	p, many := r.plainly()
	for at < len(body) {
		if many && r.calm() {
			at = r.plain(p, body, at)
			if at == len(body) {
				break
			}
		}
		r.no++
		time, force, size, ok := r.quick(body[at:])
		shorts, no := r.short.rows, r.no
		if !ok || size > longestLine {
			row, rest, _ := bytes.Cut(body[at:], []byte("\n"))
			size = len(body) - at - len(rest)
			var err error
			if time, force, ok, err = r.slow(bytes.TrimSuffix(row, []byte("\r")), rest); err != nil {
				return err
			}
			size += r.skip
			r.skip = 0
		}
		from := at
		at += size
		if !ok {
			continue
		}
		if r.ended.rows > 0 || shorts > 0 && shorts == r.short.rows {
			return r.broken()
		}
		if len(r.forces)%waySamples == 0 {
			r.ways = append(r.ways, way{from, no - 1})
		}
		if r.t >= 0 {
			if n := len(r.times); n > 0 && !(time > r.times[n-1]) {
				r.falls = true
				if r.blank {
					r.breaks = append(r.breaks, brk{at: n, no: no, how: byBlank})
				}
			}
			r.times = append(r.times, time)
		}
		r.blank = false
		r.forces = append(r.forces, force)
		r.lastRow = no
		if aside {
			if err := r.extras(body[from:at]); err != nil {
				return err
			}
		}
		if len(r.forces) == r.until {
			return nil
		}
	}
	return nil
}

// quick reads the row that b begins with, if it has the usual number of cells
// and well-formed numbers in the wanted ones; ok is false for any other. size
// is the length of the row with its line end.
func (r *rows) quick(b []byte) (time, force float64, size int, ok bool) {
	if r.careful {
		return 0, 0, 0, false
	}
	i := 0
	for c := 0; ; c++ {
		if r.delim == spaces {
			for i < len(b) && (b[i] == ' ' || b[i] == '\t') {
				i++
			}
		}
		if c == r.f || c == r.t {
			v, next, ok := number(b, i, r.mark)
			if !ok {
				return 0, 0, 0, false
			}
			if i = next; c == r.f {
				force = v
			} else {
				time = v
			}
		} else if c == 0 && i < len(b) && (b[i] > '9' || b[i] == '#' || b[i] == '%') {
			return 0, 0, 0, false // a word in the first column
		} else {
			for i < len(b) && !r.parts(b[i]) && b[i] != '\n' {
				i++
			}
		}
		if c == r.last {
			size, ok = r.lineEnd(b, i, c+1)
			return time, force, size, ok
		}
		if i == len(b) || !r.parts(b[i]) {
			return 0, 0, 0, false
		}
		i++
	}
}

// parts reports whether a byte parts two cells.
func (r *rows) parts(c byte) bool { return c == r.delim || c == '\t' && r.delim == spaces }

// lineEnd returns the length of the row that b begins with, of which had cells
// are read, up to i; ok is false when it has not the usual number of cells.
func (r *rows) lineEnd(b []byte, i, had int) (size int, ok bool) {
	if i < len(b) && b[i] == '\n' {
		return i + 1, had == r.usual
	}
	end := len(b)
	if n := bytes.IndexByte(b[i:], '\n'); n >= 0 {
		end, size = i+n, i+n+1
	} else {
		size = end
	}
	rest := bytes.TrimSuffix(b[i:end], []byte("\r"))
	switch {
	case len(rest) == 0:
		return size, had == r.usual
	case !r.parts(rest[0]):
		return 0, false
	case r.delim == spaces:
		r.cells = fields(r.cells[:0], rest)
		return size, had+len(r.cells) == r.usual
	}
	if r.padded && rest[len(rest)-1] != r.delim {
		return 0, false
	}
	return size, had+bytes.Count(rest, []byte{r.delim}) == r.usual
}
