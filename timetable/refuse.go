package timetable

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fallwright.example/problem"
)

// refuse says that a plan does not fit: what it needs and what there is, how many
// specimens do fit, and which day would hold the rest.
func (b *builder) refuse(p *plan) error {
	if err := b.hopeless(p.left); err != nil {
		return err
	}
	day := len(b.days)
	for _, f := range p.left {
		if d := b.stay[f].day; d > 0 {
			day = d
			break
		}
	}
	d := b.ask.Days[day-1]
	out := problem.New(problem.TooFew, fmt.Sprintf("day %d", day), "%s left over: the day has %s, %s to %s",
		counted(len(p.left), "specimen"), Clock(d.Close.Sub(d.Open)), d.Open.Format("15:04"), d.Close.Format("15:04"))
	longer, end := b.longer(day)
	if longer {
		need := end.Sub(d.Open)
		out.What = fmt.Sprintf("the plan needs %s and the day has %s, %s to %s", Clock(need), Clock(d.Close.Sub(d.Open)), d.Open.Format("15:04"), d.Close.Format("15:04"))
	}
	out.Hint("%d of %s fit; left over: %s", len(b.families)-len(p.left), counted(len(b.families), "specimen"), b.labels(p.left))
	if longer {
		out.Hint("or keep day %d open until %s", day, end.Format("2006-01-02 15:04"))
	}
	if days := b.more(p.left); days != nil {
		out.Hint("or add %s like day %d: %s", counted(len(days), "day"), len(b.days), strings.Join(days, ", "))
	}
	return out.In("no timetable was made")
}

// hopeless names a specimen that fits no day even when it is alone.
func (b *builder) hopeless(left []int) error {
	var found problem.List
	for _, f := range left {
		c := b.stay[f]
		if b.alone(c, b.lows(c)) != nil {
			continue
		}
		if c.day > 0 && b.days[c.day-1].to <= b.from {
			p := problem.New(problem.Conflict, "job "+b.ask.Jobs[b.families[f][0]].Name, "it belongs to day %d, which is over", c.day)
			found = append(found, p.Hint("give it another day, or leave it out").In("no timetable was made"))
			continue
		}
		p := problem.New(problem.TooFew, "job "+b.ask.Jobs[b.families[f][0]].Name, "it fits no day, even alone: it takes at least %s, %s of it on the tower",
			span(c.path(0, len(c.steps)-1)), span(c.path(c.drops(0, len(c.steps)-1)[0]-1, c.down())))
		p.Hint("its lags must find people at both ends: look at breaks, at closing time, and at nights for lags of hours")
		if longer, end := b.longer(len(b.days)); longer {
			p.Hint("or keep day %d open until %s", len(b.days), end.Format("2006-01-02 15:04"))
		}
		found = append(found, p.In("no timetable was made"))
	}
	return found.Err()
}

// longer tells when a day would have to close for everything to fit.
func (b *builder) longer(day int) (bool, time.Time) {
	a := *b.ask
	a.Days = slices.Clone(a.Days)
	d := &a.Days[day-1]
	d.Close = d.Open.Add(24*time.Hour - time.Minute)
	if day < len(a.Days) && d.Close.After(a.Days[day].Open) {
		d.Close = a.Days[day].Open
	}
	p, other := b.with(&a)
	if len(p.left) > 0 {
		return false, time.Time{}
	}
	end := d.Open
	for _, o := range other.table(p, nil, 0).Ops {
		if o.Start.Before(d.Close) && !o.Start.Before(d.Open) && o.End.After(end) {
			end = o.End
		}
	}
	return end.After(b.ask.Days[day-1].Close), end
}

// more lists the days like the last that would hold the rest; nil when none would.
func (b *builder) more(left []int) []string {
	for _, f := range left {
		if b.stay[f].day > 0 {
			return nil
		}
	}
	const most = 30
	a := *b.ask
	a.Days = slices.Clone(a.Days)
	var out []string
	for range most {
		d := a.Days[len(a.Days)-1]
		next := Day{Open: d.Open.AddDate(0, 0, 1), Close: d.Close.AddDate(0, 0, 1)}
		for _, s := range d.Breaks {
			next.Breaks = append(next.Breaks, Span{s.From.AddDate(0, 0, 1), s.To.AddDate(0, 0, 1)})
		}
		a.Days = append(a.Days, next)
		out = append(out, next.Open.Format("2006-01-02"))
		if p, _ := b.with(&a); len(p.left) == 0 {
			return out
		}
	}
	return nil
}

// with is the best plan without a search on other days.
func (b *builder) with(a *Ask) (*plan, *builder) {
	y := newYard(a, b.from)
	y.past = b.past
	other, err := newBuilder(y)
	if err != nil {
		return &plan{left: []int{0}}, b
	}
	best := other.first()
	p := other.carryOut(best)
	for _, r := range other.starts() {
		if q := other.carryOut(r); q.better(p) < 0 {
			p, best = q, r
		}
	}
	return other.carryOut(best), other
}

// labels names the first jobs of families.
func (b *builder) labels(families []int) string {
	const most = 6
	var names []string
	for _, f := range families[:min(most, len(families))] {
		names = append(names, b.ask.Jobs[b.families[f][0]].Name)
	}
	if n := len(families) - most; n > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names, ", "), n)
	}
	return strings.Join(names, ", ")
}

func span(s int64) string { return Clock(time.Duration(s) * time.Second) }

func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
