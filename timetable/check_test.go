package timetable

import (
	"slices"
	"testing"
	"time"
)

// full is an invented study in which every rule has something to hold, and its
// timetable, which breaks none.
func full(t *testing.T) (Ask, *Table) {
	t.Helper()
	day := func(n int) Day {
		open := morning.AddDate(0, 0, n)
		lunch := open.Add(4 * time.Hour)
		return Day{Open: open, Close: open.Add(9 * time.Hour), Breaks: []Span{{lunch, lunch.Add(45 * minute)}}}
	}
	a := Ask{
		Days:   []Day{day(0), day(1)},
		Towers: []Tower{{Name: "blocked"}, {Name: "turns", Remount: true}},
		Places: []Place{{"bath", 2}, {"rack", 4}},
		People: []Person{{Name: "Ada", Does: []Kind{Hang, Drop, TakeDown, TakeOff, PutBack}}, {Name: "Ben", Away: []Span{{morning.Add(time.Hour), morning.Add(90 * minute)}}}, {Name: "Cleo"}, {Name: "Dan"}},
		Work: Work{
			Weigh: Effort{Takes: minute}, PutIn: Effort{Takes: minute}, TakeOut: Effort{Takes: minute}, Hang: Effort{Takes: 3 * minute},
			Drop: Effort{minute, 2}, TakeDown: Effort{Takes: 2 * minute}, TakeOff: Effort{Takes: minute}, PutBack: Effort{Takes: minute},
		},
		Reference: &Reference{Specimen: "R-1", Falls: 2, Rest: About(3*minute, minute), Opens: true, Closes: true},
		Steps:     2,
	}
	for i, name := range []string{"M-01", "M-02", "M-03", "M-04", "M-05", "M-06"} {
		j := Job{Name: name, Falls: 3, Settle: AtLeast(2 * minute), Rest: About(8*minute, minute), Day: 1, Tower: a.Towers[i%2].Name, Before: []Prep{{Do: Weigh}}}
		if i%3 == 0 {
			j.Before = append(j.Before, Prep{Soak, "bath", About(20*minute, 2*minute)})
			j.Drain = About(10*minute, 3*minute)
			j.After = []Prep{{Dry, "rack", AtLeast(time.Hour)}}
			a.Jobs = append(a.Jobs, j, Job{Name: name + " rested", Specimen: name, Falls: 1, Follows: name, Since: Between(12*time.Hour, 24*time.Hour)})
			continue
		}
		a.Jobs = append(a.Jobs, j)
	}
	table := sound(t, "full", a)
	if table == nil {
		t.FailNow()
	}
	return a, table
}

// find is the n-th Op of a kind that a job has.
func find(t *testing.T, table *Table, job string, kind Kind, n int) *Op {
	t.Helper()
	for i := range table.Ops {
		if o := &table.Ops[i]; o.Job == job && o.Kind == kind {
			if n == 0 {
				return o
			}
			n--
		}
	}
	t.Fatalf("%s has no such %s", job, kind)
	return nil
}

func move(o *Op, by time.Duration) { o.Start, o.End = o.Start.Add(by), o.End.Add(by) }

// Each rule broken once, in a timetable that broke none: the checker names it.
func TestCheckSees(t *testing.T) {
	a, good := full(t)
	op := func(job string, kind Kind, n int) func(*testing.T, *Table) *Op {
		return func(t *testing.T, table *Table) *Op { return find(t, table, job, kind, n) }
	}
	for _, c := range []struct {
		rule, what string
		of         func(*testing.T, *Table) *Op
		plant      func(*Op)
	}{
		{"rest", "a rest two minutes long of tolerance one", op("M-02", Drop, 0), func(o *Op) { move(o, -2*minute) }},
		{"rest", "a rest cut short", op("M-02", Drop, 1), func(o *Op) { move(o, -2*minute) }},
		{"settling", "dropped as soon as it hangs", op("M-05", Drop, 0), func(o *Op) { move(o, -minute) }},
		{"soak", "out of the water early", op("M-04", TakeOut, 0), func(o *Op) { move(o, -4*minute) }},
		{"soak", "out of the water late", op("M-04", PutIn, 0), func(o *Op) { move(o, -4*minute) }},
		{"drain", "drained too long", op("M-04", TakeOut, 0), func(o *Op) { move(o, -8*minute) }},
		{"dry", "dried for no hour", op("M-04", PutIn, 1), func(o *Op) { move(o, 30*minute) }},
		{"falls", "a fall too many", op("M-02", Drop, 2), func(o *Op) { o.Kind = Weigh }},
		{"sequence", "falls in another order", op("M-02", Drop, 1), func(o *Op) { o.Fall = 3 }},
		{"sequence", "not taken down", op("M-02", TakeDown, 0), func(o *Op) { o.Kind = Weigh }},
		{"sequence", "not hung", op("M-02", Hang, 0), func(o *Op) { o.Kind = PutBack }},
		{"preparation", "not weighed", op("M-02", Weigh, 0), func(o *Op) { o.Kind = TakeOut }},
		{"preparation", "in the wrong place", op("M-04", PutIn, 0), func(o *Op) { o.Place = "rack" }},
		{"tower", "on two towers", op("M-02", Drop, 1), func(o *Op) { o.Tower = "blocked" }},
		{"tower", "no such tower", op("M-02", Hang, 0), func(o *Op) { o.Tower = "none" }},
		{"hours", "at lunch", op("M-02", Weigh, 0), func(o *Op) { move(o, morning.Add(250*minute).Sub(o.Start)) }},
		{"hours", "before the day opens", op("M-02", Weigh, 0), func(o *Op) { move(o, morning.Add(-minute).Sub(o.Start)) }},
		{"time taken", "a drop in no time", op("M-02", Drop, 1), func(o *Op) { o.Start = o.End }},
		{"people", "one where it takes two", op("M-02", Drop, 1), func(o *Op) { o.People = o.People[:1] }},
		{"people", "the same twice", op("M-02", Drop, 1), func(o *Op) { o.People = []string{"Cleo", "Cleo"} }},
		{"people", "nobody known", op("M-02", Weigh, 0), func(o *Op) { o.People = []string{"Eve"} }},
		{"duty", "Ada weighs", op("M-02", Weigh, 0), func(o *Op) { o.People = []string{"Ada"} }},
		{"away", "Ben is away", op("M-02", Weigh, 0), func(o *Op) { o.People = []string{"Ben"}; move(o, morning.Add(70*minute).Sub(o.Start)) }},
		{"remounting", "leaves a tower that is blocked", op("M-01", Drop, 1), func(o *Op) { o.Kind = TakeOff }},
		{"job", "of no job", op("M-02", Weigh, 0), func(o *Op) { o.Job = "X-1" }},
		{"job", "of no turn", op("R-1", Hang, 0), func(o *Op) { o.Turn = "" }},
	} {
		bad := *good
		bad.Ops = slices.Clone(good.Ops)
		o := c.of(t, &bad)
		o.People = slices.Clone(o.People)
		c.plant(o)
		sortOps(bad.Ops)
		if faults := Check(&a, &bad); !slices.ContainsFunc(faults, func(f Fault) bool { return f.Rule == c.rule }) {
			t.Errorf("%s: %q is not among %+v", c.what, c.rule, faults)
		}
	}
}

// What takes more than one Op to break.
func TestCheckSeesWhole(t *testing.T) {
	a, good := full(t)
	all := func(table *Table, job string, by time.Duration) {
		for i := range table.Ops {
			if table.Ops[i].Job == job {
				move(&table.Ops[i], by)
			}
		}
	}
	for _, c := range []struct {
		rule  string
		plant func(*Ask, *Table)
	}{
		{"order", func(a *Ask, _ *Table) { a.Jobs[2], a.Jobs[3] = a.Jobs[3], a.Jobs[2] }},
		{"since", func(a *Ask, _ *Table) { a.Jobs[1].Since = Between(time.Hour, 2*time.Hour) }},
		{"day", func(a *Ask, _ *Table) { a.Jobs[2].Day = 2 }},
		{"people", func(_ *Ask, table *Table) {
			for i := range table.Ops {
				if len(table.Ops[i].People) == 1 {
					table.Ops[i].People = []string{"Cleo"}
				}
			}
		}},
		{"tower", func(_ *Ask, table *Table) {
			all(table, "M-02", find(t, table, "M-03", Hang, 0).Start.Sub(find(t, table, "M-02", Hang, 0).Start))
			for i := range table.Ops {
				if table.Ops[i].Tower != "" {
					table.Ops[i].Tower = "turns"
				}
			}
		}},
		{"place", func(a *Ask, _ *Table) { a.Places[0].Holds = 0 }},
		{"place", func(_ *Ask, table *Table) {
			all(table, "M-04", find(t, table, "M-01", PutIn, 0).Start.Sub(find(t, table, "M-04", PutIn, 0).Start))
			for i := range table.Ops {
				table.Ops[i].Slot = min(1, table.Ops[i].Slot)
			}
		}},
		{"reference", func(_ *Ask, table *Table) {
			table.Ops = slices.DeleteFunc(table.Ops, func(o Op) bool { return o.Turn == Opening })
		}},
		{"reference", func(_ *Ask, table *Table) { all(table, "R-1", -8*time.Hour) }},
		{"reference", func(a *Ask, _ *Table) { a.Reference = nil }},
		{"job", func(_ *Ask, table *Table) {
			table.Ops = slices.DeleteFunc(table.Ops, func(o Op) bool { return o.Job == "M-03" })
		}},
		{"tower", func(a *Ask, table *Table) { // hung overnight
			move(find(t, table, "M-02", TakeDown, 0), 24*time.Hour)
		}},
	} {
		b, bad := a, *good
		b.Jobs, b.Places, bad.Ops = slices.Clone(a.Jobs), slices.Clone(a.Places), slices.Clone(good.Ops)
		c.plant(&b, &bad)
		sortOps(bad.Ops)
		if faults := Check(&b, &bad); !slices.ContainsFunc(faults, func(f Fault) bool { return f.Rule == c.rule }) {
			t.Errorf("%q is not among %+v", c.rule, faults)
		}
	}
}
