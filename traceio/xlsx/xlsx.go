// Package xlsx reads traces from the tables of a spreadsheet: a workbook of the
// Office Open XML kind, a sheet a drop or several. docs/FORMATS.md says what is
// understood.
//
// A workbook is opened once: its sheets, date formats and shared texts (open).
// The head of each sheet is looked at for a table (find), the columns are chosen
// by the rules that all formats share (look), and the rows of what was chosen
// are read in one pass over the sheet (rows). Nothing is unpacked that is not
// wanted, and no sheet is held in memory, but for one of several drops (several).
//
// The parts are read by our own scanner and not by a library, because the ones
// at hand either hold a sheet in memory whole or give its cells as text, without
// the number format by which a date is known or the kind by which an error is.
package xlsx

import (
	"bytes"
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// Limits on what is read, all our own but those of the format.
const (
	// MostUnpacked is how many bytes a workbook may have when it is unpacked, and
	// MostTimes how many times its size, where that is above LeastUnpacked.
	MostUnpacked  = 1 << 30
	MostTimes     = 100
	LeastUnpacked = 64 << 20
	// MostRows and MostColumns are the format's own [ECMA376].
	MostRows    = 1 << 20
	MostColumns = 1 << 14
	// MostSheets is how many sheets are looked at.
	MostSheets = 1000
	// HeadRows is how many rows are searched for the beginning of a table.
	HeadRows = 1000
	// LongestText is how many bytes may stand between two tags of a part.
	LongestText = 1 << 20
)

// Format is a spreadsheet. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "Spreadsheet" }

// Claims reports whether data are a zip that names [Content_Types].xml and a
// part under xl/.
func (Format) Claims(_ string, data []byte) bool {
	const near = 1 << 16
	if !bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		return false
	}
	head, tail := data[:min(len(data), near)], data[max(0, len(data)-near):]
	names := func(what string) bool {
		return bytes.Contains(head, []byte(what)) || bytes.Contains(tail, []byte(what))
	}
	return names("[Content_Types].xml") && names("xl/")
}

// Read returns a recording for each sheet that is a drop: the force against
// time, in newtons and seconds, with sign and offset as recorded. It takes time
// proportional to the unpacked length, and memory for the samples and the
// shared texts alone.
//
// What cannot be read, or can be read in two ways, is refused with a
// *problem.Problem that names file, sheet and row or cell.
func (f Format) Read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	file := &trace.File{Layout: trace.Layout{Format: f.Name()}}
	if err := traceio.Check(name, ask); err != nil {
		return file, err
	}
	s := &source{name: name, data: data, ask: ask, layout: &file.Layout}
	parts, err := s.read()
	if err != nil {
		return file, err
	}
	file.Parts = parts
	return file, nil
}

// source is a file, what is asked of it, and what was understood so far.
type source struct {
	name   string
	data   []byte
	ask    trace.Ask
	layout *trace.Layout
	book   *book
}

func (s *source) read() ([]*trace.Recording, error) {
	if err := s.open(); err != nil {
		return nil, err
	}
	tables, looked, err := s.tables()
	if err != nil {
		return nil, err
	}
	s.understood(tables, looked)
	var out []*trace.Recording
	samples := 0
	for _, t := range tables {
		parts, err := s.readSheet(t)
		if err != nil {
			return nil, err
		}
		nameDrops(parts, t, len(tables) > 1)
		for _, rec := range parts {
			samples += len(rec.Force)
		}
		if samples > max(MostRows, len(s.data)) {
			return nil, s.refuse(problem.Unreadable, t.sheet, "", "up to here the sheets have %d samples, more than the file has bytes, which is our limit", samples).
				Hint("read the sheets one by one: --sheet NAME")
		}
		out = append(out, parts...)
	}
	ownNames(out)
	s.understood(tables, looked) // again: a stretch may have turned out to have gaps, or a sheet to hold several drops
	if tables[0].parts == nil && out[0].TimeColumn != "" {
		s.layout.Facts = append(s.layout.Facts, pick.Evenness(out[0]))
	}
	return traceio.Wanted(s.name, s.name, out, s.ask.Part)
}

// nameDrops puts the name of the sheet before that of each drop, where there are
// several sheets.
func nameDrops(parts []*trace.Recording, t *table, several bool) {
	for _, rec := range parts {
		if several {
			rec.Part = strings.TrimSpace(traceio.Clean(t.sheet.name) + " " + rec.Part)
		}
	}
}

// ownNames gives a number to those of several drops whose name would tell none
// apart.
func ownNames(parts []*trace.Recording) {
	seen := map[string]bool{"": true}
	for i, rec := range parts {
		if len(parts) > 1 && seen[rec.Part] {
			rec.Part = fmt.Sprintf("drop %d", i+1)
		}
		seen[rec.Part] = true
	}
}

func (s *source) fact(what, is, why, flag string) {
	s.layout.Facts = append(s.layout.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// whole refuses the file as such.
func (s *source) whole(kind problem.Kind, format string, args ...any) *problem.Problem {
	return problem.New(kind, s.name, format, args...).In("nothing was read from " + s.name)
}

// refuse makes a Problem about a place in a sheet: ", row 7", ", cell B7", or ""
// for all of it.
func (s *source) refuse(kind problem.Kind, in *sheet, place, format string, args ...any) *problem.Problem {
	return problem.New(kind, s.where(in, place), format, args...).In("nothing was read from " + s.name)
}

func (s *source) where(in *sheet, place string) string {
	return fmt.Sprintf("%s, sheet \"%s\"%s", s.name, traceio.Shorten(in.name), place)
}

func row(n int) string { return fmt.Sprintf(", row %d", n) }

func cellAt(r, c int) string { return fmt.Sprintf(", cell %s%d", letters(c), r) }

// letters are the name of column c, from 1: A, Z, AA.
func letters(c int) string {
	var out []byte
	for ; c > 0; c = (c - 1) / 26 {
		out = append([]byte{byte('A' + (c-1)%26)}, out...)
	}
	return string(out)
}
