package delimited_test

import (
	"fmt"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/readertest"
)

// examCases are the dialects and the ways of writing, which are read, and the
// refusals.
func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, d := range dialects {
		cases = append(cases, readertest.Case{Name: d.file, Data: testdata(t, d.file), Ask: d.ask, Rows: len(d.forces)})
	}
	for _, set := range [][]written{numbers, cells, metadata} {
		for _, c := range set {
			cases = append(cases, readertest.Case{Name: c.name + ".csv", Data: []byte(c.data), Ask: c.ask, Rows: 3})
		}
	}
	for _, s := range several {
		cases = append(cases, readertest.Case{Name: s.name + ".csv", Data: []byte(s.data), Ask: s.ask, Rows: len(s.parts[0].times), Drops: len(s.parts)})
	}
	for _, r := range refusals {
		cases = append(cases, readertest.Case{Name: r.name + ".csv", Data: []byte(r.data), Ask: r.ask, Line: r.line})
	}
	return cases
}

// readOne reads a file that holds one drop.
func readOne(name string, data []byte, ask trace.Ask) (*trace.Recording, error) {
	file, err := traceio.New(delimited.Format{}).Read(name, data, ask)
	if err != nil {
		return nil, err
	}
	if len(file.Parts) != 1 {
		return nil, fmt.Errorf("%d drops, want 1", len(file.Parts))
	}
	return file.Parts[0], nil
}

func TestExam(t *testing.T) {
	cases := examCases(t)
	readertest.Exercise(t, delimited.Format{}, cases)
	readertest.Matrix(t, readertest.Exam{Format: delimited.Format{}, Cases: cases})
}
