package timetable

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fallwright.example/problem"
)

// A plan too long for its day is refused with numbers that hold: as many specimens
// as it says fit, so long a day holds all, and so do the days that it names.
func TestTooLong(t *testing.T) {
	a := trade(3, 5) // 15 times 20 minutes
	a.Days[0].Close = morning.Add(3*time.Hour + 10*minute)
	_, err := Build(t.Context(), a)
	all := problem.All(err)
	if len(all) != 1 || all[0].Kind != problem.TooFew {
		t.Fatalf("got %v", err)
	}
	p := all[0]
	for i, want := range []string{
		"the plan needs 5 h and the day has 3 h 10 min, 08:00 to 11:10",
		"9 of 15 specimens fit; left over: M-10, M-11, M-12, M-13, M-14, M-15",
		"or keep day 1 open until 2027-05-10 13:00",
		"or add 1 day like day 1: 2027-05-11",
	} {
		if got := append([]string{p.What}, p.Hints...)[i]; got != want {
			t.Errorf("it says %q, not %q", got, want)
		}
	}
	fewer, longer, more := a, a, a
	fewer.Jobs = a.Jobs[:9]
	longer.Days = []Day{{Open: morning, Close: morning.Add(5 * time.Hour)}}
	more.Days = append(slices.Clone(a.Days), Day{Open: morning.AddDate(0, 0, 1), Close: a.Days[0].Close.AddDate(0, 0, 1)})
	for name, b := range map[string]Ask{"fewer": fewer, "longer": longer, "more": more} {
		if _, err := Build(t.Context(), b); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	fewer.Jobs = a.Jobs[:10]
	if _, err := Build(t.Context(), fewer); err == nil {
		t.Error("ten fit as well")
	}
}

func TestHopeless(t *testing.T) {
	a := trade(1, 2)
	a.Jobs[1].Rest = About(50*minute, minute)
	a.Days[0].Close = morning.Add(2 * time.Hour)
	_, err := Build(t.Context(), a)
	if err == nil || !strings.Contains(err.Error(), "job M-02: it fits no day, even alone: it takes at least 3 h 28 min, 3 h 28 min of it on the tower") {
		t.Errorf("got %v", err)
	}
}

// Each fault of an Ask is said where it is.
func TestRules(t *testing.T) {
	for _, c := range []struct {
		want string
		plan func(*Ask)
	}{
		{"days: there are none", func(a *Ask) { a.Days = nil }},
		{"day 1: it closes at 2027-05-10 08:00, not after it opens at 2027-05-10 08:00", func(a *Ask) { a.Days[0].Close = morning }},
		{"day 2: it opens before day 1 closes", func(a *Ask) { a.Days = append(a.Days, a.Days[0]) }},
		{"no whole number of seconds", func(a *Ask) { a.Days[0].Close = a.Days[0].Close.Add(1) }},
		{"towers: there are none", func(a *Ask) { a.Towers = nil }},
		{"tower tower: two have this name", func(a *Ask) { a.Towers = append(a.Towers, a.Towers[0]) }},
		{"jobs: there are none", func(a *Ask) { a.Jobs = nil }},
		{"job M-02: two have this name", func(a *Ask) { a.Jobs[0].Name = "M-02" }},
		{"job M-01: it has 0 falls", func(a *Ask) { a.Jobs[0].Falls = 0 }},
		{"job M-01: day 2, and there are 1", func(a *Ask) { a.Jobs[0].Day = 2 }},
		{`job M-01: there is no tower "other"`, func(a *Ask) { a.Jobs[0].Tower = "other" }},
		{`job M-01: there is no place "bath" to soak in`, func(a *Ask) { a.Jobs[0].Before = []Prep{{Soak, "bath", AtLeast(minute)}} }},
		{"job M-01: it has a drain time and no soak", func(a *Ask) { a.Jobs[0].Drain = AtLeast(minute) }},
		{"job M-01: rest of 3 min, at least 4 min, at most 5 min: these are not in order", func(a *Ask) { a.Jobs[0].Rest = Lag{4 * minute, 3 * minute, 5 * minute} }},
		{"job M-01: rests of at most 30 s are shorter than a drop takes (1 min)", func(a *Ask) { a.Jobs[0].Rest = Lag{0, 0, 30 * time.Second} }},
		{`job M-01: it follows "M-09", which there is not`, func(a *Ask) { a.Jobs[0].Follows = "M-09" }},
		{`job M-01: it follows "M-02", which comes after it`, func(a *Ask) { a.Jobs[0].Follows = "M-02" }},
		{`job M-02: it follows "M-01", which is of another specimen`, func(a *Ask) { a.Jobs[1].Follows = "M-01" }},
		{"to drop: it takes no time", func(a *Ask) { a.Work.Drop.Takes = 0 }},
		{"to drop: it takes 3 at once, and 2 can", func(a *Ask) { a.Work.Drop.People = 3 }},
		{`person Ada: "swim" is no duty`, func(a *Ask) { a.People[0].Does = []Kind{"swim"} }},
		{"reference: it has 0 falls", func(a *Ask) { a.Reference = &Reference{Opens: true} }},
	} {
		a := trade(1, 2)
		c.plan(&a)
		if _, err := Build(t.Context(), a); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v does not say %q", err, c.want)
		}
	}
}
