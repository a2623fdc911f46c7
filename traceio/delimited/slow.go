package delimited

import (
	"bytes"
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// slow reads a row that quick would not: with spaces or quotes around its
// cells, marks between thousands, a time of day; blank, short, or wrong. ok is
// false for a row without a sample. rest is the file after the row.
func (r *rows) slow(row, rest []byte) (time, force float64, ok bool, err error) {
	if len(row) > longestLine {
		return 0, 0, false, r.tooLong(r.no)
	}
	if len(bytes.TrimSpace(row)) == 0 {
		r.blank = true
		return 0, 0, false, nil
	}
	r.cells = r.split(r.cells[:0], row)
	all := len(r.cells)
	r.cells = trimBlanks(r.cells)
	n := len(r.cells)
	if strange, err := r.strange(row, rest); strange {
		return 0, 0, false, err
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
	if force, err = r.value(row, cell(r.f), r.Force); err != nil {
		return 0, 0, false, err
	}
	if r.t >= 0 {
		if len(cell(r.t)) == 0 {
			return 0, 0, false, r.noStamp(row)
		}
		if time, err = r.stamp(row, cell(r.t)); err != nil {
			return 0, 0, false, err
		}
	}
	if all < r.least && r.delim != fixed {
		r.short.add(r.no, row, n, true)
	}
	return time, force, true, nil
}

// strange deals with a line that is no row of the table: what stands between two
// drops, which it passes over, or what has to be refused.
func (r *rows) strange(row, rest []byte) (bool, error) {
	n := len(r.cells)
	if n > 0 && !r.sampled() {
		return true, r.words(row, rest)
	}
	if n > 0 && r.worded(r.cells[0]) {
		if ok, err := r.between(row, rest); ok {
			return true, err
		}
		if n <= r.wide() && r.f != 0 && r.t != 0 {
			return true, r.label(row)
		}
	}
	if n > r.wide() {
		return true, r.tooWide(row)
	}
	return false, nil
}

// worded reports whether the first cell of a row is a word where the table has
// numbers or times of day.
func (r *rows) worded(first []byte) bool {
	switch {
	case r.t == 0 && r.Time.Holds == pick.Stamps:
		_, ok := readStamp(first)
		return !ok && kindOf(first) == wordy
	case r.kindOf(0) == numeric:
		return kindOf(first) == wordy
	}
	return false
}

// wide is how many cells a row may have.
func (r *rows) wide() int { return max(r.width, len(r.columns)) }

// sampled reports whether the row at hand has a number or a time of day in it.
func (r *rows) sampled() bool {
	if r.f < len(r.cells) && kindOf(r.cells[r.f]) == numeric || anyNumber(r.cells) {
		return true
	}
	if r.Time.Holds == pick.Stamps && r.t < len(r.cells) {
		_, ok := readStamp(r.cells[r.t])
		return ok
	}
	return false
}

// stamp reads the cell of the time: a number, or a time of day in seconds.
func (r *rows) stamp(row, cell []byte) (float64, error) {
	if r.Time.Holds != pick.Stamps {
		return r.value(row, cell, r.Time)
	}
	if v, ok := r.clock.seconds(cell); ok {
		return v, nil
	}
	p := r.refuse(problem.Unreadable, r.no, "%q in %s is no time of day", traceio.Shorten(text(cell)), r.Time).
		Hint("write it as 12:03:04.250 or 2026-03-01T12:03:04.250").
		Hint("if the samples are evenly spaced, give the rate instead: --rate HZ")
	return 0, quoting(p, row, cell)
}

// finite reads a cell that is a number in the dialect.
func (d dialect) finite(cell []byte) (float64, bool) {
	if v, next, ok := number(cell, 0, d.mark); ok && next == len(cell) {
		return v, true
	}
	if bare := unspaced(cell); bare != nil {
		cell = bare
	}
	if bare, plain := ungrouped(cell, d.mark); bare != nil && (plain || d.grouped) {
		cell = bare
	}
	v, next, ok := number(cell, 0, d.mark)
	return v, ok && next == len(cell)
}

// value reads a wanted cell, or says what is the matter with it.
func (r *rows) value(row, cell []byte, c pick.Column) (float64, error) {
	if v, ok := r.finite(cell); ok {
		return v, nil
	}
	p := r.refuse(problem.Unreadable, r.no, "%q in %s is no number", traceio.Shorten(text(cell)), c)
	switch {
	case traceio.OverRange(text(cell)):
		p.What = fmt.Sprintf("%q in %s says that the sensor was over range: the peak is lost", traceio.Shorten(text(cell)), c)
		p.Hint("nothing that is left of the file tells how high it was; drop again with a range that is wide enough")
	case notFinite(cell):
		p.What += ": a sample is missing or was out of range"
		p.Hint("export the recording again without it, or cut the file so that it ends above or begins below this line")
	case likeNumber(cell) && bytes.IndexByte(cell, other(r.mark)) >= 0:
		p.What += ": the other numbers have a decimal " + markName(r.mark)
		if bare, _ := ungrouped(cell, r.mark); bare != nil {
			p.Hint("if its %s parts thousands, say what comes before decimals: --decimal %s", markName(other(r.mark)), markName(r.mark))
		}
		p.Hint("write all numbers with the same decimal mark, and without marks between thousands")
	case likeNumber(cell):
		if bytes.ContainsAny(cell, "eE") {
			p.What = strings.TrimSuffix(p.What, "no number") + "past the largest number there can be"
		}
		p.Hint("correct the number, if it is known what it was, or export the recording again")
	case bytes.IndexByte(cell, ':') >= 0 && c.No == r.Time.No:
		p.What += " of seconds"
		p.Hint("if the samples are evenly spaced, give the rate instead of the time of day: --rate HZ")
	case c.Holds == pick.Words:
		p.Hint("choose another column: %s", pick.Catalogue(r.filled()))
	default:
		p.Hint("correct or delete the line")
	}
	return 0, quoting(p, row, cell)
}

// filled are the columns of numbers.
func (t *table) filled() []pick.Column {
	var out []pick.Column
	for _, c := range t.columns {
		if c.Holds == pick.Numbers {
			out = append(out, c)
		}
	}
	return out
}
