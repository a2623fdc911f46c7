package study

import (
	"context"
	"math"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Overview is a study at a glance.
func (d *Desk) Overview(ctx context.Context, name string) (*Overview, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	return overview(s, readings), nil
}

func overview(s *campaign.Study, readings map[string]StoredReading) *Overview {
	o := &Overview{
		Study: s, Drops: dropRows(s, readings),
		Specimens: specimenRows(s), Departures: s.Departures(),
	}
	for _, c := range s.Plan.Conditions {
		o.Conditions = append(o.Conditions, conditionCount(s, c))
	}
	for _, row := range o.Drops {
		if row.Reading != nil && row.Drop.Void == nil && row.Reading.Grade() != trace.Said {
			o.Doubtful++
		}
	}
	return o
}

func conditionCount(s *campaign.Study, c campaign.Condition) ConditionCount {
	count := ConditionCount{Condition: c}
	for _, sp := range s.Plan.Specimens {
		if sp.Condition == c.Name {
			count.Specimens++
		}
	}
	count.Planned = count.Specimens * s.Plan.Series.Falls
	for _, d := range s.Drops {
		if of, _ := s.Condition(d.Specimen); d.Kind != campaign.Fall || of != c.Name {
			continue
		}
		if d.Void == nil {
			count.Counting++
		} else {
			count.Void++
		}
	}
	return count
}

func specimenRows(s *campaign.Study) []SpecimenRow {
	rows := make([]SpecimenRow, len(s.Plan.Specimens))
	for i, sp := range s.Plan.Specimens {
		rows[i] = SpecimenRow{Specimen: sp, Mass: math.NaN()}
		for _, d := range s.Drops {
			if d.Specimen != sp.Label || !d.Took() {
				continue
			}
			rows[i].Taken++
			if d.Void == nil {
				rows[i].Counting++
			}
		}
		for _, w := range s.Weighings { // in time order: the newest stays
			if w.Specimen == sp.Label && w.State == "dry" {
				rows[i].Mass = w.Mass
			}
		}
	}
	return rows
}

func dropRows(s *campaign.Study, readings map[string]StoredReading) []DropRow {
	rows := make([]DropRow, len(s.Drops))
	last := map[string]campaign.Drop{}
	for i, d := range s.Drops {
		rows[i] = DropRow{Drop: d}
		rows[i].Condition, _ = s.Condition(d.Specimen)
		if r, ok := readings[d.ID]; ok {
			rows[i].Reading = &r.Reading
		}
		if !d.Took() {
			continue
		}
		if before, ok := last[d.Specimen]; ok {
			rows[i].Rest = d.At.Sub(before.At)
		}
		last[d.Specimen] = d
	}
	return rows
}

// Trace is one trace, read again from its bytes as its newest reading was.
func (d *Desk) Trace(ctx context.Context, name, dropID string) (*TraceView, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	rows := dropRows(s, readings)
	at := slices.IndexFunc(rows, func(r DropRow) bool { return r.Drop.ID == dropID })
	if at < 0 || rows[at].Drop.Trace == nil {
		return nil, problem.New(problem.NotFound, "drop "+dropID, "study %s has no trace of that drop", name)
	}
	stored := readings[dropID]
	signal, err := d.signal(ctx, rows[at].Drop, stored.Settings)
	if err != nil {
		return nil, err
	}
	v := &TraceView{Row: rows[at], Settings: stored.Settings, Program: stored.Program, Signal: signal}
	for i := at - 1; i >= 0 && v.Before == ""; i-- {
		if rows[i].Drop.Trace != nil {
			v.Before = rows[i].Drop.ID
		}
	}
	for i := at + 1; i < len(rows) && v.After == ""; i++ {
		if rows[i].Drop.Trace != nil {
			v.After = rows[i].Drop.ID
		}
	}
	return v, nil
}

func (d *Desk) signal(ctx context.Context, drop campaign.Drop, set trace.Settings) (*trace.Signal, error) {
	data, err := d.Store.File(ctx, drop.Trace.SHA256)
	if err != nil {
		return nil, err
	}
	rec, err := d.Read(drop.Trace.Name, data)
	if err != nil {
		return nil, err
	}
	_, signal, err := trace.Take(rec, set)
	return signal, err
}
