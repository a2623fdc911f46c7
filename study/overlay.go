package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// Of an overlay: what is drawn around the first contact, and how finely.
const (
	overlayLead    = 0.05 // s before first contact
	overlayTail    = 0.5  // share of the longest first contact, after it
	overlayBuckets = 400
	mostOverlaid   = 60
)

// Overlaid is traces that somebody chose, over each other from first contact.
type Overlaid struct {
	Study *campaign.Study
	Rows  []OverlaidRow // in the order released
}

// OverlaidRow is one of the traces chosen.
type OverlaidRow struct {
	DropRow
	Trace *OverlayTrace // nil when it has no contact to be laid at
}

// Overlay lays the traces of the drops named over each other. NotFound when the
// study has no trace of one of them, Invalid when none or more than 60 are
// named.
func (d *Desk) Overlay(ctx context.Context, name string, ids []string) (*Overlaid, error) {
	if len(ids) == 0 || len(ids) > mostOverlaid {
		return nil, problem.New(problem.Invalid, "drops", "%d traces are chosen, an overlay takes 1 to %d", len(ids), mostOverlaid).
			Hint("choose them in the list of traces")
	}
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	if err != nil {
		return nil, err
	}
	o := &Overlaid{Study: s}
	rows := dropRows(s, readings)
	for _, id := range ids {
		if !slices.ContainsFunc(rows, func(r DropRow) bool { return r.Drop.ID == id && r.Drop.Trace != nil }) {
			return nil, noTrace(name, id)
		}
	}
	var drops []campaign.Drop
	var at []int // of the drops, in o.Rows
	for _, r := range rows {
		if !slices.Contains(ids, r.Drop.ID) {
			continue
		}
		if r.Reading != nil && len(r.Reading.Contacts) > 0 {
			drops, at = append(drops, r.Drop), append(at, len(o.Rows))
		}
		o.Rows = append(o.Rows, OverlaidRow{DropRow: r})
	}
	traces, err := d.overlaid(ctx, s, readings, drops)
	for i := range traces {
		o.Rows[at[i]].Trace = &traces[i]
	}
	return o, err
}

// overlayName is a drop's name beside its line: "M-07, fall 3"; "M-07, trial";
// "trial 14:26" on a drop without a specimen.
func overlayName(d campaign.Drop) string {
	switch {
	case d.Kind == campaign.Fall:
		return fmt.Sprintf("%s, fall %d", d.Specimen, d.Fall)
	case d.Specimen != "":
		return fmt.Sprintf("%s, %s", d.Specimen, d.Kind)
	}
	return string(d.Kind) + d.At.Format(" 15:04")
}

// overlaid thins the traces of drops, each with a contact, for drawing over
// each other.
func (d *Desk) overlaid(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, drops []campaign.Drop) ([]OverlayTrace, error) {
	longest := 0.0
	for _, drop := range drops {
		first := readings[drop.ID].Reading.Contacts[0]
		longest = max(longest, first.End-first.Start)
	}
	var out []OverlayTrace
	for _, drop := range drops {
		stored := readings[drop.ID]
		curves, err := d.curves(ctx, drop, stored.Ask, stored.Settings)
		if err != nil {
			return nil, err
		}
		start := stored.Reading.Contacts[0].Start
		time, force := curves.Force.Thin(start-overlayLead, start+(1+overlayTail)*longest, overlayBuckets)
		for i := range time {
			time[i] -= start
		}
		condition, _ := s.Condition(drop.Specimen)
		out = append(out, OverlayTrace{Name: overlayName(drop), Specimen: drop.Specimen, Condition: condition, Time: time, Force: force})
	}
	return out, nil
}
