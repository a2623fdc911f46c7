// Package uff reads traces from universal files of the ASCII kind: functions of
// time in data sets 58, with units in data set 164. docs/FORMATS.md says what is
// understood.
//
// A file is cut into its sets (sets), the head of each set 58 is read (channel),
// sets that are the same channel of several drops are put together and the force
// is chosen by the rules that all formats share (choose), then the values of
// what was chosen are read (values).
//
// The layout of the sets is that of their published descriptions [UFF58]; what a
// comment marks "from memory" is not in them.
package uff

import (
	"bytes"
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Format is UFF 58. It has no settings.
type Format struct{}

var _ traceio.Format = Format{}

// Name is the heading of the format in docs/FORMATS.md.
func (Format) Name() string { return "UFF 58" }

// Claims reports whether data begin as a universal file does: a line of -1, right
// in six columns, and the number of a set under it. One without a set 58 is
// claimed too, so that its refusal can say what it has.
func (Format) Claims(_ string, data []byte) bool {
	l := lines{rest: bytes.TrimLeft(data, "\r\n")}
	return l.next() && mark(l.text) && l.next() && number(l.text) != "" && traceio.LooksLike(data) != ""
}

// Read returns a recording for each drop: the force against time, in newtons
// and seconds, with sign and offset as recorded. It takes time proportional to
// the length of data.
//
// What cannot be read, or can be read in two ways, is refused with a
// *problem.Problem that names file and line.
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
	units  *units // of set 164; nil when there is none
}

func (s *source) read() ([]*trace.Recording, error) {
	sets, err := s.sets()
	if err != nil {
		return nil, err
	}
	var all []*channel
	for _, set := range sets {
		switch set.number {
		case "58":
			c, err := s.channel(set)
			if err != nil {
				return nil, err
			}
			all = append(all, c)
		case "164":
			if err := s.readUnits(set); err != nil {
				return nil, err
			}
		}
	}
	inTime, err := s.inTime(sets, all)
	if err != nil {
		return nil, err
	}
	c, err := s.choose(inTime)
	if err != nil {
		return nil, err
	}
	parts, err := s.drops(c)
	if err != nil {
		return nil, err
	}
	return traceio.Wanted(s.name, fmt.Sprintf("%s:%d", s.name, inTime[0].line), parts, s.ask.Part)
}

// inTime keeps the functions of time, and refuses a file without any.
func (s *source) inTime(sets []set, all []*channel) ([]*channel, error) {
	var out []*channel
	var others []string
	for _, c := range all {
		if c.ofTime() {
			out = append(out, c)
		} else if what := c.what(); !contains(others, what) {
			others = append(others, what)
		}
	}
	switch {
	case len(out) > 0:
		s.fact("sets", fmt.Sprintf("%d of type 58, %d of them functions of time", len(all), len(out)), "their heads say so", "")
		return out, nil
	case len(all) > 0:
		return nil, s.refuse(problem.Invalid, all[0].line, "no set 58 of the file is a function of time: they are %s", strings.Join(others, ", ")).
			Hint("export the time histories")
	}
	var numbers []string
	for _, set := range sets {
		if !contains(numbers, set.number) {
			numbers = append(numbers, set.number)
		}
	}
	return nil, s.refuse(problem.Invalid, 1, "the file has no set 58, which holds functions, but %s", traceio.Shorten("sets "+strings.Join(numbers, ", "))).
		Hint("export the time histories as sets 58, ASCII")
}

func contains(list []string, s string) bool {
	for _, have := range list {
		if have == s {
			return true
		}
	}
	return false
}

func (s *source) fact(what, is, why, flag string) {
	s.layout.Facts = append(s.layout.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// refuse makes a Problem about a line of the file.
func (s *source) refuse(kind problem.Kind, line int, format string, args ...any) *problem.Problem {
	return problem.New(kind, fmt.Sprintf("%s:%d", s.name, line), format, args...).
		In("nothing was read from " + s.name)
}
