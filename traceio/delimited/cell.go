package delimited

import (
	"bytes"
	"strings"
)

// spaces is the delimiter of tables parted by runs of spaces or tabs, fixed that
// of tables whose columns are aligned by blanks, and single that of tables with
// one column.
const (
	spaces = ' '
	fixed  = 1
	single = 0
)

// cutter cuts a line into cells.
type cutter struct {
	delim   byte
	columns []interval // where delim is fixed
}

// split appends the cells of a line to dst, trimmed and without their quotes;
// not many more than a table may have.
func (c cutter) split(dst [][]byte, line []byte) [][]byte {
	if c.delim == fixed {
		return under(dst, line, c.columns)
	}
	return split(dst, line, c.delim)
}

// delimiters are the names of delimiters, as people write them.
var delimiters = map[string]byte{"comma": ',', "semicolon": ';', "tab": '\t', "space": spaces, "bar": '|'}

// kind is what a cell holds, as far as a look tells.
type kind byte

const (
	blank kind = iota
	numeric
	wordy
)

// fewCells is as many as most lines have, of a time and a force.
const fewCells = 2

// split appends the cells of a line to dst, trimmed and without their quotes.
func split(dst [][]byte, line []byte, delim byte) [][]byte {
	switch delim {
	case spaces:
		return fields(dst, line)
	case single:
		return append(dst, unquote(line))
	}
	if dst == nil {
		dst = make([][]byte, 0, fewCells)
	}
	for {
		end := cellEnd(line, delim)
		dst = append(dst, unquote(line[:end]))
		if end == len(line) || len(dst) > mostColumns {
			return dst
		}
		line = line[end+1:]
	}
}

// fields appends what stands between runs of spaces and tabs.
func fields(dst [][]byte, line []byte) [][]byte {
	for {
		line = bytes.TrimLeft(line, " \t")
		if len(line) == 0 || len(dst) > mostColumns {
			return dst
		}
		end := afterQuotes(line)
		if n := bytes.IndexAny(line[end:], " \t"); n >= 0 {
			end += n
		} else {
			end = len(line)
		}
		dst = append(dst, unquote(line[:end]))
		line = line[end:]
	}
}

// cellEnd is where the first cell of line ends: at a delimiter outside quotes,
// or with the line.
func cellEnd(line []byte, delim byte) int {
	i := len(line) - len(bytes.TrimLeft(line, " \t"))
	if delim == '\t' {
		i = len(line) - len(bytes.TrimLeft(line, " "))
	}
	i += afterQuotes(line[i:])
	if n := bytes.IndexByte(line[i:], delim); n >= 0 {
		return i + n
	}
	return len(line)
}

// afterQuotes is the length of the quoted text that line begins with, or 0. A
// quote that is never closed reaches to the end.
func afterQuotes(line []byte) int {
	if len(line) == 0 || line[0] != '"' {
		return 0
	}
	for i := 1; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 < len(line) && line[i+1] == '"' {
			i++ // a quote inside, written twice
			continue
		}
		return i + 1
	}
	return len(line)
}

func unquote(cell []byte) []byte {
	cell = bytes.Trim(cell, " \t\r\f")
	if n := len(cell); n >= 2 && cell[0] == '"' && cell[n-1] == '"' {
		cell = bytes.Trim(cell[1:n-1], " \t")
		if bytes.Contains(cell, []byte(`""`)) {
			cell = bytes.ReplaceAll(cell, []byte(`""`), []byte(`"`))
		}
	}
	return cell
}

// trimBlanks drops the blank cells at the end of a row.
func trimBlanks(cells [][]byte) [][]byte {
	for len(cells) > 0 && len(cells[len(cells)-1]) == 0 {
		cells = cells[:len(cells)-1]
	}
	return cells
}

// anyNumber reports whether one of the cells is numeric.
func anyNumber(cells [][]byte) bool {
	for _, c := range cells {
		if kindOf(c) == numeric {
			return true
		}
	}
	return false
}

func kindOf(cell []byte) kind {
	switch {
	case len(cell) == 0:
		return blank
	case likeNumber(cell) || notFinite(cell) || likeNumber(unspaced(cell)):
		return numeric
	}
	return wordy
}

// likeNumber reports whether cell could be a number in some dialect: digits
// with points and commas among them but no comma last, and perhaps an exponent.
func likeNumber(cell []byte) bool {
	if len(cell) == 0 {
		return false
	}
	i, digits := 0, 0
	if cell[0] == '-' || cell[0] == '+' {
		i++
	}
	for ; i < len(cell); i++ {
		switch c := cell[i]; {
		case c-'0' <= 9:
			digits++
		case c == '.' || c == ',':
		case c|0x20 == 'e' && digits > 0:
			_, next, ok := exponent(cell, i+1)
			return ok && next == len(cell)
		default:
			return false
		}
	}
	return digits > 0 && cell[len(cell)-1] != ','
}

// notFinite reports whether cell is how a program writes a number that is none.
func notFinite(cell []byte) bool {
	if len(cell) > 9 || leading(bytes.TrimLeft(cell, "+-")) > 0 {
		return false
	}
	switch strings.ToLower(strings.TrimLeft(string(cell), "+-")) {
	case "nan", "inf", "infinity":
		return true
	}
	return false
}
