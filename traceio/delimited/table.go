package delimited

import (
	"bytes"
	"fmt"
	"iter"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// table is where the rows begin and what is known of their columns.
type table struct {
	head
	cutter
	first   int // its first row, as a line of the head
	end     int // the line of the head after its last row there
	width   int // cells of its rows, blank ones at the end not counted
	least   int // cells of its shortest rows that are no accident
	kinds   []kind
	columns []pick.Column
	header  int // number of the line that names the columns; 0 for none
	unitsAt int // number of the line with their units; 0 for none
	rates   rates
	glanced bool // the head is a short one
	unfit   int  // the line of the head above the rows that names no columns; -1 for none
}

const (
	glanceHead = 1 << 10 // of a plain table
	firstHead  = 64 << 10
	farHead    = 1 << 20 // looked at until rows of nothing but numbers come
)

// Our own limits, of files that nobody means to be read.
const (
	lastHead    = 4 << 20 // bytes that are looked through for a table
	mostAhead   = 1 << 18 // lines likewise
	longestLine = 1 << 20 // bytes
	mostColumns = 4096    // no logger has as many channels
)

// find looks at the head of the file until it sees the table: 64 KiB of it, or
// as much more as there is before the table. Rows with words among the numbers
// may be key lines above it, so that it looks further. At a glance less will do,
// where all rows are alike and a line names their columns.
func (s source) find() (*table, error) {
	limit := firstHead
	if s.glance {
		limit = glanceHead
	}
	for ; ; limit *= 4 {
		ls, long := lines(s.data, limit)
		if long > 0 {
			return nil, s.tooLong(long)
		}
		h := head{data: s.data, lines: ls, whole: limit >= len(s.data) && len(ls) < mostAhead, far: limit >= farHead}
		r, all, ok := s.best(h)
		if limit < firstHead && !h.whole && !(ok && alike(h, r)) {
			continue
		}
		if ok && credible(h, r) && (h.whole || r.numbers() || limit >= farHead) {
			t := newTable(h, r, all)
			if t.width > mostColumns {
				return nil, s.refuse(problem.Invalid, t.lines[t.first].no, "the table has more than %d columns, which is our own limit", mostColumns).
					Hint("export the force and the time alone")
			}
			t.heading()
			if t.glanced = limit < firstHead && !h.whole; t.glanced && t.header == 0 {
				continue
			}
			t.rates = t.stated()
			return s.commas(t)
		}
		if h.whole || limit >= lastHead || len(ls) >= mostAhead {
			return nil, s.noTable(h)
		}
	}
}

// alikeFewest is how many rows show that all are alike.
const alikeFewest = 16

// alike reports whether the rows of a run reach to the end of the head and each
// has a number in every cell.
func alike(h head, r run) bool {
	if r.rows < alikeFewest || r.to-r.from != r.rows || r.to != len(h.lines) || has(r.kinds, wordy) || has(r.kinds, blank) || r.delim == fixed {
		return false
	}
	var cells [][]byte
	for i := r.from; i < r.to; i++ {
		cells = r.split(cells[:0], h.text(i))
		if len(cells) != len(r.kinds) {
			return false
		}
		for _, c := range cells {
			if len(c) == 0 {
				return false
			}
		}
	}
	return true
}

// best is the best run of a head with the delimiters that may be. A decimal
// comma that is asked for leaves the comma between cells to quoted ones.
func (s source) best(h head) (r run, all []run, ok bool) {
	if d, asked := delimiters[s.ask.Delimiter]; asked {
		if h.delims = []byte{d}; d == spaces {
			h.delims = []byte{spaces, fixed}
		}
		if r, all, ok = h.best(); ok {
			return r, all, ok
		}
		h.delims = []byte{single}
		return h.best()
	}
	h.delims = []byte{'\t', ';', spaces, fixed, '|', single}
	if s.ask.Decimal == "comma" {
		if r, all, ok = h.best(); ok && (r.delim != single || bytes.IndexByte(h.text(r.from), '"') < 0) {
			return r, all, ok
		}
	}
	h.delims = []byte{'\t', ';', ',', spaces, fixed, '|', single}
	return h.best()
}

// credible reports whether a run is a table and not prose with numbers in it.
func credible(h head, r run) bool {
	share := r.score() / float64(r.rows)
	if r.rows == 1 {
		// A lone row ends the file: text about one number does not.
		for i := r.to; i < len(h.lines); i++ {
			if !h.blank(i) {
				return false
			}
		}
		return share == 1
	}
	if r.delim == spaces || r.delim == fixed {
		return share >= 0.5
	}
	return share >= 0.2
}

// newTable finds the first row of the table that r is the bulk of. Damage in
// the rows splits a table into several runs; none of its rows may get lost
// above it.
func newTable(h head, r run, all []run) *table {
	t := &table{head: h, cutter: r.cutter, first: r.from, end: r.to, kinds: r.kinds, unfit: -1}
	t.measure()
	t.dropLead()
	for i := len(all) - 1; i >= 0; i-- {
		if o := all[i]; o.from < r.from && o.rows >= 2 && len(o.kinds) == len(r.kinds) && r.fits(o.kinds) && o.score() >= 1 {
			t.first = o.from
		}
	}
	t.reach()
	return t
}

// reach moves the first row up over rows that damage has parted from the table:
// damaged ones that stand on it, and whole ones with one line between, unless
// that line is a header.
func (t *table) reach() {
	for t.first > 0 {
		switch i := t.first - 1; {
		case t.blank(i):
			return
		case t.damaged(i):
			t.first = i
		case i > 0 && t.wholeRow(i-1) && !pick.Telling(t.titles(i)):
			t.first = i - 1
		default:
			return
		}
	}
}

// wholeRow reports whether line i is a row of the table with nothing wrong.
func (t *table) wholeRow(i int) bool {
	cells := t.cells(i)
	return len(cells) == t.width && t.damaged(i) && !has(kinds(nil, cells), wordy)
}

// measure sets width and least: the largest and the smallest number of cells
// that two rows of the head have.
func (t *table) measure() {
	counts := map[int]int{}
	var cells [][]byte
	for i := t.first; i < t.end; i++ {
		cells = t.split(cells[:0], t.text(i))
		if n := len(trimBlanks(cells)); n > 0 {
			counts[n]++
		}
	}
	once := 0
	for n, rows := range counts {
		once = max(once, n)
		if rows < 2 {
			continue
		}
		t.width = max(t.width, n)
		if t.least == 0 || n < t.least {
			t.least = n
		}
	}
	if t.width == 0 {
		t.width, t.least = once, once
	}
}

// usual is the number of cells, blank ones counted, that most rows of the head
// have; the smaller of two that are as frequent.
func (t *table) usual() int {
	counts, best := map[int]int{}, 0
	var cells [][]byte
	for i := t.first; i < t.end; i++ {
		if !t.blank(i) {
			cells = t.split(cells[:0], t.text(i))
			counts[len(cells)]++
		}
	}
	for n, rows := range counts {
		if best == 0 || rows > counts[best] || rows == counts[best] && n < best {
			best = n
		}
	}
	return best
}

// dropLead leaves numbers above a blank line out of the table where they have
// fewer cells than it: "600" over two columns is no row.
func (t *table) dropLead() {
	for i := t.first; i < t.end; i++ {
		if t.blank(i) {
			for t.blank(i) {
				i++
			}
			t.first = i
			i--
		} else if len(t.cells(i)) >= t.least {
			return
		}
	}
}

// damaged reports whether line i, which stands on the table, is a row of it
// with something wrong: as long, with a number where numbers are; or nothing
// but numbers.
func (t *table) damaged(i int) bool {
	cells := t.cells(i)
	agree, words := 0, 0
	for c, cell := range cells {
		switch k := kindOf(cell); {
		case k == numeric && t.kindOf(c) == numeric:
			agree++
		case k == wordy:
			words++
		}
	}
	return agree > 0 && (len(cells) == t.width || words == 0)
}

// cells returns the cells of line i of the head without blank ones at the end.
func (t *table) cells(i int) [][]byte { return trimBlanks(t.split(nil, t.text(i))) }

func (t *table) kindOf(c int) kind {
	if c < len(t.kinds) {
		return t.kinds[c]
	}
	return blank
}

// column walks over the cells of column c (from 0) that are not blank, in the
// rows of the head.
func (t *table) column(c int) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		var cells [][]byte
		for i := t.first; i < t.end; i++ {
			cells = t.split(cells[:0], t.text(i))
			if c < len(cells) && len(cells[c]) > 0 && !yield(cells[c]) {
				return
			}
		}
	}
}

// commas looks for the trap of comma and decimal comma in one file: "633,21"
// is one number or two. A header tells which it is.
func (s source) commas(t *table) (*table, error) {
	if t.delim != ',' || s.ask.Delimiter == "comma" || s.ask.Decimal == "point" {
		return t, nil
	}
	for i := t.first; i < t.end; i++ {
		raw := bytes.TrimSpace(t.text(i))
		lone := len(t.kinds) == 2 && leading(bytes.TrimLeft(raw, "+-")) == len(bytes.TrimLeft(raw, "+-")) // "630" between "633,21"
		if len(raw) > 0 && !pairs(raw) && !lone {
			return t, nil
		}
	}
	halves := &table{head: t.head, first: t.first, end: t.end, unfit: -1, cutter: cutter{delim: single}, width: 1, least: 1, kinds: []kind{numeric}}
	halves.heading()
	switch half := t.width / 2; {
	case t.width == 1:
		halves.rates = t.rates
		return halves, nil
	case t.header > 0 && !(t.width == 2 && t.columns[0].Unit == "" && t.columns[1].Name == t.columns[1].Unit):
		return t, nil // but "Force, kN" may be one title with its unit
	case t.width == 2 && t.header == 0 && halves.header > 0:
		halves.rates = t.rates
		return halves, nil
	case columnNo(s.ask.Force) > half, columnNo(s.ask.Time) > half, t.width == 2 && s.ask.Time != "":
		return t, nil
	}
	return nil, s.commaTrap(t)
}

// commaTrap refuses rows whose commas may part cells or decimals.
func (s source) commaTrap(t *table) error {
	row, n := traceio.Shorten(text(t.text(t.first))), len(t.cells(t.first))
	if t.unfit >= 0 && len(texts(t.split(nil, t.text(t.unfit)))) == n/2 {
		return s.refuse(problem.Invalid, t.lines[t.first].no, "%q has %d cells under %s: decimal commas cannot be told from commas between cells",
			row, n, traceio.Count(n/2, "title")).
			Hint("write the numbers with decimal points, or part the cells by semicolons")
	}
	halves := "1 number with a decimal comma"
	if n > 2 {
		halves = fmt.Sprintf("%d numbers with decimal commas", n/2)
	}
	return s.refuse(problem.Invalid, t.lines[t.first].no, "%q can be read as %d numbers, or as %s", row, n, halves).
		Hint("say which: --decimal comma, or --decimal point with commas between cells").
		Hint("or write the numbers with decimal points").
		Hint(`or put a line above them that names the columns, as "Force (N)" or "Time (s),Force (N)"`)
}

// columnNo is the column number in an ask, or 0 when it is a name.
func columnNo(ask string) int {
	n, err := strconv.Atoi(strings.TrimSpace(ask))
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// pairs reports whether a row is an even number of whole numbers with commas
// between them, the second of each two without a sign.
func pairs(row []byte) bool {
	cells := bytes.Split(bytes.TrimSpace(row), []byte(","))
	for i, c := range cells {
		if i%2 == 0 {
			c = bytes.TrimLeft(c, "+-")
		}
		if len(c) == 0 || len(bytes.Trim(c, "0123456789")) > 0 {
			return false
		}
	}
	return len(cells)%2 == 0
}
