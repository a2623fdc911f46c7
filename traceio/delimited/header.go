package delimited

import (
	"bytes"
	"strings"

	"fallwright.example/traceio/pick"
)

// heading names the table's columns from the lines above its first row: a
// header, perhaps with a row of units under it, perhaps behind a comment sign.
func (t *table) heading() {
	i := t.above(t.first)
	titles := t.titles(i)
	for i >= 0 && (titles == nil && comment(t.text(i)) || t.statesRate(i)) {
		i = t.above(i)
		titles = t.titles(i)
	}
	if !pick.Telling(titles) {
		if j := t.underHeader(i); j >= 0 {
			i, titles = j, t.titles(j)
		}
	}
	var units []string
	if pick.UnitRow(titles) {
		if j := t.above(i); t.titles(j) != nil {
			t.unitsAt = t.lines[i].no
			units, titles, i = titles, t.titles(j), j
		}
	}
	if j := t.above(i); titles != nil && units == nil && j >= 0 && !united(titles) && pick.UnitRow(t.titles(j)) {
		units, t.unitsAt = t.titles(j), t.lines[j].no // units above the titles
	}
	switch {
	case titles != nil:
		t.header = t.lines[i].no
	case i >= 0:
		t.unfit = i
	}
	for c := range max(t.width, len(titles)) {
		t.columns = append(t.columns, pick.NewColumn(c+1, at(titles, c), at(units, c)))
	}
	t.survey()
}

// underHeader looks for the header when line i, words without a meaning, is a
// remark between it and the rows. It returns the header's line, or -1.
func (t *table) underHeader(i int) int {
	for j := i - 1; j >= max(0, i-2) && t.delim != spaces && t.delim != fixed; j-- {
		if t.blank(j) || anyNumber(t.cells(j+1)) {
			return -1
		}
		if pick.Telling(t.titles(j)) {
			return j
		}
	}
	return -1
}

func at(cells []string, i int) string {
	if i < len(cells) {
		return cells[i]
	}
	return ""
}

// above is the nearest line above line i that says something, or -1.
func (t *table) above(i int) int {
	for i--; i >= 0; i-- {
		if len(t.cells(i)) > 0 && !ruled(t.text(i)) {
			return i
		}
	}
	return -1
}

// ruled reports whether a line is only drawn: "-----+-----".
func ruled(b []byte) bool {
	return len(bytes.Trim(b, "-=_+|~* \t,;")) == 0 && bytes.ContainsAny(b, "-=_~*")
}

func comment(b []byte) bool {
	b = bytes.TrimLeft(b, " \t")
	return len(b) > 0 && (b[0] == '#' || b[0] == '%')
}

// titles returns the cells of line i if they name the table's columns: as many
// as there are columns, with no number among them. Otherwise nil.
func (t *table) titles(i int) []string {
	if i < 0 || t.lines[i].to-t.lines[i].from > longestHeader {
		return nil
	}
	raw := t.text(i)
	texts := [][]byte{raw}
	if comment(raw) {
		texts = [][]byte{bytes.TrimLeft(raw, "#% "), raw}
	}
	for _, b := range texts {
		for _, cells := range t.cuts(b) {
			if t.naming(cells) {
				return cells
			}
		}
	}
	return nil
}

// cuts returns the ways in which a line above the table may be cut into cells:
// like its rows, or, in a table parted by spaces or with one column, at another
// delimiter than its rows.
func (t *table) cuts(b []byte) [][]string {
	own := texts(t.split(nil, b))
	out := [][]string{own}
	if words := texts(fields(nil, b)); (t.delim == spaces || t.delim == fixed) && len(words) <= longHeader*t.width {
		out = [][]string{glue(words), texts(wide(b))}
	}
	if t.delim == ',' && len(own) > t.width {
		for _, cells := range [][]string{withUnits(own), closed(own), withUnits(closed(own))} {
			if len(cells) == t.width {
				out = [][]string{cells}
			}
		}
	}
	for _, d := range []byte{',', ';', '\t', '|'} {
		if d != t.delim && t.delim != single {
			if cells := texts(split(nil, b, d)); len(cells) == t.width {
				out = append(out, cells)
			}
		}
	}
	return out
}

// longHeader is how many words a title may have on average before a line is
// taken for prose.
const longHeader = 10

// longestHeader is how many bytes a header may have: our own limit, 200
// characters for each column there can be.
const longestHeader = longestTitle * mostColumns

// longestTitle is how many characters of a cell a layout shows.
const longestTitle = 200

// texts turns cells into strings without blank ones at the end.
func texts(cells [][]byte) []string {
	cells = trimBlanks(cells)
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = text(c)
	}
	return out
}

// glue puts brackets back to the word before them, "Force", "(N)", and takes
// off commas that stand between titles.
func glue(cells []string) []string {
	var out []string
	for _, c := range cells {
		open := len(out) > 0 && strings.Count(out[len(out)-1], "(") > strings.Count(out[len(out)-1], ")")
		if len(out) > 0 && (open || c[:min(1, len(c))] == "(" || c[:min(1, len(c))] == "[") {
			out[len(out)-1] += " " + c
			continue
		}
		out = append(out, c)
	}
	for i := range out {
		out[i] = strings.TrimRight(out[i], ",;: ")
	}
	return out
}

// withUnits puts units back to the titles before them, in a header such as
// "Time, s,Force, kN" that has its commas unquoted.
func withUnits(cells []string) []string {
	var out []string
	for i, c := range cells {
		if i > 0 && pick.IsUnit(c) && !pick.IsUnit(cells[i-1]) {
			out[len(out)-1] += ", " + c
			continue
		}
		out = append(out, c)
	}
	return out
}

// closed puts back together what a comma in brackets has cut: "Force (kN", "tared)".
func closed(cells []string) []string {
	var out []string
	depth := 0
	for _, c := range cells {
		if depth > 0 {
			out[len(out)-1] += ", " + c
		} else {
			out = append(out, c)
		}
		for _, r := range c {
			switch {
			case strings.ContainsRune("([{", r):
				depth++
			case depth > 0 && strings.ContainsRune(")]}", r):
				depth--
			}
		}
	}
	return out
}

// wide cuts a line at tabs and at runs of two or more spaces.
func wide(b []byte) [][]byte {
	b = bytes.ReplaceAll(bytes.TrimSpace(b), []byte("\t"), []byte("  "))
	var out [][]byte
	for len(b) > 0 {
		end := bytes.Index(b, []byte("  "))
		if end < 0 {
			end = len(b)
		}
		out = append(out, unquote(b[:end]))
		b = bytes.TrimLeft(b[end:], " ")
	}
	return out
}

// naming reports whether cells can be the titles of the columns. A header may
// be longer than the rows, where columns at the end were never filled.
func (t *table) naming(cells []string) bool {
	if len(cells) < t.width || len(cells) > t.width && (t.delim == spaces || t.delim == fixed || t.delim == single) {
		return false
	}
	wordy := 0
	for _, c := range cells {
		if c == "" {
			continue
		}
		if kindOf([]byte(c)) == numeric {
			return false
		}
		wordy++
	}
	return wordy > 0
}

// united reports whether one of the titles has a unit of force or time in it.
func united(titles []string) bool {
	for i, s := range titles {
		if pick.IsUnit(pick.NewColumn(i+1, s, "").Unit) {
			return true
		}
	}
	return false
}
