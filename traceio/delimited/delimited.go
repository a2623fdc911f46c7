// Package delimited reads traces from delimited text: one row a sample, cells
// parted by commas, semicolons, tabs, bars or runs of spaces, or aligned in
// fixed width, in whichever dialect a logger or a spreadsheet wrote it; one drop
// in a file, or several beside or below each other. docs/FORMATS.md says what is
// understood.
//
// The bytes are brought to UTF-8 (decode). The head of the file tells where the
// table begins, how cells are parted and what the columns are called (find).
// From these package pick chooses the columns (choose), and the decimal mark is
// settled (settle). Then the rows are read (rows), many at a time where they are
// plain (plain), and their times tell the drops apart (drops). Where the bytes
// leave two readings open, the file is refused with both named.
package delimited

import (
	"fmt"
	"slices"

	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// Format is delimited text. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "Delimited text" }

// Claims reports whether data may be text in UTF-8, UTF-16 or Latin-1. Text
// without a table is claimed too, so that its refusal can say what was looked
// for.
func (Format) Claims(_ string, data []byte) bool { return traceio.LooksLike(data) == "" }

// Read returns the drops of the table in data: force against time, or against a
// rate, in newtons and seconds, with sign and offset as recorded. It takes time
// proportional to the length of data.
//
// What cannot be read, or can be read in two ways, is refused with a
// *problem.Problem that names file and line.
func (f Format) Read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	if file, ok := f.stream(name, held(data), int64(len(data)), ask, firstHead, max(chunkBytes, len(data)/16)); ok {
		return file, nil
	}
	return f.read(name, data, ask, chunkBytes)
}

// read is Read with the bytes of a long file that are read at a time; 0 takes
// every row by itself.
func (f Format) read(name string, data []byte, ask trace.Ask, chunk int) (*trace.File, error) {
	file := &trace.File{Layout: trace.Layout{Format: f.Name()}}
	if err := traceio.Check(name, ask); err != nil {
		return file, err
	}
	data, encoding := decode(data)
	s := source{name: name, ask: ask, data: data, layout: &file.Layout, glance: true, chunk: chunk}
	for {
		file.Layout = trace.Layout{Format: f.Name(), Facts: []trace.Fact{encoding}}
		parts, glanced, err := s.read()
		if err == nil {
			file.Parts = parts
			return file, nil
		}
		if !glanced {
			return file, err
		}
		s.glance = false // nothing is refused on the word of a glance
	}
}

// read reads the file's drops and tells the layout. glanced says that it did so
// on the word of a short head.
func (s source) read() (parts []*trace.Recording, glanced bool, err error) {
	t, err := s.find()
	if err != nil {
		return nil, false, err
	}
	s.tell(t)
	groups, err := s.choose(t)
	s.layout.Columns = pick.Columns(t.columns, groups[0].choice)
	s.tellChoice(groups)
	if err != nil {
		return nil, t.glanced, t.rates.hint(err)
	}
	if groups[0].choice.Rate > 0 && s.ask.Rate == 0 && t.rates.second.rate > 0 {
		return nil, t.glanced, s.disagree(t.rates.first, t.rates.second)
	}
	parts, err = s.parts(t, groups)
	return parts, t.glanced, err
}

// parts reads the drops of all groups and keeps those that are asked for.
func (s source) parts(t *table, groups []group) ([]*trace.Recording, error) {
	var columns []int
	for _, g := range groups {
		for _, c := range g.choice.Used() {
			if c.Holds != pick.Stamps {
				columns = append(columns, c.No-1)
			}
		}
	}
	d, err := s.settle(t, columns)
	if err != nil {
		return nil, err
	}
	if groups[0].choice.Rate > 0 && s.ask.Rate == 0 {
		if err := s.open(t.rates.first, d); err != nil {
			return nil, err
		}
	}
	var parts []*trace.Recording
	var drops []drop
	for _, g := range groups {
		r := s.newRows(t, g.choice, d)
		read, ds, err := r.record(g.name)
		if err != nil {
			return nil, err
		}
		for _, rec := range read {
			if rec.TimeColumn != "" {
				rec.Notes = append(rec.Notes, t.rates.doubt(rec.Time, g.choice.Time)...)
			}
		}
		parts, drops = append(parts, read...), append(drops, ds...)
	}
	s.tellChoice(groups)
	s.tellDrops(t, groups, parts, drops)
	nameDrops(parts)
	return s.wanted(t, parts)
}

// source is a file and what is asked of it.
type source struct {
	name   string
	data   []byte // in UTF-8 or Latin-1
	ask    trace.Ask
	layout *trace.Layout
	chunk  int   // bytes of a long file that are read at a time; 0 takes every row by itself
	glance bool  // a short head may do where a table is plain
	rest   *rest // of a file of which data is but the head; nil where it is all
}

// fact adds to what was understood of the file.
func (s source) fact(what, is, why, flag string) {
	s.layout.Facts = append(s.layout.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// tell says what is known of the table.
func (s source) tell(t *table) {
	word := map[byte]string{single: "none", fixed: "fixed width"}[t.delim]
	for name, d := range delimiters {
		if d == t.delim {
			word = name
		}
	}
	var why string
	switch {
	case s.ask.Delimiter != "":
		why = "--delimiter says so"
	case t.delim == single:
		why = "each row has one cell"
	case t.delim == fixed:
		why = "columns are aligned by blanks, and rows have blank cells"
	default:
		why = fmt.Sprintf("rows have %s parted by it", traceio.Count(t.width, "cell"))
	}
	s.fact("delimiter", word, why, "--delimiter")
	switch {
	case t.header > 0 && t.unitsAt > 0:
		s.fact("header", fmt.Sprintf("line %d", t.header), fmt.Sprintf("it names the columns, and line %d their units", t.unitsAt), "")
	case t.header > 0:
		s.fact("header", fmt.Sprintf("line %d", t.header), "it names the columns", "")
	default:
		s.fact("header", "none", "no line above the rows names the columns", "")
	}
	s.fact("first row", fmt.Sprintf("line %d", t.lines[t.first].no), "numbers begin there", "")
}

// tellChoice says which columns are read, and why, or says it anew where reading
// has changed it. Of several groups it is the first that speaks for all.
func (s source) tellChoice(groups []group) {
	for _, f := range groups[0].choice.Facts {
		same := func(o trace.Fact) bool { return o.What == f.What }
		if i := slices.IndexFunc(s.layout.Facts, same); i >= 0 {
			s.layout.Facts[i] = f
		} else {
			s.layout.Facts = append(s.layout.Facts, f)
		}
	}
}

// tellDrops says how many drops there are and by what, and the rate of the first.
func (s source) tellDrops(t *table, groups []group, parts []*trace.Recording, drops []drop) {
	if groups[0].choice.Time.No > 0 {
		s.layout.Facts = append(s.layout.Facts, pick.Evenness(parts[0]))
	}
	used := map[int]string{}
	for _, g := range groups {
		for _, c := range pick.Columns(t.columns, g.choice) {
			if c.Use != "" {
				used[c.No] = c.Use
			}
		}
	}
	for i := range s.layout.Columns {
		s.layout.Columns[i].Use = used[s.layout.Columns[i].No]
	}
	switch {
	case len(groups) > 1 && groups[0].choice.Time.No == groups[1].choice.Time.No:
		s.fact("drops", fmt.Sprint(len(parts)), fmt.Sprintf("the titles of %d columns name the drop", len(groups)), "--part")
	case len(groups) > 1:
		s.fact("drops", fmt.Sprint(len(parts)), fmt.Sprintf("%d groups of columns with the same titles, each with a time", len(groups)), "--part")
	case len(parts) > 1:
		s.fact("drops", fmt.Sprint(len(parts)), "the second begins with "+drops[1].how.String(), "--part")
	default:
		s.fact("drops", "1", "nothing parts the rows", "")
	}
}
