package study

import (
	"context"
	"slices"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/timetable"
)

// Replanned is the rest of a plan's days from a time on.
type Replanned struct {
	Plan     campaign.Plan
	From     time.Time
	Falls    int              // that were taken by then
	Left     int              // that are still to come
	Ask      *timetable.Ask   // without the series that were given up
	Table    *timetable.Table // nil when nothing is left
	GivenUp  []string         // labels whose series was broken off for another specimen
	DaysOpen bool             // the days of the draw could not be kept to
}

// Shown is the timetable as whoever drops may see it.
func (r *Replanned) Shown() *timetable.Table { return shown(r.Table, &r.Plan) }

// Replan plans the rest of a study's days from a time on, from the falls that are
// in the book by then.
func (d *Desk) Replan(ctx context.Context, name string, from time.Time) (*Replanned, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	return Replan(ctx, s, from, d.Clock().Location())
}

// Replan plans the rest of a study's days. The book has the falls and nothing of
// what went before them, so that a specimen that has fallen is taken as prepared
// and hung as the plan says, and one that has not as untouched, but for what the
// timetable begins on a day before: a rope that dries overnight hangs there. A series that was
// left for another specimen on a tower where nothing can be hung again is given up.
func Replan(ctx context.Context, s *campaign.Study, from time.Time, zone *time.Location) (*Replanned, error) {
	ask, err := TimetableAsk(&s.Plan, zone)
	if err != nil {
		return nil, err
	}
	from = from.In(zone).Truncate(time.Second)
	if last := ask.Days[len(ask.Days)-1]; !from.Before(last.Close) {
		return nil, problem.New(problem.TooFew, "from", "%s is after the last of the plan's days, which ends at %s", from.Format(minute), last.Close.Format(minute)).
			Hint("name a time within the days").In("nothing was planned anew")
	}
	b := &begunDays{ask: ask, from: from}
	b.falls(s)
	out := &Replanned{Plan: s.Plan, From: from, Ask: ask, Falls: len(b.taken), GivenUp: b.giveUp()}
	done := append(b.done(), b.checks(s)...)
	if today := b.today(); today.After(ask.Days[0].Open) {
		planned, err := Timetable(ctx, &s.Plan, zone, nil)
		if ctx.Err() != nil {
			return nil, err
		}
		if err == nil { // days that hold no timetable say nothing of what was begun on them
			done = append(done, b.begun(planned, today)...)
		}
	}
	for _, j := range ask.Jobs {
		out.Left += j.Falls
	}
	for _, o := range done {
		if o.Kind == timetable.Drop && o.Turn == "" {
			out.Left--
		}
	}
	if out.Left == 0 {
		return out, nil
	}
	if b.freeDays(func(day int) bool { return !ask.Days[day-1].Close.After(from) }) {
		out.DaysOpen = true
	}
	out.Table, err = timetable.Replan(ctx, *ask, done, from)
	if err != nil && ctx.Err() == nil && b.freeDays(func(int) bool { return true }) {
		out.DaysOpen = true
		out.Table, err = timetable.Replan(ctx, *ask, done, from)
	}
	if out.Table != nil { // nobody noted when the reference was hung
		out.Table.Broken = slices.DeleteFunc(out.Table.Broken, func(f timetable.Fault) bool {
			return ask.Reference != nil && f.Job == ask.Reference.Specimen && f.Rule == "settling"
		})
	}
	return out, err
}

const minute = "2006-01-02 15:04"

// begunDays are days of which something is done.
type begunDays struct {
	ask   *timetable.Ask
	from  time.Time
	taken []takenFall // in their order
	tower map[string]string
}

type takenFall struct {
	specimen string
	fall     int
	at       time.Time
}

// falls are those of the book up to now, of specimens that have a job.
func (b *begunDays) falls(s *campaign.Study) {
	for _, d := range s.Drops {
		planned := slices.ContainsFunc(b.ask.Jobs, func(j timetable.Job) bool { return j.Specimen == d.Specimen })
		if d.Took() && planned && d.Fall <= s.Plan.Series.Falls && !d.At.After(b.from) {
			b.taken = append(b.taken, takenFall{d.Specimen, d.Fall, d.At.In(b.from.Location()).Truncate(time.Second)})
		}
	}
	slices.SortStableFunc(b.taken, func(a, c takenFall) int { return a.at.Compare(c.at) })
	b.allot()
}

// allot says on which tower each specimen hung, which the book does not: the first
// that no other was on between its falls.
func (b *begunDays) allot() {
	b.tower = map[string]string{}
	last := map[string]time.Time{} // by tower, the last fall of what hung there
	for _, f := range b.taken {
		if b.tower[f.specimen] != "" {
			continue
		}
		end := f.at
		for _, o := range b.taken {
			if o.specimen == f.specimen {
				end = o.at
			}
		}
		at := b.ask.Towers[0].Name
		for _, t := range b.ask.Towers {
			if last[t.Name].Before(f.at) {
				at = t.Name
				break
			}
		}
		b.tower[f.specimen] = at
		if end.After(last[at]) {
			last[at] = end
		}
	}
}

// of are the falls of a specimen.
func (b *begunDays) of(specimen string) (out []takenFall) {
	for _, f := range b.taken {
		if f.specimen == specimen {
			out = append(out, f)
		}
	}
	return out
}

// others reports whether another specimen fell on a specimen's tower after a time
// and before another.
func (b *begunDays) others(specimen string, after, before time.Time) bool {
	return slices.ContainsFunc(b.taken, func(f takenFall) bool {
		return f.specimen != specimen && b.tower[f.specimen] == b.tower[specimen] && f.at.After(after) && f.at.Before(before)
	})
}

func (b *begunDays) remounts() bool { return b.ask.Towers[0].Remount }

// swaps reports whether a rest is long enough to drop another specimen in it: one
// that rests is then taken as off the tower.
func (b *begunDays) swaps(j *timetable.Job) bool {
	w := b.ask.Work
	return j.Rest.Set-w.Drop.Takes >= 2*(w.TakeOff.Takes+w.PutBack.Takes)+w.Drop.Takes
}

// giveUp takes out the jobs that were left for another specimen before they were
// over, with those that follow them, and returns their specimens.
func (b *begunDays) giveUp() []string {
	var out []string
	if b.remounts() {
		return nil
	}
	for _, f := range b.taken {
		if slices.Contains(out, f.specimen) {
			continue
		}
		falls := b.of(f.specimen)
		n := 0
		for _, j := range b.ask.Jobs {
			if j.Specimen != f.specimen {
				continue
			}
			n += j.Falls
			if len(falls) == n { // between two jobs of one specimen, or at the end
				break
			}
			if len(falls) < n && len(falls) > n-j.Falls && b.others(f.specimen, falls[len(falls)-1].at, b.from.Add(time.Second)) {
				out = append(out, f.specimen)
			}
		}
	}
	b.ask.Jobs = slices.DeleteFunc(b.ask.Jobs, func(j timetable.Job) bool { return slices.Contains(out, j.Specimen) })
	return out
}

// freeDays lets series that have not begun fall on any day, of the days that which
// holds for; it reports whether there were any.
func (b *begunDays) freeDays(which func(day int) bool) (any bool) {
	for i := range b.ask.Jobs {
		j := &b.ask.Jobs[i]
		if j.Day > 0 && which(j.Day) && len(b.of(j.Specimen)) == 0 {
			j.Day, any = 0, true
		}
	}
	return any
}

// done is what was done, job by job.
func (b *begunDays) done() []timetable.Op {
	var out []timetable.Op
	before := map[string]int{} // falls of the jobs of a specimen that came before
	for _, j := range b.ask.Jobs {
		falls := b.of(j.Specimen)
		from := min(before[j.Specimen], len(falls))
		before[j.Specimen] += j.Falls
		falls = falls[from:min(from+j.Falls, len(falls))]
		if len(falls) > 0 {
			out = append(out, b.job(&j, falls)...)
		}
	}
	return out
}

// job is what was done of a job with these falls: what comes before the first at
// the times that the plan sets, backwards from it.
func (b *begunDays) job(j *timetable.Job, falls []takenFall) []timetable.Op {
	w, tower := b.ask.Work, b.tower[j.Specimen]
	first := falls[0].at
	drop := first.Add(-w.Drop.Takes)
	op := func(k timetable.Kind, end time.Time, takes time.Duration) timetable.Op {
		return timetable.Op{Job: j.Name, Kind: k, Start: end.Add(-takes), End: end}
	}
	hang := op(timetable.Hang, earlier(first.Add(-j.Settle.Set), drop), w.Hang.Takes)
	hang.Tower = tower
	out := append(b.preps(j, first, hang.Start), hang)
	for i, f := range falls {
		one := op(timetable.Drop, f.at, w.Drop.Takes)
		one.Tower, one.Fall = tower, j.Had+i+1
		next := b.from.Add(time.Second)
		if i > 0 && one.Start.Before(falls[i-1].at) {
			one.Start = falls[i-1].at
		}
		out = append(out, one)
		if i+1 < len(falls) {
			next = falls[i+1].at
		}
		resting := i+1 == len(falls) && b.swaps(j) && !f.at.Add(w.TakeOff.Takes).After(b.from)
		if !b.remounts() || i+1 == j.Falls || !resting && !b.others(j.Specimen, f.at, next) {
			continue
		}
		off := op(timetable.TakeOff, f.at.Add(w.TakeOff.Takes), w.TakeOff.Takes)
		off.Tower = tower
		out = append(out, off)
		if i+1 < len(falls) {
			back := op(timetable.PutBack, next.Add(-w.Drop.Takes), w.PutBack.Takes)
			back.Tower = tower
			out = append(out, back)
		}
	}
	if len(falls) == j.Falls {
		down := op(timetable.TakeDown, falls[len(falls)-1].at.Add(w.TakeDown.Takes), w.TakeDown.Takes)
		down.Tower = tower
		out = append(out, down)
	}
	return out
}

// preps are the preparations of a job, the last of them over when it is hung.
func (b *begunDays) preps(j *timetable.Job, first, hung time.Time) []timetable.Op {
	var out []timetable.Op // backwards; Replan sorts by start
	w, at := b.ask.Work, hung
	wet := j.Drain.Set > 0
	for _, p := range slices.Backward(j.Before) {
		if p.Do == timetable.Weigh {
			out = append(out, timetable.Op{Job: j.Name, Kind: timetable.Weigh, Start: at.Add(-w.Weigh.Takes), End: at})
			at = at.Add(-w.Weigh.Takes)
			continue
		}
		end := at
		if p.Do == timetable.Soak && wet {
			end, wet = earlier(at, first.Add(-j.Drain.Set)), false
		}
		take := timetable.Op{Job: j.Name, Kind: timetable.TakeOut, Place: p.In, Slot: 1, Start: end.Add(-w.TakeOut.Takes), End: end}
		in := take.Start.Add(-p.For.Set)
		out = append(out, take, timetable.Op{Job: j.Name, Kind: timetable.PutIn, Place: p.In, Slot: 1, Start: in.Add(-w.PutIn.Takes), End: in})
		at = in.Add(-w.PutIn.Takes)
	}
	return out
}

// today is when the day of now opens, or the next one between days.
func (b *begunDays) today() time.Time {
	for _, d := range b.ask.Days {
		if d.Close.After(b.from) {
			return d.Open
		}
	}
	return b.from
}

// begun are the preparations that a timetable begins before today, of specimens that
// are to fall from today on.
func (b *begunDays) begun(t *timetable.Table, today time.Time) []timetable.Op {
	var out []timetable.Op
	for _, j := range b.ask.Jobs {
		slipped := slices.ContainsFunc(t.Of(j.Name), func(o timetable.Op) bool { return o.Tower != "" && o.Start.Before(today) })
		if slipped || len(b.of(j.Specimen)) > 0 {
			continue
		}
		for _, o := range t.Of(j.Name) {
			if o.Tower != "" || !o.Start.Before(today) {
				break
			}
			out = append(out, o)
		}
	}
	return out
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
