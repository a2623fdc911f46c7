package delimited

import (
	"bytes"
	"fmt"
	"math"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// points is what the cells of one column show of their points, each the first
// that does.
type points struct {
	three seen // "1.234", which may be 1234
	none  seen // "12", without a point
	sure  bool // one can only be decimal: "0.5", "1.25"
}

// pointed looks at the columns that were read with a decimal point. Where every
// point could as well part thousands, a column that also has cells without one
// is refused, as whole numbers of a program that parts thousands look like that;
// one that has it in every cell makes a doubtful note.
func (r *rows) pointed() error {
	if r.mark != '.' || r.grouped || r.ask.Decimal != "" {
		return nil
	}
	for _, c := range []struct {
		column pick.Column
		values []float64
	}{{r.Force, r.forces}, {r.Time, r.times}, {r.Stretch, r.stretch.values}} {
		if c.column.No == 0 || c.column.Holds == pick.Stamps || len(c.values) == 0 || !r.mayGroup(c.column, c.values) {
			continue
		}
		switch p := r.points(c.column.No - 1); {
		case r.rest != nil && !p.sure:
			return errHeld
		case p.sure || p.three.cell == nil:
		case p.none.cell != nil:
			return r.twoReadings(c.column, p)
		default:
			cell := text(p.three.cell)
			r.Notes = append(r.Notes, trace.Note{Grade: trace.Doubtful, Text: fmt.Sprintf(
				"every cell of %s has three digits behind its point, as %q on line %d: read as decimals; if the point parts thousands, say --decimal comma",
				c.column, traceio.Shorten(cell), p.three.no)})
		}
	}
	return nil
}

// mayGroup reports whether the values of a column leave it open that its points
// part thousands: all are whole thousandths, and some are no whole numbers or
// the first cells have points. It is quick, so that the text is looked at only
// where there is a reason.
func (r *rows) mayGroup(c pick.Column, values []float64) bool {
	broken := false
	for _, v := range values {
		if v == math.Trunc(v) {
			continue
		}
		if v > -1 && v < 1 {
			return false // "0.5", or ".5"
		}
		if k := v * 1000; math.Abs(k-math.Round(k)) > 1e-6*math.Abs(k) {
			return false
		}
		broken = true
	}
	for _, cell := range c.Cells {
		broken = broken || bytes.IndexByte([]byte(cell), '.') >= 0
	}
	return broken
}

// points goes through the cells of a column until one leaves no doubt.
func (r *rows) points(column int) points {
	var p points
	no := r.lines[r.first].no
	for row := range bytes.Lines(r.body) {
		row = bytes.TrimRight(row, "\r\n")
		r.cells = r.split(r.cells[:0], row)
		if column < len(r.cells) {
			p.add(seen{no, row, r.cells[column]})
		}
		if p.sure {
			return p
		}
		no++
	}
	return p
}

func (p *points) add(s seen) {
	if !likeNumber(s.cell) {
		return
	}
	first := func(to *seen) {
		if to.cell == nil {
			*to = s
		}
	}
	switch digits := bytes.TrimLeft(s.cell, "+-"); {
	case bytes.IndexByte(digits, '.') >= 0 && grouped(digits, '.'):
		first(&p.three)
	case leading(digits) == len(digits):
		first(&p.none)
	default:
		p.sure = true
	}
}

// twoReadings refuses a column of whole numbers some of which have a point where
// thousands end.
func (r *rows) twoReadings(c pick.Column, p points) error {
	cell := text(p.three.cell)
	whole := text(bytes.ReplaceAll(p.three.cell, []byte("."), nil))
	err := r.refuse(problem.Invalid, p.three.no, "%q in %s can be read as %s, with a decimal point, or as %s, with a point between thousands, as others such as %q on line %d have none",
		traceio.Shorten(cell), c, traceio.Shorten(cell), traceio.Shorten(whole), traceio.Shorten(text(p.none.cell)), p.none.no).
		Hint("say which: --decimal point reads %s, --decimal comma reads %s", traceio.Shorten(cell), traceio.Shorten(whole))
	return quoting(err, p.three.row, p.three.cell)
}
