package storetest

import (
	"math"
	"reflect"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// reads holds that these are the newest readings of the study.
func reads(t *testing.T, s study.Store, want map[string]study.StoredReading) {
	t.Helper()
	got, err := s.Readings(t.Context(), StudyName)
	done(t, err)
	if d := diff(want, got); d != "" {
		t.Errorf("the readings are not as they should be (-want +got):\n%s", d)
	}
}

var readingQuestions = []question{
	{"every field of a reading comes back", func(t *testing.T, s Subject) {
		frozen(t, s)
		d, data := Fall("M-01", 1, 10)
		r := Reading(1)
		if missing := unfilled(r); len(missing) > 0 {
			t.Errorf("the exam is blind to %q: fill them in sample.go", missing)
		}
		done(t, s.AddDrop(t.Context(), StudyName, d, data, &r))
		reads(t, s, map[string]study.StoredReading{d.ID: r})
	}},
	{"missing values come back as missing", func(t *testing.T, s Subject) {
		frozen(t, s)
		d, data := Fall("M-01", 1, 10)
		r := Reading(1)
		r.Settings = trace.Settings{}
		r.Ask = trace.Ask{}
		r.Reading = none()
		r.Reading.EnergyAbsorbed, r.Reading.Steps, r.Reading.Contacts = 0, []trace.Step{}, []trace.Contact{}
		done(t, s.AddDrop(t.Context(), StudyName, d, data, &r))
		reads(t, s, map[string]study.StoredReading{d.ID: r})
	}},
	{"the newest reading wins, whatever its clock says", func(t *testing.T, s Subject) {
		frozen(t, s)
		d, data := Fall("M-01", 1, 10)
		other := record(t, s, "M-02", 1, 12)
		first, last := Reading(5), Reading(4)
		done(t, s.AddDrop(t.Context(), StudyName, d, data, &first))
		reads(t, s, map[string]study.StoredReading{d.ID: first})
		for n := 1; n <= 3; n++ {
			done(t, s.AddReading(t.Context(), StudyName, d.ID, Reading(n)))
		}
		done(t, s.AddReading(t.Context(), StudyName, d.ID, last))
		done(t, s.AddReading(t.Context(), StudyName, other.ID, Reading(6)))
		reads(t, s, map[string]study.StoredReading{d.ID: last, other.ID: Reading(6)})
		refused(t, s, problem.Conflict, "an old reading's ID: it is still there", func() error {
			return s.AddReading(t.Context(), StudyName, d.ID, Reading(2))
		})
	}},
	{"every reading of a drop, the newest first", func(t *testing.T, s Subject) {
		frozen(t, s)
		d, data := Fall("M-01", 1, 10)
		first := Reading(9)
		done(t, s.AddDrop(t.Context(), StudyName, d, data, &first))
		other := record(t, s, "M-02", 1, 12)
		done(t, s.AddReading(t.Context(), StudyName, other.ID, Reading(5)))
		for _, n := range []int{3, 1} {
			done(t, s.AddReading(t.Context(), StudyName, d.ID, Reading(n)))
		}
		got, err := s.ReadingsOf(t.Context(), StudyName, d.ID)
		done(t, err)
		if d := diff([]study.StoredReading{Reading(1), Reading(3), first}, got); d != "" {
			t.Errorf("the readings are not as they should be (-want +got):\n%s", d)
		}
		bare, _ := Fall("M-01", 2, 13)
		bare.Trace, bare.Part = nil, ""
		done(t, s.AddDrop(t.Context(), StudyName, bare, nil, nil))
		if got, err := s.ReadingsOf(t.Context(), StudyName, bare.ID); err != nil || len(got) > 0 {
			t.Errorf("a drop without a trace has %d readings, %v", len(got), err)
		}
		two, file := NewStudy()
		two.ID, two.Plan.Name = "study-2", "other"
		done(t, s.AddStudy(t.Context(), two, file))
		for what, name := range map[string][2]string{"no drop": {StudyName, "drop-0"}, "another study's drop": {"other", d.ID}, "no study": {"none", d.ID}} {
			if _, err := s.ReadingsOf(t.Context(), name[0], name[1]); problem.KindOf(err) != problem.NotFound {
				t.Errorf("%s: %v, want kind NotFound", what, err)
			}
		}
	}},
	{"a void drop can be read again", func(t *testing.T, s Subject) {
		frozen(t, s)
		d := record(t, s, "M-01", 1, 10)
		done(t, s.VoidDrop(t.Context(), StudyName, d.ID, Void(true)))
		done(t, s.AddReading(t.Context(), StudyName, d.ID, Reading(1)))
		reads(t, s, map[string]study.StoredReading{d.ID: Reading(1)})
	}},
	{"a reading that is refused", func(t *testing.T, s Subject) {
		frozen(t, s)
		d := record(t, s, "M-01", 1, 10)
		bare, _ := Fall("M-01", 2, 13)
		bare.Trace = nil
		done(t, s.AddDrop(t.Context(), StudyName, bare, nil, nil))
		add := func(drop string, r study.StoredReading) func() error {
			return func() error { return s.AddReading(t.Context(), StudyName, drop, r) }
		}
		refused(t, s, problem.NotFound, "of no drop", add("drop-0", Reading(1)))
		refused(t, s, problem.Conflict, "of a drop without a trace", add(bare.ID, Reading(1)))
		for what, spoil := range map[string]func(*study.StoredReading){
			"NaN in a budget": func(r *study.StoredReading) {
				r.Reading.Uncertainty = trace.Uncertainties{"peak_force_N": {Standard: math.NaN()}}
			},
			"infinity in the ask":   func(r *study.StoredReading) { r.Ask.Rate = math.Inf(1) },
			"NaN in a contact":      func(r *study.StoredReading) { r.Reading.Contacts[0].Peak = math.NaN() },
			"infinity in a contact": func(r *study.StoredReading) { r.Reading.Contacts[1].End = math.Inf(1) },
			"NaN in a step":         func(r *study.StoredReading) { r.Reading.Steps[0].Params[0].Value = math.NaN() },
			"infinity in a setting": func(r *study.StoredReading) { r.Settings.Mass = math.Inf(-1) },
		} {
			r := Reading(2)
			spoil(&r)
			refused(t, s, problem.Invalid, what, add(d.ID, r))
			again, data := Fall("M-01", 3, 16)
			refused(t, s, problem.Invalid, what+", with its drop", func() error {
				return s.AddDrop(t.Context(), StudyName, again, data, &r)
			})
		}
	}},
	{"a reading goes to a drop of its own study", func(t *testing.T, s Subject) {
		frozen(t, s)
		d := record(t, s, "M-01", 1, 10)
		two, data := NewStudy()
		two.ID, two.Plan.Name = "study-2", "other"
		done(t, s.AddStudy(t.Context(), two, data))
		refused(t, s, problem.NotFound, "another study's drop", func() error {
			return s.AddReading(t.Context(), "other", d.ID, Reading(1))
		})
		refused(t, s, problem.NotFound, "another study's drop voided", func() error {
			return s.VoidDrop(t.Context(), "other", d.ID, Void(true))
		})
	}},
}

// none is a reading with every value missing.
func none() trace.Reading {
	var r trace.Reading
	fields := reflect.ValueOf(&r).Elem()
	for i := range fields.NumField() {
		if v, ok := fields.Field(i).Addr().Interface().(*trace.Value); ok {
			*v = trace.None()
		}
	}
	return r
}
