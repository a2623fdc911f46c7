package delimited

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// refuse makes a Problem about a line of the file, with what is true of every
// refusal here: nothing was read.
func (s source) refuse(kind problem.Kind, lineNo int, format string, args ...any) *problem.Problem {
	return problem.New(kind, fmt.Sprintf("%s:%d", s.name, lineNo), format, args...).
		In("nothing was read from " + s.name)
}

// quoting adds a row of the file to p, with cell underlined.
func quoting(p *problem.Problem, row, cell []byte) *problem.Problem {
	const longest = 4096 // bytes of a row that are looked at for the cell
	show := text(row[:min(len(row), longest)])
	mark := text(cell[:min(len(cell), longest)])
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
	lead := traceio.Clean(show[from:at])
	under := strings.Repeat(" ", utf8.RuneCountInString(lead)) + strings.Repeat("^", utf8.RuneCountInString(mark))
	p.Quote = traceio.Clean(show[from:to]) + "\n" + under
	return p
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
		no, begins = h.lines[first].no, traceio.Shorten(text(h.text(first)))
	}
	if s.headed(h, last) {
		return s.refuse(problem.TooFew, h.lines[last].no, "%q heads a table, but 0 rows follow it; a trace has 2 at least",
			traceio.Shorten(text(h.text(last)))).
			Hint("export the recording again")
	}
	where := ""
	if !h.whole {
		where = " in its first 4 MiB or 262144 lines, where our own limit is"
	}
	return s.refuse(problem.Unreadable, no, "no table of numbers was found%s; the file begins with %q", where, begins).
		Hint("give a file with one row of numbers for each sample, as a logger or a spreadsheet exports it")
}

// tooLong refuses a line that no logger writes.
func (s source) tooLong(no int) *problem.Problem {
	return s.refuse(problem.Unreadable, no, "the line is longer than 1 MiB, which is our own limit").
		Hint("give a file with one row of numbers for each sample, as a logger or a spreadsheet exports it")
}

// headed reports whether the line is the header of a table that never came.
func (s source) headed(h head, last int) bool {
	if len(h.lines) == 0 || h.lines[last].to-h.lines[last].from > longestHeader || pick.UnitRow(texts(split(nil, h.text(last), ','))) {
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
		if pick.Heads(cells) && (delim != spaces || len(cells) == 2) {
			return true
		}
	}
	return false
}

// headLine is the line to name for what concerns the table's columns.
func (t *table) headLine() int {
	if t.header > 0 {
		return t.header
	}
	return t.lines[t.first].no
}
