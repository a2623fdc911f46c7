// Package parquet reads traces from Apache Parquet files with a flat schema: one
// row a sample. docs/FORMATS.md says what is understood.
//
// The footer is read first (open): it names the columns, with their types. The
// columns are chosen by the rules that all formats share (choose), and of these
// alone the pages are unpacked and decoded (chunks, pages, decode).
//
// Footer and pages are read here and not by a library: parquet-go 0.32.0 takes a
// length that a hostile footer states on trust (1.4 GiB for 150 bytes), and doubles
// its memory without end on a damaged LZ4 page. Layout and encodings:
// [Parquet2024].
package parquet

import (
	"fmt"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Limits on what is read, all our own.
const (
	// MostTimes is how many times the file its samples may be in memory, at 8
	// bytes a value of each column that is read, where that is above LeastMemory.
	MostTimes   = 16
	LeastMemory = 64 << 20
	// MostPageTimes is how many times the file one page may unpack to, where that
	// is above LeastPage.
	MostPageTimes = 4
	LeastPage     = 32 << 20
	// MostColumns is how many columns a file may have.
	MostColumns = 4096
)

// Format is Parquet. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "Parquet" }

// Claims reports whether data begin as a Parquet file does, plain or encrypted,
// and are no text.
func (Format) Claims(_ string, data []byte) bool {
	return begins(data) && traceio.LooksLike(data) != ""
}

func begins(data []byte) bool {
	return len(data) >= 4 && (string(data[:4]) == "PAR1" || string(data[:4]) == "PARE")
}

// Read returns the force column against the time column, or against the rate
// asked for, in newtons and seconds, with sign and offset as recorded. It takes
// time proportional to the unpacked length of the columns that are read.
//
// What cannot be read, or can be read in two ways, is refused with a
// *problem.Problem that names file and row.
func (f Format) Read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	file := &trace.File{Layout: trace.Layout{Format: f.Name()}}
	if err := traceio.Check(name, ask); err != nil {
		return file, err
	}
	s := &source{name: name, data: data, ask: ask, layout: &file.Layout}
	rec, err := s.read()
	if err != nil {
		return file, err
	}
	file.Parts, err = traceio.Wanted(name, name, []*trace.Recording{rec}, ask.Part)
	return file, err
}

// source is a file, what is asked of it, and what was understood so far.
type source struct {
	name   string
	data   []byte
	ask    trace.Ask
	layout *trace.Layout
}

func (s *source) read() (*trace.Recording, error) {
	f, err := s.open()
	if err != nil {
		return nil, err
	}
	c, columns, err := s.choose(f)
	if err != nil {
		return nil, err
	}
	return s.record(f, c, columns)
}

func (s *source) fact(what, is, why, flag string) {
	s.layout.Facts = append(s.layout.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// refuse makes a Problem about a place in the file, "" for all of it.
func (s *source) refuse(kind problem.Kind, place, format string, args ...any) *problem.Problem {
	return problem.New(kind, s.name+place, format, args...).In("nothing was read from " + s.name)
}

// damaged refuses bytes that cannot be what a program wrote.
func (s *source) damaged(format string, args ...any) *problem.Problem {
	return s.refuse(problem.Unreadable, "", "the file is damaged or cut off: "+format, args...).Hint("export the recording again")
}

// row is a place in the file, rows counted from 1.
func row(i int) string { return fmt.Sprintf(", row %d", i+1) }
