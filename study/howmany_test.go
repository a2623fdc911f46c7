package study_test

import (
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/power"
	"fallwright.example/study"
)

// twoLots is an invented plan of two conditions, each from a lot of its own.
func twoLots() campaign.Plan {
	rest := campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}
	return campaign.Plan{
		Questions: []campaign.Question{{
			Name: "wet", Asks: "?", Value: campaign.PeakForce, Compare: "wet", Baseline: "dry", Falls: []int{3},
			Margin: campaign.Margin{Share: 0.05}, Claim: campaign.ClaimLower,
		}},
		Conditions: []campaign.Condition{{Name: "dry", Lot: "Marram 9.6", Baseline: true, Specimens: 2}, {Name: "wet", Lot: "Samphire 9.6 treated", Specimens: 2}},
		Ropes: []campaign.Rope{
			{Lot: "Marram 9.6", Length: 60},
			{Lot: "Samphire 9.6 treated", Length: 15, Damage: []campaign.Stretch{{From: 6, To: 7}}},
		},
		Specimens: []campaign.Specimen{
			{Label: "M-01", Lot: "Marram 9.6", Condition: "dry"},
			{Label: "M-02", Lot: "Marram 9.6", Condition: "dry"},
			{Label: "S-01", Lot: "Samphire 9.6 treated", Condition: "wet"},
			{Label: "S-02", Lot: "Samphire 9.6 treated", Condition: "wet"},
		},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 3, Setting: "standard", Rest: rest},
		Cutting:  campaign.Cutting{KnotTakes: 0.4, Spares: 1},
		Days: campaign.Days{
			Dates: []string{"2026-12-05"}, From: 9 * time.Hour, To: 16 * time.Hour,
			Hang: 4 * time.Minute, Settle: 3 * time.Minute, Drop: time.Minute, TakeDown: 2 * time.Minute,
		},
	}
}

// The rope at hand is what the scarcer lot holds in whole pieces beside the spares:
// 15 m with damage from 6 m to 7 m are one piece of 3.4 m and two, one for the
// spare. A specimen has the tower 4 + 3 + 2·3 + 2 = 15 minutes, for settling and
// rests count to a release.
func TestRoomAndTimeOfASpecimen(t *testing.T) {
	p := twoLots()
	all, err := study.HowManyOf(t.Context(), &p, nil, power.Options{Seed: 1, Studies: 500})
	if err != nil || len(all) != 1 || all[0].Refused != nil {
		t.Fatal(all, err)
	}
	h := all[0]
	if h.Limits.Specimens != 2 || h.Limits.Why != "the rope at hand: 3 pieces of Samphire 9.6 treated, spares too" {
		t.Errorf("%+v", h.Limits)
	}
	if bill := h.Price.Of(h.Plan); bill.Hours != 1 {
		t.Errorf("4 specimens have the tower %g h, 1 h is right", bill.Hours)
	}
	if len(h.Best) != 1 || h.Best[0].Specimens != 2 || !strings.Contains(h.Best[0].Stopped, "3 pieces of Samphire") {
		t.Errorf("%+v", h.Best)
	}
	for _, c := range h.Curve.Cells {
		if c.Specimens == 2 && c.Falls == 3 && c.Result != h.Result {
			t.Error("the plan has two chances")
		}
	}
	p.Ropes[1].Length = 0
	if all, err = study.HowManyOf(t.Context(), &p, nil, power.Options{Seed: 1, Studies: 500}); err != nil || all[0].Limits.Specimens != 0 {
		t.Errorf("a length that is not known limits: %+v, %v", all[0].Limits, err)
	}
}

// A night hangs a specimen twice, and is no rest on the tower: 21 and 9 minutes.
func TestANightOnTheBill(t *testing.T) {
	p := twoLots()
	p.Series.Falls, p.Series.Overnight = 6, campaign.Overnight{After: 5, Rest: campaign.Rest{Set: 16 * time.Hour}}
	all, err := study.HowManyOf(t.Context(), &p, nil, power.Options{Seed: 1, Studies: 200})
	if err != nil || len(all) != 1 {
		t.Fatal(err)
	}
	if bill := all[0].Price.Of(all[0].Plan); bill.Hours != 2 {
		t.Errorf("4 specimens have the tower %g h, 2 h is right", bill.Hours)
	}
}
