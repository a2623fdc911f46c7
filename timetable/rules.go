package timetable

import (
	"fmt"
	"slices"
	"time"

	"fallwright.example/problem"
)

// rules collects what an Ask must be mended in.
type rules struct {
	*Ask
	found problem.List
}

// Validate tells everything that keeps an Ask from being planned at all.
func (a *Ask) Validate() error {
	r := rules{Ask: a}
	r.days()
	r.names()
	r.people()
	for i := range a.Jobs {
		r.job(&a.Jobs[i])
	}
	r.follows()
	r.reference()
	r.efforts()
	return r.found.Err()
}

func (r *rules) say(where, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, where, format, args...)
	r.found = append(r.found, p)
	return p
}

func (r *rules) days() {
	if len(r.Days) == 0 {
		r.say("days", "there are none").Hint("give at least one day with the time it opens and closes")
	}
	for i, d := range r.Days {
		where := fmt.Sprintf("day %d", i+1)
		if !d.Close.After(d.Open) {
			r.say(where, "it closes at %s, not after it opens at %s", clock(d.Close), clock(d.Open))
		}
		if i > 0 && d.Open.Before(r.Days[i-1].Close) {
			r.say(where, "it opens before day %d closes", i).Hint("put the days in order")
		}
		if r.whole(where, d.Open.Sub(r.Days[0].Open)) {
			r.whole(where, d.Close.Sub(d.Open))
		}
		r.spans(where, "break", d.Breaks)
	}
}

func (r *rules) spans(where, what string, spans []Span) {
	for _, s := range spans {
		if !s.To.After(s.From) {
			r.say(where, "a %s ends at %s, not after it begins at %s", what, clock(s.To), clock(s.From))
		}
		if r.whole(where, s.From.Sub(r.Days[0].Open)) {
			r.whole(where, s.To.Sub(s.From))
		}
	}
}

// whole refuses parts of a second.
func (r *rules) whole(where string, d time.Duration) bool {
	if d%time.Second != 0 {
		r.say(where, "%v is no whole number of seconds", d)
		return false
	}
	return true
}

func (r *rules) names() {
	if len(r.Towers) == 0 {
		r.say("towers", "there are none")
	}
	if len(r.Jobs) == 0 {
		r.say("jobs", "there are none")
	}
	var towers, places, people, jobs []string
	for _, t := range r.Towers {
		towers = append(towers, t.Name)
	}
	for _, p := range r.Places {
		places = append(places, p.Name)
		if p.Holds < 1 {
			r.say("place "+p.Name, "it holds %d specimens", p.Holds)
		}
	}
	for _, p := range r.People {
		people = append(people, p.Name)
	}
	for _, j := range r.Jobs {
		jobs = append(jobs, j.Name)
	}
	r.unique("tower", towers)
	r.unique("place", places)
	r.unique("person", people)
	r.unique("job", jobs)
}

func (r *rules) unique(what string, names []string) {
	seen := map[string]bool{}
	for _, n := range names {
		if n == "" {
			r.say(what, "one has no name")
		} else if seen[n] {
			r.say(what+" "+n, "two have this name")
		}
		seen[n] = true
	}
}

func (r *rules) people() {
	for _, p := range r.People {
		for _, k := range p.Does {
			if !slices.Contains(Duties(), k) {
				r.say("person "+p.Name, "%q is no duty", k).Hint("duties are %v", Duties())
			}
		}
		if len(r.Days) > 0 {
			r.spans("person "+p.Name, "time away", p.Away)
		}
	}
}

func (r *rules) job(j *Job) {
	where := "job " + j.Name
	if j.Falls < 1 {
		r.say(where, "it has %d falls", j.Falls)
	}
	if j.Day < 0 || j.Day > len(r.Days) {
		r.say(where, "day %d, and there are %d", j.Day, len(r.Days))
	}
	if j.Tower != "" && !slices.ContainsFunc(r.Towers, func(t Tower) bool { return t.Name == j.Tower }) {
		r.say(where, "there is no tower %q", j.Tower)
	}
	r.lag(where, "settling", j.Settle)
	r.lag(where, "drain time", j.Drain)
	r.rest(where, j.Rest, j.Falls)
	soaked := false
	for _, p := range j.Before {
		r.prep(where, p)
		soaked = soaked || p.Do == Soak
	}
	for _, p := range j.After {
		r.prep(where, p)
	}
	if j.Drain != (Lag{}) && !soaked {
		r.say(where, "it has a drain time and no soak").Hint("the drain time counts from the last soak before the falls")
	}
}

// rest also sees that a fall can be made ready within a rest.
func (r *rules) rest(where string, l Lag, falls int) {
	r.lag(where, "rest", l)
	if ready := r.Work.Drop.Takes; falls > 1 && l.Most > 0 && l.Most < ready {
		r.say(where, "rests of at most %s are shorter than a drop takes (%s)", Clock(l.Most), Clock(ready))
	}
}

func (r *rules) lag(where, what string, l Lag) {
	if l.Least < 0 || l.Set < l.Least || l.Most != 0 && l.Most < l.Set {
		r.say(where, "%s of %s, at least %s, at most %s: these are not in order", what, Clock(l.Set), Clock(l.Least), Clock(l.Most))
	}
	if r.whole(where, l.Least) && r.whole(where, l.Set) {
		r.whole(where, l.Most)
	}
}

func (r *rules) prep(where string, p Prep) {
	switch p.Do {
	case Weigh:
	case Soak, Dry:
		if !slices.ContainsFunc(r.Places, func(q Place) bool { return q.Name == p.In }) {
			r.say(where, "there is no place %q to %s in", p.In, p.Do)
		}
		if p.For.Set <= 0 {
			r.say(where, "it is to %s for no time", p.Do)
		}
		r.lag(where, string(p.Do), p.For)
	default:
		r.say(where, "%q is no preparation", p.Do).Hint("preparations are weigh, soak and dry")
	}
}

func (r *rules) follows() {
	at := map[string]int{}
	for i, j := range r.Jobs {
		at[j.Name] = i
	}
	for i, j := range r.Jobs {
		if j.Follows == "" {
			if j.Since != (Lag{}) {
				r.say("job "+j.Name, "it has a lag since a job that it does not name")
			}
			continue
		}
		r.lag("job "+j.Name, "lag since "+j.Follows, j.Since)
		k, ok := at[j.Follows]
		switch {
		case !ok:
			r.say("job "+j.Name, "it follows %q, which there is not", j.Follows)
		case k >= i:
			r.say("job "+j.Name, "it follows %q, which comes after it", j.Follows).Hint("list a follow-up after what it follows")
		case r.Jobs[k].specimen() != j.specimen():
			r.say("job "+j.Name, "it follows %q, which is of another specimen", j.Follows)
		}
	}
}

func (r *rules) reference() {
	if r.Reference == nil {
		return
	}
	if r.Reference.Falls < 1 {
		r.say("reference", "it has %d falls", r.Reference.Falls)
	}
	r.lag("reference", "settling", r.Reference.Settle)
	r.rest("reference", r.Reference.Rest, r.Reference.Falls)
}

// efforts sees that what is done takes time and that there are people for it.
func (r *rules) efforts() {
	need := map[Kind]bool{Hang: true, Drop: true, TakeDown: true}
	for _, j := range r.Jobs {
		for _, p := range append(slices.Clone(j.Before), j.After...) {
			if p.Do == Weigh {
				need[Weigh] = true
			} else {
				need[PutIn], need[TakeOut] = true, true
			}
		}
	}
	for _, t := range r.Towers {
		if t.Remount {
			need[TakeOff], need[PutBack] = true, true
		}
	}
	for _, k := range Duties() {
		e := r.Work.of(k)
		if !need[k] || !r.whole("to "+string(k), e.Takes) {
			continue
		}
		if e.Takes <= 0 {
			r.say("to "+string(k), "it takes no time").Hint("say how long it takes; a second at least")
		}
		able := 0
		for _, p := range r.People {
			if len(p.Does) == 0 || slices.Contains(p.Does, k) {
				able++
			}
		}
		if able < max(1, e.People) {
			r.say("to "+string(k), "it takes %d at once, and %d can", max(1, e.People), able)
		}
	}
}

func clock(t time.Time) string { return t.Format("2006-01-02 15:04") }

// Clock writes a length of time as people say it: "6 h 40 min", "3 min 30 s".
func Clock(d time.Duration) string {
	d = d.Round(time.Second)
	h, m, s := int(d/time.Hour), int(d%time.Hour/time.Minute), int(d%time.Minute/time.Second)
	out := ""
	for _, p := range []struct {
		n    int
		unit string
	}{{h, "h"}, {m, "min"}, {s, "s"}} {
		if p.n == 0 {
			continue
		}
		if out != "" {
			out += " "
		}
		out += fmt.Sprintf("%d %s", p.n, p.unit)
	}
	if out == "" {
		return "0 s"
	}
	return out
}
