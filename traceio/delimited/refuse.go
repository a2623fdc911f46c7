package delimited

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
)

// refuse makes a Problem about a line of the file, with what is true of every
// refusal here: nothing was read.
func (s source) refuse(kind problem.Kind, lineNo int, format string, args ...any) *problem.Problem {
	return problem.New(kind, fmt.Sprintf("%s:%d", s.name, lineNo), format, args...).
		In("nothing was read from " + s.name)
}

// quoting adds a row of the file to p, with cell underlined.
func quoting(p *problem.Problem, row, cell []byte) *problem.Problem {
	show := text(row)
	mark := text(cell)
	at := strings.Index(show, mark)
	if mark == "" || at < 0 {
		return p
	}
	const around = 40 // bytes of the row shown on each side
	from, to := max(0, at-around), min(len(show), at+len(mark)+around)
	for from > 0 && !utf8.RuneStart(show[from]) {
		from--
	}
	for to < len(show) && !utf8.RuneStart(show[to]) {
		to++
	}
	lead := clean(show[from:at])
	under := strings.Repeat(" ", utf8.RuneCountInString(lead)) + strings.Repeat("^", utf8.RuneCountInString(mark))
	p.Quote = clean(show[from:to]) + "\n" + under
	return p
}

// clean makes control characters of the file harmless, one for one.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == utf8.RuneError {
			return ' '
		}
		return r
	}, s)
}

// noTable refuses text without a table.
func (s source) noTable(h head) *problem.Problem {
	first, last := 0, 0
	for i := range h.lines {
		if !h.blank(i) {
			if last = i; h.blank(first) {
				first = i
			}
		}
	}
	no, begins := 1, ""
	if len(h.lines) > 0 {
		no, begins = h.lines[first].no, shorten(text(h.text(first)))
	}
	if bytes.IndexByte(s.data, '\n') < 0 && bytes.IndexByte(s.data, '\r') >= 0 {
		return s.refuse(problem.Unreadable, no, "the lines end in carriage returns alone").
			Hint("save the file again with LF or CR LF line ends")
	}
	if s.headed(h, last) {
		return s.refuse(problem.TooFew, h.lines[last].no, "%q heads a table, but 0 rows follow it; a trace has 2 at least",
			shorten(text(h.text(last)))).
			Hint("export the recording again")
	}
	return s.refuse(problem.Unreadable, no, "no table of numbers was found; the file begins with %q", begins).
		Hint("give a file with one row of numbers for each sample, as a logger or a spreadsheet exports it")
}

// headed reports whether the line is the header of a table that never came.
func (s source) headed(h head, last int) bool {
	if len(h.lines) == 0 || unitRow(texts(split(nil, h.text(last), ','))) {
		return false
	}
	for _, delim := range []byte{'\t', ';', ',', spaces} {
		cells := texts(split(nil, h.text(last), delim))
		if len(cells) < 2 || len(cells) > 50 {
			continue // 50: our own limit, a header alone is no long one
		}
		if delim == spaces {
			cells = glue(cells)
		}
		force, time := false, false
		for i, c := range cells {
			col := newColumn(i+1, c, "", blank)
			force = force || col.quantity() == ofForce || col.saysForce()
			time = time || col.timely()
		}
		if force && time && (delim != spaces || len(cells) == 2) {
			return true
		}
	}
	return false
}

// catalogue lists columns for a person to choose from, with their units by
// their own titles; a column without a title shows its first value.
func (t *table) catalogue(columns []column) string {
	const most = 12
	var out []string
	for _, c := range columns {
		if len(out) == most && len(columns) > most+1 {
			out = append(out, fmt.Sprintf("and %d more", len(columns)-most))
			break
		}
		item := fmt.Sprintf("%d %q", c.no, shorten(c.title))
		switch {
		case c.title == "":
			item = fmt.Sprintf("%d (%s)", c.no, t.sample(c))
		case c.unit != "" && !strings.Contains(c.title, c.unit):
			item += " [" + shorten(c.unit) + "]"
		}
		out = append(out, item)
	}
	return strings.Join(out, ", ")
}

// sample is the first value of a column, to know it by.
func (t *table) sample(c column) string {
	for cell := range t.column(c.no - 1) {
		return shorten(text(cell)) + ", \u2026"
	}
	return "blank"
}

// headLine is the line to name for what concerns the table's columns.
func (t *table) headLine() int {
	if t.header > 0 {
		return t.header
	}
	return t.lines[t.first].no
}
