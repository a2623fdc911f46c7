package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

var togetherQuestions = []question{
	{"a book opened again has everything", func(t *testing.T, s Subject) {
		filled(t, s)
		before := everything(t, s)
		done(t, s.Close())
		again := s.Again(t)
		defer again.Close()
		if d := diff(before, everything(t, again)); d != "" {
			t.Errorf("the book opened again differs (-before +after):\n%s", d)
		}
	}},
	{"a book opened twice is one book", func(t *testing.T, s Subject) {
		other := s.Again(t)
		defer other.Close()
		want, readings := filled(t, s)
		got, err := other.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff(want, got); d != "" {
			t.Errorf("the other sees another study (-stored +loaded):\n%s", d)
		}
		reads(t, other, readings)
	}},
	{"two write and four read at once", func(t *testing.T, s Subject) {
		frozen(t, s)
		crowd(t, s, s)
	}},
	{"two write and four read at once, through two stores", func(t *testing.T, s Subject) {
		frozen(t, s)
		other := s.Again(t)
		defer other.Close()
		crowd(t, s, other)
	}},
	{"a context that is done stores nothing", func(t *testing.T, s Subject) {
		frozen(t, s)
		before := everything(t, s)
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		d, data := Fall("M-01", 1, 10)
		r := Reading(1)
		if err := s.AddDrop(ctx, StudyName, d, data, &r); !errors.Is(err, context.Canceled) {
			t.Errorf("want context.Canceled, got %v", err)
		}
		if d := diff(before, everything(t, s)); d != "" {
			t.Errorf("something was stored (-before +after):\n%s", d)
		}
	}},
	{"a context that ends at any moment leaves no half", func(t *testing.T, s Subject) {
		frozen(t, s)
		const tries = 40
		stored, given := 0, 0
		var usual time.Duration // what one drop takes
		for i := range tries {
			limit := usual * time.Duration(i) * 2 / tries
			if i == 0 {
				limit = time.Hour
			}
			d, data := Fall("M-01", stored+1, 10+i)
			r := Reading(i)
			ctx, cancel := context.WithTimeout(t.Context(), limit)
			begun := time.Now()
			err := s.AddDrop(ctx, StudyName, d, data, &r)
			cancel()
			if i == 0 {
				usual = time.Since(begun)
			}
			if err != nil {
				given++
			}
			if whole(t, s, d, r) {
				stored++
			} else if err == nil {
				t.Fatalf("drop %s was reported as stored and is not there", d.ID)
			}
		}
		if e, err := s.Examine(t.Context()); err != nil || e.Drops != stored {
			t.Errorf("%d drops are there, want %d: %v", e.Drops, stored, err)
		}
		if given < 2 {
			t.Errorf("%d of %d tries were given up: the case proves nothing", given, tries)
		}
		t.Logf("%d stored, %d given up", stored, given)
	}},
}

// whole reports whether a drop is there, and fails the case when a part of it
// is there without the others.
func whole(t *testing.T, s study.Store, d campaign.Drop, r study.StoredReading) bool {
	t.Helper()
	one, err := s.Study(t.Context(), StudyName)
	done(t, err)
	readings, err := s.Readings(t.Context(), StudyName)
	done(t, err)
	_, fileErr := s.File(t.Context(), d.Trace.SHA256)
	there := false
	for _, o := range one.Drops {
		there = there || o.ID == d.ID
	}
	read := readings[d.ID].ID == r.ID
	kept := fileErr == nil
	if there != read || there != kept {
		t.Fatalf("drop %s: there %v, its reading %v, its bytes %v", d.ID, there, read, kept)
	}
	return there
}

const crowdFalls = 12 // by each of two writers

// crowd lets two writers add falls of the same specimens while four read.
func crowd(t *testing.T, one, two study.Store) {
	t.Helper()
	var minute, readers atomic.Int64
	minute.Store(100)
	over := make(chan struct{})
	var writing, reading sync.WaitGroup
	for w, s := range []study.Store{one, two} {
		writing.Go(func() {
			for i := range crowdFalls {
				if err := addNext(t.Context(), s, &minute, i%2); err != nil {
					t.Errorf("writer %d: %v", w, err)
				}
			}
		})
	}
	for r := range 4 {
		s := []study.Store{one, two}[r%2]
		reading.Go(func() {
			for {
				if err := look(t.Context(), s); err != nil {
					t.Errorf("reader %d: %v", r, err)
					return
				}
				readers.Add(1)
				select {
				case <-over:
					return
				default:
				}
			}
		})
	}
	writing.Wait()
	close(over)
	reading.Wait()
	e, err := one.Examine(t.Context())
	done(t, err)
	if e.Drops != 2*crowdFalls || readers.Load() < 4 {
		t.Errorf("%d drops are there, want %d; %d looks", e.Drops, 2*crowdFalls, readers.Load())
	}
}

// addNext adds the next fall of a specimen. Another writer may take the number
// in between, which the study's rules refuse as a conflict: then it asks again.
func addNext(ctx context.Context, s study.Store, minute *atomic.Int64, specimen int) error {
	const tries = 200
	for range tries {
		one, err := s.Study(ctx, StudyName)
		if err != nil {
			return err
		}
		label := one.Plan.Specimens[specimen].Label
		d, data := Fall(label, one.NextFall(label), int(minute.Add(1)))
		r := Reading(int(minute.Add(1)))
		err = s.AddDrop(ctx, StudyName, d, data, &r)
		if problem.KindOf(err) != problem.Conflict {
			return err
		}
	}
	return fmt.Errorf("no fall could be added in %d tries", tries)
}

// look loads a study and holds that what it sees is whole.
func look(ctx context.Context, s study.Store) error {
	one, err := s.Study(ctx, StudyName)
	if err != nil {
		return err
	}
	readings, err := s.Readings(ctx, StudyName)
	if err != nil {
		return err
	}
	next := map[string]int{}
	for _, d := range one.Drops {
		next[d.Specimen]++
		if d.Fall != next[d.Specimen] {
			return fmt.Errorf("%s fall %d where fall %d should be", d.Specimen, d.Fall, next[d.Specimen])
		}
		if readings[d.ID].ID == "" {
			return fmt.Errorf("%s has no reading", d.ID)
		}
		if _, err := s.File(ctx, d.Trace.SHA256); err != nil {
			return err
		}
	}
	_, err = s.Studies(ctx)
	return err
}
