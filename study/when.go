package study

import (
	"context"
	"fmt"
	"slices"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/draw"
	"fallwright.example/problem"
	"fallwright.example/timetable"
)

// Progress is told how far something long has got.
type Progress func(done, all int)

// Timetable makes the timetable of a plan's days, in the zone where they are
// spent. It refuses a plan that has no days, and passes on what the timetable
// refuses.
func Timetable(ctx context.Context, p *campaign.Plan, zone *time.Location, told Progress) (*timetable.Table, error) {
	ask, err := TimetableAsk(p, zone)
	if err != nil {
		return nil, err
	}
	ask.Progress = told
	return timetable.Build(ctx, *ask)
}

// TimetableAsk is what a timetable is asked for by a plan: its specimens in the
// order drawn, spares left out, each prepared, hung, dropped and rested as the
// plan says. A series with a night in it is two jobs.
func TimetableAsk(p *campaign.Plan, zone *time.Location) (*timetable.Ask, error) {
	d := p.Days
	if !d.Asked() {
		return nil, problem.New(problem.TooFew, "days", "the study file names no days, so there is no timetable").
			Hint(`add [days] with dates and hours`)
	}
	ask := &timetable.Ask{
		Work: timetable.Work{
			Weigh: timetable.Effort{Takes: d.Weigh}, PutIn: timetable.Effort{Takes: d.PutIn}, TakeOut: timetable.Effort{Takes: d.PutIn}, Hang: timetable.Effort{Takes: d.Hang},
			Drop: timetable.Effort{Takes: d.Drop}, TakeDown: timetable.Effort{Takes: d.TakeDown},
			TakeOff: timetable.Effort{Takes: d.TakeDown}, PutBack: timetable.Effort{Takes: d.Hang},
		},
		Places: places(p), Seed: p.Order.Seed, FreeOrder: !drawn(p),
	}
	for _, text := range d.Dates {
		day, err := time.ParseInLocation(time.DateOnly, text, zone)
		if err != nil {
			return nil, problem.New(problem.Invalid, "days", "%q is no date", text)
		}
		at := func(of time.Duration) time.Time {
			return time.Date(day.Year(), day.Month(), day.Day(), 0, int(of/time.Minute), 0, 0, zone)
		}
		one := timetable.Day{Open: at(d.From), Close: at(d.To)}
		for _, b := range d.Breaks {
			one.Breaks = append(one.Breaks, timetable.Span{From: at(b.From), To: at(b.To)})
		}
		ask.Days = append(ask.Days, one)
	}
	for i := range max(1, d.Towers) {
		name := "tower"
		if d.Towers > 1 {
			name = fmt.Sprintf("tower %d", i+1)
		}
		ask.Towers = append(ask.Towers, timetable.Tower{Name: name, Remount: d.Remount})
	}
	people := d.People
	if people == 0 {
		people = usualPeople
	}
	for i := range people {
		ask.People = append(ask.People, timetable.Person{Name: fmt.Sprintf("person %d", i+1)})
	}
	if d.Checks > 0 {
		ask.Reference = &timetable.Reference{
			Specimen: "reference rope", Falls: d.Checks, Settle: timetable.AtLeast(d.Settle), Rest: lag(p.Series.Rest), Opens: true, Closes: true,
		}
	}
	for _, s := range draw.Order(p) {
		ask.Jobs = append(ask.Jobs, jobs(p, s)...)
	}
	return ask, nil
}

// usualPeople are taken where a plan does not say how many there are.
const usualPeople = 2

// drawn reports whether the plan's specimens have places in an order.
func drawn(p *campaign.Plan) bool {
	return slices.ContainsFunc(p.Specimens, func(s campaign.Specimen) bool { return s.Place > 0 })
}

// lag is a rest as a timetable takes it; one that is not controlled may be any.
func lag(r campaign.Rest) timetable.Lag {
	if r.Set == 0 {
		return timetable.AtLeast(0)
	}
	return timetable.About(r.Set, r.Tolerance)
}

// places are the baths and racks, in the order of the plan.
func places(p *campaign.Plan) []timetable.Place {
	var out []timetable.Place
	for _, prep := range p.Preparations {
		name := placeOf(prep)
		if slices.ContainsFunc(out, func(o timetable.Place) bool { return o.Name == name }) {
			continue
		}
		holds := prep.Holds
		if holds == 0 {
			holds = len(p.Specimens)
		}
		out = append(out, timetable.Place{Name: name, Holds: holds})
	}
	return out
}

// placeOf is the place of a preparation; one without a name is where that is
// done.
func placeOf(prep campaign.Preparation) string {
	switch {
	case prep.In != "":
		return prep.In
	case prep.Do == campaign.Soak:
		return "bath"
	}
	return "rack"
}

// jobs are the series of one specimen.
func jobs(p *campaign.Plan, s campaign.Specimen) []timetable.Job {
	job := timetable.Job{
		Name: s.Label, Specimen: s.Label, Condition: s.Condition, Day: s.Day, Falls: p.Series.Falls,
		Settle: timetable.AtLeast(p.Days.Settle), Rest: lag(p.Series.Rest),
	}
	weigh := timetable.Prep{Do: timetable.Weigh}
	if p.Days.Weigh > 0 {
		job.Before = append(job.Before, weigh)
	}
	for _, prep := range p.Preparations {
		if !slices.Contains(prep.Conditions, s.Condition) {
			continue
		}
		job.Before = append(job.Before, timetable.Prep{Do: timetable.Kind(prep.Do), In: placeOf(prep), For: lag(prep.Time)})
		job.Drain = timetable.Lag{}
		if prep.Do == campaign.Soak && prep.ToDrop.Set > 0 {
			job.Drain = lag(prep.ToDrop)
		}
		if p.Days.Weigh > 0 {
			job.Before = append(job.Before, weigh)
		}
	}
	after := p.Series.Overnight.After
	if after == 0 {
		return []timetable.Job{job}
	}
	second := timetable.Job{
		Name: s.Label + " after the night", Specimen: s.Label, Condition: s.Condition, Falls: job.Falls - after, Had: after,
		Settle: job.Settle, Rest: job.Rest, Follows: job.Name, Since: lag(p.Series.Overnight.Rest),
	}
	job.Falls = after
	return []timetable.Job{job, second}
}
