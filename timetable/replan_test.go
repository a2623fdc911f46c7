package timetable

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// pause is a drawn day that stops at a time for so long: what has begun before is
// done, and now is after the pause.
func pause(t *testing.T, seed uint64, remount bool) (a Ask, done []Op, now time.Time) {
	t.Helper()
	a = drawDay(seed, remount)
	a.Steps = 5
	whole, err := Build(t.Context(), a)
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(seed, 9))
	stop := a.Days[0].Open.Add(time.Duration(r.Int64N(int64(whole.Makespan)))).Truncate(time.Second)
	now = stop.Add(minutes(r, 0, 12))
	for _, o := range whole.Ops {
		if o.Start.Before(stop) {
			done = append(done, o)
		}
	}
	if len(done) > 0 { // the last took longer than it should
		last := &done[len(done)-1]
		last.End = last.End.Add(2 * minute)
	}
	return a, done, now
}

// What is planned anew keeps the past as it was, begins nothing before now, and
// breaks no rule but the lags that it lists: of those the checker finds the same.
func TestReplan(t *testing.T) {
	broken, clean := 0, 0
	for seed := range uint64(50) {
		a, done, now := pause(t, seed, seed%5 == 4)
		table, err := Replan(t.Context(), a, done, now)
		if err != nil {
			t.Errorf("%d: %v", seed, err)
			continue
		}
		if table.Makespan < table.Bound {
			t.Errorf("%d: makespan %v, and its bound is %v by %s", seed, table.Makespan, table.Bound, table.BoundBy)
		}
		kept := 0
		for _, o := range table.Ops {
			if o.Done {
				kept++
			} else if o.Start.Before(now) {
				t.Errorf("%d: to %s %s begins %s, before now %s", seed, o.Kind, o.Job, o.Start, now)
			}
		}
		if kept != len(done) {
			t.Errorf("%d: %d of %d done are kept", seed, kept, len(done))
		}
		for _, f := range Check(&a, table) {
			if !slices.ContainsFunc(table.Broken, func(b Fault) bool { return b.Rule == f.Rule && b.Job == f.Job }) {
				t.Errorf("%d: %+v is not listed in %+v", seed, f, table.Broken)
			}
		}
		for _, f := range table.Broken {
			broken++
			if !slices.ContainsFunc(Check(&a, table), func(b Fault) bool { return b.Rule == f.Rule && b.Job == f.Job }) {
				t.Errorf("%d: %+v is listed and nothing is wrong", seed, f)
			}
		}
		if len(table.Broken) == 0 {
			clean++
		}
	}
	if broken < 10 || clean < 10 {
		t.Fatalf("%d lags broken, %d days clean: too few of one kind to tell", broken, clean)
	}
}

func TestReplanRefuses(t *testing.T) {
	a, done, now := pause(t, 5, false)
	odd := slices.Clone(done)
	odd[len(odd)-1].Job = "nobody"
	later := slices.Clone(done)
	later[0].Start = now.Add(time.Minute)
	wrong := slices.Clone(done)
	for i := range wrong {
		if wrong[i].Kind == Drop && wrong[i].Turn == "" {
			wrong[i].Fall = 4
			break
		}
	}
	for _, c := range []struct {
		done []Op
		want string
	}{{odd, "there is no such job"}, {later, "after now"}, {wrong, "and what comes then is to"}} {
		if _, err := Replan(t.Context(), a, c.done, now); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v does not say %q", err, c.want)
		}
	}
}
