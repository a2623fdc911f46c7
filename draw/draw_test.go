package draw_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/cutlist"
	"fallwright.example/draw"
)

// club is an invented plan: two ropes of one lot, one of another.
func club(seed uint64) campaign.Plan {
	return campaign.Plan{
		Name: "sea-water",
		Conditions: []campaign.Condition{
			{Name: "Marram dry", Lot: "Marram 9.6", Specimens: 4, Baseline: true},
			{Name: "Marram soaked", Lot: "Marram 9.6", Specimens: 4},
			{Name: "Samphire dry", Lot: "Samphire 9.6 treated", Specimens: 3},
		},
		Ropes: []campaign.Rope{
			{Name: "A", Lot: "Marram 9.6", Length: 40, Discard: 1, Damage: []campaign.Stretch{{From: 10, To: 10.5}}, MiddleMark: 20},
			{Name: "B", Lot: "Marram 9.6", Length: 40, Discard: 1},
			{Lot: "Samphire 9.6 treated", Length: 60, Discard: 1},
		},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 5, Setting: "standard"},
		Cutting:  campaign.Cutting{KnotTakes: 0.4, Knots: "figure of eight, both ends", Loss: 0.005, Spares: 1},
		Order:    campaign.Order{Seed: seed, Within: campaign.Withins(), MaxRun: 2},
		Days:     campaign.Days{Dates: []string{"2026-12-05", "2026-12-06"}},
	}
}

// Whatever the seed: counts, lengths, spares, places and days are what the plan
// says, by a look at the drawn plan that shares nothing with the drawing.
func TestDrawnKeepsToThePlan(t *testing.T) {
	checked := 0
	for seed := range uint64(60) {
		asked := club(seed)
		p, list, err := draw.Specimens(asked)
		if err != nil {
			t.Fatal(seed, err)
		}
		if err := cutlist.Check(list, draw.Ropes(&asked), draw.Demand(&asked)); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		if len(p.Specimens) != 14 || len(asked.Specimens) != 0 {
			t.Fatalf("seed %d: %d specimens", seed, len(p.Specimens))
		}
		perDay := map[string][3]int{}
		for _, c := range p.Conditions {
			n, spares := 0, 0
			for _, s := range p.Specimens {
				if s.Condition != c.Name {
					continue
				}
				if math.Abs(s.To-s.From-3.4) > 1e-9 || s.Lot != c.Lot {
					t.Errorf("seed %d: %+v", seed, s)
				}
				if s.Spare {
					spares++
					if s.Place != 0 || s.Day != 0 {
						t.Errorf("seed %d: spare %+v", seed, s)
					}
					continue
				}
				n++
				d := perDay[c.Name]
				d[s.Day]++
				perDay[c.Name] = d
			}
			if n != c.Specimens || spares != 1 {
				t.Errorf("seed %d: %s has %d specimens and %d spares", seed, c.Name, n, spares)
			}
			// Days of five and six of 11 drops: a condition's share, rounded down or up.
			if d := perDay[c.Name]; d[0] != 0 || d[1]+d[2] != c.Specimens || d[1] < c.Specimens/2-1 || d[2] < c.Specimens/2-1 || max(d[1], d[2]) > c.Specimens/2+1 {
				t.Errorf("seed %d: %s on days %v", seed, c.Name, d)
			}
		}
		order := draw.Order(&p)
		row := 0
		for i, s := range order {
			if s.Place != i+1 {
				t.Errorf("seed %d: place %d of %s is %d", seed, i+1, s.Label, s.Place)
			}
			if i > 0 && order[i-1].Condition == s.Condition && order[i-1].Day == s.Day {
				row++
			} else {
				row = 1
			}
			if row > 2 {
				t.Errorf("seed %d: %d of %s in a row", seed, row, s.Condition)
			}
			if i > 0 && s.Day < order[i-1].Day {
				t.Errorf("seed %d: day %d after day %d", seed, s.Day, order[i-1].Day)
			}
			checked++
		}
		again, _, err := draw.Specimens(club(seed))
		if err != nil || !reflect.DeepEqual(again, p) {
			t.Errorf("seed %d: another draw, %v", seed, err)
		}
	}
	if checked != 60*11 {
		t.Fatalf("%d checked", checked)
	}
}

// Each of a condition's pieces is the spare as often as the others, and each
// specimen is first as often: χ² on 3 and 10 degrees of freedom, at a chance of
// 1e-4 (21.1 and 35.6).
func TestDrawIsEven(t *testing.T) {
	const draws = 4000
	spare, first := map[string]int{}, map[string]int{}
	for seed := range uint64(draws) {
		p := club(seed)
		p.Order.Within, p.Order.MaxRun, p.Cutting.Spares = nil, 0, 1
		p.Conditions, p.Ropes = p.Conditions[2:], p.Ropes[2:]
		q, _, err := draw.Specimens(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range q.Specimens {
			if s.Spare {
				spare[s.Label]++
			}
		}
		first[draw.Order(&q)[0].Label]++
	}
	for what, counts := range map[string]map[string]int{"spare": spare, "first": first} {
		square := 0.0
		for _, n := range counts {
			d := float64(n) - draws/4
			square += d * d / (draws / 4)
		}
		if len(counts) != 4 || square > 21.1 {
			t.Errorf("%s: %v, χ² %.1f", what, counts, square)
		}
	}
}

func TestListedPlanStays(t *testing.T) {
	p := club(1)
	p.Cutting = campaign.Cutting{}
	p.Specimens = []campaign.Specimen{{Label: "M-02"}, {Label: "M-01"}, {Label: "M-03", Spare: true}}
	got, list, err := draw.Specimens(p)
	if err != nil || list != nil || !reflect.DeepEqual(got, p) {
		t.Errorf("%v %v %v", got, list, err)
	}
	order := draw.Order(&p)
	if len(order) != 2 || order[0].Label != "M-02" {
		t.Errorf("%v", order)
	}
}

func TestPieceSaidAsAWhole(t *testing.T) {
	p := club(1)
	p.Cutting.Each, p.Cutting.KnotTakes = 3.5, 0
	d := draw.Demand(&p)
	if got := d.PieceLength(d.Wants[0].FreeLength); math.Abs(got-3.5) > 1e-9 || d.Wants[0].FreeLength != 2.6 {
		t.Errorf("%g m, %+v", got, d)
	}
	p.Cutting.Each = 2
	d = draw.Demand(&p)
	if got := d.PieceLength(d.Wants[0].FreeLength); math.Abs(got-2) > 1e-9 {
		t.Errorf("%g m, %+v", got, d)
	}
}

func TestRefused(t *testing.T) {
	short := club(1)
	for i := range short.Ropes {
		short.Ropes[i].Length = 12
		short.Ropes[i].Damage, short.Ropes[i].MiddleMark = nil, 0
	}
	rows := club(1)
	rows.Order.MaxRun, rows.Conditions[0].Specimens = 1, 12
	rows.Ropes[0].Length, rows.Ropes[1].Length = 100, 100
	for want, p := range map[string]campaign.Plan{"10 specimens take 34.00 m": short, "no order of drops": rows} {
		got, list, err := draw.Specimens(p)
		if err == nil || !strings.Contains(fmt.Sprint(err), want) || list != nil || want != "no order of drops" && len(got.Specimens) != 0 {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	if !slices.Contains(campaign.Withins(), campaign.WithinDay) {
		t.Fatal("days cannot be balanced over")
	}
}
