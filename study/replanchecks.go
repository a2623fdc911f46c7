package study

import (
	"time"

	"fallwright.example/campaign"
	"fallwright.example/timetable"
)

// checks are the check drops of the book that opened a day or closed one that is
// over: so many in a row as the plan has, for one tower after the other.
func (b *begunDays) checks(s *campaign.Study) []timetable.Op {
	if b.ask.Reference == nil {
		return nil
	}
	var out []timetable.Op
	for _, day := range b.ask.Days {
		first, last := day.Close, day.Open // falls of the day
		for _, f := range b.taken {
			if !f.at.Before(day.Open) && !f.at.After(day.Close) {
				first, last = earlier(first, f.at), f.at
			}
		}
		var opening, closing []time.Time
		for _, d := range s.Drops {
			at := d.At.In(b.from.Location()).Truncate(time.Second)
			if d.Kind != campaign.Check || d.Void != nil || at.Before(day.Open) || at.After(day.Close) || at.After(b.from) {
				continue
			}
			switch {
			case at.Before(first):
				opening = append(opening, at)
			case at.After(last) && !day.Close.After(b.from):
				closing = append(closing, at)
			}
		}
		out = append(out, b.turn(timetable.Opening, day.Open, opening)...)
		out = append(out, b.turn(timetable.Closing, day.Open, closing)...)
	}
	return out
}

// turn is what was done of one turn's check drops, which is of its day.
func (b *begunDays) turn(turn timetable.Turn, opens time.Time, drops []time.Time) []timetable.Op {
	r, w := b.ask.Reference, b.ask.Work
	var out []timetable.Op
	for _, tower := range b.ask.Towers {
		if len(drops) < r.Falls {
			break
		}
		add := func(k timetable.Kind, fall int, start, end time.Time) {
			if start.Before(opens) {
				start = opens
			}
			if end.Before(start) {
				end = start
			}
			out = append(out, timetable.Op{Job: r.Specimen, Specimen: r.Specimen, Turn: turn, Kind: k, Fall: fall, Tower: tower.Name, Start: start, End: end})
		}
		hung := earlier(drops[0].Add(-r.Settle.Set), drops[0].Add(-w.Drop.Takes))
		add(timetable.Hang, 0, hung.Add(-w.Hang.Takes), hung)
		before := hung
		for i, at := range drops[:r.Falls] {
			start := at.Add(-w.Drop.Takes)
			if start.Before(before) {
				start = before
			}
			add(timetable.Drop, i+1, start, at)
			before = at
		}
		add(timetable.TakeDown, 0, before, before.Add(w.TakeDown.Takes))
		drops = drops[r.Falls:]
	}
	return out
}
