package sheets

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/draw"
	"fallwright.example/study"
)

// planned is an invented plan of two conditions, with so many specimens of each and
// days to drop them on.
func planned(t testing.TB, each, days int, alter func(*campaign.Plan)) *study.Planned {
	t.Helper()
	p := campaign.Plan{
		Name: "wet", Title: "Wet and dry", Purpose: "Find out whether a wet rope catches harder.", By: "Skerry Head Climbing Club", Invented: true,
		Questions: []campaign.Question{{
			Name: "wet", Asks: "Does it catch harder when it is wet?", Value: campaign.PeakForce, Compare: "Marram soaked", Baseline: "Marram dry",
			Falls: []int{1}, Margin: campaign.Margin{Share: 0.05},
		}},
		Factors: []campaign.Factor{{Name: "water", Levels: []string{"dry", "soaked"}}},
		Conditions: []campaign.Condition{
			{Name: "Marram dry", Levels: map[string]string{"water": "dry"}, Baseline: true, Specimens: each},
			{Name: "Marram soaked", Levels: map[string]string{"water": "soaked"}, Specimens: each},
		},
		Ropes:    []campaign.Rope{{Lot: "Marram 9.6", Length: 3.4*float64(2*each+2) + 3, Discard: 1}},
		Rig:      campaign.Rig{Name: "Boathouse tower"},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 3, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}},
		Cutting:  campaign.Cutting{KnotTakes: 0.4, Knots: "figure of eight, both ends", Spares: 1},
		Order:    campaign.Order{Seed: 4711},
		Days: campaign.Days{
			From: 8 * time.Hour, To: 20 * time.Hour, Hang: 4 * time.Minute, Settle: 3 * time.Minute, Drop: time.Minute, TakeDown: 2 * time.Minute, PutIn: time.Minute,
		},
		Preparations: []campaign.Preparation{{
			Do: campaign.Soak, Conditions: []string{"Marram soaked"}, In: "sea-water bath", Holds: 4, Time: campaign.Rest{Set: 30 * time.Minute, Tolerance: 15 * time.Minute},
			ToDrop: campaign.Rest{Set: 10 * time.Minute, Tolerance: 8 * time.Minute},
		}},
	}
	for i := range days {
		p.Days.Dates = append(p.Days.Dates, time.Date(2026, 12, 5+i, 0, 0, 0, 0, time.UTC).Format(time.DateOnly))
	}
	if alter != nil {
		alter(&p)
	}
	if err := p.Validate(); err != nil {
		t.Fatal(err)
	}
	drawn, list, err := draw.Specimens(p)
	if err != nil {
		t.Fatal(err)
	}
	out := &study.Planned{Plan: drawn, Cut: list, Totals: study.Totals{Specimens: 2 * each, Spares: 2, Drops: 6 * each, Rope: 3.4 * float64(2*each+2)}}
	if list != nil {
		out.Steps = list.Steps(draw.Ropes(&drawn), draw.Demand(&drawn))
	} else {
		out.Totals.Rope = math.NaN()
	}
	for _, q := range p.Questions {
		out.Questions = append(out.Questions, study.PlannedQuestion{Question: q, Drops: 2 * each})
	}
	if days > 0 {
		if out.Timetable, err = study.Timetable(context.Background(), &drawn, time.UTC, nil); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// printed are the bytes of the sheets.
func printed(t *testing.T, p *study.Planned) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// poppler runs one of its tools on a file of the sheets.
func poppler(t *testing.T, tool string, pdf []byte, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(tool)
	if err != nil {
		t.Skipf("%s is not there: what is printed is not read back", tool)
	}
	file := filepath.Join(t.TempDir(), "sheets.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = file
		}
	}
	out, err := exec.Command(path, args...).Output()
	if err != nil {
		t.Fatalf("%s: %v", tool, err)
	}
	return out
}
