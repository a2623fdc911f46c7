package delimited

import "bytes"

// A table in fixed width lines its columns up with blanks, so that a blank cell
// shows only by where the next one stands.

// interval is the bytes of a line in which a column has its cells.
type interval struct{ from, to int }

const (
	widestFixed = 4096 // bytes of a line that is looked at for columns
	fewestFixed = 3    // rows that show columns
)

// aligned returns the run of rows that only a table in fixed width explains:
// rows of numbers with different counts of them, each under one column. It is
// the longest block of such rows, or the one at the end of a head that ends
// before its file does.
func (h head) aligned() (best run, ok bool) {
	if !h.parted() {
		return best, false
	}
	for i := 0; i < len(h.lines); {
		j := i
		for j < len(h.lines) && h.bare(j) {
			j++
		}
		if r, fits := h.columnsOf(i, j); fits && r.rows >= best.rows {
			best, ok = r, true
		}
		i = max(j, i+1)
	}
	return best, ok
}

// parted reports whether some line has numbers with a blank between them.
func (h head) parted() bool {
	for i := range h.lines {
		line := bytes.Trim(h.text(i), " \r")
		if (bytes.IndexByte(line, ' ') >= 0 || bytes.IndexByte(line, '\r') >= 0) && h.bare(i) {
			return true
		}
	}
	return false
}

// bare reports whether a line is blank, or numbers with blanks between them.
func (h head) bare(i int) bool {
	line := h.text(i)
	if len(line) > widestFixed || bytes.ContainsAny(line, "\t\"") {
		return false
	}
	for _, token := range bytes.Fields(line) {
		if kindOf(token) != numeric {
			return false
		}
	}
	return true
}

// columnsOf finds the columns of lines [from, to), if they have to be in fixed
// width: not all rows have the same count of numbers, and either two are short
// or one shows a gap before its last.
func (h head) columnsOf(from, to int) (run, bool) {
	counts, rows, most := map[int]int{}, 0, 0
	var filled [widestFixed]bool
	for i := from; i < to; i++ {
		n := 0
		for _, t := range tokens(h.text(i)) {
			n++
			for c := t.from; c < t.to; c++ {
				filled[c] = true
			}
		}
		if n > 0 {
			rows++
			counts[n]++
			most = max(most, n)
		}
	}
	if rows < fewestFixed || len(counts) < 2 || most < 2 {
		return run{}, false
	}
	var columns []interval
	for c, on := range filled {
		switch {
		case !on:
		case c > 0 && filled[c-1]:
			columns[len(columns)-1].to++
		default:
			columns = append(columns, interval{c, c + 1})
		}
	}
	cut := cutter{delim: fixed, columns: columns}
	if len(columns) != most || !(h.shows(cut, from, to) || rows-counts[most] >= 2 && counts[most] >= 2) {
		return run{}, false
	}
	r := run{cutter: cut, from: from}
	for i := from; i < to; i++ {
		if !h.blank(i) {
			r.add(kinds(nil, cut.split(nil, h.text(i))), i)
		}
	}
	return r, true
}

// shows reports whether a row has a blank cell before its last.
func (h head) shows(cut cutter, from, to int) bool {
	for i := from; i < to; i++ {
		cells := trimBlanks(cut.split(nil, h.text(i)))
		for _, c := range cells {
			if len(c) == 0 {
				return true
			}
		}
	}
	return false
}

// tokens are the places of what stands between blanks.
func tokens(line []byte) []interval {
	var out []interval
	in := false
	for i, c := range line {
		switch on := c != ' ' && c != '\r'; {
		case on && in:
			out[len(out)-1].to = i + 1
		case on:
			out = append(out, interval{i, i + 1})
			in = true
		default:
			in = false
		}
	}
	return out
}

// under appends the cells of a line in fixed width, each to the column that it
// stands under or is nearest to. Two under one column stay together in a cell,
// which is then no number.
func under(dst [][]byte, line []byte, columns []interval) [][]byte {
	first, last := len(dst), -1
	var cell interval
	for _, t := range tokens(line) {
		c := nearest(columns, t)
		if c == last {
			cell.to = t.to
		} else {
			cell, last = t, c
		}
		for len(dst)-first <= c {
			dst = append(dst, nil)
		}
		dst[first+c] = line[cell.from:cell.to]
	}
	return dst
}

func nearest(columns []interval, t interval) int {
	best, distance := 0, 1<<30
	for i, c := range columns {
		d := max(c.from-t.to+1, t.from-c.to+1, 0)
		if d < distance {
			best, distance = i, d
		}
	}
	return best
}
