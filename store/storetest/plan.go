package storetest

import (
	"bytes"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

var planQuestions = []question{
	{"a plan is replaced, and the old file kept", func(t *testing.T, s Subject) {
		want := added(t, s)
		for version := 2; version <= 3; version++ {
			data := planFile(version)
			want.Plan.Title, want.File = string(data), File("sea-water.toml", data)
			done(t, s.ReplacePlan(t.Context(), StudyName, want.Plan, want.File, data, by(version)))
			got, err := s.Study(t.Context(), StudyName)
			done(t, err)
			if d := diff(want, got); d != "" {
				t.Errorf("plan %d came back altered (-stored +loaded):\n%s", version, d)
			}
		}
		list, err := s.Studies(t.Context())
		done(t, err)
		if len(list) != 1 || list[0].Title != want.Plan.Title {
			t.Errorf("the list has %+v, want the newest title", list)
		}
		for version := 1; version <= 3; version++ {
			data := planFile(version)
			kept, err := s.File(t.Context(), File("", data).SHA256)
			done(t, err)
			if !bytes.Equal(kept, data) {
				t.Errorf("file %d came back altered", version)
			}
		}
	}},
	{"a plan put back is in force again", func(t *testing.T, s Subject) {
		one := added(t, s)
		other := plan()
		other.Title = "another"
		done(t, s.ReplacePlan(t.Context(), StudyName, other, File("b", planFile(2)), planFile(2), by(2)))
		done(t, s.ReplacePlan(t.Context(), StudyName, one.Plan, one.File, planFile(1), by(3)))
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff(one, got); d != "" {
			t.Errorf("the first plan is not back (-want +got):\n%s", d)
		}
	}},
	{"a plan that the study cannot take is refused", func(t *testing.T, s Subject) {
		added(t, s)
		replace := func(change func(*campaign.Plan)) func() error {
			p := plan()
			change(&p)
			return func() error {
				return s.ReplacePlan(t.Context(), StudyName, p, File("p", planFile(2)), planFile(2), by(2))
			}
		}
		refused(t, s, problem.Invalid, "no falls", replace(func(p *campaign.Plan) { p.Series.Falls = 0 }))
		refused(t, s, problem.Conflict, "another name", replace(func(p *campaign.Plan) { p.Name = "fresh-water" }))
		done(t, s.AddWeighing(t.Context(), StudyName, Weighing(1, "M-02", "")))
		refused(t, s, problem.Conflict, "a specimen weighed already is gone", replace(func(p *campaign.Plan) {
			p.Specimens[1].Label = "M-03"
		}))
	}},
	{"a frozen plan refuses", func(t *testing.T, s Subject) {
		frozen(t, s)
		refused(t, s, problem.Conflict, "replaced", func() error {
			return s.ReplacePlan(t.Context(), StudyName, plan(), File("p", planFile(2)), planFile(2), by(9))
		})
		refused(t, s, problem.Conflict, "frozen again", func() error { return s.FreezePlan(t.Context(), StudyName, Freeze()) })
	}},
	{"the plan frozen is the one that is meant", func(t *testing.T, s Subject) {
		added(t, s)
		done(t, s.ReplacePlan(t.Context(), StudyName, plan(), File("p", planFile(2)), planFile(2), by(2)))
		refused(t, s, problem.Conflict, "the plan before", func() error { return s.FreezePlan(t.Context(), StudyName, Freeze()) })
		f := Freeze()
		f.PlanSHA256 = File("", planFile(2)).SHA256
		done(t, s.FreezePlan(t.Context(), StudyName, f))
	}},
}
