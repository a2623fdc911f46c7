package tableio

import (
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// grid is the cells of a file as they stand, before it is known what they are.
type grid struct {
	name  string
	ask   Ask
	line  string // what a line is called
	open  bool   // rows may end early, as those of a workbook do
	notes []string

	rows  []row
	cells int
	wide  int // cells of the widest row
}

type row struct {
	line  int
	cells []cell
}

// add takes in a row; blank ones are passed over.
func (g *grid) add(line int, cells []cell) error {
	n := len(cells)
	for n > 0 && cells[n-1].blank() {
		n--
	}
	if n == 0 {
		return nil
	}
	g.rows = append(g.rows, row{line, cells})
	g.cells += len(cells)
	g.wide = max(g.wide, n)
	switch {
	case n > MostColumns:
		return g.refuse(line, "%d cells stand there; up to %d columns are read, which is our own limit", n, MostColumns)
	case len(g.rows) > MostRows+1:
		return g.refuse(line, "the table goes on; up to %d rows are read, which is our own limit", MostRows)
	case g.cells > MostCells:
		return g.refuse(line, "the table goes on; up to %d cells are read, which is our own limit", MostCells).Hint("leave out columns that are not needed")
	}
	return nil
}

func (c cell) blank() bool { return c.text == "" && c.wrong == "" }

// filled is how many cells of a row are not blank.
func (r row) filled() int {
	n := 0
	for _, c := range r.cells {
		if !c.blank() {
			n++
		}
	}
	return n
}

func (g *grid) refuse(line int, format string, args ...any) *problem.Problem {
	return problem.New(problem.Invalid, fmt.Sprintf("%s, %s %d", g.name, g.line, line), format, args...)
}

// table makes a table of the grid: it finds the header and cuts the columns.
func (g *grid) table() (*Table, error) {
	if len(g.rows) == 0 {
		return nil, problem.New(problem.Unreadable, g.name, "the table is empty").Hint("begin it with a header, one title a column")
	}
	head := g.header()
	if err := g.titled(g.rows[head]); err != nil {
		return nil, err
	}
	titles, body := g.rows[head], g.rows[head+1:]
	units := make([]string, len(titles.cells))
	if len(body) > 0 {
		if under := texts(body[0]); pick.UnitRow(under) {
			copy(units, under)
			body = body[1:]
		}
	}
	if len(body) == 0 {
		return nil, problem.New(problem.TooFew, g.name, "the table has a header and no row").Hint("add a row for each value")
	}
	if err := g.straight(titles, body); err != nil {
		return nil, err
	}
	t := &Table{Name: g.name, Rows: len(body), Notes: g.notes, line: g.line, decimal: map[string]byte{"point": '.', "comma": ','}[g.ask.Decimal]}
	for _, r := range body {
		t.lines = append(t.lines, r.line)
	}
	return t, g.cut(t, titles, units, body)
}

// header finds the row of titles: the first that has two cells or more, as a
// title of the whole table stands alone in its row.
func (g *grid) header() int {
	if g.wide < 2 {
		return 0
	}
	for i, r := range g.rows {
		if r.filled() < 2 {
			continue
		}
		if i > 0 {
			g.notes = append(g.notes, fmt.Sprintf("the header is %s %d; what stands above it is passed over: %q", g.line, r.line, traceio.Shorten(firstText(g.rows[0]))))
		}
		return i
	}
	return 0
}

func firstText(r row) string {
	for _, c := range r.cells {
		if !c.blank() {
			return c.text
		}
	}
	return ""
}

// titled refuses a first row that is no header.
func (g *grid) titled(r row) error {
	for _, c := range r.cells {
		if _, ok := c.value('.', false); !c.blank() && !ok {
			return nil
		}
	}
	return g.refuse(r.line, "the table has no header: its first row is all numbers, %q", traceio.Shorten(strings.Join(texts(r), " "))).
		Hint("put a row above it with a title for each column")
}

func texts(r row) []string {
	out := make([]string, len(r.cells))
	for i, c := range r.cells {
		out[i] = c.text
	}
	return out
}

// straight refuses rows that do not have the header's cells.
func (g *grid) straight(titles row, body []row) error {
	width := len(titles.cells)
	for _, r := range body {
		switch n := len(r.cells); {
		case n < width && !g.open:
			return g.refuse(r.line, "the row has %s, and the header %d", traceio.Count(n, "cell"), width).
				Hint("write every cell, also one that is empty; put quotes round one that has the delimiter in it")
		case n > width && !(row{cells: r.cells[width:]}).empty():
			return g.refuse(r.line, "the row has %s, and the header %d", traceio.Count(n, "cell"), width).
				Hint("give every column a title; put quotes round a cell that has the delimiter in it")
		}
	}
	return nil
}

func (r row) empty() bool { return r.filled() == 0 }

// cut makes the columns of the table.
func (g *grid) cut(t *Table, titles row, units []string, body []row) error {
	at := map[string]int{}
	for i := range titles.cells {
		c := column{title: titles.cells[i].text, unit: pick.Unbracket(units[i]), cells: make([]cell, len(body))}
		any := false
		for j, r := range body {
			if i < len(r.cells) {
				c.cells[j] = r.cells[i]
				any = any || !r.cells[i].blank()
			}
		}
		switch {
		case c.title == "" && !any:
			continue
		case c.title == "":
			c.title = fmt.Sprintf("column %d", i+1)
			t.Notes = append(t.Notes, fmt.Sprintf("column %d has no title, and is called so", i+1))
		}
		if c.name = c.title; c.unit == "" {
			c.name, c.unit = nameAndUnit(c.title)
		}
		if before, twice := at[c.title]; twice {
			return g.refuse(titles.line, "columns %d and %d have the same title, %q", before, i+1, traceio.Shorten(c.title)).
				Hint("give each column a title of its own")
		}
		at[c.title] = i + 1
		t.columns = append(t.columns, c)
	}
	t.ownNames()
	return nil
}

// ownNames gives columns whose names are the same without the unit their whole
// titles.
func (t *Table) ownNames() {
	seen := map[string]int{}
	for _, c := range t.columns {
		seen[c.name]++
	}
	for i := range t.columns {
		c := &t.columns[i]
		if seen[c.name] > 1 {
			c.name = c.title
		}
		t.Names = append(t.Names, c.name)
	}
}

// nameAndUnit takes a title with its unit apart: "peak [kN]", "peak (kN)",
// "peak_force_N". A title with another word in brackets, or of a bare unit, is a
// name as it is.
func nameAndUnit(title string) (name, unit string) {
	name, unit = pick.NameAndUnit(title)
	if name == title || name == "" {
		return title, ""
	}
	return name, unit
}
