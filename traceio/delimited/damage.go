package delimited

import (
	"bytes"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// words refuses a row without any number: text in the table or after it.
func (r *rows) words(row, rest []byte) error {
	if ok, err := r.between(row, rest); ok {
		return err
	}
	where, hint := "after the table, whose last row is line "+strconv.Itoa(r.lastRow), "delete what stands below the table"
	if next := r.nextRow(rest); next > 0 {
		where = "in the middle of the table, which goes on at line " + strconv.Itoa(next)
		hint = "delete the line; or, where a second recording begins, put each in a file of its own"
	}
	if r.lastRow == 0 {
		where = "where the first row should be"
	}
	return r.refuse(problem.Unreadable, r.no, "%q stands %s", traceio.Shorten(text(row)), where).Hint("%s", hint)
}

// nextRow is the number of the next line with a number in it, or 0.
func (r *rows) nextRow(rest []byte) int {
	for no := r.no + 1; len(rest) > 0; no++ {
		row := rest
		if n := bytes.IndexByte(rest, '\n'); n >= 0 {
			row, rest = rest[:n], rest[n+1:]
		} else {
			rest = nil
		}
		if len(row) <= longestLine && anyNumber(r.split(nil, row)) {
			return no
		}
	}
	return 0
}

// label refuses a row that has a word in the first column where the table has
// numbers: the mean or the spread below a table is no sample.
func (r *rows) label(row []byte) error {
	return quoting(r.refuse(problem.Unreadable, r.no, "%q in column 1 stands where the rows above have a number, so the row may be no sample", traceio.Shorten(text(r.cells[0]))).
		Hint("delete the line, or cut the file above it"), row, r.cells[0])
}

// tooWide refuses a row with more cells than the table has columns.
func (r *rows) tooWide(row []byte) error {
	wide := r.wide()
	p := r.refuse(problem.Unreadable, r.no, "the line has %s, the table %s", traceio.Count(len(r.cells), "cell"), traceio.Count(wide, "column"))
	if r.delim == ',' {
		p.Hint("if its numbers have decimal commas, write them with points, or part the cells by semicolons")
	}
	p.Hint("correct the line, or export the recording again")
	return quoting(p, row, r.cells[wide])
}

// noStamp refuses a row that has a force and no time.
func (r *rows) noStamp(row []byte) error {
	return quoting(r.refuse(problem.Unreadable, r.no, "%s is blank beside a force of %q", r.Time, traceio.Shorten(text(r.cells[r.f]))).
		Hint("correct the line, or export the recording again").
		Hint("if the samples are evenly spaced, give the rate: --rate HZ"), row, r.cells[r.f])
}

// broken refuses the rows that were in order only at the end of the file, now
// that a whole row has come after them.
func (r *rows) broken() error {
	if e := r.ended; e.rows > 0 {
		if e.cut {
			return r.truncated(e)
		}
		return r.refuse(problem.Unreadable, e.no, "%s is blank here and goes on at line %d", r.Force, r.no).
			Hint("correct the line, or choose a column that has a value in every row")
	}
	return r.truncated(r.short)
}

// truncated refuses a line that ends too early.
func (r *rows) truncated(p pending) error {
	return r.refuse(problem.Unreadable, p.no, "the line ends after %d of %s: %q", p.cells, traceio.Count(r.width, "cell"), traceio.Shorten(text(p.row))).
		Hint("if the file was cut off while it was written, export it again, or delete the line")
}

// cutOff looks at the end of the file: a last row that stops short was cut off;
// several of them show that a column has fewer values than its neighbours.
func (r *rows) cutOff() error {
	open := len(r.data) > 0 && r.data[len(r.data)-1] != '\n'
	if r.ended.rows == 1 && (r.ended.cut || open) {
		return r.truncated(r.ended)
	}
	if r.short.rows == 1 && r.ended.rows == 0 {
		return r.truncated(r.short)
	}
	return nil
}
