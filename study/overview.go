package study

import (
	"context"
	"math"

	"fallwright.example/campaign"
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
		Specimens: specimenRows(s), Departures: append(s.Departures(), otherReadings(s, readings)...),
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
		if sp.Condition == c.Name && !sp.Spare {
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
		for _, w := range s.Standing() { // in time order: the newest stays
			if w.Specimen == sp.Label && w.IsDry() {
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
