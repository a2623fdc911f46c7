package xlsx

import (
	"math"
	"strconv"
	"time"

	"fallwright.example/trace"
)

// Cell is a cell of a sheet for a reader of other tables than traces.
type Cell struct {
	Column int     // from 1
	Text   string  // as it is shown: a number with the digits that tell it from others, a date as 2026-05-04
	Number float64 // where IsNumber
	// IsNumber says that it is stored as a number, and is no date.
	IsNumber bool
	// Wrong says why it has no value: an error such as #DIV/0!, or a formula
	// without a stored result; empty otherwise.
	Wrong string
}

// Sheet goes over the rows of one sheet of a workbook, from the top; see gets the
// cells of a row that are not blank, from left to right, and may not keep them.
// wanted is the sheet's name or its number from 1; empty means the first. It
// returns the names of the sheet and of all sheets. What cannot be read is a
// *problem.Problem; an error of see ends it and is returned.
func Sheet(name string, data []byte, wanted string, see func(row int, cells []Cell) error) (sheet string, all []string, err error) {
	s := &source{name: name, data: data, ask: trace.Ask{Sheet: wanted}, layout: &trace.Layout{}}
	if err := s.open(); err != nil {
		return "", nil, err
	}
	for _, one := range s.book.sheets {
		all = append(all, one.name)
	}
	asked, err := s.asked()
	if err != nil {
		return "", all, err
	}
	var out []Cell
	err = s.cells(asked[0], func(row int, cells []cell) (bool, error) {
		out = out[:0]
		for _, c := range cells {
			out = append(out, s.book.plainly(c))
		}
		return false, see(row, out)
	})
	return asked[0].name, all, err
}

func (b *book) plainly(c cell) Cell {
	out := Cell{Column: c.col, Text: c.text}
	switch c.kind {
	case number:
		out.IsNumber, out.Number, out.Text = true, c.value, strconv.FormatFloat(c.value, 'f', -1, 64)
		if a := math.Abs(c.value); a >= 1e15 || a > 0 && a < 1e-6 {
			out.Text = strconv.FormatFloat(c.value, 'g', -1, 64)
		}
	case stamp:
		out.Text = b.date(c.value)
	case mistake:
		out.Wrong = c.text
	case unworked:
		out.Text, out.Wrong = "", "a formula without a stored result"
	}
	return out
}

// date is the day and time of a stored number of days [ECMA376, 18.17.4.1]: from
// 30 December 1899, by which every day since March 1900 comes out right, or from
// 1 January 1904. A time of day alone has no date.
func (b *book) date(days float64) string {
	origin := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if b.from04 {
		origin = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	if !(days >= 0 && days < 2958466) { // 31 December 9999
		return strconv.FormatFloat(days, 'g', -1, 64)
	}
	at := origin.AddDate(0, 0, int(days)).Add(time.Duration(math.Round((days-math.Floor(days))*86400)) * time.Second)
	switch {
	case days < 1:
		return at.Format("15:04:05")
	case at.Hour() == 0 && at.Minute() == 0 && at.Second() == 0:
		return at.Format("2006-01-02")
	}
	return at.Format("2006-01-02 15:04:05")
}
