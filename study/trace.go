package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// traced is a drop with a trace, and all of the study around it.
type traced struct {
	study    *campaign.Study
	readings map[string]StoredReading
	rows     []DropRow
	at       int // in rows
}

func (t *traced) row() DropRow { return t.rows[t.at] }

// stored is the newest reading; without one, what a reading would be taken by.
func (t *traced) stored() StoredReading {
	if r, ok := t.readings[t.row().Drop.ID]; ok {
		return r
	}
	ask := t.study.Plan.Reading.Ask
	ask.Part = t.row().Drop.Part
	return StoredReading{Ask: ask, Settings: settings(t.study, t.row().Drop, ask)}
}

func (d *Desk) traced(ctx context.Context, name, dropID string) (*traced, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	t := &traced{study: s, readings: readings, rows: dropRows(s, readings)}
	t.at = slices.IndexFunc(t.rows, func(r DropRow) bool { return r.Drop.ID == dropID })
	if t.at < 0 || t.row().Drop.Trace == nil {
		return nil, noTrace(name, dropID)
	}
	return t, nil
}

func noTrace(name, dropID string) error {
	return problem.New(problem.NotFound, "drop "+dropID, "study %s has no trace of that drop", name)
}

// Trace is one trace, read again from its bytes as its newest reading was.
func (d *Desk) Trace(ctx context.Context, name, dropID string) (*TraceView, error) {
	t, err := d.traced(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	stored := t.stored()
	curves, err := d.curves(ctx, t.row().Drop, stored.Ask, stored.Settings)
	if err != nil {
		return nil, err
	}
	earlier, err := d.Store.ReadingsOf(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	v := &TraceView{
		Row: t.row(), Ask: stored.Ask, Settings: stored.Settings, Program: stored.Program, Taken: d.here(stored.Stamp),
		Signal: curves.Signal, Curves: curves, Rule: t.study.Plan.Reading.Class,
	}
	for i, r := range earlier {
		if i > 0 { // the newest is the one shown
			r.Stamp = d.here(r.Stamp)
			v.Earlier = append(v.Earlier, r)
		}
	}
	for i := t.at - 1; i >= 0 && v.Before == ""; i-- {
		if t.rows[i].Drop.Trace != nil {
			v.Before = t.rows[i].Drop.ID
		}
	}
	for i := t.at + 1; i < len(t.rows) && v.After == ""; i++ {
		if t.rows[i].Drop.Trace != nil {
			v.After = t.rows[i].Drop.ID
		}
	}
	return v, nil
}

// here is a stamp in the desk's zone.
func (d *Desk) here(s campaign.Stamp) campaign.Stamp {
	if d.Zone != nil {
		s.At = s.At.In(d.Zone)
	}
	return s
}

// Curves are what is drawn of a trace as its newest reading took it, or with
// another filter. It asks the book for no more than that, so that a window can
// be moved at once.
func (d *Desk) Curves(ctx context.Context, name, dropID string, f Filter) (*Curves, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(s.Drops, func(o campaign.Drop) bool { return o.ID == dropID })
	if i < 0 || s.Drops[i].Trace == nil {
		return nil, noTrace(name, dropID)
	}
	all, err := d.Store.ReadingsOf(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	t := &traced{study: s, readings: map[string]StoredReading{}, rows: []DropRow{{Drop: s.Drops[i]}}}
	if len(all) > 0 {
		t.readings[dropID] = all[0]
	}
	stored := t.stored()
	if f.Given {
		stored.Settings.Class = f.Class
	}
	return d.curves(ctx, s.Drops[i], stored.Ask, stored.Settings)
}

// Filter is the class that a trace is to be read with; when none is given, that
// of its newest reading.
type Filter struct {
	Given bool
	Class int // CFC, 0 for none
}

// Reread takes a second reading of a trace with another filter, and stores
// nothing.
func (d *Desk) Reread(ctx context.Context, name, dropID string, class int) (*Second, error) {
	t, err := d.traced(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	stored := t.stored()
	stored.Settings.Class = class
	c, err := d.curves(ctx, t.row().Drop, stored.Ask, stored.Settings)
	if err != nil {
		return nil, err
	}
	return &Second{Settings: stored.Settings, Reading: c.Reading, Curves: c}, nil
}

// StoreReading takes a reading of a trace with another filter and stores it as
// the newest. The older ones are kept.
func (d *Desk) StoreReading(ctx context.Context, name, dropID string, class int, by string) (*StoredReading, error) {
	second, err := d.Reread(ctx, name, dropID, class)
	if err != nil {
		return nil, err
	}
	t, err := d.traced(ctx, name, dropID)
	if err != nil {
		return nil, err
	}
	r := StoredReading{
		ID: d.NewID(), Stamp: campaign.Stamp{At: d.now(), By: by}, Program: d.Program,
		Ask: t.stored().Ask, Settings: second.Settings, Reading: *second.Reading,
	}
	return &r, d.Store.AddReading(ctx, name, dropID, r)
}

// otherReadings are the falls whose newest reading was taken with another
// filter than the frozen plan says.
func otherReadings(s *campaign.Study, readings map[string]StoredReading) []campaign.Departure {
	if s.Frozen == nil {
		return nil
	}
	var out []campaign.Departure
	for _, drop := range s.Counting() {
		if r, ok := readings[drop.ID]; ok && r.Settings.Class != s.Plan.Reading.Class {
			out = append(out, campaign.Departure{
				Where: fmt.Sprintf("%s fall %d", drop.Specimen, drop.Fall),
				Text:  fmt.Sprintf("read with %s, the plan says %s", filterWord(r.Settings.Class), filterWord(s.Plan.Reading.Class)),
			})
		}
	}
	return out
}

func filterWord(class int) string {
	if class == 0 {
		return "no filter"
	}
	return fmt.Sprintf("CFC %d", class)
}
