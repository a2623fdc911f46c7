package timetable

// A step is one Op on its way.
type step struct {
	kind   Kind
	job    int // in Ask.Jobs; -1 for the reference
	turn   Turn
	fall   int
	place  int   // in Ask.Places; -1 for none
	long   int64 // seconds
	people int
	who    []int // who can
	tower  bool  // the specimen is on the tower
	early  int64 // it starts no earlier,
	late   int64 // and no later
	first  bool  // the first fall of a job whose place in the order is kept
	done   bool  // it happened, at early
	slot   int   // of the place it was put in; -1 when that is still free
}

// A limit holds start(to) - start(from) between two bounds: set and most for a plan.
// least and last are the bounds of the rule, for what happened.
type limit struct {
	from, to    int
	set, most   int64
	least, last int64
	rule        string // empty where it only says what comes after what
}

// A hold takes a tower (place -1) or one slot of a place from the start of one
// step to the end of another.
type hold struct{ first, last, place int }

// A chain is a job with those that follow it: what one specimen goes through.
type chain struct {
	jobs   []int
	steps  []step
	limits []limit
	holds  []hold
	towers []int // that it may use
	day    int   // of the falls of its first job, from 1; 0 for any
}

// draft is a chain in the making.
type draft struct {
	*chain
	y     *yard
	leave bool
}

// chainOf writes out jobs that follow each other. With leave the specimen leaves
// its tower in each rest that is long enough for another to use.
func (y *yard) chainOf(jobs []int, leave bool) *chain {
	d := draft{&chain{jobs: jobs, towers: y.towersOf(jobs)}, y, leave}
	d.day = y.ask.Jobs[jobs[0]].Day
	lastFall := map[string]int{}
	for i, j := range jobs {
		job := &y.ask.Jobs[j]
		first, last := d.job(j, job)
		if i == 0 {
			d.steps[first].first = !y.ask.FreeOrder
		} else if from, ok := lastFall[job.Follows]; ok {
			d.lag("since", from, first, job.Since)
		}
		lastFall[job.Name] = last
	}
	return d.chain
}

// job adds the steps of one job and returns its first and last fall.
func (d *draft) job(j int, job *Job) (first, last int) {
	wet := d.preps(j, job.Before)
	first, last = d.series(j, "", job.Falls, job.Settle, job.Rest)
	if wet >= 0 {
		d.lag("drain", wet, first, job.Drain)
	}
	if job.Day > 0 {
		day := d.y.days[job.Day-1]
		for i := range d.steps {
			if s := &d.steps[i]; s.job == j && s.tower {
				s.early, s.late = day.from, day.to-s.long
			}
		}
	}
	d.preps(j, job.After)
	return first, last
}

// preps adds preparations and returns the last soak's taking out, -1 without.
func (d *draft) preps(j int, preps []Prep) int {
	wet := -1
	for _, p := range preps {
		if p.Do == Weigh {
			d.add(step{kind: Weigh, job: j, place: -1})
			continue
		}
		place := d.y.placeOf(p.In)
		in := d.add(step{kind: PutIn, job: j, place: place})
		out := d.add(step{kind: TakeOut, job: j, place: place})
		d.lag(string(p.Do), in, out, p.For)
		d.holds = append(d.holds, hold{in, out, place})
		if p.Do == Soak {
			wet = out
		}
	}
	return wet
}

// series adds hanging, falls and taking down.
func (d *draft) series(j int, turn Turn, falls int, settle, rest Lag) (first, last int) {
	on := step{job: j, turn: turn, place: -1, tower: true}
	add := func(k Kind, fall int) int {
		s := on
		s.kind, s.fall = k, fall
		return d.add(s)
	}
	had := 0
	if j >= 0 {
		had = d.y.ask.Jobs[j].Had
	}
	hung := add(Hang, 0)
	start := hung
	for f := 1; f <= falls; f++ {
		if f > 1 && d.leaves(j, had+f, rest) {
			off := add(TakeOff, 0)
			d.tight(last, off)
			d.holds = append(d.holds, hold{start, off, -1})
			start = add(PutBack, 0)
		}
		drop := add(Drop, had+f)
		if d.steps[drop-1].kind == PutBack {
			d.tight(drop-1, drop)
		}
		if f == 1 {
			first = drop
			d.lag("settling", hung, drop, settle)
		} else {
			d.lag("rest", last, drop, rest)
		}
		last = drop
	}
	down := add(TakeDown, 0)
	d.holds = append(d.holds, hold{start, down, -1})
	return first, last
}

// leaves is whether a specimen leaves the tower before a fall: as it happened, or
// when another could be put back, dropped and taken off in the rest.
func (d *draft) leaves(j, fall int, rest Lag) bool {
	if j >= 0 {
		off := false
		for _, o := range d.y.past[d.y.ask.Jobs[j].Name] {
			switch {
			case o.Kind == Drop && o.Fall == fall:
				return off
			case o.Kind == TakeOff:
				off = true
			case o.Kind == Drop:
				off = false
			}
		}
		if off {
			return true
		}
	}
	w := &d.y.ask.Work
	swap := w.TakeOff.Takes + w.PutBack.Takes
	return d.leave && rest.Set-w.Drop.Takes >= swap+swap+w.Drop.Takes
}

// add puts a step after the one before it.
func (d *draft) add(s step) int {
	e := d.y.ask.Work.of(s.kind)
	s.long, s.people = seconds(e.Takes), max(1, e.People)
	s.who = d.y.can[s.kind]
	s.early, s.late, s.slot = -forever, forever, -1
	d.steps = append(d.steps, s)
	i := len(d.steps) - 1
	if i > 0 {
		d.limits = append(d.limits, after(i-1, i, d.steps[i-1].long, forever))
	}
	return i
}

// after lets a step begin between two times after the start of another.
func after(from, to int, set, most int64) limit {
	return limit{from: from, to: to, set: set, most: most, least: set, last: most}
}

// lag keeps a time from the end of one step to the start of another, or to its
// end when that is its fall.
func (d *draft) lag(rule string, from, to int, l Lag) {
	if l == (Lag{}) {
		return
	}
	shift := d.steps[from].long
	if d.steps[to].kind == Drop {
		shift -= d.steps[to].long
	}
	m := after(from, to, seconds(l.Set)+shift, forever)
	m.rule, m.least = rule, seconds(l.Least)+shift
	if l.Most > 0 {
		m.most = seconds(l.Most) + shift
		m.last = m.most
	}
	d.limits = append(d.limits, m)
}

// tight lets one step follow another at once.
func (d *draft) tight(from, to int) {
	d.limits = append(d.limits, after(from, to, d.steps[from].long, d.steps[from].long))
}
