package study_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// daysPlan is a plan with days: wet and dry specimens in turn, three falls each.
func daysPlan(n int, change func(*campaign.Plan)) campaign.Plan {
	p := campaign.Plan{
		Name: "days", Title: "Days",
		Factors:    []campaign.Factor{{Name: "water", Levels: []string{"none", "sea"}}},
		Conditions: []campaign.Condition{{Name: "dry", Baseline: true, Levels: map[string]string{"water": "none"}}, {Name: "wet", Levels: map[string]string{"water": "sea"}}},
		Ropes:      []campaign.Rope{{Lot: "Marram 9.6"}},
		Settings:   []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:     campaign.Series{Falls: 3, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 30 * time.Second}},
		Days: campaign.Days{
			Dates: []string{"2026-05-04", "2026-05-05"}, From: 9 * time.Hour, To: 15 * time.Hour, Hang: 4 * time.Minute, Settle: 2 * time.Minute,
			Drop: time.Minute, TakeDown: 2 * time.Minute, PutIn: time.Minute, Weigh: time.Minute,
		},
		Preparations: []campaign.Preparation{{
			Do: campaign.Soak, Conditions: []string{"wet"}, In: "bath", Holds: 2, Time: campaign.Rest{Set: 20 * time.Minute, Tolerance: 10 * time.Minute},
			ToDrop: campaign.Rest{Set: 12 * time.Minute, Tolerance: 6 * time.Minute},
		}},
	}
	for i := range n {
		p.Specimens = append(p.Specimens, campaign.Specimen{
			Label: fmt.Sprintf("M-%02d", i+1), Lot: "Marram 9.6", Condition: p.Conditions[i%2].Name, Place: i + 1, Day: 1 + i*2/n,
		})
	}
	if change != nil {
		change(&p)
	}
	return p
}

// recorded is a study in which a timetable was kept to until a time: what a book
// has of it.
func recorded(p campaign.Plan, t *timetable.Table, until time.Time) *campaign.Study {
	s := &campaign.Study{Plan: p}
	for _, o := range t.Ops {
		if o.Kind != timetable.Drop || o.End.After(until) {
			continue
		}
		d := campaign.Drop{Stamp: campaign.Stamp{At: o.End}, Kind: campaign.Fall, Specimen: o.Specimen, Fall: o.Fall, Setting: "standard"}
		if o.Turn != "" {
			d.Kind, d.Fall = campaign.Check, 0
		} else {
			d.Fall = s.NextFall(o.Specimen)
		}
		s.Drops = append(s.Drops, d)
	}
	return s
}

// TestReplanKeptDays replans days that went as planned, from every half hour on, for
// rigs of several kinds. By the independent checker the whole keeps every rule, and
// no tolerance is broken; the falls taken and to come are all falls.
func TestReplanKeptDays(t *testing.T) {
	kinds := map[string]func(*campaign.Plan){
		"one tower":  nil,
		"remounting": func(p *campaign.Plan) { p.Days.Remount, p.Series.Rest.Set = true, 15*time.Minute },
		"two towers": func(p *campaign.Plan) { p.Days.Towers = 2 },
		"checks":     func(p *campaign.Plan) { p.Days.Checks = 2 },
		"overnight": func(p *campaign.Plan) {
			p.Series.Overnight = campaign.Overnight{After: 2, Rest: campaign.Rest{Set: 20 * time.Hour, Tolerance: 8 * time.Hour}}
			for i := range p.Specimens {
				p.Specimens[i].Day = 1
			}
		},
	}
	checked := 0
	for name, change := range kinds {
		p := daysPlan(8, change)
		whole, err := study.Timetable(t.Context(), &p, time.UTC, nil)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all := 0
		for _, o := range whole.Ops {
			if o.Kind == timetable.Drop && o.Turn == "" {
				all++
			}
		}
		for at := whole.Days[0].Open; at.Before(whole.Finish); at = at.Add(31 * time.Minute) {
			if at.Hour() >= 15 || at.Hour() < 9 {
				continue
			}
			r, err := study.Replan(t.Context(), recorded(p, whole, at), at, time.UTC)
			if err != nil {
				t.Errorf("%s, %s: %v", name, at.Format("2 15:04"), err)
				continue
			}
			if r.Falls+r.Left != all || len(r.GivenUp) > 0 {
				t.Errorf("%s, %s: %d falls and %d to come of %d; given up %v", name, at.Format("2 15:04"), r.Falls, r.Left, all, r.GivenUp)
			}
			checked++
			if r.Table == nil {
				continue
			}
			named := map[string]bool{}
			for _, f := range r.Table.Broken {
				// Where another is hung while one rests, the book does not say what hangs.
				if named[f.Rule+f.Job] = true; name != "remounting" {
					t.Errorf("%s, %s: broken %+v", name, at.Format("2 15:04"), f)
				}
			}
			for _, f := range timetable.Check(r.Ask, r.Table) {
				if !named[f.Rule+f.Job] {
					t.Errorf("%s, %s: %+v", name, at.Format("2 15:04"), f)
				}
			}
			for _, o := range r.Table.Ops {
				if !o.Done && o.Start.Before(at) {
					t.Errorf("%s, %s: to %s at %s is planned before now", name, at.Format("2 15:04"), o.Kind, o.Start.Format("15:04"))
				}
			}
		}
	}
	if checked < 25 {
		t.Errorf("%d times looked at, want 25", checked)
	}
}

// TestReplanLate: what now is too late for is named, and what was broken before too.
func TestReplanLate(t *testing.T) {
	p := daysPlan(4, nil)
	at := func(hour, minute int) time.Time { return time.Date(2026, 5, 4, hour, minute, 0, 0, time.UTC) }
	fall := func(specimen string, n, hour, minute int) campaign.Drop {
		return campaign.Drop{Stamp: campaign.Stamp{At: at(hour, minute)}, Kind: campaign.Fall, Specimen: specimen, Fall: n}
	}
	s := &campaign.Study{Plan: p, Drops: []campaign.Drop{fall("M-01", 1, 9, 10), fall("M-01", 2, 9, 20)}}
	r, err := study.Replan(t.Context(), s, at(9, 40), time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	if r.Falls != 2 || r.Left != 10 || len(r.Table.Broken) != 2 {
		t.Errorf("%d falls, %d to come, broken %+v", r.Falls, r.Left, r.Table.Broken)
	}

	// A void drop that loaded the rope is a fall; one that did not is none.
	s.Drops[1].Void = &campaign.Void{Reason: "early", Loaded: true}
	if r, err = study.Replan(t.Context(), s, at(9, 40), time.UTC); err != nil || r.Falls != 2 {
		t.Errorf("%d falls, %v", r.Falls, err)
	}
	s.Drops[1].Void.Loaded = false
	if r, err = study.Replan(t.Context(), s, at(9, 40), time.UTC); err != nil || r.Falls != 1 || r.Left != 11 {
		t.Errorf("%d falls and %d to come, %v", r.Falls, r.Left, err)
	}

	// A series left for another specimen is given up, and nothing of it is planned.
	s.Drops[1].Void = nil
	s.Drops = append(s.Drops, fall("M-02", 1, 10, 0))
	r, err = study.Replan(t.Context(), s, at(10, 1), time.UTC)
	if err != nil || fmt.Sprint(r.GivenUp) != "[M-01]" || r.Left != 8 {
		t.Fatalf("given up %v, %d to come, %v", r.GivenUp, r.Left, err)
	}
	if ops := r.Table.Of("M-01"); len(ops) > 0 {
		t.Errorf("%d steps of a series that was given up", len(ops))
	}

	// A rope that dries overnight hangs there in the morning, and is not dried anew.
	overnight := daysPlan(4, func(p *campaign.Plan) {
		p.Preparations = append(p.Preparations, campaign.Preparation{Do: campaign.Dry, Conditions: []string{"wet"}, In: "line", Time: campaign.Rest{Set: 20 * time.Hour, Tolerance: 4 * time.Hour}})
		p.Preparations[0].ToDrop = campaign.Rest{}
		for i := range p.Specimens {
			p.Specimens[i].Day = 1 + i%2
		}
	})
	whole, err := study.Timetable(t.Context(), &overnight, time.UTC, nil)
	if err != nil {
		t.Fatal(err)
	}
	morning := at(9, 0).AddDate(0, 0, 1)
	r, err = study.Replan(t.Context(), recorded(overnight, whole, morning), morning, time.UTC)
	if err != nil || r.Falls != 6 || r.Left != 6 || len(r.Table.Broken) > 0 || len(timetable.Check(r.Ask, r.Table)) > 0 {
		t.Fatalf("after a night of drying: %v", err)
	}

	// What was to begin on a day that is over may fall on any.
	r, err = study.Replan(t.Context(), &campaign.Study{Plan: p}, at(9, 0).AddDate(0, 0, 1), time.UTC)
	if err != nil || !r.DaysOpen || r.Left != 12 {
		t.Errorf("days open %v, %d to come, %v", r.DaysOpen, r.Left, err)
	}
}

func TestReplanRefusals(t *testing.T) {
	p := daysPlan(4, nil)
	late := time.Date(2026, 5, 5, 15, 0, 0, 0, time.UTC)
	if _, err := study.Replan(t.Context(), &campaign.Study{Plan: p}, late, time.UTC); problem.KindOf(err) != problem.TooFew {
		t.Errorf("after the last day: %v", err)
	}
	if _, err := study.Replan(t.Context(), &campaign.Study{Plan: p}, late.Add(-30*time.Minute), time.UTC); problem.KindOf(err) == 0 {
		t.Errorf("half an hour for twelve falls: %v", err)
	}
	p.Days = campaign.Days{}
	if _, err := study.Replan(t.Context(), &campaign.Study{Plan: p}, late, time.UTC); problem.KindOf(err) != problem.TooFew {
		t.Errorf("no days: %v", err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := study.Replan(ctx, &campaign.Study{Plan: daysPlan(8, nil)}, late.AddDate(0, 0, -1).Add(-5*time.Hour), time.UTC); err == nil {
		t.Error("nobody waits, and it is planned all the same")
	}
}
