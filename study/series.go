package study

import (
	"context"
	"slices"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// longRest is how many times the set rest a rest is long from.
const longRest = 3

// loopPoints is about how many points of a loop are drawn.
const loopPoints = 240

// Series is what the falls of one specimen did to it.
type Series struct {
	Study      *campaign.Study
	Specimen   campaign.Specimen
	Falls      []SeriesFall
	Trends     []Trend    // of the values that have one
	Recoveries []Recovery // over each long rest
	Loops      []Loop     // of the falls that have one
}

// SeriesFall is one fall of a series, void ones that loaded the rope included.
type SeriesFall struct {
	Row    DropRow
	Values []trace.Value // in the order of SeriesValues
	Change []trace.Value // against the fall before it that has the value
	Long   bool          // the rest before it was long
}

// SeriesValue is a value that is followed over a series.
type SeriesValue struct {
	Name string
	Unit string // SI; empty for a ratio
	of   func(*trace.Reading) trace.Value
}

// SeriesValues lists them in the order that the ends show them.
func SeriesValues() []SeriesValue { return seriesValues }

var seriesValues = []SeriesValue{
	{"peak force", "N", func(r *trace.Reading) trace.Value { return r.PeakForce }},
	{"secant stiffness", "N/m", func(r *trace.Reading) trace.Value { return r.Secant }},
	{"largest stretch", "m", func(r *trace.Reading) trace.Value { return r.MaxStretch }},
	{"share of energy absorbed", "", func(r *trace.Reading) trace.Value {
		if r.EnergyIn > 0 {
			return r.EnergyAbsorbed / r.EnergyIn
		}
		return trace.None()
	}},
	{"restitution", "", func(r *trace.Reading) trace.Value { return r.Restitution }},
	{"loss factor", "", func(r *trace.Reading) trace.Value { return r.LossFactor }},
}

// Loop is force against stretch of one fall's first contact, thinned.
type Loop struct {
	Fall    int
	Stretch []float64 // m
	Force   []float64 // N
}

// Series follows one specimen from fall to fall.
func (d *Desk) Series(ctx context.Context, name, specimen string) (*Series, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	sp, known := s.Plan.Specimen(specimen)
	if !known {
		return nil, problem.New(problem.NotFound, "specimen "+specimen, "the plan of study %s has no such specimen", name)
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	out := &Series{Study: s, Specimen: sp}
	for _, row := range dropRows(s, readings) {
		if row.Drop.Specimen == specimen && row.Drop.Took() {
			out.Falls = append(out.Falls, SeriesFall{Row: row})
		}
	}
	slices.SortStableFunc(out.Falls, func(a, b SeriesFall) int { return a.Row.Drop.Fall - b.Row.Drop.Fall })
	out.fill(s.Plan.Series.Rest.Set)
	for v := range seriesValues {
		if t, ok := out.trend(v); ok {
			out.Trends = append(out.Trends, t)
		}
		out.Recoveries = append(out.Recoveries, out.recoveries(v)...)
	}
	for _, f := range out.Falls {
		loop, ok, err := d.loop(ctx, f.Row, readings)
		if err != nil {
			return nil, err
		}
		if ok {
			out.Loops = append(out.Loops, loop)
		}
	}
	return out, nil
}

// fill takes the values and their changes, and finds the long rests.
func (s *Series) fill(set time.Duration) {
	last := make([]trace.Value, len(seriesValues))
	for v := range last {
		last[v] = trace.None()
	}
	for i := range s.Falls {
		f := &s.Falls[i]
		if i > 0 {
			before := s.Falls[i-1].Row.Drop.At
			f.Long = set > 0 && f.Row.Rest > longRest*set || !sameDay(before, f.Row.Drop.At)
		}
		for v, of := range seriesValues {
			value, change := trace.None(), trace.None()
			if r := f.Row.Reading; r != nil && f.Row.Drop.Void == nil {
				value = of.of(r)
			}
			if value.Known() {
				change = value - last[v]
				last[v] = value
			}
			f.Values, f.Change = append(f.Values, value), append(f.Change, change)
		}
	}
}

func sameDay(a, b time.Time) bool {
	y, m, d := a.Date()
	y2, m2, d2 := b.Date()
	return y == y2 && m == m2 && d == d2
}

// loop is a fall's first contact as force against stretch.
func (d *Desk) loop(ctx context.Context, row DropRow, readings map[string]StoredReading) (Loop, bool, error) {
	stored, ok := readings[row.Drop.ID]
	if !ok || row.Drop.Void != nil || len(stored.Reading.Contacts) == 0 {
		return Loop{}, false, nil
	}
	c, err := d.curves(ctx, row.Drop, stored.Ask, stored.Settings)
	if err != nil {
		return Loop{}, false, err
	}
	x, f := c.Loop()
	if len(x) == 0 {
		return Loop{}, false, nil
	}
	x, f = figure.ThinLoop(x, f, loopPoints)
	return Loop{Fall: row.Drop.Fall, Stretch: x, Force: f}, true, nil
}

// Loop is force against stretch of the first contact, nil where the stretch is
// not known. Both share memory with the signal.
func (c *Curves) Loop() (stretch, force []float64) {
	if c.Stretch == nil || len(c.Reading.Contacts) == 0 {
		return nil, nil
	}
	s, first := c.Signal, c.Reading.Contacts[0]
	from, end := max(first.From, s.First), min(first.To+1, s.First+len(s.Stretch))
	if from >= end {
		return nil, nil
	}
	return s.Stretch[from-s.First : end-s.First], s.Force[from:end]
}
