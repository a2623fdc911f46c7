// Package delimited reads traces from delimited text: one row a sample, cells
// parted by commas, semicolons, tabs or runs of spaces, in whichever dialect a
// logger or a spreadsheet wrote it. docs/FORMATS.md says what is understood.
//
// A file is looked at once: its head tells where the table begins, how cells
// are parted and what the columns are called (find). From these the force and
// the time column are chosen (choose) and the decimal mark is settled (settle).
// Then one loop over the bytes reads the two columns (rows). Where the bytes
// leave two readings open, the file is refused with both named.
package delimited

import (
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Format is delimited text. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "Delimited text" }

// Claims reports whether data may be text in UTF-8 or Latin-1. Text without a
// table is claimed too, so that its refusal can say what was looked for.
func (Format) Claims(_ string, data []byte) bool { return traceio.LooksLike(data) == "" }

// Read returns the force column of the table in data against its time column,
// or against the rate asked for, in newtons and seconds, with sign and offset
// as recorded. It takes time proportional to the length of data.
//
// What cannot be read, or can be read in two ways, is refused with a
// *problem.Problem that names file and line.
func (Format) Read(name string, data []byte, ask traceio.Ask) (*trace.Recording, error) {
	if err := ask.Check(name); err != nil {
		return nil, err
	}
	s := source{name: name, data: data, ask: ask}
	t, err := s.find()
	if err != nil {
		return nil, err
	}
	c, err := s.choose(t)
	if err != nil {
		return nil, err
	}
	if err := s.settle(t, c); err != nil {
		return nil, err
	}
	return s.record(t, c)
}

// source is a file and what is asked of it.
type source struct {
	name string
	data []byte
	ask  traceio.Ask
}
