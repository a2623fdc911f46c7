package tableio

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// delimiters by the names that people write.
var delimiters = map[string]byte{"comma": ',', "semicolon": ';', "tab": '\t', "space": ' ', "bar": '|'}

// readText takes in the cells of delimited text.
func (g *grid) readText(data []byte) error {
	if what := traceio.LooksLike(data); what != "" && len(bytes.TrimSpace(data)) > 0 {
		return problem.New(problem.Unreadable, g.name, "%s, not a table", what).Hint("save the table as CSV or as xlsx")
	}
	body := decode(data)
	delimiter, lines := announced(body)
	if name := g.ask.Delimiter; name != "" {
		d, ok := delimiters[name]
		if !ok {
			return problem.New(problem.Invalid, "--delimiter", "%q is no delimiter known here", name).Hint("write comma, semicolon, tab, space or bar")
		}
		delimiter = d
	}
	body = skip(body, lines)
	if delimiter == 0 {
		delimiter = find(body)
	}
	if delimiter == ' ' {
		return g.spaced(body, lines)
	}
	return g.parted(body, lines, delimiter)
}

// decode brings text to UTF-8: from UTF-16 where it is that, and from Latin-1
// where it is no UTF-8.
func decode(data []byte) []byte {
	if high, _, wide := traceio.UTF16(data); wide {
		data = traceio.FromUTF16(data, high)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	data = bytes.TrimRight(data, "\x00\x1a")
	if !utf8.Valid(data) {
		out := make([]byte, 0, len(data)+len(data)/8)
		for _, b := range data {
			out = utf8.AppendRune(out, rune(b))
		}
		data = out
	}
	if bytes.IndexByte(data, '\n') < 0 {
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	return data
}

// announced is the delimiter that a first line "sep=;" gives, as spreadsheets
// write it, and how many lines that takes.
func announced(body []byte) (delimiter byte, lines int) {
	first, _, _ := bytes.Cut(body, []byte("\n"))
	first = bytes.TrimRight(first, "\r")
	if len(first) == len("sep=;") && strings.EqualFold(string(first[:4]), "sep=") {
		return first[4], 1
	}
	return 0, 0
}

func skip(body []byte, lines int) []byte {
	for range lines {
		_, body, _ = bytes.Cut(body, []byte("\n"))
	}
	return body
}

// comment reports whether a line is one: it begins with #.
func comment(line []byte) bool { return len(line) > 0 && line[0] == '#' }

// find finds out what parts the cells: that which is in the first lines equally
// often, or else most often in the first of them; 0xff, which is in no text, for
// a table of one column.
func find(body []byte) byte {
	const looked = 50
	var head [][]byte
	for line := range bytes.Lines(body) {
		if line = bytes.TrimRight(line, "\r\n"); len(bytes.TrimSpace(line)) == 0 || comment(line) {
			continue
		}
		if head = append(head, line); len(head) == looked {
			break
		}
	}
	best, most, even := byte(0xff), 0, false
	for _, d := range []byte{'\t', ';', ',', '|', ' '} {
		n, same := counts(head, d)
		if d == ' ' && (best != 0xff || !same) {
			continue
		}
		if n > 0 && (best == 0xff || same && !even || same == even && n > most) {
			best, most, even = d, n, same
		}
	}
	return best
}

// counts is how often a delimiter is in the lines, outside quotes: at most, and
// whether it is in each of them as often.
func counts(head [][]byte, d byte) (most int, same bool) {
	same = true
	for i, line := range head {
		n := len(split(line, d)) - 1
		if same = same && (i == 0 || n == most); n > most {
			most = n
		}
	}
	return most, same
}

// split cuts a line at a delimiter outside quotes; at runs of blanks for a space.
func split(line []byte, d byte) []string {
	if d == ' ' {
		line = bytes.TrimSpace(line)
	}
	var out []string
	var cell []byte
	quoted := false
	for i, b := range line {
		switch {
		case b == '"':
			quoted = !quoted
		case !quoted && (b == d || d == ' ' && b == '\t'):
			if d == ' ' && (line[i-1] == ' ' || line[i-1] == '\t') {
				continue
			}
			out = append(out, string(cell))
			cell = cell[:0]
		default:
			cell = append(cell, b)
		}
	}
	return append(out, string(cell))
}

// spaced reads lines whose cells are parted by runs of blanks.
func (g *grid) spaced(body []byte, line int) error {
	for text := range bytes.Lines(body) {
		line++
		if text = bytes.TrimRight(text, "\r\n"); comment(text) {
			continue
		}
		var cells []cell
		for _, s := range split(text, ' ') {
			cells = append(cells, cell{text: s})
		}
		if err := g.add(line, cells); err != nil {
			return err
		}
	}
	return nil
}

// parted reads records whose cells are parted by a delimiter.
func (g *grid) parted(body []byte, before int, delimiter byte) error {
	r := csv.NewReader(bytes.NewReader(body))
	r.Comma, r.FieldsPerRecord, r.Comment = rune(delimiter), -1, '#'
	r.ReuseRecord = true
	for {
		record, err := r.Read()
		var fault *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case errors.As(err, &fault):
			return g.refuse(before+fault.Line, "a quote stands there that does not close, or not where a cell begins").
				Hint(`write a quote inside a quoted cell twice: ""`)
		case err != nil:
			return err
		}
		cells := make([]cell, len(record))
		for i, s := range record {
			cells[i].text = strings.TrimSpace(s)
		}
		line, _ := r.FieldPos(0)
		if err := g.add(before+line, cells); err != nil {
			return err
		}
	}
}
