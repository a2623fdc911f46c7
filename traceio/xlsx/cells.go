package xlsx

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// kind is what a cell holds.
type kind byte

const (
	blank    kind = iota
	number        // a number, as it is stored
	stamp         // a number that is shown as a date or a time: days
	text          // text, which may be a number all the same
	mistake       // an error such as #DIV/0!
	unworked      // a formula without a stored result
)

// cell is one cell of a sheet.
type cell struct {
	row, col int // from 1
	kind     kind
	value    float64
	text     string // of text and mistakes; the digits as stored of numbers
}

// numeric reports whether the cell stands where a number has to be.
func (c cell) numeric() bool {
	if c.kind == text {
		_, ok := textNumber(c.text, 0)
		return ok || odd(c.text)
	}
	return c.kind != blank
}

// odd reports whether text is a number with both a comma and a point, or several
// of one, which is refused where it is read but is no title either.
func odd(s string) bool {
	return strings.ContainsAny(s, "0123456789") && strings.Trim(s, "+-0123456789., ") == ""
}

// shown is the cell as a layout shows it: a number with as many digits as tell it
// from others, where a workbook often stores more.
func (c cell) shown() string {
	if c.kind == number || c.kind == stamp {
		return strconv.FormatFloat(c.value, 'g', -1, 64)
	}
	return traceio.Shorten(c.text)
}

// in returns the cell of a column among the cells of a row, which stand in order.
func in(cells []cell, col int) (cell, bool) {
	i, ok := slices.BinarySearchFunc(cells, col, func(c cell, col int) int { return c.col - col })
	if !ok {
		return cell{}, false
	}
	return cells[i], true
}

// cells goes over the cells of a sheet, row by row; see gets the cells of one row
// that are not blank, and says when it has seen enough.
func (s *source) cells(in *sheet, see func(r int, cells []cell) (done bool, err error)) error {
	w := &walk{source: s, in: in}
	err := s.each(in.part, func(x *scanner) (bool, error) {
		switch {
		case x.is("sheetData"):
			w.inside = true
		case x.ends("sheetData"):
			return true, nil
		case !w.inside:
		case x.is("row"):
			return false, w.newRow(x)
		case x.is("c"):
			return false, w.newCell(x)
		case x.ends("c"):
			return false, w.endCell()
		case x.ends("row"):
			if len(w.row) == 0 {
				return false, nil
			}
			return see(w.at, w.row)
		default:
			w.within(x)
		}
		return false, nil
	})
	return err
}

// walk is a way over the cells of a sheet.
type walk struct {
	*source
	in     *sheet
	inside bool // of sheetData
	at     int  // the row
	row    []cell
	begun  bool // a cell has begun and not ended
	col    int

	one               cell
	typ               string // of the cell
	dated             bool   // its style shows a date
	formula, hasValue bool
	value, words      []byte // what it holds, and text that stands in it

	inValue, inText, phonetic bool
}

// newRow begins a row; its number may be left out.
func (w *walk) newRow(x *scanner) error {
	at := w.at + 1
	if r := x.attr("r"); r != "" {
		n, err := strconv.Atoi(r)
		if err != nil || n <= w.at {
			return w.refuse(problem.Unreadable, w.in, row(max(1, w.at)), "row %q follows it, and rows have to count upward", traceio.Shorten(r)).
				Hint("save the workbook again, or save the sheet as CSV")
		}
		at = n
	}
	if at > MostRows {
		return w.refuse(problem.Unreadable, w.in, row(MostRows), "the sheet has rows below it, and the format allows %d", MostRows).
			Hint("save the workbook again, or save the sheet as CSV")
	}
	w.at, w.row, w.col, w.begun = at, w.row[:0], 0, false
	return nil
}

// newCell begins a cell; its address may be left out.
func (w *walk) newCell(x *scanner) error {
	col := w.col + 1
	if r := x.attr("r"); r != "" {
		col = columnOf(r)
	}
	if col < 1 || col > MostColumns {
		return w.refuse(problem.Unreadable, w.in, row(max(1, w.at)), "a cell %q is there, and the format allows %d columns", traceio.Shorten(x.attr("r")), MostColumns).
			Hint("save the workbook again, or save the sheet as CSV")
	}
	if col <= w.col {
		return w.refuse(problem.Unreadable, w.in, row(max(1, w.at)), "a cell of column %s follows one of column %s, and cells have to go from left to right", letters(col), letters(w.col)).
			Hint("save the workbook again, or save the sheet as CSV")
	}
	w.begun = true
	w.col, w.one, w.typ = col, cell{row: w.at, col: col}, x.attr("t")
	style, err := strconv.Atoi(x.attr("s"))
	w.dated = err == nil && style >= 0 && style < len(w.book.dated) && w.book.dated[style]
	w.value, w.words = w.value[:0], w.words[:0]
	w.hasValue, w.formula = false, false
	return nil
}

// within takes in what a cell holds.
func (w *walk) within(x *scanner) {
	if !x.start && !x.end {
		switch {
		case w.inValue && len(w.value) < LongestText:
			w.value = append(w.value, x.text()...)
		case w.inText && !w.phonetic && len(w.words) < LongestText:
			w.words = append(w.words, x.text()...)
		}
		return
	}
	switch string(x.name) {
	case "v":
		w.inValue, w.hasValue = x.start, true
	case "f":
		w.formula = true
	case "t":
		w.inText = x.start
	case "rPh":
		w.phonetic = x.start
	}
}

// endCell settles what the cell holds.
func (w *walk) endCell() error {
	w.inValue, w.inText, w.phonetic = false, false, false
	if !w.begun {
		return w.refuse(problem.Unreadable, w.in, row(max(1, w.at)), "a cell ends there that did not begin").
			Hint("the file is damaged: save the workbook again, or save the sheet as CSV")
	}
	w.begun = false
	c, v := w.one, string(w.value)
	switch w.typ {
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(v))
		shared, ok := w.book.shared.of(n)
		if err != nil || !ok {
			return w.refuse(problem.Unreadable, w.in, cellAt(c.row, c.col), "the cell refers to text %q, which the workbook does not have", traceio.Shorten(v)).
				Hint("save the workbook again, or save the sheet as CSV")
		}
		c.kind, c.text = text, shared
	case "inlineStr":
		c.kind, c.text = text, string(w.words)
	case "str", "d":
		c.kind, c.text = text, v
	case "b":
		c.kind, c.text = text, map[bool]string{true: "TRUE", false: "FALSE"}[strings.TrimSpace(v) == "1"]
	case "e":
		c.kind, c.text = mistake, strings.TrimSpace(v)
	default:
		if err := w.stored(&c, strings.TrimSpace(v)); err != nil {
			return err
		}
	}
	if c.kind == text && strings.TrimSpace(c.text) == "" {
		c.kind = blank
	}
	if c.kind == blank && w.formula && !w.hasValue {
		c.kind = unworked
	}
	if c.kind != blank {
		w.row = append(w.row, c)
	}
	return nil
}

// stored reads a number as it is stored.
func (w *walk) stored(c *cell, v string) error {
	if v == "" {
		return nil
	}
	f, err := strconv.ParseFloat(v, 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) || strings.ContainsAny(v, "_xX") {
		return w.refuse(problem.Unreadable, w.in, cellAt(c.row, c.col), "%q is stored as a number, and is none", traceio.Shorten(v)).
			Hint("save the workbook again, or save the sheet as CSV")
	}
	c.kind, c.value, c.text = number, f, v
	if w.dated {
		c.kind = stamp
	}
	return nil
}

// columnOf is the column of an address such as B7; 0 when it is none.
func columnOf(address string) int {
	col := 0
	for i := range len(address) {
		c := address[i]
		if c < 'A' || c > 'Z' {
			if i == 0 || c < '0' || c > '9' {
				return 0
			}
			return col
		}
		if col = col*26 + int(c-'A') + 1; col > MostColumns {
			return col
		}
	}
	return 0
}

// textNumber reads text that is a number, with the decimal mark that is given,
// or with whichever it has where mark is 0.
func textNumber(s string, mark byte) (float64, bool) {
	s = strings.TrimSpace(s)
	comma := strings.IndexByte(s, ',') >= 0
	if comma && (mark == '.' || strings.IndexByte(s, '.') >= 0) || !comma && mark == ',' && strings.IndexByte(s, '.') >= 0 {
		return 0, false
	}
	if s == "" || strings.Trim(s, "+-0123456789.,eE") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// ungrouped is text without the other mark than the decimal one, where that
// stands between thousands.
func ungrouped(s string, mark byte) string {
	if s = strings.TrimSpace(s); thousands[mark].MatchString(s) {
		return strings.ReplaceAll(s, map[byte]string{',': ".", '.': ","}[mark], "")
	}
	return s
}

// thousands are numbers with a mark between thousands, by their decimal mark:
// "1.234,5", "1.234".
var thousands = map[byte]*regexp.Regexp{
	',': regexp.MustCompile(`^[-+]?[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?:,[0-9]*)?$`),
	'.': regexp.MustCompile(`^[-+]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?$`),
}
