package parquet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// choose settles the columns from their names, from the units that the file
// states apart from them, as "unit:NAME", and from their types.
func (s *source) choose(f *footer) (*pick.Choice, []pick.Column, error) {
	columns := make([]pick.Column, len(f.columns))
	for i, e := range f.columns {
		apart := strings.TrimSpace(f.words["unit:"+e.title])
		columns[i] = pick.NewColumn(i+1, e.title, apart)
		columns[i].Holds = e.holds()
		if u := columns[i].Unit; apart != "" && u != apart && s.ask.Unit == "" {
			return nil, nil, s.refuse(problem.Conflict, "", "%s says %s in its name, and %s under \"unit:%s\"", columns[i], u, traceio.Shorten(apart), traceio.Shorten(e.title)).
				Hint("say what the forces are in: --unit N")
		}
	}
	from := pick.Source{Name: s.name, Where: s.name, Header: true}
	if rate, err := strconv.ParseFloat(strings.TrimSpace(f.words["rate_Hz"]), 64); err == nil && rate > 0 && !math.IsInf(rate, 0) {
		from.Stated, from.StatedBy = rate, "the file's metadata, rate_Hz"
	}
	c, err := pick.Choose(from, columns, s.ask)
	if err != nil {
		s.layout.Columns = pick.Columns(columns, nil)
		return nil, nil, err
	}
	for _, used := range c.Used() {
		if used.Holds == pick.Words || used.Holds == pick.Stamps && used.No != c.Time.No {
			return nil, nil, s.refuse(problem.Invalid, "", "%s does not hold numbers", used).
				Hint("choose columns of numbers: %s", pick.Catalogue(numbers(columns)))
		}
	}
	return c, columns, nil
}

func numbers(columns []pick.Column) []pick.Column {
	return slices.DeleteFunc(slices.Clone(columns), func(c pick.Column) bool { return c.Holds != pick.Numbers })
}

// read are the values of each column that is read, row by row.
type read map[int][]float64

// record reads the columns and makes the recording of them, in SI.
func (s *source) record(f *footer, c *pick.Choice, columns []pick.Column) (*trace.Recording, error) {
	used := c.Used()
	if err := s.affords(f.rows, len(used)); err != nil {
		return nil, err
	}
	v, err := s.values(f, used)
	if err != nil {
		return nil, err
	}
	show(columns, v)
	from, to, err := s.span(c, v[c.Force.No])
	if err != nil {
		return nil, err
	}
	rec := &trace.Recording{Unit: c.ForceUnit.Symbol, PerMass: c.PerMass, ForceColumn: c.Force.Own(), Force: v[c.Force.No][from:to]}
	if err := s.times(c, v, from, to, rec); err != nil {
		return nil, err
	}
	if err := s.besides(c, v, from, to, rec); err != nil {
		return nil, err
	}
	c.ForceUnit.Convert(rec.Force)
	for i, f := range rec.Force {
		if math.IsInf(f, 0) {
			return nil, s.refuse(problem.Unreadable, row(from+i), "%s is larger there than a number can be in newtons", c.Force).
				Hint("check the unit: --unit %s", c.ForceUnit.Symbol)
		}
	}
	s.understood(f, c, columns, rec)
	return rec, nil
}

// show gives the columns that were read their first values, to know them by.
func show(columns []pick.Column, v read) {
	const most = 5
	for i := range columns {
		for _, x := range v[columns[i].No] {
			if len(columns[i].Cells) == most {
				break
			}
			if !math.IsNaN(x) {
				columns[i].Cells = append(columns[i].Cells, strconv.FormatFloat(x, 'g', -1, 64))
			}
		}
	}
}

// affords refuses more rows than the memory for them may take.
func (s *source) affords(rows int64, columns int) error {
	most := int64(max(LeastMemory, MostTimes*len(s.data)))
	if columns = max(2, columns); rows > most/8/int64(columns) {
		return s.refuse(problem.Unreadable, "", "%d rows of %d columns take more memory than %d MiB, the limit for a file of %d bytes (%d times its size, %d MiB at least)",
			rows, columns, most>>20, len(s.data), MostTimes, LeastMemory>>20).
			Hint("export the recording in parts")
	}
	return nil
}

// values reads the columns that are used.
func (s *source) values(f *footer, used []pick.Column) (read, error) {
	wanted := make([]int, len(used))
	for i, c := range used {
		wanted[i] = c.No - 1
	}
	chunks, err := s.chunks(f, wanted)
	if err != nil {
		return nil, err
	}
	out := read{}
	for i, c := range used {
		d := s.decoderOf(f.columns[c.No-1], f.rows)
		for _, one := range chunks[i] {
			if err := s.pages(one, d); err != nil {
				return nil, err
			}
		}
		out[c.No] = d.values
	}
	return out, nil
}

// span is where the force begins and ends; nulls before and after it are let be,
// a null within it is refused.
func (s *source) span(c *pick.Choice, force []float64) (from, to int, err error) {
	for from < len(force) && math.IsNaN(force[from]) {
		from++
	}
	to = len(force)
	for to > from && math.IsNaN(force[to-1]) {
		to--
	}
	if to-from < 2 {
		return 0, 0, s.refuse(problem.TooFew, "", "%s has %s; a trace has 2 at least", c.Force, traceio.Count(to-from, "value")).
			Hint("export the recording again, or choose another column with --force")
	}
	for i := from; i < to; i++ {
		if math.IsNaN(force[i] - force[i]) {
			return 0, 0, s.missing(c.Force, i, force[i])
		}
	}
	if from > 0 {
		c.Notes = append(c.Notes, trace.Note{Grade: trace.Said, Text: fmt.Sprintf("%s begins at row %d; the %s before it have no value there", c.Force, from+1, traceio.Count(from, "row"))})
	}
	if rest := len(force) - to; rest > 0 {
		c.Notes = append(c.Notes, trace.Note{Grade: trace.Said, Text: fmt.Sprintf("%s ends at row %d; the %s after it have no value there", c.Force, to, traceio.Count(rest, "row"))})
	}
	return from, to, nil
}

// missing refuses a value that is not there or not finite.
func (s *source) missing(c pick.Column, i int, v float64) error {
	what := "has no value there"
	if math.IsInf(v, 0) {
		what = "is infinite there"
	}
	return s.refuse(problem.Invalid, row(i), "%s %s", c, what).
		Hint("fill the gap, or take the rows out that have no value")
}

// times sets the times: from the rate, or from the column, in seconds.
func (s *source) times(c *pick.Choice, v read, from, to int, rec *trace.Recording) error {
	if c.Time.No == 0 {
		rec.Time = make([]float64, to-from)
		for i := range rec.Time {
			rec.Time[i] = float64(i) / c.Rate
		}
	} else {
		rec.TimeColumn = c.Time.Own()
		rec.Time = v[c.Time.No][from:to]
		first := 0.0
		if c.Time.Holds == pick.Stamps {
			first = rec.Time[0]
		}
		for i, t := range rec.Time {
			if math.IsNaN(t - t) {
				return s.missing(c.Time, from+i, t)
			}
			rec.Time[i] = c.TimeUnit.SI(t - first)
		}
	}
	for i := range rec.Time {
		if t := rec.Time[i]; math.IsNaN(t-t) || i > 0 && !(t > rec.Time[i-1]) {
			return s.refuse(problem.Invalid, row(from+i), "time does not rise: %g s there, after %g s", t, rec.Time[max(0, i-1)]).
				Hint("give the logger's sample rate: --rate HZ")
		}
	}
	return nil
}

// besides sets the stretch and the gate.
func (s *source) besides(c *pick.Choice, v read, from, to int, rec *trace.Recording) error {
	gap := func(of []float64) int {
		return slices.IndexFunc(of, func(x float64) bool { return math.IsNaN(x - x) })
	}
	if c.Stretch.No > 0 {
		of := v[c.Stretch.No][from:to]
		c.StretchUnit.Convert(of)
		switch i := gap(of); {
		case i < 0:
			rec.Stretch = of
		case c.StretchAsked:
			return s.missing(c.Stretch, from+i, of[i])
		default:
			c.WithoutStretch(fmt.Sprintf("has no value at row %d", from+i+1))
		}
	}
	if c.Gate.No > 0 {
		rec.Gate = v[c.Gate.No][from:to]
		if i := gap(rec.Gate); i >= 0 {
			return s.missing(c.Gate, from+i, rec.Gate[i])
		}
	}
	return nil
}

// understood writes down what was understood.
func (s *source) understood(f *footer, c *pick.Choice, columns []pick.Column, rec *trace.Recording) {
	rec.Notes = c.Notes
	s.fact("rows", fmt.Sprint(f.rows), "the footer says so", "")
	s.layout.Facts = append(s.layout.Facts, c.Facts...)
	if c.Time.No > 0 {
		s.layout.Facts = append(s.layout.Facts, pick.Evenness(rec))
	}
	s.layout.Columns = pick.Columns(columns, c)
}
