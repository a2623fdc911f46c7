// Package storetest is the exam of a study.Store. A new kind of book is done
// when it passes.
package storetest

import (
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// Subject is a store that sits the exam, on a book with nothing in it.
type Subject struct {
	study.Store
	// Again opens the same book once more, beside the store that is open.
	Again func(t *testing.T) study.Store
	// Tamper puts the bytes kept under other in the place of those kept under
	// sum, as somebody might who opens the book with another program.
	Tamper func(t *testing.T, sum, other string)
}

// question is one case of the exam.
type question struct {
	name string
	ask  func(t *testing.T, s Subject)
}

// Exercise examines the stores that open makes, a new book for every case. It
// returns how many cases ran, and says so in the log.
func Exercise(t *testing.T, open func(t *testing.T) Subject) int {
	t.Helper()
	asked := 0
	for _, part := range [][]question{
		studyQuestions, planQuestions, dropQuestions, voidQuestions, readingQuestions,
		recordQuestions, waterQuestions, recipeQuestions, fileQuestions, togetherQuestions,
	} {
		for _, q := range part {
			t.Run(q.name, func(t *testing.T) {
				s := open(t)
				t.Cleanup(func() {
					if err := s.Close(); err != nil {
						t.Errorf("close: %v", err)
					}
				})
				q.ask(t, s)
			})
			asked++
		}
	}
	if asked == 0 {
		t.Error("the exam asked nothing")
	}
	t.Logf("%d cases", asked)
	return asked
}

// done fails the case when a write or a read that has to work does not.
func done(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// refused holds that a write is refused with a problem of the kind, and that
// the book is afterwards as it was.
func refused(t *testing.T, s Subject, kind problem.Kind, what string, write func() error) {
	t.Helper()
	before := everything(t, s)
	err := write()
	if got := problem.KindOf(err); got != kind {
		t.Errorf("%s: refused as kind %d, want %d: %v", what, got, kind, err)
	}
	if d := diff(before, everything(t, s)); d != "" {
		t.Errorf("%s: something was stored all the same:\n%s", what, d)
	}
}

// contents is all that a book shows.
type contents struct {
	List        []study.Summary
	Studies     []*campaign.Study
	Readings    []map[string]study.StoredReading
	Recipes     []campaign.Recipe
	Examination study.Examination
}

func everything(t *testing.T, s study.Store) contents {
	t.Helper()
	var c contents
	var err error
	c.List, err = s.Studies(t.Context())
	done(t, err)
	for _, line := range c.List {
		one, err := s.Study(t.Context(), line.Name)
		done(t, err)
		readings, err := s.Readings(t.Context(), line.Name)
		done(t, err)
		c.Studies = append(c.Studies, one)
		c.Readings = append(c.Readings, readings)
	}
	c.Recipes, err = s.Recipes(t.Context(), "")
	done(t, err)
	c.Examination, err = s.Examine(t.Context())
	done(t, err)
	return c
}
