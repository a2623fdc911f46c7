package study

import (
	"context"
	"time"

	"fallwright.example/campaign"
)

// load is a study with its times in the desk's zone, so that departures, pages
// and report all speak of the same clock. A book keeps UTC.
func (d *Desk) load(ctx context.Context, name string) (*campaign.Study, error) {
	s, err := d.Store.Study(ctx, name)
	if err != nil || d.Zone == nil {
		return s, err
	}
	here := func(at *time.Time) { *at = at.In(d.Zone) }
	here(&s.Created.At)
	if s.Frozen != nil {
		here(&s.Frozen.At)
	}
	for i := range s.Drops {
		here(&s.Drops[i].At)
		if s.Drops[i].Void != nil {
			here(&s.Drops[i].Void.At)
		}
	}
	for i := range s.Weighings {
		here(&s.Weighings[i].At)
	}
	for i := range s.Gaugings {
		here(&s.Gaugings[i].At)
	}
	for i := range s.Pulls {
		here(&s.Pulls[i].At)
	}
	for i := range s.Deviations {
		here(&s.Deviations[i].At)
	}
	return s, nil
}
