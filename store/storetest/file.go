package storetest

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

var fileQuestions = []question{
	{"bytes come back as they were", func(t *testing.T, s Subject) {
		frozen(t, s)
		noise := make([]byte, 3<<20) // does not compress
		for i, r := 0, rand.New(rand.NewPCG(1, 2)); i < len(noise); i++ {
			noise[i] = byte(r.Uint32())
		}
		for i, data := range [][]byte{traceBytes(1), {}, {0}, bytes.Repeat([]byte("0;0\r\n"), 1<<20), noise} {
			f := File("trace.csv", data)
			d := campaign.Drop{ID: string(rune('a' + i)), Stamp: by(i), Kind: campaign.Check, Trace: &f}
			done(t, s.AddDrop(t.Context(), StudyName, d, data, nil))
			kept, err := s.File(t.Context(), f.SHA256)
			done(t, err)
			if !bytes.Equal(kept, data) {
				t.Errorf("%d bytes came back as %d others", len(data), len(kept))
			}
		}
		everything(t, s)
	}},
	{"the same bytes are kept once, under every name", func(t *testing.T, s Subject) {
		frozen(t, s)
		data := traceBytes(1)
		var want []campaign.Drop
		for i, name := range []string{"a.csv", "b.csv", "a.csv", ""} {
			f := File(name, data)
			d := campaign.Drop{ID: string(rune('a' + i)), Stamp: by(i), Kind: campaign.Check, Trace: &f}
			done(t, s.AddDrop(t.Context(), StudyName, d, data, nil))
			want = append(want, d)
		}
		has(t, s, want...)
		e, err := s.Examine(t.Context())
		done(t, err)
		if e.Files != 2 || e.Bytes != int64(len(data)+len(planFile(1))) { // the study file is the other
			t.Errorf("the book keeps %d files of %d bytes, want 2 of %d", e.Files, e.Bytes, len(data)+len(planFile(1)))
		}
	}},
	{"a file that is not kept", func(t *testing.T, s Subject) {
		added(t, s)
		_, err := s.File(t.Context(), File("", traceBytes(1)).SHA256)
		if problem.KindOf(err) != problem.NotFound {
			t.Errorf("want a problem of kind NotFound, got %v", err)
		}
	}},
	{"what is told of a file has to be true", func(t *testing.T, s Subject) {
		one, data := NewStudy()
		one.File.Size++
		refused(t, s, problem.Invalid, "a study file of another size", func() error { return s.AddStudy(t.Context(), one, data) })
		one.File = File("p", planFile(2))
		refused(t, s, problem.Invalid, "a study file of another hash", func() error { return s.AddStudy(t.Context(), one, data) })
		added(t, s)
		refused(t, s, problem.Invalid, "a new plan's file", func() error {
			return s.ReplacePlan(t.Context(), StudyName, plan(), File("p", planFile(2)), planFile(3), by(1))
		})
	}},
	{"bytes that were altered are noticed", func(t *testing.T, s Subject) {
		frozen(t, s)
		one, two := record(t, s, "M-01", 1, 10), record(t, s, "M-01", 2, 13)
		s.Tamper(t, one.Trace.SHA256, two.Trace.SHA256)
		if _, err := s.File(t.Context(), one.Trace.SHA256); problem.KindOf(err) != problem.Unreadable {
			t.Errorf("File: want a problem of kind Unreadable, got %v", err)
		}
		e, err := s.Examine(t.Context())
		found := problem.All(err)
		if len(found) != 1 || found[0].Kind != problem.Unreadable || found[0].Where != "file "+one.Trace.SHA256 {
			t.Errorf("Examine: want one problem that names the file, got %v", err)
		}
		if e.Files != 3 {
			t.Errorf("Examine stopped at the fault: it looked at %d files, want 3", e.Files)
		}
		if _, err := s.File(t.Context(), two.Trace.SHA256); err != nil {
			t.Errorf("the other file: %v", err)
		}
	}},
	{"an examination counts what it looked at", func(t *testing.T, s Subject) {
		filled(t, s)
		two, data := NewStudy()
		two.ID, two.Plan.Name = "study-2", "other"
		done(t, s.AddStudy(t.Context(), two, data))
		e, err := s.Examine(t.Context())
		done(t, err)
		_, a := Fall("M-01", 1, 10)
		_, b := Fall("M-01", 2, 13)
		pulled := len(traceBytes(0)) + len(traceBytes(1))
		want := study.Examination{Schema: e.Schema, Studies: 2, Drops: 3, Files: 5, Bytes: int64(len(planFile(1)) + len(a) + len(b) + pulled)}
		if e != want || e.Schema < 1 {
			t.Errorf("it counted %+v, want %+v", e, want)
		}
	}},
}
