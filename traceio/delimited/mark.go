package delimited

import (
	"bytes"
	"fmt"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// dialect is how the numbers of a table are written.
type dialect struct {
	mark    byte // before the decimals
	grouped bool // the other mark parts thousands, also where a cell alone does not show it
}

// settle decides from the cells of the wanted columns, counted from 0, whether
// decimals follow a point or a comma. The head tells as a rule; where it does
// not, all rows are asked.
func (s source) settle(t *table, columns []int) (dialect, error) {
	if s.ask.Decimal != "" {
		d := dialect{mark: map[string]byte{"point": '.', "comma": ','}[s.ask.Decimal], grouped: true}
		s.fact("decimal mark", markName(d.mark), "--decimal says so", "--decimal")
		return d, nil
	}
	m := marks{}
	from := t.lines[t.first].from
	upTo := func(to int) {
		m = marks{}
		m.look(s.data[from:to], t.lines[t.first].no, t.cutter, columns)
	}
	upTo(t.lines[t.end-1].to)
	if m.mark() == 0 && t.glanced {
		upTo(max(from, bytes.LastIndexByte(s.data[:min(firstHead, len(s.data))], '\n')))
	}
	if m.mark() == 0 && !t.whole && bytes.IndexByte(s.data[from:], ',') >= 0 {
		upTo(len(s.data))
	}
	if m.mark() == 0 && s.rest != nil {
		return dialect{}, errHeld
	}
	switch point, comma := m.point.any(), m.comma.any(); {
	case m.mark() != 0:
	case point.cell != nil && comma.cell != nil:
		return dialect{}, quoting(s.refuse(problem.Invalid, comma.no, "%q has a comma and %q (line %d) has a point: one of them may part thousands, the other decimals",
			traceio.Shorten(text(comma.cell)), traceio.Shorten(text(point.cell)), point.no).
			Hint("say which comes before the decimals, --decimal point or --decimal comma, if all numbers are written alike").
			Hint("or write all numbers with the same decimal mark, and without marks between thousands"), comma.row, comma.cell)
	case comma.cell != nil:
		return dialect{}, s.thousands(comma)
	}
	return s.settled(m), nil
}

// settled is the dialect that the cells show, with its facts.
func (s source) settled(m marks) dialect {
	d := dialect{mark: '.'}
	why, at := "no cell has decimals", seen{}
	parts := m.comma.parts
	switch m.mark() {
	case ',':
		d.mark, at, parts = ',', m.comma.decimal(), m.point.parts
	case '.':
		at = m.point.decimal()
	}
	if at.cell != nil {
		why = fmt.Sprintf("%q on line %d has it", traceio.Shorten(text(at.cell)), at.no)
	}
	s.fact("decimal mark", markName(d.mark), why, "--decimal")
	if parts.cell != nil {
		d.grouped = true
		s.fact("mark between thousands", markName(other(d.mark)), fmt.Sprintf("%q on line %d has it", traceio.Shorten(text(parts.cell)), parts.no), "--decimal")
	}
	return d
}

// thousands refuses cells that are all like "1,234".
func (s source) thousands(c seen) error {
	point := bytes.Replace(c.cell, []byte(","), []byte("."), 1)
	none := bytes.ReplaceAll(c.cell, []byte(","), nil)
	p := s.refuse(problem.Invalid, c.no, "%q can be read as %s, with a decimal comma, or as %s, with a comma between thousands, and no other cell tells which",
		traceio.Shorten(text(c.cell)), traceio.Shorten(text(point)), traceio.Shorten(text(none))).
		Hint("say which: --decimal comma reads %s, --decimal point reads %s", traceio.Shorten(text(point)), traceio.Shorten(text(none))).
		Hint("or write the numbers with a decimal point, and without marks between thousands")
	return quoting(p, c.row, c.cell)
}

// seen is a cell and where it stands.
type seen struct {
	no        int
	row, cell []byte
}

// signs is what cells show of one mark, each the first that does.
type signs struct {
	sure   seen // it can only be decimal: "12,5"
	either seen // it may be decimal or part thousands: "1,234"
	parts  seen // it can only part thousands: "1,234.5", "1,234,567"
}

// any is a cell that has the mark.
func (s signs) any() seen {
	for _, at := range []seen{s.sure, s.either, s.parts} {
		if at.cell != nil {
			return at
		}
	}
	return seen{}
}

// decimal is a cell that has the mark before its decimals.
func (s signs) decimal() seen {
	if s.sure.cell != nil {
		return s.sure
	}
	return s.either
}

// marks is what the cells of the wanted columns show.
type marks struct{ point, comma signs }

// mark is the decimal mark that the cells leave no doubt about, or 0.
func (m marks) mark() byte {
	point := m.point.sure.cell != nil || m.comma.parts.cell != nil
	comma := m.comma.sure.cell != nil || m.point.parts.cell != nil
	switch {
	case point && comma:
		return 0
	case point && (m.comma.either.cell == nil || m.comma.parts.cell != nil):
		return '.'
	case comma && (m.point.either.cell == nil || m.point.parts.cell != nil):
		return ','
	case !point && !comma && m.comma.either.cell == nil && m.point.either.cell != nil:
		return '.'
	}
	return 0
}

// look goes through the rows of body, whose first is line no.
func (m *marks) look(body []byte, no int, cut cutter, columns []int) {
	var cells [][]byte
	for row := range bytes.Lines(body) {
		row = bytes.TrimRight(row, "\r\n")
		cells = cut.split(cells[:0], row)
		for _, c := range columns {
			if c < len(cells) {
				m.add(seen{no, row, cells[c]})
			}
		}
		no++
	}
}

func (m *marks) add(s seen) {
	cell := s.cell
	if bare := unspaced(cell); bare != nil {
		cell = bare
	}
	if !likeNumber(cell) {
		return
	}
	first := func(to *seen) {
		if to.cell == nil {
			*to = s
		}
	}
	points, commas := bytes.Count(cell, []byte(".")), bytes.Count(cell, []byte(","))
	switch {
	case points+commas == 0:
	case points > 0 && commas > 0:
		if _, ok := ungrouped(cell, '.'); ok {
			first(&m.point.sure)
			first(&m.comma.parts)
		} else if _, ok := ungrouped(cell, ','); ok {
			first(&m.comma.sure)
			first(&m.point.parts)
		}
	case commas > 0:
		m.comma.only(cell, ',', commas, first)
	default:
		m.point.only(cell, '.', points, first)
	}
}

// only is a cell that has no other mark.
func (s *signs) only(cell []byte, mark byte, times int, first func(to *seen)) {
	switch groups := grouped(cell, mark); {
	case times == 1 && groups:
		first(&s.either)
	case times == 1:
		first(&s.sure)
	case groups:
		first(&s.parts)
	}
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
