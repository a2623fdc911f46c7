package delimited

import (
	"fmt"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// extra is a column read beside the force and the time: a stretch, a gate.
type extra struct {
	column pick.Column // its No is 0 when there is none
	asked  bool        // for; one that was not is left out at its first blank
	values []float64   // as in the file
}

// extras reads the stretch and the gate of the row of the last sample.
func (r *rows) extras(row []byte) error {
	r.cells = r.split(r.cells[:0], trimEnd(row))
	if err := r.extra(&r.stretch, row); err != nil {
		return err
	}
	return r.extra(&r.gate, row)
}

func (r *rows) extra(e *extra, row []byte) error {
	c := e.column.No - 1
	if c < 0 {
		return nil
	}
	var cell []byte
	if c < len(r.cells) {
		cell = r.cells[c]
	}
	v, ok := 0.0, false
	if len(cell) > 0 {
		v, ok = r.finite(cell)
	}
	switch {
	case ok:
		e.values = append(e.values, v)
		return nil
	case !e.asked:
		r.leaveOut(e, cell)
		return nil
	case len(cell) == 0:
		return r.refuse(problem.Unreadable, r.no, "%s is blank beside a force", e.column).
			Hint("choose a column that has a value in every row, or leave it out")
	}
	_, err := r.value(trimEnd(row), cell, e.column)
	return err
}

// leaveOut gives up a stretch that nobody asked for and that is not whole.
func (r *rows) leaveOut(e *extra, cell []byte) {
	is := "is blank"
	if len(cell) > 0 {
		is = fmt.Sprintf("is %q", traceio.Shorten(text(cell)))
	}
	r.WithoutStretch(fmt.Sprintf("%s on line %d", is, r.no))
	*e = extra{}
}

func trimEnd(row []byte) []byte {
	for len(row) > 0 && (row[len(row)-1] == '\n' || row[len(row)-1] == '\r') {
		row = row[:len(row)-1]
	}
	return row
}
