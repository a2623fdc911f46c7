package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/trace"
)

// Findings answers every question of a study from the falls that count.
func (d *Desk) Findings(ctx context.Context, name string) (*Findings, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	return findings(s, readings)
}

func findings(s *campaign.Study, readings map[string]StoredReading) (*Findings, error) {
	f := &Findings{Study: s, Method: compare.Method, Exploratory: exploratory(s)}
	conditions := make([]string, len(s.Plan.Conditions))
	for i, c := range s.Plan.Conditions {
		conditions[i] = c.Name
	}
	tables := map[campaign.Measure]MeasureTable{}
	for _, m := range campaign.Measures() {
		// Without a question the tables are all there is to look at.
		if len(s.Plan.Questions) > 0 && !slices.ContainsFunc(s.Plan.Questions, func(q campaign.Question) bool { return q.Value == m }) {
			continue
		}
		table := MeasureTable{Measure: m}
		var left []LeftOut
		table.Observations, left = observations(s, readings, m)
		f.Left = append(f.Left, left...)
		var err error
		if table.Cells, err = compare.Table(table.Observations, conditions); err != nil {
			return nil, err
		}
		if table.Differences, err = compare.Against(table.Observations, s.Plan.BaselineCondition(), conditions); err != nil {
			return nil, err
		}
		tables[m] = table
		f.Measures = append(f.Measures, table)
	}
	for _, q := range s.Plan.Questions {
		answer, err := compare.Put(compare.Question{
			Name: q.Name, Asks: q.Asks, Measure: string(q.Value), Unit: q.Value.Unit(), Condition: q.Compare, Baseline: q.Baseline,
			Falls: q.Falls, Share: q.Margin.Share, Amount: q.Margin.Amount,
		}, tables[q.Value].Observations)
		if err != nil {
			return nil, err
		}
		f.Answers = append(f.Answers, answer)
	}
	return f, nil
}

// observations are the values of a measure from the falls that count, and the
// falls that have none.
func observations(s *campaign.Study, readings map[string]StoredReading, m campaign.Measure) (obs []compare.Observation, left []LeftOut) {
	for _, d := range s.Counting() {
		r, ok := readings[d.ID]
		if !ok {
			left = append(left, LeftOut{d, m, "no trace was recorded"})
			continue
		}
		if why := unusable(&r.Reading, m); why != "" {
			left = append(left, LeftOut{d, m, why})
			continue
		}
		condition, _ := s.Condition(d.Specimen)
		obs = append(obs, compare.Observation{
			Specimen: d.Specimen, Condition: condition, Fall: d.Fall, Value: float64(measured(&r.Reading, m)),
		})
	}
	return obs, left
}

func measured(r *trace.Reading, m campaign.Measure) trace.Value {
	switch m {
	case campaign.PeakForce:
		return r.PeakForce
	case campaign.ReboundSpeed:
		return r.ReboundSpeed
	case campaign.MaxStretch:
		return r.MaxStretch
	case campaign.EnergyAbsorbed:
		return r.EnergyAbsorbed
	}
	return trace.None()
}

// unusable says why a reading cannot serve for a measure; empty when it can.
func unusable(r *trace.Reading, m campaign.Measure) string {
	for _, n := range r.Notes {
		if n.Grade == trace.Missing {
			return n.Text
		}
	}
	if !measured(r, m).Known() {
		return fmt.Sprintf("its trace gives no %s", m)
	}
	return ""
}

// moment is a time in a sentence.
const moment = "2 January 2006, 15:04 MST"

// exploratory says why findings are not what a frozen plan promised; empty when
// they are.
func exploratory(s *campaign.Study) string {
	if s.Frozen == nil {
		return "the plan was never frozen, so questions and margins may have been chosen after the drops"
	}
	for _, d := range s.Counting() {
		if d.At.Before(s.Frozen.At) {
			return fmt.Sprintf("the plan was frozen on %s, after the first fall that counts on %s",
				s.Frozen.At.Format(moment), d.At.Format(moment))
		}
	}
	return ""
}
