package main

import (
	"math"

	"fallwright.example/dial"
	"fallwright.example/study"
)

// The answer in JSON, with the units in the names.
type (
	dialled struct {
		Next       dialledSetting `json:"next"`
		Stop       dial.Stop      `json:"stop"`
		Window     [2]float64     `json:"window_N"`
		Level      float64        `json:"interval_level"`
		Peak       dialledBand    `json:"peak_N"`
		Lands      float64        `json:"chance_lands"`
		Falls      int            `json:"falls"`
		Last       dialledBand    `json:"peak_of_last_fall_N"`
		Series     float64        `json:"chance_series"`
		OneMore    float64        `json:"chance_series_after_one_more"`
		Enough     float64        `json:"enough"`
		Centimetre float64        `json:"per_centimetre_N"`
		Kilogram   float64        `json:"per_kilogram_N"`
		Factor     float64        `json:"fall_factor"`
		Stretch    dialledBand    `json:"stretch_m"`
		Spring     *float64       `json:"spring_modulus_N"`
		Rise       dialledBand    `json:"rise_to_fall_5"`
		Trials     []dialledTrial `json:"trials"`
		Warnings   []string       `json:"warnings"`
		Assumed    []string       `json:"assumed"`
		Caution    string         `json:"caution"`
	}
	dialledSetting struct {
		Mass       float64 `json:"mass_kg"`
		Drop       float64 `json:"drop_m"`
		FreeLength float64 `json:"free_length_m"`
	}
	dialledBand struct {
		Low    float64 `json:"low"`
		Middle float64 `json:"middle"`
		High   float64 `json:"high"`
	}
	dialledTrial struct {
		dialledSetting
		Fall     int         `json:"fall"`
		Specimen string      `json:"specimen,omitempty"`
		Peak     float64     `json:"peak_N"`
		Expected dialledBand `json:"expected_by_the_others_N"`
		Tail     float64     `json:"tail"`
	}
)

func dialJSON(a *study.Dialled, notes []string) dialled {
	q := a.Question
	d := dialled{
		Next: dialledSetting(a.Next), Stop: a.Stop, Window: [2]float64{q.Window.Low, q.Window.High}, Level: q.Level,
		Peak: dialledBand(a.Peak), Lands: a.Lands, Falls: q.Falls, Last: dialledBand(a.Last), Series: a.Series, OneMore: a.OneMore, Enough: q.Enough,
		Centimetre: a.Per.Centimetre, Kilogram: a.Per.Kilogram, Factor: a.Factor, Stretch: dialledBand(a.Stretch), Rise: dialledBand(a.Rise),
		Trials: []dialledTrial{}, Warnings: append([]string{}, a.Warnings...), Assumed: notes, Caution: study.DialCaution,
	}
	if !math.IsNaN(a.Spring) {
		d.Spring = &a.Spring
	}
	for _, t := range a.Trials {
		d.Trials = append(d.Trials, dialledTrial{dialledSetting(t.Setting), max(1, t.Fall), t.Specimen, t.Peak, dialledBand(t.Expected), t.Tail})
	}
	return d
}
