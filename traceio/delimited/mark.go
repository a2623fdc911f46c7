package delimited

import (
	"bytes"

	"fallwright.example/problem"
)

// settle decides from the cells of the wanted columns whether decimals follow
// a point or a comma. The head tells as a rule; where it does not, all rows are
// asked.
func (s source) settle(t *table, c *choice) error {
	columns := []int{c.force.no - 1}
	if c.time.no > 0 {
		columns = append(columns, c.time.no-1)
	}
	m := s.marks(t, columns, t.end)
	from := t.lines[t.first].from
	if m.mark() == 0 && !t.whole && bytes.IndexByte(s.data[from:], ',') >= 0 {
		all := *t
		all.lines, all.whole = lines(s.data, len(s.data)), true
		m = s.marks(&all, columns, len(all.lines))
	}
	switch {
	case m.both.cell != nil:
		return quoting(s.refuse(problem.Invalid, m.both.no, "%q has both a point and a comma", shorten(text(m.both.cell))).
			Hint("write the numbers without marks between thousands"), m.both.row, m.both.cell)
	case m.point.cell != nil && m.comma.cell != nil:
		return quoting(s.refuse(problem.Invalid, m.comma.no, "%q has a comma and %q (line %d) has a point: one of them may part thousands, the other decimals",
			shorten(text(m.comma.cell)), shorten(text(m.point.cell)), m.point.no).
			Hint("write all numbers with the same decimal mark, and without marks between thousands"), m.comma.row, m.comma.cell)
	case m.comma.cell != nil && m.grouped:
		return s.thousands(m.comma)
	}
	if c.mark = m.mark(); c.mark == 0 {
		c.mark = '.'
	}
	return nil
}

// thousands refuses cells that are all like "1,234".
func (s source) thousands(c seen) error {
	point := bytes.Replace(c.cell, []byte(","), []byte("."), 1)
	none := bytes.ReplaceAll(c.cell, []byte(","), nil)
	p := s.refuse(problem.Invalid, c.no, "%q can be read as %s, with a decimal comma, or as %s, with a comma between thousands, and no other cell tells which",
		shorten(text(c.cell)), shorten(text(point)), shorten(text(none))).
		Hint("write the numbers with a decimal point, and without marks between thousands")
	return quoting(p, c.row, c.cell)
}

// seen is a cell and where it stands.
type seen struct {
	no        int
	row, cell []byte
}

// marks is what the cells of the wanted columns have in them: the first with a
// point, with a comma, with both, and whether all commas could part thousands.
type marks struct {
	point, comma, both seen
	grouped            bool
}

// mark is the decimal mark that the cells leave no doubt about, or 0.
func (m marks) mark() byte {
	switch {
	case m.both.cell != nil, m.point.cell != nil && m.comma.cell != nil, m.comma.cell != nil && m.grouped:
		return 0
	case m.comma.cell != nil:
		return ','
	case m.point.cell != nil:
		return '.'
	}
	return 0
}

func (s source) marks(t *table, columns []int, end int) marks {
	m := marks{grouped: true}
	var cells [][]byte
	for i := t.first; i < end; i++ {
		row := t.text(i)
		cells = split(cells[:0], row, t.delim)
		for _, c := range columns {
			if c >= len(cells) || len(cells[c]) == 0 || !likeNumber(cells[c]) {
				continue
			}
			m.add(seen{t.lines[i].no, row, cells[c]})
		}
	}
	return m
}

func (m *marks) add(s seen) {
	point, comma := bytes.IndexByte(s.cell, '.') >= 0, bytes.IndexByte(s.cell, ',') >= 0
	first := func(to *seen) {
		if to.cell == nil {
			*to = s
		}
	}
	switch {
	case point && comma:
		first(&m.both)
	case point:
		first(&m.point)
	case comma:
		first(&m.comma)
		m.grouped = m.grouped && grouped(s.cell)
	}
}

// grouped reports whether the commas of a number stand where commas between
// thousands do: "1,234", but not "0,234", "12,5" or "1,2340".
func grouped(cell []byte) bool {
	parts := bytes.Split(bytes.TrimLeft(cell, "+-"), []byte(","))
	if len(parts[0]) < 1 || len(parts[0]) > 3 || parts[0][0] == '0' {
		return false
	}
	for _, p := range parts[1:] {
		if len(p) != 3 || len(bytes.Trim(p, "0123456789")) > 0 {
			return false
		}
	}
	return true
}
