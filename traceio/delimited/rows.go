package delimited

import (
	"bytes"
	"strings"

	"fallwright.example/problem"
)

// rows reads the wanted columns of a table, from its first row to the end of
// the file.
type rows struct {
	source
	*table
	*choice

	f, t, last int  // wanted columns from 0, and the larger; t is -1 without time
	usual      int  // cells of most rows, blank ones at their end counted
	padded     bool // of these, the last belongs to no column and is blank
	quoted     bool // there are quotes among the rows

	times, forces []float64 // as in the file, not yet in SI
	no            int       // of the line at hand
	lastRow       int       // number of the line of the last sample
	cells         [][]byte  // of the row at hand, where it had to be split

	ended pending // rows at the end in which the column has no value
	short pending // rows at the end that have the columns but not all cells
}

// pending is rows that are in order if they last to the end of the file.
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

func (s source) rows(t *table, c *choice) (*rows, error) {
	first := t.lines[t.first]
	body := s.data[first.from:]
	r := &rows{source: s, table: t, choice: c, f: c.force.no - 1, t: c.time.no - 1, no: first.no - 1}
	r.last = max(r.f, r.t)
	r.usual = t.usual()
	r.padded = r.usual > max(t.width, len(t.columns))
	r.quoted = bytes.IndexByte(body, '"') >= 0
	n := bytes.Count(body, []byte("\n")) + 1
	r.forces = make([]float64, 0, n)
	if r.t >= 0 {
		r.times = make([]float64, 0, n)
	}
	return r, r.walk(body)
}

// walk takes the rows one by one, the quick way where a row is what it should
// be, the slow way to find out what is the matter with it.
func (r *rows) walk(body []byte) error {
	for len(body) > 0 {
		r.no++
		time, force, size, ok := r.quick(body)
		shorts := r.short.rows
		if !ok {
			row, rest, _ := bytes.Cut(body, []byte("\n"))
			size = len(body) - len(rest)
			var err error
			if time, force, ok, err = r.slow(bytes.TrimSuffix(row, []byte("\r")), rest); err != nil {
				return err
			}
		}
		body = body[size:]
		if !ok {
			continue
		}
		if r.ended.rows > 0 || shorts > 0 && shorts == r.short.rows {
			return r.broken()
		}
		if r.t >= 0 {
			if n := len(r.times); n > 0 && !(time > r.times[n-1]) {
				return r.backwards(time)
			}
			r.times = append(r.times, time)
		}
		r.forces = append(r.forces, force)
		r.lastRow = r.no
	}
	return r.cutOff()
}

// quick reads the row that b begins with, if it has the usual number of cells
// and well-formed numbers in the wanted ones; ok is false for any other. size
// is the length of the row with its line end.
func (r *rows) quick(b []byte) (time, force float64, size int, ok bool) {
	if r.quoted {
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

// slow reads a row that quick would not: with spaces or quotes around its
// cells, blank, short, or wrong. ok is false for a row without a sample. rest
// is the file after the row.
func (r *rows) slow(row, rest []byte) (time, force float64, ok bool, err error) {
	if len(bytes.TrimSpace(row)) == 0 {
		return 0, 0, false, nil
	}
	r.cells = split(r.cells[:0], row, r.delim)
	all := len(r.cells)
	r.cells = trimBlanks(r.cells)
	n := len(r.cells)
	if n > 0 && !anyNumber(r.cells) {
		return 0, 0, false, r.words(row, rest)
	}
	if n > max(r.width, len(r.columns)) {
		return 0, 0, false, r.tooWide(row)
	}
	if n > 0 && r.labelled(r.cells[0]) {
		return 0, 0, false, r.label(row)
	}
	cell := func(c int) []byte {
		if c >= 0 && c < n {
			return r.cells[c]
		}
		return nil
	}
	if len(cell(r.f)) == 0 {
		r.ended.add(r.no, row, n, r.f >= all)
		return 0, 0, false, nil
	}
	if force, err = r.value(row, cell(r.f), r.force); err != nil {
		return 0, 0, false, err
	}
	if r.t >= 0 {
		if len(cell(r.t)) == 0 {
			return 0, 0, false, r.noStamp(row)
		}
		if time, err = r.value(row, cell(r.t), r.time); err != nil {
			return 0, 0, false, err
		}
	}
	if all < r.least {
		r.short.add(r.no, row, n, true)
	}
	return time, force, true, nil
}

// value reads a wanted cell, or says what is the matter with it.
func (r *rows) value(row, cell []byte, c column) (float64, error) {
	if v, next, ok := number(cell, 0, r.mark); ok && next == len(cell) {
		return v, nil
	}
	p := r.refuse(problem.Unreadable, r.no, "%q in %s is no number", shorten(text(cell)), c)
	switch {
	case notFinite(cell):
		p.What += ": a sample is missing or was out of range"
		p.Hint("export the recording again without it, or cut the file so that it ends above or begins below this line")
	case likeNumber(cell) && bytes.IndexByte(cell, other(r.mark)) >= 0:
		p.What += ": the other numbers have a decimal " + markName(r.mark)
		p.Hint("write all numbers with the same decimal mark, and without marks between thousands")
	case likeNumber(cell):
		if bytes.ContainsAny(cell, "eE") {
			p.What = strings.TrimSuffix(p.What, "no number") + "past the largest number there can be"
		}
		p.Hint("correct the number, if it is known what it was, or export the recording again")
	case bytes.IndexByte(cell, ':') >= 0 && c.no == r.time.no:
		p.What += " of seconds"
		p.Hint("if the samples are evenly spaced, give the rate instead of the time of day: --rate HZ")
	case c.kind == wordy:
		p.Hint("choose another column: %s", r.catalogue(r.such(func(o column) bool { return o.kind == numeric })))
	default:
		p.Hint("correct or delete the line")
	}
	return 0, quoting(p, row, cell)
}

func other(mark byte) byte {
	if mark == '.' {
		return ','
	}
	return '.'
}

func markName(mark byte) string {
	if mark == '.' {
		return "point"
	}
	return "comma"
}
