package storetest

import (
	"math"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

var recordQuestions = []question{
	{"a weighing is corrected by another", func(t *testing.T, s Subject) {
		added(t, s)
		ctx := t.Context()
		one, two, three := Weighing(1, "M-01", ""), Weighing(2, "M-01", "weighing-1"), Weighing(3, "M-01", "weighing-2")
		for _, w := range []campaign.Weighing{one, two, three} {
			done(t, s.AddWeighing(ctx, StudyName, w))
		}
		got, err := s.Study(ctx, StudyName)
		done(t, err)
		if d := diff([]campaign.Weighing{one, two, three}, got.Weighings); d != "" {
			t.Errorf("the weighings are not as they should be (-want +got):\n%s", d)
		}
		add := func(w campaign.Weighing) func() error {
			return func() error { return s.AddWeighing(ctx, StudyName, w) }
		}
		refused(t, s, problem.Conflict, "corrected twice", add(Weighing(4, "M-01", "weighing-1")))
		refused(t, s, problem.Conflict, "corrected by another specimen's", add(Weighing(4, "M-02", "weighing-3")))
		refused(t, s, problem.NotFound, "of no specimen", add(Weighing(4, "M-99", "")))
		refused(t, s, problem.NotFound, "corrects none", add(Weighing(4, "M-01", "weighing-9")))
		refused(t, s, problem.Conflict, "the ID is taken", add(Weighing(3, "M-01", "")))
	}},
	{"weighings come back in the order made", func(t *testing.T, s Subject) {
		added(t, s)
		for _, n := range []int{2, 1, 3} {
			done(t, s.AddWeighing(t.Context(), StudyName, Weighing(n, "M-01", "")))
		}
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		want := []campaign.Weighing{Weighing(1, "M-01", ""), Weighing(2, "M-01", ""), Weighing(3, "M-01", "")}
		if d := diff(want, got.Weighings); d != "" {
			t.Errorf("the weighings are not as they should be (-want +got):\n%s", d)
		}
	}},
	{"a mass is a positive number", func(t *testing.T, s Subject) {
		added(t, s)
		for _, mass := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -0.2} {
			w := Weighing(1, "M-01", "")
			w.Mass = mass
			refused(t, s, problem.Invalid, "a mass", func() error { return s.AddWeighing(t.Context(), StudyName, w) })
		}
		for n, mass := range []float64{math.SmallestNonzeroFloat64, 0.1 + 0.2, 1e308} {
			w := Weighing(n, "S-01", "") // of a rope whose mass is not known
			w.Mass = mass
			done(t, s.AddWeighing(t.Context(), StudyName, w))
			got, err := s.Study(t.Context(), StudyName)
			done(t, err)
			if back := got.Weighings[n].Mass; back != mass {
				t.Errorf("%g kg came back as %g kg", mass, back)
			}
		}
	}},
	{"deviations come back in the order made", func(t *testing.T, s Subject) {
		added(t, s)
		for _, n := range []int{2, 1, 3} {
			done(t, s.AddDeviation(t.Context(), StudyName, Deviation(n)))
		}
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff([]campaign.Deviation{Deviation(1), Deviation(2), Deviation(3)}, got.Deviations); d != "" {
			t.Errorf("the deviations are not as they should be (-want +got):\n%s", d)
		}
	}},
	{"a deviation that is refused", func(t *testing.T, s Subject) {
		added(t, s)
		done(t, s.AddDeviation(t.Context(), StudyName, Deviation(1)))
		add := func(d campaign.Deviation) func() error {
			return func() error { return s.AddDeviation(t.Context(), StudyName, d) }
		}
		wordless, timeless := Deviation(2), Deviation(2)
		wordless.Text, timeless.At = "", time.Time{}
		refused(t, s, problem.Invalid, "without words", add(wordless))
		refused(t, s, problem.Invalid, "without a time", add(timeless))
		refused(t, s, problem.Conflict, "the ID is taken", add(Deviation(1)))
	}},
}
