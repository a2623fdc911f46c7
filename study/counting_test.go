package study_test

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// A plan is counted once for all who ask; what nobody waits for is given up; a new
// plan is counted anew.
func TestPlanIsCountedOnce(t *testing.T) {
	d := desk(t)
	p := daysPlan(8, func(p *campaign.Plan) {
		p.Questions = []campaign.Question{{Name: "q", Asks: "Harder?", Value: campaign.PeakForce, Compare: "wet", Baseline: "dry", Falls: []int{1}, Margin: campaign.Margin{Share: 0.05}}}
	})
	put := func(text string) {
		t.Helper()
		if _, err := d.PutPlan(t.Context(), p, "days.toml", []byte(text), "the club"); err != nil {
			t.Fatal(err)
		}
	}
	put("# one\n")
	if at, err := d.PlanAtOnce(t.Context(), "days"); err != nil || !at.Pending || at.HowMany != nil || at.Totals.Drops != 24 {
		t.Fatalf("before it is counted: %+v, %v", at, err)
	}

	// One who leaves does not end it for the other.
	ctx, leave := context.WithCancel(t.Context())
	begun, left := make(chan bool, 1), make(chan error, 1)
	go func() {
		_, err := d.Plan(ctx, "days", func(int, int) {
			select {
			case begun <- true:
			default:
			}
		})
		left <- err
	}()
	<-begun
	var all sync.WaitGroup
	last := 0
	all.Go(func() {
		got, err := d.Plan(t.Context(), "days", func(done, of int) {
			if done < last || of != 1000 || done > of {
				t.Errorf("progress from %d to %d of %d", last, done, of)
			}
			last = done
		})
		if err != nil || got.Pending || got.Timetable == nil || len(got.HowMany) != 1 {
			t.Errorf("counted %+v, %v", got, err)
		}
	})
	time.Sleep(20 * time.Millisecond) // until the second one waits
	leave()
	if err := <-left; !errors.Is(err, context.Canceled) {
		t.Errorf("who left has %v", err)
	}
	all.Wait()
	if last < 500 {
		t.Errorf("progress ended at %d of 1000", last)
	}

	at, err := d.PlanAtOnce(t.Context(), "days")
	if err != nil || at.Pending || at.HowMany[0].Result == nil {
		t.Fatalf("after it was counted: pending %v, %v", at.Pending, err)
	}
	again, err := d.Plan(t.Context(), "days", func(int, int) { t.Error("it is counted twice") })
	if err != nil || again.HowMany[0].Result != at.HowMany[0].Result {
		t.Errorf("another count, %v", err)
	}
	fresh, err := d.Draft(t.Context(), p, nil)
	if err != nil || fresh.HowMany[0].Result.Chances[0].Power != at.HowMany[0].Result.Chances[0].Power || fresh.Timetable.Makespan != at.Timetable.Makespan {
		t.Errorf("a draft comes to other numbers: %v", err)
	}

	put("# two\n")
	if at, err := d.PlanAtOnce(t.Context(), "days"); err != nil || !at.Pending {
		t.Errorf("a new plan has the numbers of the old one: %v", err)
	}
}

// Where labels hide conditions, the timetable that is shown does too.
func TestShownHidesConditions(t *testing.T) {
	for _, blind := range []bool{false, true} {
		p := daysPlan(4, func(p *campaign.Plan) { p.Order.Blind = blind })
		d := desk(t)
		planned, err := d.Draft(t.Context(), p, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := study.Replan(t.Context(), &campaign.Study{Plan: p}, time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC), time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		looked := 0
		for _, table := range []*timetable.Table{planned.Shown(), r.Shown()} {
			for _, o := range table.Ops {
				looked++
				if (o.Condition == "") != blind {
					t.Fatalf("hidden %v: %s is shown as %q", blind, o.Specimen, o.Condition)
				}
			}
		}
		if looked < 40 {
			t.Errorf("%d steps looked at", looked)
		}
	}
}
