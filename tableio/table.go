// Package tableio reads tables of values from files: one row a value (long) or
// several values beside each other (wide), under a header. Text is taken in any
// usual dialect, packed or not, and workbooks by the sheet. docs/FORMATS.md says
// what is understood.
//
// A table is read whole as text first (text, sheet), and a column becomes numbers
// when it is asked for (numbers), because only then is it known which columns
// have to be numbers. What can be read in two ways is refused with both named.
package tableio

import (
	"fmt"
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// Limits on a table, all our own.
const (
	MostBytes   = 256 << 20 // unpacked
	MostRows    = 2_000_000
	MostColumns = 2000
	MostCells   = 20_000_000
)

// Table is a table of cells under a header.
type Table struct {
	Name  string   // of the file, with the sheet where there are several
	Names []string // of the columns, as their titles say, without units
	Rows  int
	Notes []string // what was understood of the file that a reader should know

	columns []column
	lines   []int  // of the rows, in the file
	decimal byte   // that the caller gave; 0 to find out
	line    string // what a line is called: "line", or "row" in a workbook
}

// column is one column of a table.
type column struct {
	name, title, unit string
	cells             []cell
	titles            []string // of the columns that the cells came from, where they did
}

// cell is what stands in the file.
type cell struct {
	text   string
	number float64
	stored bool   // as a number, in a workbook
	wrong  string // why it has no value, where it has none
}

// Line is the line of the file, or the row of the sheet, that row i stands on.
func (t *Table) Line(i int) int { return t.lines[i] }

// Row names row i in a message: "line 7".
func (t *Table) Row(i int) string { return fmt.Sprintf("%s %d", t.line, t.lines[i]) }

// Unit is the unit that the title of a column, or a row of units under the
// header, gives: "kN" of "peak [kN]"; empty without one.
func (t *Table) Unit(name string) (string, error) {
	c, err := t.column(name)
	if err != nil {
		return "", err
	}
	return c.unit, nil
}

// Find returns the own name of the column that is meant: by its name, by its
// title with the unit, by either in another case.
func (t *Table) Find(name string) (string, error) {
	c, err := t.column(name)
	if err != nil {
		return "", err
	}
	return c.name, nil
}

// Text returns the cells of a column as text, without the blanks around them. A
// missing cell is "".
func (t *Table) Text(name string) ([]string, error) {
	c, err := t.column(name)
	if err != nil {
		return nil, err
	}
	out := make([]string, len(c.cells))
	for i, one := range c.cells {
		if one.wrong != "" && !missing(one.wrong) {
			return nil, t.refuse(c, i, "%s, and no text", one.wrong).Hint("correct the cell in the workbook and save it again")
		}
		if !missing(one.text) {
			out[i] = one.text
		}
	}
	return out, nil
}

// column finds a column.
func (t *Table) column(name string) (*column, error) {
	name = strings.TrimSpace(name)
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		var found []int
		for i, c := range t.columns {
			if same(c.name, name) || same(c.title, name) {
				found = append(found, i)
			}
		}
		if len(found) == 1 {
			return &t.columns[found[0]], nil
		}
		if len(found) > 1 {
			return nil, problem.New(problem.Invalid, t.Name, "%d columns may be meant by %q: %s", len(found), name, t.list(found)).
				Hint("write the title as it stands in the table")
		}
	}
	p := problem.New(problem.NotFound, t.Name, "the table has no column %q", traceio.Shorten(name))
	if near, ok := problem.Nearest(name, t.Names); ok && len(name) > 1 {
		p.Hint("write %s", near)
	}
	return nil, p.Hint("its columns are: %s", t.list(nil))
}

// list names columns; all of them for nil.
func (t *Table) list(which []int) string {
	const most = 30
	var names []string
	for i, c := range t.columns {
		if which == nil || slices.Contains(which, i) {
			names = append(names, traceio.Shorten(c.title))
		}
	}
	if n := len(names) - most; n > 0 {
		names = append(names[:most], fmt.Sprintf("and %d more", n))
	}
	return strings.Join(names, ", ")
}

// refuse refuses cell i of a column.
func (t *Table) refuse(c *column, i int, format string, args ...any) *problem.Problem {
	title := c.name
	if c.titles != nil {
		title = c.titles[i]
	}
	return problem.New(problem.Invalid, fmt.Sprintf("%s, %s, column %s", t.Name, t.Row(i), traceio.Shorten(title)), format, args...)
}

// missing reports whether a cell says that there is no value: it is blank, or
// holds NA or NaN, as programs write it.
func missing(text string) bool {
	switch strings.ToLower(text) {
	case "", "na", "nan", "#n/a":
		return true
	}
	return false
}
