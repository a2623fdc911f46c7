package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/figure"
)

// Of an overlay: what is drawn around the first contact, and how finely.
const (
	overlayLead    = 0.05 // s before first contact
	overlayTail    = 0.5  // share of the longest first contact, after it
	overlayBuckets = 400
)

// Report gathers everything that the report of a study says.
func (d *Desk) Report(ctx context.Context, name string) (*Report, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	f, err := findings(s, readings)
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
	o := Overlay{Fall: fall}
	var drops []campaign.Drop
	longest := 0.0
	for _, drop := range s.Counting() {
		r, ok := readings[drop.ID]
		if drop.Fall != fall || !ok || len(r.Reading.Contacts) == 0 {
			continue
		}
		drops = append(drops, drop)
		longest = max(longest, r.Reading.Contacts[0].End-r.Reading.Contacts[0].Start)
	}
	for _, drop := range drops {
		stored := readings[drop.ID]
		signal, err := d.signal(ctx, drop, stored.Settings)
		if err != nil {
			return o, err
		}
		start := stored.Reading.Contacts[0].Start
		time, force := figure.Thin(signal.Time, signal.Force, start-overlayLead, start+(1+overlayTail)*longest, overlayBuckets)
		for i := range time {
			time[i] -= start
		}
		condition, _ := s.Condition(drop.Specimen)
		o.Traces = append(o.Traces, OverlayTrace{Specimen: drop.Specimen, Condition: condition, Time: time, Force: force})
	}
	return o, nil
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
