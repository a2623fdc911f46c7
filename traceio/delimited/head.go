package delimited

import "bytes"

// line is one line of the file without its line end.
type line struct {
	no       int // from 1
	from, to int // bytes of the file
}

// lines returns the whole lines among the first limit bytes of data; long is
// the number of one that is longer than any may be, or 0.
func lines(data []byte, limit int) (out []line, long int) {
	n := bytes.Count(data[:min(len(data), limit)], []byte("\n")) + 1
	out = make([]line, 0, min(n, mostAhead))
	from := 0
	for no := 1; from < len(data); no++ {
		end := min(len(data), from+longestLine+1)
		if n := bytes.IndexByte(data[from:end], '\n'); n >= 0 {
			end = from + n
		} else if end-from > longestLine {
			return out, no
		}
		if end > limit || no > mostAhead {
			break
		}
		to := end
		if to > from && data[to-1] == '\r' {
			to--
		}
		out = append(out, line{no, from, to})
		from = end + 1
	}
	return out, 0
}

// run is rows that follow each other and have numbers in the same columns.
type run struct {
	cutter
	from, to int // lines [from, to) of the head, blank ones among them
	rows     int
	kinds    []kind // of each column; blank where no row has anything
	torn     bool   // cut at commas, though there are semicolons in its cells
}

// numbers reports whether the run has nothing but numbers.
func (r run) numbers() bool { return !has(r.kinds, wordy) }

// score is how much of a table a run is: its rows, times the share of its
// columns that are numbers. The wrong delimiter, and key lines above a table,
// have words between their numbers.
func (r run) score() float64 {
	numbers := 0
	for _, k := range r.kinds {
		if k == numeric {
			numbers++
		}
	}
	score := float64(r.rows) * float64(numbers) / float64(len(r.kinds))
	if r.torn {
		return score / 4
	}
	return score
}

// fits reports whether a row of the given kinds can be one more of the run. In
// a table parted by spaces all rows are of one length: a blank cell has no
// place there.
func (r run) fits(row []kind) bool {
	if r.delim == spaces && len(row) != len(r.kinds) {
		return false
	}
	for i, k := range row {
		if i < len(r.kinds) && k != blank && r.kinds[i] != blank && k != r.kinds[i] {
			return false
		}
	}
	return true
}

// add takes a row into the run.
func (r *run) add(row []kind, at int) {
	for i, k := range row {
		switch {
		case i >= len(r.kinds):
			r.kinds = append(r.kinds, k)
		case r.kinds[i] == blank:
			r.kinds[i] = k
		}
	}
	r.rows++
	r.to = at + 1
}

// head is the beginning of a file, cut into lines.
type head struct {
	data   []byte
	lines  []line
	whole  bool   // the file ends with the head
	far    bool   // there is no use in looking further for rows that go on
	delims []byte // that may part its cells
}

func (h head) text(i int) []byte { return h.data[h.lines[i].from:h.lines[i].to] }

func (h head) blank(i int) bool { return len(bytes.TrimSpace(h.text(i))) == 0 }

// runs returns the runs of the head when its cells are parted by delim. A line
// without a number ends a run; a blank line does not.
func (h head) runs(delim byte) []run {
	var out []run
	var cells [][]byte
	var row []kind
	open := false
	for i := range h.lines {
		cells = trimBlanks(split(cells[:0], h.text(i), delim))
		row = kinds(row[:0], cells)
		switch {
		case len(cells) == 0:
		case !has(row, numeric):
			open = false
		case open && out[len(out)-1].fits(row):
			out[len(out)-1].add(row, i)
		default:
			r := run{cutter: cutter{delim: delim}, from: i, torn: delim == ',' && bytes.IndexByte(h.text(i), ';') >= 0}
			r.add(row, i)
			out, open = append(out, r), true
		}
	}
	return out
}

func kinds(dst []kind, cells [][]byte) []kind {
	for _, c := range cells {
		dst = append(dst, kindOf(c))
	}
	return dst
}

func has(row []kind, want kind) bool {
	for _, k := range row {
		if k == want {
			return true
		}
	}
	return false
}

// enough is how many rows at the end of a head show that the table has begun
// and the rest of the file is more of it.
const enough = 8

// best returns the run that is the table and the runs of the same delimiter. In
// a head that ends long before the file does, that is the run at its end; otherwise
// the one that is most of a table, the later of two equals.
func (h head) best() (table run, all []run, ok bool) {
	said := len(h.lines) // up to the last line that says something
	for said > 0 && h.blank(said-1) {
		said--
	}
	for _, delim := range h.delims {
		if ok && h.unbeaten(table, delim) {
			continue
		}
		rs := h.cut(delim)
		for i, r := range rs {
			if delim != single && len(r.kinds) < 2 {
				continue // without the delimiter in it, it is a single column
			}
			if !h.whole && !h.far && (i < len(rs)-1 || r.rows < enough || r.to < said) {
				continue
			}
			same := ok && table.delim == delim
			if !ok || r.score() > table.score() || same && r.score() == table.score() {
				table, all, ok = r, rs, true
			}
		}
	}
	return table, all, ok
}

// unbeaten reports whether no run of another delimiter can score more than a
// table of nothing but numbers up to the end of a head that goes on: it would have
// to hold the line above as well. Tables in fixed width are not of that kind.
func (h head) unbeaten(table run, delim byte) bool {
	if h.whole || h.far || delim == fixed || table.score() != float64(table.to-table.from) {
		return false
	}
	above := table.from - 1
	for above >= 0 && h.blank(above) {
		above--
	}
	return above < 0 || !has(kinds(nil, split(nil, h.text(above), delim)), numeric)
}

// cut returns the runs of the head when its cells are parted by delim.
func (h head) cut(delim byte) []run {
	switch delim {
	case fixed:
		if r, ok := h.aligned(); ok {
			return []run{r}
		}
		return nil
	case spaces, single:
		return h.runs(delim)
	}
	if bytes.IndexByte(h.span(), delim) < 0 {
		return nil
	}
	return h.runs(delim)
}

// span is the bytes of the head.
func (h head) span() []byte {
	if len(h.lines) == 0 {
		return nil
	}
	return h.data[:h.lines[len(h.lines)-1].to]
}
