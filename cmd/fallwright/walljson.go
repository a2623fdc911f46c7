package main

import (
	"math"

	catches "fallwright.example/field"
)

// wallNumber is a value in JSON; what cannot be had is null.
func wallNumber(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// wallJSON is one fall, SI.
type wallJSON struct {
	State     string              `json:"state"`
	Sentences []string            `json:"sentences"`
	Values    map[string]wallSpan `json:"values"`
	Computed  int                 `json:"falls_computed"`
	WallMet   int                 `json:"wall_met_in"`
	FloorHit  int                 `json:"floor_hit_in"`
	HitSpeed  *float64            `json:"floor_hit_speed_mps"`
	Times     map[string]*float64 `json:"times_s"`
	Energy    map[string]float64  `json:"energy_at_lowest_J"`
	Closing   float64             `json:"books_out_by"`
	Notes     []string            `json:"notes"`
}

// wallSpan is a value with its interval; the limits are null without one.
type wallSpan struct {
	Value *float64 `json:"value"`
	Lower *float64 `json:"lower"`
	Upper *float64 `json:"upper"`
}

func wallInterval(i catches.Interval, runs int) wallSpan {
	s := wallSpan{Value: wallNumber(i.Value)}
	if runs > 1 {
		s.Lower, s.Upper = wallNumber(i.Low), wallNumber(i.High)
	}
	return s
}

func (c wallCase) json() wallJSON {
	b, o := c.bands, c.bands.Outcome
	j := wallJSON{
		State: c.name, Sentences: b.Sentences(c.catch), Values: map[string]wallSpan{}, Computed: b.Runs, WallMet: b.WallMet, FloorHit: b.FloorHit,
		Times:   map[string]*float64{"rope_holds": wallNumber(o.CatchAt), "lowest": wallNumber(o.Lowest.At), "climber_peak": wallNumber(o.Climber.At)},
		Closing: o.Closing, Notes: append([]string{}, o.Notes...),
		Energy: map[string]float64{
			"given": o.Books.Given, "moving": o.Books.Moving, "stored": o.Books.Stored, "rope": o.Books.Rope, "runners": o.Books.Runners,
			"device": o.Books.Device, "belayer_height": o.Books.Lifted, "wall": o.Books.Wall, "belayer_stopped": o.Books.Stopped,
		},
	}
	for _, r := range b.Rows(c.catch) {
		j.Values[r.Key] = wallInterval(r.Interval, b.Runs)
	}
	if o.Wall != nil {
		j.Times["wall"] = wallNumber(o.Wall.At)
	}
	if o.Hit != nil {
		j.HitSpeed, j.Times["floor"] = wallNumber(o.Hit.Speed), wallNumber(o.Hit.At)
	}
	return j
}

// wallSweptJSON is one length of a sweep.
type wallSweptJSON struct {
	Length float64  `json:"length_m"`
	Wall   wallSpan `json:"wall_normal_speed_mps"`
	Peak   wallSpan `json:"climber_peak_N"`
}

func wallAnswer(all []wallCase, swept []wallSweep) any {
	type sweepJSON struct {
		State  string          `json:"state"`
		By     string          `json:"by"`
		Points []wallSweptJSON `json:"points"`
	}
	out := struct {
		Falls   []wallJSON  `json:"falls"`
		Beside  []string    `json:"beside"`
		Sweeps  []sweepJSON `json:"sweeps"`
		Caution string      `json:"caution"`
	}{Beside: []string{}, Sweeps: []sweepJSON{}, Caution: catches.Caution}
	for _, c := range all {
		out.Falls = append(out.Falls, c.json())
	}
	if len(all) == 2 {
		out.Beside = all[0].bands.Against(all[1].bands, all[0].name, all[1].name)
	}
	for _, s := range swept {
		j := sweepJSON{State: s.name, By: s.what}
		for _, p := range s.points {
			j.Points = append(j.Points, wallSweptJSON{p.Setting, wallInterval(p.Bands.WallNormal, p.Bands.Runs), wallInterval(p.Bands.Climber, p.Bands.Runs)})
		}
		out.Sweeps = append(out.Sweeps, j)
	}
	return out
}
