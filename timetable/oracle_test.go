package timetable

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// An oracle finds the shortest timetable of a small Ask by trying every minute for
// every Op, with nothing of the package but its nouns: one tower or two that are
// blocked, one kind of bath, people who all do everything.
type oracle struct {
	a      *Ask
	jobs   [][]spot // each Op with what it may be started by
	best   int
	busy   [64]int     // people at each minute
	tower  [2][64]bool // taken
	bath   [64]int     // specimens in it
	at     [8][8]int   // start of each Op
	on     [8]int      // tower of each job
	closed [64]bool    // at each minute
	tried  int
}

// spot is an Op in minutes: how long, and when after the start of which Op of its
// job it may start.
type spot struct {
	kind       Kind
	long       int
	from       int
	least, max int
	bound      []spot // more of the same kind of limit
}

func inMinutes(d time.Duration) int { return int(d / minute) }

func newOracle(a *Ask) *oracle {
	o := &oracle{a: a, best: 63}
	for _, s := range a.Days[0].Breaks {
		for m := inMinutes(s.From.Sub(morning)); m < inMinutes(s.To.Sub(morning)); m++ {
			o.closed[m] = true
		}
	}
	for _, j := range a.Jobs {
		var ops []spot
		add := func(k Kind, long, from, least, most int, more ...spot) {
			ops = append(ops, spot{k, long, from, least, most, more})
		}
		w := a.Work
		drop, hang := inMinutes(w.Drop.Takes), inMinutes(w.Hang.Takes)
		var wet []spot
		if len(j.Before) > 0 {
			add(PutIn, 1, -1, 0, 60)
			add(TakeOut, 1, 0, 1+inMinutes(j.Before[0].For.Set), 1+inMinutes(j.Before[0].For.Most))
			wet = []spot{{from: 1, least: 1 + inMinutes(j.Drain.Set) - drop, max: 1 + inMinutes(j.Drain.Most) - drop}}
		}
		before := len(ops) - 1
		add(Hang, hang, before, 1, 60)
		if before < 0 {
			ops[0].least = 0
		}
		add(Drop, drop, len(ops)-1, hang, 60, wet...)
		for range j.Falls - 1 {
			add(Drop, drop, len(ops)-1, inMinutes(j.Rest.Set), inMinutes(j.Rest.Most))
		}
		add(TakeDown, inMinutes(w.TakeDown.Takes), len(ops)-1, drop, 60)
		o.jobs = append(o.jobs, ops)
	}
	return o
}

// try places the i-th Op of the j-th job and all that come after it.
func (o *oracle) try(j, i, finish int) {
	o.tried++
	if finish >= o.best {
		return
	}
	if j == len(o.jobs) {
		o.best = finish
		return
	}
	if i == len(o.jobs[j]) {
		o.try(j+1, 0, finish)
		return
	}
	s := o.jobs[j][i]
	low, high := 0, o.best-1-o.rest(j, i) // later it would be no shorter
	if s.from >= 0 {
		low, high = max(low, o.at[j][s.from]+s.least), min(high, o.at[j][s.from]+s.max)
	}
	for _, b := range s.bound {
		low, high = max(low, o.at[j][b.from]+b.least), min(high, o.at[j][b.from]+b.max)
	}
	for t := low; t <= high; t++ {
		if s.kind == Drop && o.jobs[j][i-1].kind == Hang && !o.inOrder(j, t) {
			continue
		}
		o.at[j][i] = t
		if s.kind == Hang {
			for w := range o.a.Towers {
				o.on[j] = w
				o.place(j, i, s, t, finish)
			}
			continue
		}
		o.place(j, i, s, t, finish)
	}
}

// rest is how long the i-th Op of a job and those after it take at least.
func (o *oracle) rest(j, i int) int {
	ops := o.jobs[j]
	if i == len(ops)-1 {
		return ops[i].long
	}
	return max(ops[i].long, ops[i+1].least+o.rest(j, i+1))
}

func (o *oracle) inOrder(j, t int) bool {
	if o.a.FreeOrder || j == 0 {
		return true
	}
	for i, s := range o.jobs[j-1] {
		if s.kind == Drop {
			return t >= o.at[j-1][i]
		}
	}
	return true
}

// place books people, the tower and the bath for an Op, goes on, and gives all back.
func (o *oracle) place(j, i int, s spot, t, finish int) {
	for m := t; m < t+s.long; m++ {
		if o.busy[m] >= len(o.a.People) || o.closed[m] {
			return
		}
	}
	from := t // of the stay that ends with this Op
	switch s.kind {
	case Drop, TakeDown:
		from = o.at[j][i-1]
	case TakeOut:
		from = o.at[j][i-1]
	}
	tower := s.kind == Drop || s.kind == TakeDown || s.kind == Hang
	end := t + s.long
	if s.kind == Drop || s.kind == TakeDown {
		from += o.jobs[j][i-1].long
	}
	for m := from; m < end; m++ {
		if tower && o.tower[o.on[j]][m] || s.kind == TakeOut && o.bath[m] >= o.a.Places[0].Holds {
			return
		}
	}
	o.mark(j, s, t, from, end, tower, 1)
	o.try(j, i+1, max(finish, end))
	o.mark(j, s, t, from, end, tower, -1)
}

func (o *oracle) mark(j int, s spot, t, from, end int, tower bool, by int) {
	for m := t; m < end; m++ {
		o.busy[m] += by
	}
	for m := from; m < end; m++ {
		if tower {
			o.tower[o.on[j]][m] = by > 0
		}
		if s.kind == TakeOut {
			o.bath[m] += by
		}
	}
}

// tiny draws an Ask of two or three short series.
func tiny(seed uint64) Ask {
	r := rand.New(rand.NewPCG(seed, 3))
	a := Ask{
		Days:   []Day{{Open: morning, Close: morning.Add(time.Hour)}},
		Towers: []Tower{{Name: "one"}}, Places: []Place{{"bath", 1}}, FreeOrder: r.IntN(2) == 0,
		Work: Work{
			PutIn: Effort{Takes: minute}, TakeOut: Effort{Takes: minute},
			Hang: Effort{Takes: minutes(r, 1, 2)}, Drop: Effort{Takes: minute}, TakeDown: Effort{Takes: minute},
		},
	}
	if r.IntN(3) == 0 {
		a.Towers = append(a.Towers, Tower{Name: "two"})
	}
	for i := range 1 + r.IntN(2) {
		a.People = append(a.People, Person{Name: fmt.Sprint("person ", i+1)})
	}
	if r.IntN(2) == 0 {
		from := morning.Add(minutes(r, 5, 16))
		a.Days[0].Breaks = []Span{{from, from.Add(minutes(r, 3, 8))}}
	}
	for i := range 2 + r.IntN(5)/4 {
		j := Job{Name: fmt.Sprint("M-", i+1), Falls: 1 + r.IntN(2), Rest: About(minutes(r, 2, 3), minute)}
		if r.IntN(2) == 0 {
			j.Before = []Prep{{Soak, "bath", About(minutes(r, 3, 5), minute)}}
			j.Drain = About(minutes(r, 4, 5), minute)
		}
		a.Jobs = append(a.Jobs, j)
	}
	return a
}

// On small plans every timetable there is was tried: the bound is never above the
// shortest, what Build makes never below, and as a rule the shortest itself.
func TestAgainstEveryTimetable(t *testing.T) {
	const asks = 40
	optimal, tight, worst := 0, 0, 1.0
	for seed := range uint64(asks) {
		a := tiny(seed)
		a.Steps = 300
		table := sound(t, fmt.Sprint("ask ", seed), a)
		if table == nil {
			continue
		}
		o := newOracle(&a)
		o.best = inMinutes(table.Makespan+minute-1) + 1 // only what is no longer need be tried
		o.try(0, 0, 0)
		best := time.Duration(o.best) * minute
		if table.Bound > best || table.Makespan < best {
			t.Errorf("ask %d: bound %v, shortest %v, built %v", seed, table.Bound, best, table.Makespan)
		}
		if table.Makespan == best {
			optimal++
		}
		if table.Bound == best {
			tight++
		}
		worst = max(worst, float64(table.Makespan)/float64(best))
	}
	t.Logf("%d of %d are the shortest there is, the worst is %.0f %% longer; the bound is the shortest in %d", optimal, asks, 100*(worst-1), tight)
	if optimal < asks*9/10 {
		t.Error("that is worse than it was")
	}
}
