package xlsx

import (
	"errors"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// A sheet that is not one drop may hold several, below each other or side by
// side. It is then written down as text, a line a row, and read as text is: by
// the same rules, and by the same code.

// mostTimesText is how many times the size of the workbook the text of a sheet
// may be, beside 1 MiB: our own limit.
const mostTimesText = 6

var errNoText = errors.New("the sheet is not read as text")

// several reads the drops of a sheet that holds several; nil when it does not.
func (s *source) several(in *sheet) *trace.File {
	text, err := s.asText(in)
	if err != nil {
		return nil
	}
	ask := s.ask
	ask.Delimiter, ask.Decimal, ask.Sheet, ask.Part = "tab", "point", "", ""
	file, err := delimited.Format{}.Read(s.name, text, ask)
	if err != nil || len(file.Parts) < 2 {
		return nil
	}
	ofText := func(f trace.Fact) bool {
		return slices.Contains([]string{"encoding", "delimiter", "decimal", "decimal mark", "first row"}, f.What)
	}
	file.Layout.Facts = slices.DeleteFunc(file.Layout.Facts, ofText)
	clock := false
	for i := range file.Layout.Facts {
		f := &file.Layout.Facts[i]
		f.Is, f.Why = inRows(f.Is), inRows(f.Why)
		clock = clock || f.What == "unit of time" && f.Is == "times of day"
	}
	for _, rec := range file.Parts {
		for i := range rec.Notes {
			rec.Notes[i].Text = inRows(rec.Notes[i].Text)
		}
		if clock { // a sheet counts from the first
			for i, first := 0, rec.Time[0]; i < len(rec.Time); i++ {
				rec.Time[i] -= first
			}
		}
	}
	return file
}

var lineNumber = regexp.MustCompile(`\bline(s?) ([0-9])`)

// inRows speaks of rows where text has lines.
func inRows(s string) string { return lineNumber.ReplaceAllString(s, "row$1 $2") }

// asText writes a sheet as text: a line a row, tabs between cells, points before
// decimals.
func (s *source) asText(in *sheet) ([]byte, error) {
	mark, err := s.markOf(in)
	if err != nil {
		return nil, err
	}
	most := 1<<20 + mostTimesText*len(s.data)
	var out []byte
	line := 1
	s.book.left = s.book.allowed
	err = s.cells(in, func(at int, cells []cell) (bool, error) {
		for ; line < at; line++ {
			out = append(out, '\n')
		}
		col := 1
		for _, c := range cells {
			for ; col < c.col; col++ {
				out = append(out, '\t')
			}
			if out, err = s.book.write(out, c, mark); err != nil {
				return true, err
			}
		}
		if len(out) > most {
			return true, errNoText
		}
		return false, nil
	})
	return append(out, '\n'), err
}

// markOf is the mark before the decimals of numbers that are text: as asked, or
// as those show that leave no doubt.
func (s *source) markOf(in *sheet) (byte, error) {
	if s.ask.Decimal != "" {
		return map[string]byte{"point": '.', "comma": ','}[s.ask.Decimal], nil
	}
	r := &reading{source: s}
	var comma, point, open bool
	s.book.left = s.book.allowed
	err := s.cells(in, func(_ int, cells []cell) (bool, error) {
		for _, c := range cells {
			if c.kind != text || !c.numeric() {
				continue
			}
			r.mark, r.unsettled = 0, cell{}
			var p points
			r.settle(c)
			p.seeText(c)
			switch {
			case odd(c.text) && strings.ContainsAny(c.text, ",") && strings.ContainsAny(c.text, "."), r.unsettled.kind != blank, p.three.kind != blank:
				open = true
			case r.mark == ',':
				comma = true
			case r.mark == '.':
				point = true
			}
		}
		return false, nil
	})
	switch {
	case err != nil:
		return 0, err
	case comma && point, open && !comma && !point:
		return 0, errNoText
	case comma:
		return ',', nil
	}
	return '.', nil
}

// write puts a cell into text.
func (b *book) write(out []byte, c cell, mark byte) ([]byte, error) {
	switch c.kind {
	case number:
		return strconv.AppendFloat(out, c.value, 'g', -1, 64), nil
	case stamp:
		return append(out, b.moment(c.value)...), nil
	case mistake:
		return append(out, "error "+plainText.Replace(c.text)...), nil
	case unworked:
		return append(out, "formula without a stored result"...), nil
	}
	if !c.numeric() {
		return append(out, plainText.Replace(c.text)...), nil
	}
	v, ok := textNumber(ungrouped(c.text, mark), mark)
	if !ok {
		return nil, errNoText
	}
	return strconv.AppendFloat(out, v, 'g', -1, 64), nil
}

// plainText takes out what means something between the cells of text.
var plainText = strings.NewReplacer("\t", " ", "\r", " ", "\n", " ", `"`, "'")

// moment is a stored number of days as text has it: the day and the time to the
// microsecond, or the time alone.
func (b *book) moment(days float64) string {
	whole := math.Floor(days)
	at := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if b.from04 {
		at = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	at = at.AddDate(0, 0, int(max(0, min(whole, 2958466)))).
		Add(time.Duration(math.Round((days-whole)*86400e6)) * time.Microsecond)
	if days < 1 {
		return at.Format("15:04:05.000000")
	}
	return at.Format("2006-01-02T15:04:05.000000")
}

// readSheet reads the table of a sheet as one drop, or as several where it is
// not one.
func (s *source) readSheet(t *table) ([]*trace.Recording, error) {
	if t.parts != nil {
		return t.parts, nil
	}
	rec, err := s.rows(t)
	if err == nil && t.another == 0 {
		return []*trace.Recording{rec}, nil
	}
	if s.split(t) {
		return t.parts, nil
	}
	return []*trace.Recording{rec}, err
}

// split reads the drops of a table's sheet where it holds several.
func (s *source) split(t *table) bool {
	file := s.several(t.sheet)
	if file == nil {
		return false
	}
	t.parts, t.layout = file.Parts, file.Layout
	for _, rec := range t.parts {
		rec.Part = traceio.Clean(rec.Part)
	}
	return true
}
