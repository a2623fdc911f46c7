package study

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/cutlist"
	"fallwright.example/draw"
	"fallwright.example/power"
	"fallwright.example/problem"
	"fallwright.example/timetable"
)

// Planned is what a plan comes to before the first drop.
type Planned struct {
	Plan      campaign.Plan
	File      campaign.SourceFile // empty where the plan is in no book
	Frozen    *campaign.Freeze
	Questions []PlannedQuestion
	Totals    Totals

	// Cut is the list by which specimens are cut; nil where the plan lists them and
	// says nothing of cutting.
	Cut   *cutlist.List
	Steps []cutlist.Step // to tick

	Pending bool // what takes seconds is not counted yet
	counted

	Departures []campaign.Departure // from the frozen plan, found by comparing
	Deviations []campaign.Deviation
}

// counted is what takes seconds of a Planned.
type counted struct {
	HowMany []HowMany

	Timetable *timetable.Table
	// NoTimetable is why there is none.
	NoTimetable error
	// Ask is what the timetable was asked for; nil without one.
	Ask *timetable.Ask
}

// Shown is the timetable as whoever drops may see it: without conditions where
// labels hide them. Nil without one.
func (p *Planned) Shown() *timetable.Table { return shown(p.Timetable, &p.Plan) }

func shown(t *timetable.Table, p *campaign.Plan) *timetable.Table {
	if t == nil || !p.Order.Blind {
		return t
	}
	out := *t
	out.Ops = slices.Clone(t.Ops)
	for i := range out.Ops {
		out.Ops[i].Condition = ""
	}
	return &out
}

// PiecesOf are the specimens that are cut from a rope, by its ID, along it.
func (p *Planned) PiecesOf(rope string) []campaign.Specimen {
	var out []campaign.Specimen
	for _, s := range p.Plan.Specimens {
		if s.RopeID() == rope {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b campaign.Specimen) int { return cmp.Compare(a.From, b.From) })
	return out
}

// Labels are the labels of all specimens, those of a drawn plan in the order of its
// cut list.
func (p *Planned) Labels() []cutlist.Label {
	if p.Cut != nil {
		return p.Cut.Labels()
	}
	list := cutlist.List{Blind: p.Plan.Order.Blind}
	for _, s := range p.Plan.Specimens {
		list.Pieces = append(list.Pieces, cutlist.Piece{
			Label: s.Label, Rope: s.RopeID(), Lot: s.Lot, Condition: s.Condition, Spare: s.Spare, From: s.From, To: s.To,
		})
	}
	out := list.Labels()
	for i, s := range p.Plan.Specimens {
		if s.To <= s.From && !list.Blind { // the line of its place would say nothing
			out[i].Lines = slices.Delete(out[i].Lines, 1, 2)
		}
	}
	return out
}

// PlannedQuestion is a question with the drops that answer it.
type PlannedQuestion struct {
	Question campaign.Question
	Sides    [2]PlannedSide // compare, then with
	Drops    int
}

// PlannedSide is one side of a question.
type PlannedSide struct {
	Condition string
	Falls     []int
	Specimens []string // labels
}

// Totals are what a plan takes.
type Totals struct {
	Specimens, Spares, Drops int
	Rope                     float64 // m in specimens and spares; NaN when not known
	Rests                    int     // set rests, nights not counted
	Waiting                  float64 // s: rests and settling when none overlap
}

// Plan is what a study's plan comes to. told may be nil. What takes seconds is kept
// for the next who asks, and given up when all who asked have gone.
func (d *Desk) Plan(ctx context.Context, name string, told Progress) (*Planned, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	out, err := sketch(&s.Plan)
	if err != nil {
		return nil, err
	}
	c, err := d.counts.get(ctx, d.planState(ctx, s), told, func(ctx context.Context, told Progress) (*counted, error) {
		return d.count(ctx, &s.Plan, told)
	})
	if err != nil {
		return nil, err
	}
	out.counted = *c
	out.of(s)
	return out, nil
}

// PlanAtOnce is Plan where what takes seconds is known already; else it is without
// that, and Pending.
func (d *Desk) PlanAtOnce(ctx context.Context, name string) (*Planned, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	out, err := sketch(&s.Plan)
	if err != nil {
		return nil, err
	}
	if c := d.counts.known(d.planState(ctx, s)); c != nil {
		out.counted = *c
	} else {
		out.Pending = true
	}
	out.of(s)
	return out, nil
}

// Draft is what a plan comes to that need not be in the book; the spreads of an
// earlier study that it names are.
func (d *Desk) Draft(ctx context.Context, p campaign.Plan, told Progress) (*Planned, error) {
	out, err := sketch(&p)
	if err != nil {
		return nil, err
	}
	c, err := d.count(ctx, &p, told)
	if err != nil {
		return nil, err
	}
	out.counted = *c
	return out, nil
}

// sketch is what a plan comes to as far as that takes no time.
func sketch(p *campaign.Plan) (*Planned, error) {
	out := &Planned{Plan: *p, Questions: plannedQuestions(p), Totals: totals(p)}
	var err error
	out.Cut, out.Steps, err = cut(p)
	return out, err
}

// of adds what the book has of the study.
func (p *Planned) of(s *campaign.Study) {
	p.File, p.Frozen, p.Deviations, p.Departures = s.File, s.Frozen, s.Deviations, s.Departures()
}

// count is what takes seconds: studies simulated, days filled.
func (d *Desk) count(ctx context.Context, p *campaign.Plan, told Progress) (*counted, error) {
	earlier := func(m campaign.Measure, on compare.Scale) (power.Variances, error) {
		return d.spreads(ctx, p.Numbers.Study, m, on)
	}
	out := &counted{}
	var err error
	if out.HowMany, err = HowManyOf(ctx, p, earlier, power.Options{Seed: p.Order.Seed, Progress: told}); err != nil {
		return nil, err
	}
	zone := d.Clock().Location()
	if out.Ask, out.NoTimetable = TimetableAsk(p, zone); out.NoTimetable == nil {
		out.Timetable, out.NoTimetable = Timetable(ctx, p, zone, nil)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return out, nil
}

// cut is the cut list that the plan's specimens were drawn with.
func cut(p *campaign.Plan) (*cutlist.List, []cutlist.Step, error) {
	if !p.Cutting.Asked() {
		return nil, nil, nil
	}
	undrawn := *p
	undrawn.Specimens = nil
	drawn, list, err := draw.Specimens(undrawn)
	if err != nil {
		return nil, nil, err
	}
	if !slices.Equal(drawn.Specimens, p.Specimens) {
		return nil, nil, problem.New(problem.Conflict, "cut list", "this fallwright draws other specimens from the plan's seed than the book holds").
			Hint("the book's specimens stand: take the cut list from them, or from the fallwright that stored the plan").In("nothing was changed")
	}
	return list, list.Steps(draw.Ropes(p), draw.Demand(p)), nil
}

func plannedQuestions(p *campaign.Plan) []PlannedQuestion {
	labels := func(condition string) []string {
		var out []string
		for _, s := range p.Specimens {
			if s.Condition == condition && !s.Spare {
				out = append(out, s.Label)
			}
		}
		return out
	}
	var out []PlannedQuestion
	for _, q := range p.Questions {
		base := q.BaselineFalls
		if len(base) == 0 {
			base = q.Falls
		}
		one := PlannedQuestion{Question: q, Sides: [2]PlannedSide{
			{q.Compare, q.Falls, labels(q.Compare)}, {q.Baseline, base, labels(q.Baseline)},
		}}
		for _, side := range one.Sides {
			one.Drops += len(side.Falls) * len(side.Specimens)
		}
		out = append(out, one)
	}
	return out
}

func totals(p *campaign.Plan) Totals {
	t := Totals{}
	for _, s := range p.Specimens {
		if s.Spare {
			t.Spares++
		} else {
			t.Specimens++
		}
		t.Rope += s.To - s.From
	}
	t.Drops = t.Specimens * p.Series.Falls
	rests := max(0, p.Series.Falls-1)
	if p.Series.Overnight.After > 0 {
		rests--
	}
	t.Rests = t.Specimens * rests
	t.Waiting = float64(t.Rests)*p.Series.Rest.Set.Seconds() + float64(t.Specimens)*p.Days.Settle.Seconds()
	return t
}

// spreads are those of an earlier study for one measure.
func (d *Desk) spreads(ctx context.Context, name string, m campaign.Measure, on compare.Scale) (power.Variances, error) {
	none := func(format string, args ...any) error {
		return problem.New(problem.TooFew, "numbers, study "+name, format, args...).
			Hint("name another study, or give the spreads: specimens, falls").In("nothing was simulated")
	}
	f, err := d.WhatIf(ctx, name, Alternative{Scale: on})
	if err != nil {
		return power.Variances{}, err
	}
	for _, t := range f.Measures {
		for _, model := range t.Models {
			if t.Measure != m || model.Scale != on {
				continue
			}
			if model.Analysis == nil {
				return power.Variances{}, none("its %s could not be analysed: %v", m, model.Refused)
			}
			return power.FromAnalysis(model.Analysis, power.EarlierStudy, fmt.Sprintf("study %q", name))
		}
	}
	return power.Variances{}, none("it has no model of the %s", m)
}
