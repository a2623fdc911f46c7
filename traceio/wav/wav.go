// Package wav reads traces from WAV files: samples at an even rate, in one or
// several channels, as a sound card or a data logger writes them. The samples
// have no unit; what force a sample of 1 stands for comes from the command line,
// from a side-car beside the file or from a remark in it. docs/FORMATS.md says
// what is understood.
//
// A file is taken apart once (parts), then one channel of it is decoded
// (decode) and brought to newtons (scale, record).
package wav

import (
	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Format is WAV. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "WAV" }

// Claims reports whether data begin as a WAV file does, with RIFF or RF64 (or
// their kin) and the form WAVE, and are no text.
func (Format) Claims(_ string, data []byte) bool {
	return begins(data) && traceio.LooksLike(data) != ""
}

func begins(data []byte) bool {
	if len(data) < 12 || string(data[8:12]) != "WAVE" {
		return false
	}
	switch string(data[:4]) {
	case "RIFF", "RIFX", "RF64", "BW64":
		return true
	}
	return false
}

// Read returns the force channel of data at the file's own rate, or at the rate
// asked for, in newtons and seconds, with sign and offset as recorded. A sample
// of 1, which for whole numbers is half their range, is the full scale: force =
// sample * full scale. It takes time and memory proportional to the length of
// data, 16 bytes a sample at most beside a gate.
//
// What cannot be read is refused with a *problem.Problem that names the file,
// or the side-car and its line.
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
	notes  []trace.Note
	pull   trace.Pull // as the side-car says
}

func (s *source) read() (*trace.Recording, error) {
	p, err := s.parts()
	if err != nil {
		return nil, err
	}
	car, err := s.sideCar()
	if err != nil {
		return nil, err
	}
	k, err := s.scale(p, car)
	if err != nil {
		return nil, err
	}
	c, err := s.choose(p, car, k)
	if err != nil {
		return nil, err
	}
	return s.record(p, c, k)
}

func (s *source) note(g trace.Grade, text string) {
	s.notes = append(s.notes, trace.Note{Grade: g, Text: text})
}

func (s *source) fact(what, is, why, flag string) {
	s.layout.Facts = append(s.layout.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// refuse makes a Problem about a place in the file, "" for all of it.
func (s *source) refuse(kind problem.Kind, place, format string, args ...any) *problem.Problem {
	return problem.New(kind, s.name+place, format, args...).In("nothing was read from " + s.name)
}
