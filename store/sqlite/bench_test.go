package sqlite

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/store/storetest"
	"fallwright.example/study"
)

// largeTrace is a trace of about 160 kB, as a logger writes 2 s at 5 kHz.
func largeTrace(n int) []byte {
	r := rand.New(rand.NewPCG(uint64(n), 1))
	var b bytes.Buffer
	for i := 0; b.Len() < 160_000; i++ {
		fmt.Fprintf(&b, "%.5f;%.3f\n", float64(i)/5000, 4000*r.Float64())
	}
	return b.Bytes()
}

// benchBook is a book with a frozen study.
func benchBook(b *testing.B) study.Store {
	s, err := Open(b.Context(), filepath.Join(b.TempDir(), "book.fallwright"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	one, data := storetest.NewStudy()
	if err := s.AddStudy(b.Context(), one, data); err != nil {
		b.Fatal(err)
	}
	if err := s.FreezePlan(b.Context(), storetest.StudyName, storetest.Freeze()); err != nil {
		b.Fatal(err)
	}
	return s
}

func addCheck(b *testing.B, s study.Store, n int, data []byte) {
	f := storetest.File("trace.csv", data)
	r := storetest.Reading(n)
	d, _ := storetest.Fall("M-01", 1, n)
	d.ID, d.Kind, d.Fall, d.Trace = fmt.Sprint("check-", n), campaign.Check, 0, &f
	if err := s.AddDrop(b.Context(), storetest.StudyName, d, data, &r); err != nil {
		b.Fatal(err)
	}
}

// Measured on two shared cores (AMD EPYC, ext4): 7.6 ms a drop, of which the
// compression is the larger part and happens before the book is taken.
func BenchmarkAddDrop(b *testing.B) {
	s := benchBook(b)
	var traces [20][]byte
	for i := range traces {
		traces[i] = largeTrace(i)
	}
	n := 0
	for b.Loop() {
		data := append(traces[n%len(traces)], fmt.Sprint(n)...) // bytes of its own
		addCheck(b, s, n, data)
		n++
	}
}

// Measured likewise: 0.9 ms.
func BenchmarkStudyOf90Drops(b *testing.B) {
	s := benchBook(b)
	for n := range 90 {
		addCheck(b, s, n, largeTrace(n))
	}
	for b.Loop() {
		one, err := s.Study(b.Context(), storetest.StudyName)
		if err != nil || len(one.Drops) != 90 {
			b.Fatal(err)
		}
	}
}

// Measured likewise: 3.8 ms.
func BenchmarkReadingsOf90Drops(b *testing.B) {
	s := benchBook(b)
	for n := range 90 {
		addCheck(b, s, n, largeTrace(n))
	}
	for b.Loop() {
		r, err := s.Readings(b.Context(), storetest.StudyName)
		if err != nil || len(r) != 90 {
			b.Fatal(err)
		}
	}
}
