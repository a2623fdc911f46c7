package web

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/uptake"
)

// soakedStudy is the fake's study with a soaking series, gaugings and pulls.
func (d *fakeDesk) soakedStudy() *campaign.Study {
	st := *d.study
	st.Weighings = slices.Clone(st.Weighings)
	drain, celsius, depth := 30.0, 12.0, 0.2
	st.Plan.Water = campaign.Water{
		DryState: "24 h at 23 °C", Drain: &drain, Blot: "one turn in a dry towel", Bath: "sea water", Celsius: &celsius,
		Ends: "sealed", Depth: &depth, Resolution: 0.0001, Repeatability: 0.0005, At: []time.Duration{time.Minute, 15 * time.Minute},
	}
	begun := st.Drops[0].At.Add(-24 * time.Hour)
	for k, label := range []string{"M-04", "M-05", "M-06", "S-04", "S-05", "S-06"} {
		at := func(s float64) campaign.Stamp {
			return campaign.Stamp{At: begun.Add(time.Duration(k)*time.Hour + time.Duration(s)*time.Second), By: "tester"}
		}
		own := 1 + 0.02*math.Cos(float64(3*k))
		st.Weighings = append(st.Weighings, campaign.Weighing{ID: fmt.Sprintf("soak-%d", k), Stamp: at(-60), Specimen: label, Of: campaign.DryMassOf, Mass: 0.211})
		for i, s := range []float64{20, 40, 60, 120, 300, 600, 900} {
			share := 0.4 * own * (1 - math.Exp(-s/17))
			if label[0] == 'S' {
				share = 0.4 * own * (1 - math.Exp(-math.Pow(s/378, 0.7)))
			}
			st.Weighings = append(st.Weighings, campaign.Weighing{
				ID: fmt.Sprintf("soak-%d-%d", k, i), Stamp: at(s), Specimen: label, Of: campaign.Soaked, Soak: s, Mass: 0.211 * (1 + share + 0.003*math.Sin(float64(5*i+k))),
			})
		}
		for _, wet := range []bool{false, true} {
			grown := 0.0
			if wet {
				grown = 0.0003
			}
			id := fmt.Sprintf("%s-%t", label, wet)
			st.Gaugings = append(st.Gaugings, campaign.Gauging{ID: id, Stamp: at(1000), Specimen: label, Wet: wet, Load: 10, Contact: 0.05, Levels: [][]float64{{0.00968 + grown, 0.0097 + grown}, {0.00966, 0.00971 + grown}, {0.00967 + grown, 0.0097}}})
			st.Pulls = append(st.Pulls, campaign.Pull{ID: id, Stamp: at(1100), Specimen: label, Device: "tube", Wet: wet, Held: 30, Mean: 80 + 60000*grown + float64(k)})
		}
	}
	return &st
}

// soakedStore shows that study to a real desk.
type soakedStore struct {
	study.Store
	of       *campaign.Study
	readings map[string]study.StoredReading
}

func (s soakedStore) Study(context.Context, string) (*campaign.Study, error) { return s.of, nil }

func (s soakedStore) Readings(context.Context, string) (map[string]study.StoredReading, error) {
	return s.readings, nil
}

var soakedDesk = sync.OnceValue(func() *study.Desk {
	d := skerryHead()
	store := soakedStore{of: d.soakedStudy(), readings: map[string]study.StoredReading{}}
	for id, r := range d.readings {
		store.readings[id] = study.StoredReading{ID: id, Reading: *r}
	}
	return &study.Desk{Store: store, Now: time.Now}
})

func (d *fakeDesk) Water(ctx context.Context, name string, ask study.WaterAsk) (*study.Water, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	return soakedDesk().Water(ctx, name, ask)
}

func (d *fakeDesk) Weigh(_ context.Context, name string, w campaign.Weighing) error {
	if err := d.known(name); err != nil {
		return err
	}
	if err := d.soakedStudy().CheckWeighing(w); err != nil {
		return err
	}
	d.done = append(d.done, fmt.Sprintf("weigh %s %s %g s %g s %.4f kg by %s", w.Specimen, w.Of, w.Soak, w.Hung, w.Mass, w.By))
	return nil
}

func (d *fakeDesk) Gauge(_ context.Context, name string, g campaign.Gauging) error {
	if err := d.known(name); err != nil {
		return err
	}
	if err := d.soakedStudy().CheckGauging(g); err != nil {
		return err
	}
	d.done = append(d.done, fmt.Sprintf("gauge %s wet %t %v", g.Specimen, g.Wet, g.Levels))
	return nil
}

func (d *fakeDesk) Pull(_ context.Context, name string, p campaign.Pull, _ string, _ []byte) (campaign.Pull, *uptake.PullReading, error) {
	if err := d.known(name); err != nil {
		return p, nil, err
	}
	if err := d.soakedStudy().CheckPull(p); err != nil {
		return p, nil, err
	}
	d.done = append(d.done, fmt.Sprintf("pull %s through %s %g N", p.Specimen, p.Device, p.Mean))
	return p, nil, nil
}
