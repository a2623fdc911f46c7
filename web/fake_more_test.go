package web

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

func (d *fakeDesk) Curves(ctx context.Context, name, dropID string, f study.Filter) (*study.Curves, error) {
	v, err := d.Trace(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	if !f.Given {
		return v.Curves, nil
	}
	second, err := d.Reread(ctx, name, dropID, f.Class)
	if err != nil {
		return nil, err
	}
	return second.Curves, nil
}

func (d *fakeDesk) Reread(_ context.Context, name, dropID string, class int) (*study.Second, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	i := slices.IndexFunc(d.study.Drops, func(o campaign.Drop) bool { return o.ID == dropID })
	if i < 0 {
		return nil, problem.New(problem.NotFound, "drop "+dropID, "the study has no such drop")
	}
	set := d.settings()
	set.Class = class
	c, err := d.taken(i, class)
	if err != nil {
		return nil, err
	}
	return &study.Second{Settings: set, Reading: c.Reading, Curves: c}, nil
}

func (d *fakeDesk) StoreReading(ctx context.Context, name, dropID string, class int, by string) (*study.StoredReading, error) {
	second, err := d.Reread(ctx, name, dropID, class)
	if err != nil {
		return nil, err
	}
	r := &study.StoredReading{ID: "again", Stamp: campaign.Stamp{By: by}, Settings: second.Settings, Reading: *second.Reading}
	d.done = append(d.done, fmt.Sprintf("read %s with %d by %s", dropID, class, by))
	return r, nil
}

func (d *fakeDesk) Overlay(ctx context.Context, name string, ids []string) (*study.Overlaid, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	o := &study.Overlaid{Study: d.study}
	for i, drop := range d.study.Drops {
		if !slices.Contains(ids, drop.ID) {
			continue
		}
		row := study.OverlaidRow{DropRow: d.row(i)}
		c, err := d.Curves(ctx, name, drop.ID, study.Filter{})
		if err != nil {
			return nil, err
		}
		t, f := c.Force.Thin(0.05, 0.7, 400)
		for k := range t {
			t[k] -= 0.1
		}
		row.Trace = &study.OverlayTrace{Name: dropTitle(drop), Specimen: drop.Specimen, Condition: row.Condition, Time: t, Force: f}
		o.Rows = append(o.Rows, row)
	}
	if len(o.Rows) != len(ids) || len(ids) == 0 {
		return nil, problem.New(problem.NotFound, "drops", "%d of %d traces are there", len(o.Rows), len(ids))
	}
	return o, nil
}

func (d *fakeDesk) Series(ctx context.Context, name, specimen string) (*study.Series, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	sp, known := d.study.Plan.Specimen(specimen)
	if !known {
		return nil, problem.New(problem.NotFound, "specimen "+specimen, "the plan has no such specimen")
	}
	s := &study.Series{Study: d.study, Specimen: sp}
	for i, drop := range d.study.Drops {
		if drop.Specimen != specimen || drop.Void != nil {
			continue
		}
		f := study.SeriesFall{Row: d.row(i)}
		for k := range study.SeriesValues() {
			value := trace.None()
			if k == 0 {
				value = f.Row.Reading.PeakForce
			} else if k == 2 {
				value = f.Row.Reading.MaxStretch
			}
			change := trace.None()
			if n := len(s.Falls); n > 0 {
				change = value - s.Falls[n-1].Values[k]
			}
			f.Values, f.Change = append(f.Values, value), append(f.Change, change)
		}
		f.Long = drop.Fall == 5
		c, err := d.Curves(ctx, name, drop.ID, study.Filter{})
		if err != nil {
			return nil, err
		}
		x, y := c.Loop()
		s.Loops = append(s.Loops, study.Loop{Fall: drop.Fall, Stretch: x, Force: y})
		s.Falls = append(s.Falls, f)
	}
	s.Trends = []study.Trend{{Value: 0, From: 1, To: 4, Points: 4, Slope: 96, SE: 7.1, Level: 3480}, {Value: 2, From: 1, To: 4, Points: 4, Slope: -0.022, SE: 0.002, Level: 0.84}}
	s.Recoveries = []study.Recovery{{Value: 0, Fall: 5, Change: 61, Points: 4, Expected: 3890, SE: 22}}
	return s, nil
}

func (d *fakeDesk) Preview(context.Context, string, study.Upload) (*study.Preview, error) {
	return nil, problem.New(problem.Unreadable, "", "this desk reads no files")
}

func (d *fakeDesk) AddDrop(context.Context, string, study.Release) (campaign.Drop, *trace.Reading, error) {
	return campaign.Drop{}, nil, problem.New(problem.Unreadable, "", "this desk reads no files")
}

func (d *fakeDesk) KeepRecipe(context.Context, string, string, trace.Ask, string) (campaign.Recipe, error) {
	return campaign.Recipe{}, problem.New(problem.Unreadable, "", "this desk keeps no recipes")
}

func (d *fakeDesk) Recipes(context.Context, string) ([]campaign.Recipe, error) { return nil, nil }
