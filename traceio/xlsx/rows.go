package xlsx

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// reading is the rows of one table on their way into a recording.
type reading struct {
	*source
	*table
	rec *trace.Recording

	force, time, stretch, gate *reader
	drops                      []*steps // of columns whose titles say drop
	mark                       byte     // before the decimals of numbers that are text; 0 while open
	unsettled                  cell     // the first text that may be 1.234 or 1234
	ended                      int      // row from which the force has nothing more
	footer                     int      // row of words below the numbers
	dayZero                    float64
	lastRow                    int
}

// reader reads the cells of one column; nil where a column is not read.
type reader struct {
	col pick.Column
	got cell // of the row in hand
	points
}

// rows reads the rows of a table and makes the recording of them, in SI.
func (s *source) rows(t *table) (*trace.Recording, error) {
	c := t.choice
	r := &reading{source: s, table: t, rec: &trace.Recording{
		Unit: c.ForceUnit.Symbol, PerMass: c.PerMass, ForceColumn: c.Force.Own(),
	}}
	r.force, r.time, r.stretch, r.gate = newReader(c.Force), newReader(c.Time), newReader(c.Stretch), newReader(c.Gate)
	r.drops = t.naming()
	r.mark = map[string]byte{"point": '.', "comma": ','}[s.ask.Decimal]
	err := s.cells(t.sheet, func(at int, cells []cell) (bool, error) {
		if at < t.first {
			return false, nil
		}
		for _, one := range []*reader{r.force, r.time, r.stretch, r.gate} {
			if one != nil {
				var ok bool
				if one.got, ok = in(cells, one.col.No); !ok {
					one.got = cell{row: at, col: one.col.No}
				}
			}
		}
		n := len(r.rec.Force)
		if err := r.row(at); err != nil || len(r.rec.Force) == n {
			return false, err
		}
		for _, d := range r.drops {
			d.see(at, cells)
		}
		return false, nil
	})
	for _, d := range r.drops {
		if err == nil || d.first > 0 {
			err = d.refuse(r, err)
		}
	}
	if err != nil {
		return nil, err
	}
	return r.finish()
}

func newReader(c pick.Column) *reader {
	if c.No == 0 {
		return nil
	}
	return &reader{col: c}
}

// row takes in one row.
func (r *reading) row(at int) error {
	force := r.force.got
	timed := r.time == nil || r.time.got.numeric()
	switch {
	case force.kind == blank && (r.time == nil || r.time.got.kind == blank):
		return nil
	case !force.numeric() && (r.time == nil || !timed) && len(r.rec.Force) > 0:
		if r.footer == 0 {
			r.footer = at
		}
		return nil
	case force.kind == blank:
		if r.ended == 0 {
			r.ended = at
		}
		return nil
	case r.ended > 0:
		return r.refuse(problem.Invalid, r.sheet, cellAt(r.ended, force.col), "%s has no value there, and goes on at row %d", r.force.col, at).
			Hint("fill the gap, or take the rows out that have no force")
	case r.footer > 0:
		return r.refuse(problem.Invalid, r.sheet, row(r.footer), "words stand there in the middle of the table, which goes on at row %d", at).
			Hint("keep one table a sheet")
	}
	v, err := r.value(r.force)
	if err != nil {
		return err
	}
	r.rec.Force = append(r.rec.Force, v)
	r.lastRow = at
	return r.besides(at)
}

// besides takes in the other columns of a row.
func (r *reading) besides(at int) error {
	if r.time != nil {
		t, err := r.moment()
		if err != nil {
			return err
		}
		if n := len(r.rec.Time); n > 0 && !(t > r.rec.Time[n-1]) {
			return r.backwards(at, t)
		}
		r.rec.Time = append(r.rec.Time, t)
	}
	if r.stretch != nil {
		if r.stretch.got.kind == blank && !r.choice.StretchAsked {
			r.choice.WithoutStretch(fmt.Sprintf("has no value at row %d", at))
			r.stretch, r.rec.Stretch = nil, nil
		} else if v, err := r.value(r.stretch); err != nil {
			return err
		} else {
			r.rec.Stretch = append(r.rec.Stretch, v)
		}
	}
	if r.gate != nil {
		v, err := r.value(r.gate)
		if err != nil {
			return err
		}
		r.rec.Gate = append(r.rec.Gate, v)
	}
	return nil
}

// moment is the time of a row: a number, or seconds since the first stamp.
func (r *reading) moment() (float64, error) {
	const day = 86400
	if r.choice.Time.Holds != pick.Stamps {
		return r.value(r.time)
	}
	c := r.time.got
	if c.kind != stamp {
		return 0, r.odd(r.time, "and the rows before it have dates or times")
	}
	if len(r.rec.Time) == 0 {
		r.dayZero = c.value
	}
	return (c.value - r.dayZero) * day, nil
}

// value is the number of a cell.
func (r *reading) value(from *reader) (float64, error) {
	c := from.got
	switch c.kind {
	case number:
		from.seeNumber(c)
		return c.value, nil
	case stamp:
		return 0, r.odd(from, "which is a date or a time")
	case mistake:
		return 0, r.odd(from, "an error")
	case unworked:
		return 0, r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%s has a formula there whose result was never stored", from.col).
			Hint("open the workbook in a spreadsheet program and save it")
	case blank:
		return 0, r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%s has no value there", from.col).
			Hint("fill the gap, or take the row out")
	}
	said := c.text
	if r.ask.Decimal != "" {
		said = ungrouped(said, r.mark)
	}
	v, ok := textNumber(said, r.mark)
	if !ok {
		why := "which is no number"
		if odd(c.text) {
			why = "which can be read in two ways"
		}
		return 0, r.odd(from, why)
	}
	r.settle(c)
	from.seeText(c)
	return v, nil
}

// settle takes the decimal mark from text that leaves no doubt: 1,5 but not
// 1,234.
func (r *reading) settle(c cell) {
	t := strings.TrimSpace(c.text)
	i := strings.IndexByte(t, ',')
	switch {
	case r.mark != 0:
	case strings.IndexByte(t, '.') >= 0:
		r.mark = '.'
	case i >= 0 && (len(t)-i-1 != 3 || strings.Trim(t[:i], "+-0") == ""):
		r.mark = ','
	case i >= 0 && r.unsettled.kind == blank:
		r.unsettled = c
	}
}

// odd refuses a cell that cannot stand in a column of numbers.
func (r *reading) odd(from *reader, why string) error {
	c := from.got
	if traceio.OverRange(c.text) {
		return r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%s holds %q there, which says that the sensor was over range: the peak is lost", from.col, traceio.Shorten(c.text)).
			Hint("nothing that is left of the file tells how high it was; drop again with a range that is wide enough")
	}
	p := r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%s holds %q there, %s", from.col, traceio.Shorten(c.text), why)
	if c.kind == text && odd(c.text) {
		return p.Hint("say what stands before the decimals: --decimal point or --decimal comma")
	}
	return p.Hint("mend the cell, or say which columns are meant: --force COLUMN --time COLUMN")
}

// finish makes the recording whole.
func (r *reading) finish() (*trace.Recording, error) {
	n := len(r.rec.Force)
	if n < 2 {
		return nil, r.refuse(problem.TooFew, r.sheet, row(r.first), "%s has %s; a trace has 2 at least", r.force.col, traceio.Count(n, "value")).
			Hint("export the recording again")
	}
	if c := r.unsettled; c.kind != blank && r.mark != ',' {
		return nil, r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%q may be %s or %s, and no cell that is read tells which", traceio.Shorten(c.text),
			strings.Replace(c.text, ",", ".", 1), strings.Replace(c.text, ",", "", 1)).
			Hint("say what stands before the decimals: --decimal comma, or take out the marks between thousands")
	}
	if err := r.pointed(); err != nil {
		return nil, err
	}
	if i := traceio.MissingCode(r.rec.Force); i >= 0 {
		return nil, r.refuse(problem.Invalid, r.sheet, row(r.first), "%s has %g again and again, far from all other values: a code of programs for a sample that is missing", r.force.col, r.rec.Force[i]).
			Hint("export the recording again without it, or cut the rows off where they stand before or after the drop")
	}
	r.choice.ForceUnit.Convert(r.rec.Force)
	if r.rec.Stretch != nil {
		r.choice.StretchUnit.Convert(r.rec.Stretch)
	}
	if r.time != nil {
		r.rec.TimeColumn = r.choice.Time.Own()
		r.choice.TimeUnit.Convert(r.rec.Time)
	} else {
		r.rec.Time = make([]float64, n)
		for i := range r.rec.Time {
			r.rec.Time[i] = float64(i) / r.choice.Rate
		}
	}
	r.rec.Notes = slices.Clone(r.choice.Notes)
	if r.another > 0 {
		r.rec.Notes = append(r.rec.Notes, note(trace.Doubtful, "another table of force or time begins at row %d and was left out; if it is a drop too, give it a sheet of its own", r.another))
	}
	if r.ended > 0 {
		r.rec.Notes = append(r.rec.Notes, note(trace.Said, "%s ends at row %d; the rows after it have no value there", r.force.col, r.lastRow))
	}
	if r.footer > 0 {
		r.rec.Notes = append(r.rec.Notes, note(trace.Said, "row %d and what follows has words below the numbers, and was left out", r.footer))
	}
	return r.rec, r.sound()
}

// sound refuses what bringing the values to SI has made of extreme ones.
func (r *reading) sound() error {
	t := r.rec.Time
	for i := range t {
		if math.IsNaN(t[i]-t[i]) || i > 0 && !(t[i] > t[i-1]) {
			return r.refuse(problem.Unreadable, r.sheet, row(r.first), "the times are too large or too close together to be told apart in seconds").
				Hint("give a rate that the logger can have: --rate HZ")
		}
	}
	for _, v := range [][]float64{r.rec.Force, r.rec.Stretch} {
		if slices.ContainsFunc(v, func(x float64) bool { return math.IsInf(x, 0) }) {
			return r.refuse(problem.Unreadable, r.sheet, row(r.first), "a value is larger than a number can be in SI").
				Hint("check the unit: --unit %s", r.choice.ForceUnit.Symbol)
		}
	}
	return nil
}
