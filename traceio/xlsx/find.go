package xlsx

import (
	"slices"

	"fallwright.example/trace"
	"fallwright.example/traceio/pick"
)

// table is the table of one sheet, as its head shows it.
type table struct {
	sheet   *sheet
	header  int // row of the titles; 0 when there is none
	first   int // row of the first numbers
	columns []pick.Column
	choice  *pick.Choice

	unnamed   string // of a row above a table without header
	unnamedAt int
	long      int // rows of it in the head
	telling   bool
	another   int // row of another table with such titles above it; 0 when there is none

	parts  []*trace.Recording // where the sheet holds several drops
	layout trace.Layout       // likewise
}

// head is the first rows of a sheet that are not empty.
type head []struct {
	row   int
	cells []cell
}

// mostHeadCells is our own limit on the cells of a head.
const mostHeadCells = 200_000

// find looks for the table in the head of a sheet; nil when it has none. Rows
// are one table when the columns that have numbers in the one have numbers or
// nothing in the other; empty rows do not matter. Of several tables the one whose
// titles say force or time is meant, and the longest of these.
func (s *source) find(in *sheet) (*table, error) {
	var h head
	held := 0
	err := s.cells(in, func(r int, cells []cell) (bool, error) {
		h = append(h, struct {
			row   int
			cells []cell
		}{r, slices.Clone(cells)})
		held += len(cells)
		return r >= HeadRows || held > mostHeadCells, nil
	})
	if err != nil {
		return nil, err
	}
	var best *table
	for from := 0; from < len(h); {
		to := h.run(from)
		if to == from {
			from++
			continue
		}
		t := &table{sheet: in, first: h[from].row, long: to - from}
		h.name(t, from, to)
		if best == nil || t.telling && !best.telling || t.telling == best.telling && t.long > best.long {
			if best != nil && best.telling && best.long > 1 {
				t.another = best.top()
			}
			best = t
		}
		from = to
	}
	return best, nil
}

// run is where the table ends that begins with entry from; from when none does.
func (h head) run(from int) int {
	if !slices.ContainsFunc(h[from].cells, cell.numeric) {
		return from
	}
	to := from + 1
	for to < len(h) && continues(h[to-1].cells, h[to].cells) {
		to++
	}
	return to
}

// continues reports whether a row goes on with the table of the row before it.
func continues(before, now []cell) bool {
	shared := false
	for _, c := range now {
		above, ok := in(before, c.col)
		if !ok {
			continue
		}
		if c.numeric() != above.numeric() {
			return false
		}
		shared = shared || c.numeric()
	}
	return shared
}

// name gives the table of entries from to to-1 its columns, with their titles
// from the rows above: a header, perhaps with a row of units under it.
func (h head) name(t *table, from, to int) {
	width := 0
	for _, r := range h[from:to] {
		width = max(width, r.cells[len(r.cells)-1].col)
	}
	var titles, units []string
	if i := from - 1; i >= 0 {
		above := rowTexts(h[i].cells)
		switch {
		case pick.UnitRow(above) && i > 0 && titling(h[i-1].cells):
			titles, units, t.header = rowTexts(h[i-1].cells), above, h[i-1].row
		case titling(h[i].cells) && over(h[i].cells, h[from].cells):
			titles, t.header = above, h[i].row
		default:
			t.unnamed, t.unnamedAt = h[i].cells[0].text, h[i].row
		}
		t.telling = t.header > 0 && (pick.Telling(titles) || units != nil)
	}
	for c := range max(width, len(titles)) {
		col := pick.NewColumn(c+1, at(titles, c), at(units, c))
		h.holds(&col, from, to)
		t.columns = append(t.columns, col)
	}
	t.columns = t.columns[:max(width, len(titles))]
}

// titling reports whether a row can hold titles: text, and no number.
func titling(cells []cell) bool {
	return !slices.ContainsFunc(cells, func(c cell) bool { return c.kind != text || c.numeric() })
}

// over reports whether a row has something above a number of the row under it.
func over(titles, cells []cell) bool {
	for _, t := range titles {
		if _, ok := in(cells, t.col); ok {
			return true
		}
	}
	return false
}

// rowTexts are the cells of a row by column, from 1.
func rowTexts(cells []cell) []string {
	width := 0
	for _, c := range cells {
		width = max(width, c.col)
	}
	out := make([]string, width)
	for _, c := range cells {
		out[c.col-1] = c.text
	}
	return out
}

func at(cells []string, i int) string {
	if i < len(cells) {
		return cells[i]
	}
	return ""
}

// holds looks at the cells of a column in the head.
func (h head) holds(col *pick.Column, from, to int) {
	const shown = 5
	numbers, stamps, words := 0, 0, 0
	var values []float64
	for _, r := range h[from:to] {
		c, ok := in(r.cells, col.No)
		if !ok {
			col.Gaps = true
			continue
		}
		if len(col.Cells) < shown {
			col.Cells = append(col.Cells, c.shown())
		}
		switch {
		case c.kind == stamp:
			stamps++
		case c.numeric():
			numbers++
			v := c.value
			if c.kind == text {
				v, _ = textNumber(c.text, 0)
			}
			values = append(values, v)
		default:
			words++
		}
	}
	switch {
	case words > 0 || numbers > 0 && stamps > 0:
		col.Holds = pick.Words
	case stamps > 0:
		col.Holds = pick.Stamps
	case numbers > 0:
		col.Holds = pick.Numbers
	}
	steps := func(fits func(step float64) bool) func() bool {
		return func() bool {
			for i := 1; i < len(values); i++ {
				if !fits(values[i] - values[i-1]) {
					return false
				}
			}
			return len(values) > 1
		}
	}
	col.Rises = steps(func(step float64) bool { return step > 0 })
	col.Counts = steps(func(step float64) bool { return step == 1 })
}
