package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
)

// Report gathers everything that the report of a study says.
func (d *Desk) Report(ctx context.Context, name string) (*Report, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	f, err := d.findings(ctx, s, readings, true)
	if err != nil {
		return nil, err
	}
	r := &Report{Overview: *overview(s, readings), Findings: *f, Inputs: inputs(s), Program: d.Program, Made: d.now().In(s.Created.At.Location())}
	for _, fall := range shownFalls(s) {
		o, err := d.overlay(ctx, s, readings, fall)
		if err != nil {
			return nil, err
		}
		if len(o.Traces) > 0 {
			r.Overlays = append(r.Overlays, o)
		}
	}
	return r, nil
}

// shownFalls are the first and the last of the series.
func shownFalls(s *campaign.Study) []int {
	return slices.Compact([]int{1, s.Plan.Series.Falls})
}

// overlay draws every trace of one fall number from the same moment.
func (d *Desk) overlay(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, fall int) (Overlay, error) {
	var drops []campaign.Drop
	for _, drop := range s.Counting() {
		if r, ok := readings[drop.ID]; drop.Fall == fall && ok && len(r.Reading.Contacts) > 0 {
			drops = append(drops, drop)
		}
	}
	traces, err := d.overlaid(ctx, s, readings, drops)
	return Overlay{Fall: fall, Traces: traces}, err
}

// inputs lists every file that findings rest on or leave out.
func inputs(s *campaign.Study) []Input {
	out := []Input{{"study file", s.File}}
	for _, d := range s.Drops {
		if d.Trace == nil {
			continue
		}
		what := string(d.Kind)
		if d.Specimen != "" {
			what = d.Specimen + " " + what
		}
		if d.Fall > 0 {
			what = fmt.Sprintf("%s %d", what, d.Fall)
		}
		if d.Void != nil {
			what += ", void"
		}
		out = append(out, Input{what, *d.Trace})
	}
	return out
}
