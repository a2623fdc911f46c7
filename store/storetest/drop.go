package storetest

import (
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// record stores a fall.
func record(t *testing.T, s study.Store, specimen string, n, minute int) campaign.Drop {
	t.Helper()
	d, data := Fall(specimen, n, minute)
	done(t, s.AddDrop(t.Context(), StudyName, d, data, nil))
	return d
}

// wrong holds that a fall is refused as a conflict.
func wrong(t *testing.T, s Subject, what, specimen string, n, minute int) {
	t.Helper()
	d, data := Fall(specimen, n, minute)
	refused(t, s, problem.Conflict, what, func() error { return s.AddDrop(t.Context(), StudyName, d, data, nil) })
}

// has holds that the study's drops are those, in that order.
func has(t *testing.T, s study.Store, want ...campaign.Drop) {
	t.Helper()
	got, err := s.Study(t.Context(), StudyName)
	done(t, err)
	if d := diff(want, got.Drops); d != "" {
		t.Errorf("the drops are not as they should be (-want +got):\n%s", d)
	}
}

var dropQuestions = []question{
	{"a fall needs a frozen plan, a trial does not", func(t *testing.T, s Subject) {
		added(t, s)
		wrong(t, s, "not frozen", "M-01", 1, 10)
		trial := campaign.Drop{ID: "trial-1", Stamp: by(1), Kind: campaign.Trial}
		done(t, s.AddDrop(t.Context(), StudyName, trial, nil, nil))
		has(t, s, trial)
	}},
	{"fall numbers have no gap", func(t *testing.T, s Subject) {
		frozen(t, s)
		wrong(t, s, "2 before 1", "M-01", 2, 10)
		one := record(t, s, "M-01", 1, 11)
		wrong(t, s, "1 again", "M-01", 1, 12)
		wrong(t, s, "3 before 2", "M-01", 3, 13)
		other := record(t, s, "M-02", 1, 14)
		two := record(t, s, "M-01", 2, 15)
		has(t, s, one, other, two)
	}},
	{"drops come back in the order released", func(t *testing.T, s Subject) {
		frozen(t, s)
		late := record(t, s, "M-01", 1, 50)
		early := record(t, s, "M-02", 1, 20)
		same := record(t, s, "S-01", 1, 50)
		first, data := Fall("M-02", 2, 50)
		first.ID = "drop-A" // before the others by its ID, after them by when it was stored
		done(t, s.AddDrop(t.Context(), StudyName, first, data, nil))
		has(t, s, early, late, same, first)
	}},
	{"one file for several falls, when they are different drops of it", func(t *testing.T, s Subject) {
		frozen(t, s)
		one, data := Fall("M-01", 1, 10)
		two, three := one, one
		two.ID, two.Specimen, two.Part, two.Stamp = "two", "M-02", "3", by(11)
		three.ID, three.Specimen, three.Stamp = "three", "S-01", by(12)
		for _, d := range []campaign.Drop{one, two} {
			done(t, s.AddDrop(t.Context(), StudyName, d, data, nil))
		}
		add := func(d campaign.Drop) func() error {
			return func() error { return s.AddDrop(t.Context(), StudyName, d, data, nil) }
		}
		refused(t, s, problem.Conflict, "the same drop of it for two falls", add(three))
		void := Void(true)
		three.Void = &void
		done(t, s.AddDrop(t.Context(), StudyName, three, data, nil))
		done(t, s.VoidDrop(t.Context(), StudyName, one.ID, Void(false)))
		one.ID, one.Fall, one.Stamp = "again", 1, by(13)
		done(t, s.AddDrop(t.Context(), StudyName, one, data, nil))
	}},
	{"an ID is taken once in the whole book", func(t *testing.T, s Subject) {
		frozen(t, s)
		d := record(t, s, "M-01", 1, 10)
		again, data := Fall("M-01", 2, 11)
		again.ID = d.ID
		refused(t, s, problem.Conflict, "in the same study", func() error {
			return s.AddDrop(t.Context(), StudyName, again, data, nil)
		})
		two, file := NewStudy()
		two.ID, two.Plan.Name = "study-2", "other"
		done(t, s.AddStudy(t.Context(), two, file))
		trial := campaign.Drop{ID: d.ID, Stamp: by(1), Kind: campaign.Trial}
		refused(t, s, problem.Conflict, "in another study", func() error {
			return s.AddDrop(t.Context(), "other", trial, nil, nil)
		})
	}},
	{"what a drop lacks or the plan has not", func(t *testing.T, s Subject) {
		frozen(t, s)
		good, data := Fall("M-01", 1, 10)
		for _, c := range []struct {
			what  string
			kind  problem.Kind
			spoil func(*campaign.Drop)
		}{
			{"no specimen", problem.Invalid, func(d *campaign.Drop) { d.Specimen = "" }},
			{"no setting", problem.Invalid, func(d *campaign.Drop) { d.Setting = "" }},
			{"no kind", problem.Invalid, func(d *campaign.Drop) { d.Kind = "" }},
			{"a trial with a number", problem.Invalid, func(d *campaign.Drop) { d.Kind = campaign.Trial }},
			{"unknown specimen", problem.NotFound, func(d *campaign.Drop) { d.Specimen = "M-99" }},
			{"unknown setting", problem.NotFound, func(d *campaign.Drop) { d.Setting = "high" }},
		} {
			d := good
			c.spoil(&d)
			refused(t, s, c.kind, c.what, func() error { return s.AddDrop(t.Context(), StudyName, d, data, nil) })
		}
	}},
	{"bytes, reading and trace belong together", func(t *testing.T, s Subject) {
		frozen(t, s)
		bare, data := Fall("M-01", 1, 10)
		bare.Trace = nil
		r := Reading(1)
		refused(t, s, problem.Invalid, "bytes without a trace", func() error {
			return s.AddDrop(t.Context(), StudyName, bare, data, nil)
		})
		refused(t, s, problem.Invalid, "a reading without a trace", func() error {
			return s.AddDrop(t.Context(), StudyName, bare, nil, &r)
		})
		traced, data := Fall("M-01", 1, 10)
		refused(t, s, problem.Invalid, "a trace without bytes", func() error {
			return s.AddDrop(t.Context(), StudyName, traced, nil, &r)
		})
		refused(t, s, problem.Invalid, "a trace with other bytes", func() error {
			other := append([]byte("x"), data[1:]...)
			return s.AddDrop(t.Context(), StudyName, traced, other, &r)
		})
		done(t, s.AddDrop(t.Context(), StudyName, bare, nil, nil))
		has(t, s, bare)
	}},
}

var voidQuestions = []question{
	{"a void drop on a loaded rope keeps its number", func(t *testing.T, s Subject) {
		frozen(t, s)
		one := record(t, s, "M-01", 1, 10)
		v := Void(true)
		done(t, s.VoidDrop(t.Context(), StudyName, one.ID, v))
		one.Void = &v
		wrong(t, s, "the number is taken", "M-01", 1, 11)
		two := record(t, s, "M-01", 2, 12)
		has(t, s, one, two)
	}},
	{"a void drop on an unloaded rope frees its number", func(t *testing.T, s Subject) {
		frozen(t, s)
		one := record(t, s, "M-01", 1, 10)
		v := Void(false)
		done(t, s.VoidDrop(t.Context(), StudyName, one.ID, v))
		one.Void = &v
		wrong(t, s, "the number is free", "M-01", 2, 11)
		again := record(t, s, "M-01", 1, 12)
		has(t, s, one, again)
	}},
	{"a void that is refused", func(t *testing.T, s Subject) {
		frozen(t, s)
		one := record(t, s, "M-01", 1, 10)
		two := record(t, s, "M-01", 2, 13)
		silent := Void(true)
		silent.Reason = " "
		refused(t, s, problem.Invalid, "without a reason", func() error {
			return s.VoidDrop(t.Context(), StudyName, one.ID, silent)
		})
		refused(t, s, problem.NotFound, "of no drop", func() error {
			return s.VoidDrop(t.Context(), StudyName, "drop-0", Void(true))
		})
		refused(t, s, problem.Conflict, "of a number below others", func() error {
			return s.VoidDrop(t.Context(), StudyName, one.ID, Void(false))
		})
		done(t, s.VoidDrop(t.Context(), StudyName, two.ID, Void(false)))
		refused(t, s, problem.Conflict, "a second time", func() error {
			return s.VoidDrop(t.Context(), StudyName, two.ID, Void(true))
		})
	}},
	{"a drop may be void from the start", func(t *testing.T, s Subject) {
		frozen(t, s)
		d, data := Fall("M-01", 1, 10)
		v, r := Void(false), Reading(1)
		d.Void = &v
		done(t, s.AddDrop(t.Context(), StudyName, d, data, &r))
		again := record(t, s, "M-01", 1, 11)
		has(t, s, d, again)
		everything(t, s)
	}},
}
