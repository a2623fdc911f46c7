package storetest

import (
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

var studyQuestions = []question{
	{"every field of a study comes back", func(t *testing.T, s Subject) {
		want, _ := filled(t, s)
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff(want, got); d != "" {
			t.Errorf("the study came back altered (-stored +loaded):\n%s", d)
		}
		if missing := unfilled(*want); len(missing) > 0 {
			t.Errorf("the exam is blind to %q: fill them in sample.go", missing)
		}
	}},
	{"times come back to the millisecond in UTC", func(t *testing.T, s Subject) {
		if stored, _ := filled(t, s); len(notUTC(stored)) == 0 {
			t.Error("the samples are in UTC already: the case proves nothing")
		}
		odd := time.Date(2026, time.May, 9, 23, 59, 59, 987_654_321, time.FixedZone("there", -3*3600))
		d := campaign.Deviation{ID: "late", Stamp: campaign.Stamp{At: odd, By: "R. Teller"}, Text: "late"}
		done(t, s.AddDeviation(t.Context(), StudyName, d))
		c := everything(t, s)
		if found := notUTC(c); len(found) > 0 {
			t.Errorf("not whole milliseconds in UTC: %q", found)
		}
		last := c.Studies[0].Deviations[len(c.Studies[0].Deviations)-1]
		if want := odd.Truncate(time.Millisecond); !last.At.Equal(want) {
			t.Errorf("%v came back as %v, want %v", odd, last.At, want)
		}
	}},
	{"a plan keeps its empty lists and its missing ones", func(t *testing.T, s Subject) {
		one, data := NewStudy()
		one.Plan.Questions, one.Plan.Ropes[1].Treatment = nil, "<b>\"&\u2028 µ"
		one.Plan.Factors, one.Plan.Conditions = []campaign.Factor{}, one.Plan.Conditions[:1]
		one.Plan.Conditions[0].Levels = map[string]string{}
		one.Plan.Specimens, one.Plan.Cutting, one.Plan.Preparations = one.Plan.Specimens[:1], campaign.Cutting{}, nil
		one.Plan.Days.Breaks = []campaign.Hours{}
		done(t, s.AddStudy(t.Context(), one, data))
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff(one, got); d != "" {
			t.Errorf("the study came back altered (-stored +loaded):\n%s", d)
		}
	}},
	{"a name is taken once", func(t *testing.T, s Subject) {
		added(t, s)
		two, data := NewStudy()
		two.ID = "study-2"
		refused(t, s, problem.Conflict, "same name", func() error { return s.AddStudy(t.Context(), two, data) })
		found := problem.All(s.AddStudy(t.Context(), two, data))
		if len(found) != 1 || found[0].Where != "study "+StudyName || len(found[0].Hints) == 0 {
			t.Errorf("want one problem that names the study, with a hint; got %v", found)
		}
	}},
	{"a plan that breaks a rule makes no study", func(t *testing.T, s Subject) {
		one, data := NewStudy()
		one.Plan.Series.Falls = 0
		refused(t, s, problem.Invalid, "no falls", func() error { return s.AddStudy(t.Context(), one, data) })
	}},
	{"a new study has nothing done", func(t *testing.T, s Subject) {
		one, data := NewStudy()
		f := Freeze()
		one.Frozen = &f
		refused(t, s, problem.Invalid, "frozen", func() error { return s.AddStudy(t.Context(), one, data) })
		one.Frozen, one.Deviations = nil, []campaign.Deviation{Deviation(1)}
		refused(t, s, problem.Invalid, "with a deviation", func() error { return s.AddStudy(t.Context(), one, data) })
	}},
	{"a study that is not there", func(t *testing.T, s Subject) {
		added(t, s)
		d, data := Fall("M-01", 1, 10)
		ctx, name := t.Context(), "fresh-water"
		for what, try := range map[string]func() error{
			"Study":        func() error { _, err := s.Study(ctx, name); return err },
			"Readings":     func() error { _, err := s.Readings(ctx, name); return err },
			"ReplacePlan":  func() error { return s.ReplacePlan(ctx, name, plan(), File("p", planFile(2)), planFile(2), by(1)) },
			"FreezePlan":   func() error { return s.FreezePlan(ctx, name, Freeze()) },
			"AddDrop":      func() error { return s.AddDrop(ctx, name, d, data, nil) },
			"VoidDrop":     func() error { return s.VoidDrop(ctx, name, d.ID, Void(true)) },
			"AddReading":   func() error { return s.AddReading(ctx, name, d.ID, Reading(1)) },
			"ReadingsOf":   func() error { _, err := s.ReadingsOf(ctx, name, d.ID); return err },
			"AddWeighing":  func() error { return s.AddWeighing(ctx, name, Weighing(1, "M-01", "")) },
			"AddGauging":   func() error { return s.AddGauging(ctx, name, Gauging(1, "M-01", "")) },
			"AddPull":      func() error { p, data := Pull(1, "M-01", ""); return s.AddPull(ctx, name, p, data) },
			"AddDeviation": func() error { return s.AddDeviation(ctx, name, Deviation(1)) },
		} {
			refused(t, s, problem.NotFound, what, try)
		}
	}},
	{"studies are listed with their counts, the newest first", func(t *testing.T, s Subject) {
		var want []study.Summary
		for _, name := range []string{"second", "third", "first", "alike"} {
			one, data := NewStudy()
			minute := map[string]int{"first": 1, "second": 2, "third": 3, "alike": 3}[name]
			one.ID, one.Plan.Name, one.Created = "study-"+name, name, by(minute)
			done(t, s.AddStudy(t.Context(), one, data))
			want = append(want, study.Summary{
				Name: name, Title: one.Plan.Title, Invented: true, Created: one.Created, Planned: 6, // a spare is none
			})
		}
		done(t, s.FreezePlan(t.Context(), "first", Freeze()))
		for n := 1; n <= 3; n++ {
			d, data := Fall("M-01", n, 10+n)
			done(t, s.AddDrop(t.Context(), "first", d, data, nil))
		}
		done(t, s.VoidDrop(t.Context(), "first", "drop-M-01-2-12", Void(true)))
		want[2].Frozen, want[2].Counting = true, 2
		got, err := s.Studies(t.Context())
		done(t, err)
		if d := diff([]study.Summary{want[3], want[1], want[0], want[2]}, got); d != "" {
			t.Errorf("the list is not as it should be (-want +got):\n%s", d)
		}
	}},
	{"an empty book has no studies", func(t *testing.T, s Subject) {
		if c := everything(t, s); len(c.List) > 0 || c.Examination.Files > 0 || c.Examination.Schema < 1 {
			t.Errorf("a new book holds %+v", c)
		}
	}},
}

// filled stores a study with something in every field, and returns what should
// come back.
func filled(t *testing.T, s study.Store) (*campaign.Study, map[string]study.StoredReading) {
	t.Helper()
	ctx := t.Context()
	want := frozen(t, s)
	readings := map[string]study.StoredReading{}
	trial := campaign.Drop{ID: "trial-1", Stamp: by(6), Kind: campaign.Trial, Setting: "low", Note: "dialling in"}
	done(t, s.AddDrop(ctx, StudyName, trial, nil, nil))
	one, oneData := Fall("M-01", 1, 10)
	first := Reading(1)
	done(t, s.AddDrop(ctx, StudyName, one, oneData, &first))
	readings[one.ID] = first
	two, twoData := Fall("M-01", 2, 13)
	done(t, s.AddDrop(ctx, StudyName, two, twoData, nil))
	v := Void(true)
	done(t, s.VoidDrop(ctx, StudyName, two.ID, v))
	two.Void = &v
	want.Drops = []campaign.Drop{trial, one, two}
	want.Weighings = []campaign.Weighing{Weighing(1, "M-01", ""), Weighing(2, "M-01", "weighing-1"), Weighing(3, "M-02", "")}
	for _, w := range want.Weighings {
		done(t, s.AddWeighing(ctx, StudyName, w))
	}
	want.Gaugings = []campaign.Gauging{Gauging(1, "M-01", ""), Gauging(2, "M-01", "gauging-1")}
	for _, g := range want.Gaugings {
		done(t, s.AddGauging(ctx, StudyName, g))
	}
	for n, replaces := range []string{"", "pull-0"} {
		p, data := Pull(n, "M-02", replaces)
		done(t, s.AddPull(ctx, StudyName, p, data))
		want.Pulls = append(want.Pulls, p)
	}
	want.Deviations = []campaign.Deviation{Deviation(1), Deviation(2)}
	for _, d := range want.Deviations {
		done(t, s.AddDeviation(ctx, StudyName, d))
	}
	return want, readings
}

// Void returns a void with its reason.
func Void(loaded bool) campaign.Void {
	return campaign.Void{Stamp: by(40), Reason: "the guide stuck", Loaded: loaded}
}
