package timetable

import (
	"slices"
	"time"
)

// table writes a plan out, after what happened already.
func (b *builder) table(p *plan, past []Op, steps int) *Table {
	t := &Table{Ops: slices.Clone(past), Steps: steps, Broken: slices.Clone(b.broken)}
	for _, k := range p.checks {
		t.Ops = append(t.Ops, b.ops(k.berth)...)
		t.Broken = append(t.Broken, b.willBreak(k.berth)...)
	}
	for _, k := range p.berths {
		t.Ops = append(t.Ops, b.ops(b.still(k))...)
	}
	sortOps(t.Ops)
	t.sum(b.ask)
	for _, k := range p.berths {
		t.Broken = append(t.Broken, b.willBreak(k)...)
	}
	t.Makespan = time.Duration(b.open(b.at(t.Finish))) * time.Second
	return t
}

func sortOps(ops []Op) {
	slices.SortStableFunc(ops, func(a, b Op) int {
		if c := a.Start.Compare(b.Start); c != 0 {
			return c
		}
		return a.End.Compare(b.End)
	})
}

// still leaves a specimen on its tower in rests in which nobody else came there.
func (b *builder) still(k *berth) *berth {
	out := *k
	chain := *k.chain
	out.chain = &chain
	chain.steps, out.at, out.who = nil, nil, nil
	for i := 0; i < len(k.steps); i++ {
		if i+1 < len(k.steps) && k.steps[i].kind == TakeOff && !k.steps[i].done && k.steps[i+1].kind == PutBack {
			from, to := k.at[i]+k.steps[i].long, k.at[i+1]
			if b.work.towers[k.tower].free(from, to) {
				i++
				continue
			}
		}
		chain.steps, out.at, out.who = append(chain.steps, k.steps[i]), append(out.at, k.at[i]), append(out.who, k.who[i])
	}
	return &out
}

// ops are the steps of a berth that have not happened.
func (b *builder) ops(k *berth) []Op {
	var out []Op
	in := 0
	for i, s := range k.steps {
		o := Op{Kind: s.kind, Turn: s.turn, Fall: s.fall, Start: b.time(k.at[i]), End: b.time(k.at[i] + s.long)}
		if s.job < 0 {
			o.Job, o.Specimen = b.ask.Reference.Specimen, b.ask.Reference.Specimen
		} else {
			j := &b.ask.Jobs[s.job]
			o.Job, o.Specimen, o.Condition = j.Name, j.specimen(), j.Condition
		}
		if s.tower {
			o.Tower = b.ask.Towers[k.tower].Name
		}
		if s.place >= 0 {
			o.Place, o.Slot = b.ask.Places[s.place].Name, b.slotOf(k, s.place, in)+1
			if s.kind == TakeOut {
				in++
			}
		}
		for _, w := range k.who[i] {
			o.People = append(o.People, b.ask.People[w].Name)
		}
		if !s.done {
			out = append(out, o)
		}
	}
	return out
}

// slotOf is the slot of the n-th hold of a place, counting every place.
func (b *builder) slotOf(k *berth, place, n int) int {
	for i, h := range k.holds {
		if h.place < 0 {
			continue
		}
		if n == 0 {
			return k.slot[i]
		}
		n--
	}
	return 0
}

func (j *Job) specimen() string {
	if j.Specimen == "" {
		return j.Name
	}
	return j.Specimen
}

// sum adds up what a timetable comes to.
func (t *Table) sum(a *Ask) {
	t.Days = make([]DayUse, len(a.Days))
	for i, d := range a.Days {
		t.Days[i] = DayUse{Day: i + 1, Open: d.Open, Close: d.Close}
	}
	last := map[string]time.Time{} // by job, when hung or dropped
	for _, o := range t.Ops {
		if o.End.After(t.Finish) {
			t.Finish = o.End
		}
		i := slices.IndexFunc(a.Days, func(d Day) bool { return !o.Start.Before(d.Open) && !o.Start.After(d.Close) })
		if i < 0 { // it happened at another time
			continue
		}
		d := &t.Days[i]
		if d.First.IsZero() {
			d.First = o.Start
		}
		if o.End.After(d.Last) {
			d.Last = o.End
		}
		work := time.Duration(len(o.People)) * o.End.Sub(o.Start)
		d.Working, t.Working = d.Working+work, t.Working+work
		if o.Turn != "" {
			continue
		}
		switch o.Kind {
		case Hang:
			d.Series++
			last[o.Job] = o.End
		case Drop:
			d.Falls++
			wait := o.End.Sub(last[o.Job])
			if from, ok := last[o.Job]; !ok || from.IsZero() {
				wait = 0
			}
			d.Waiting, t.Waiting = d.Waiting+wait, t.Waiting+wait
			last[o.Job] = o.End
		}
	}
	t.idle()
}

// idle is the time between a day's first and last Op that towers in use stand empty.
func (t *Table) idle() {
	for i := range t.Days {
		d := &t.Days[i]
		hung := map[string]time.Duration{}
		for _, s := range t.Stays() {
			if s.Tower != "" && !s.From.Before(d.Open) && !s.To.After(d.Close) {
				hung[s.Tower] += s.To.Sub(s.From)
			}
		}
		for _, h := range hung {
			d.TowerIdle += max(0, d.Used()-h)
		}
	}
}
