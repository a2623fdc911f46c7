// Package readertest is the exam of trace formats: any traceio.Format has to
// pass Exercise with files of its own, and all formats together Matrix.
package readertest

import (
	"fmt"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Case is a file with what reading it has to give.
type Case struct {
	Name  string // of the file, as shown in refusals
	Data  []byte
	Ask   trace.Ask
	Rows  int // samples of the first drop; 0 when it has to be refused
	Drops int // in the file; 0 stands for 1
	Line  int // line that the refusal has to name; 0 for whichever
}

// Exam is a format with its cases.
type Exam struct {
	Format traceio.Format
	Cases  []Case
}

// Exercise fails t for each fault that the format shows on its cases. A format
//
//   - claims each case, and none of the strangers: pictures, archives, packed
//     files, nothing at all;
//   - leaves the bytes as they were and keeps no part of them;
//   - gives the same answer each time, layout and all;
//   - reads what can be read into one recording for each drop, each with as many
//     times as forces, all finite, times strictly rising, stretch and gate as
//     long as they where there are any, unit and columns named, and a Part of its
//     own where there are several;
//   - says with it what was understood: its own name, facts that say what and
//     what it is, and the columns, of which one is the force;
//   - refuses the rest with a File without Parts and a *problem.Problem that has
//     Kind, Where (the file, and the line where any case asks for one; or the
//     flag at fault), What, at least one hint, and a State that says that nothing
//     was read;
//   - neither panics nor gives half an answer on a file cut off at any byte.
func Exercise(t *testing.T, f traceio.Format, cases []Case) {
	t.Helper()
	r := examine(f, cases)
	report(t, r)
	t.Logf("%s: %d cases read, %d refused, %d cut-off files, %d strangers", f.Name(), r.read, r.refused, r.prefixes, r.strangers)
	if r.read == 0 || r.refused == 0 || r.prefixes == 0 || r.strangers == 0 {
		t.Errorf("%s: the exam has to have files that are read and files that are refused", f.Name())
	}
}

// Matrix fails t for each case that any format other than its own claims, and
// for each that its own does not.
func Matrix(t *testing.T, exams ...Exam) {
	t.Helper()
	r := matrix(exams)
	report(t, r)
	t.Logf("%d claims of %d formats", r.claims, len(exams))
	if r.claims == 0 {
		t.Error("no claim was looked at")
	}
}

func report(t *testing.T, r result) {
	t.Helper()
	const most = 20
	for i, fault := range r.faults {
		if i == most {
			t.Errorf("and %d more faults", len(r.faults)-most)
			break
		}
		t.Error(fault)
	}
}

// result is what an exam looked at and the faults it found.
type result struct {
	read, refused, prefixes, strangers, claims int
	lined                                      bool // every refusal has to name a line
	faults                                     []string
}

func (r *result) fault(format string, args ...any) {
	r.faults = append(r.faults, fmt.Sprintf(format, args...))
}

// matrix asks every format about every file.
func matrix(exams []Exam) result {
	var r result
	for _, own := range exams {
		for _, c := range own.Cases {
			for _, asked := range exams {
				r.claims++
				claimed, panicked := claims(asked.Format, c.Name, c.Data)
				switch {
				case panicked != "":
					r.fault("%s: Claims of %s panics: %s", c.Name, asked.Format.Name(), panicked)
				case asked.Format.Name() == own.Format.Name() && !claimed:
					r.fault("%s: %s does not claim its own file", c.Name, asked.Format.Name())
				case asked.Format.Name() != own.Format.Name() && claimed:
					r.fault("%s: %s claims a file of %s", c.Name, asked.Format.Name(), own.Format.Name())
				}
			}
		}
	}
	return r
}
