package delimited_test

import (
	"testing"

	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/readertest"
)

// examCases are the dialects, which are read, and the refusals.
func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, d := range dialects {
		cases = append(cases, readertest.Case{Name: d.file, Data: testdata(t, d.file), Ask: d.ask, Rows: len(d.forces)})
	}
	for _, r := range refusals {
		cases = append(cases, readertest.Case{Name: r.name + ".csv", Data: []byte(r.data), Ask: r.ask, Line: r.line})
	}
	return cases
}

func TestExam(t *testing.T) {
	cases := examCases(t)
	readertest.Exercise(t, delimited.Format{}, cases)
	readertest.Matrix(t, readertest.Exam{Format: delimited.Format{}, Cases: cases})
}
