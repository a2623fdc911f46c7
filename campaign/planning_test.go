package campaign

import (
	"strings"
	"testing"
	"time"
)

// drawn is a plan that leaves its specimens to the draw and has days to work in;
// each case breaks one rule.
func drawn() Plan {
	p := small()
	p.Specimens = nil
	p.Ropes = []Rope{
		{Name: "A", Lot: "Marram 9.6", Length: 60, Discard: 1, Damage: []Stretch{{22.4, 22.9}}, MiddleMark: 30},
		{Name: "B", Lot: "Marram 9.6", Length: 60},
		{Lot: "Samphire 9.6 treated", Length: 60},
	}
	for i, lot := range []string{"Marram 9.6", "Marram 9.6", "Samphire 9.6 treated"} {
		p.Conditions[i].Lot, p.Conditions[i].Specimens = lot, 3
	}
	p.Cutting = Cutting{KnotTakes: 0.4, Knots: "figure of eight, both ends", Loss: 0.005, Spares: 1}
	p.Order = Order{Seed: 4711, Within: []Within{WithinRope, WithinDay}, MaxRun: 2, Blind: true}
	p.Days = Days{
		Dates: []string{"2026-12-05", "2026-12-06"}, From: 9 * time.Hour, To: 16 * time.Hour,
		Breaks: []Hours{{12 * time.Hour, 12*time.Hour + 30*time.Minute}}, Towers: 1, People: 2,
		Hang: 4 * time.Minute, Drop: time.Minute, TakeDown: 2 * time.Minute, Checks: 1,
	}
	p.Preparations = []Preparation{{
		Do: Soak, Conditions: []string{"Marram soaked"}, In: "bath", Holds: 6,
		Time: Rest{30 * time.Minute, 5 * time.Minute}, ToDrop: Rest{5 * time.Minute, 2 * time.Minute},
	}}
	p.Series.Overnight = Overnight{After: 2, Rest: Rest{16 * time.Hour, 4 * time.Hour}}
	return p
}

func TestDrawnPlanKeepsTheRules(t *testing.T) {
	p := drawn()
	p.Questions = append(p.Questions, Question{
		Name: "night", Asks: "Does a night bring it back?", Value: PeakForce, Compare: "Marram dry", Baseline: "Marram dry",
		Falls: []int{3}, BaselineFalls: []int{1}, Margin: Margin{Share: 0.05}, Claim: ClaimNone,
	})
	if err := p.Validate(); err != nil {
		t.Fatal(err)
	}
	if got, want := p.Cutting.Piece(p.Settings[0]), 2.6+0.8; got != want {
		t.Errorf("a piece takes %g m, want %g m", got, want)
	}
}

func TestPlanningRefusals(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(*Plan)
		want  string
		at    Place
	}{
		{"nothing says how to cut", func(p *Plan) { p.Cutting = Cutting{} }, "no part that says how its specimens are cut", Place{Part: ConditionPart, Field: "specimens"}},
		{"cutting for nobody", func(p *Plan) {
			for i := range p.Conditions {
				p.Conditions[i].Specimens = 0
			}
			p.Questions = nil
		}, "no condition says how many", Place{Part: CuttingPart}},
		{"too many", func(p *Plan) { p.Conditions[0].Specimens = 1001 }, "1001 specimens, a condition has up to 1000", Place{Part: ConditionPart, Field: "specimens"}},
		{"from which rope", func(p *Plan) { p.Conditions[1].Lot = "" }, "does not say which rope", Place{Part: ConditionPart, Index: 1, Field: "lot"}},
		{"no such rope", func(p *Plan) { p.Conditions[1].Lot = "Dulse" }, `no rope of lot "Dulse"`, Place{Part: ConditionPart, Index: 1, Field: "lot"}},
		{"too short for its knots", func(p *Plan) { p.Cutting.Each = 3.3 }, "3.3 m is shorter than the free length of 2.6 m and two knots of 0.4 m", Place{Part: CuttingPart, Field: "each"}},
		{"no length", func(p *Plan) { p.Cutting.KnotTakes = 0 }, "how much rope a piece takes", Place{Part: CuttingPart, Field: "each"}},
		{"negative loss", func(p *Plan) { p.Cutting.Loss = -1 }, "loss at a cut is -1 m", Place{Part: CuttingPart, Field: "loss"}},
		{"negative spares", func(p *Plan) { p.Cutting.Spares = -1 }, "-1 spares", Place{Part: CuttingPart, Field: "spares"}},
		{"rope of unknown length", func(p *Plan) { p.Ropes[2].Length = 0 }, "its length is not given", Place{Part: RopePart, Index: 2, Field: "length"}},
		{"nothing left of the rope", func(p *Plan) { p.Ropes[0].Discard = 30 }, "leave nothing", Place{Part: RopePart, Field: "discard"}},
		{"damage backwards", func(p *Plan) { p.Ropes[0].Damage[0] = Stretch{3, 2} }, "no part of a rope", Place{Part: RopePart, Field: "damage", Element: "0"}},
		{"damage beyond the rope", func(p *Plan) { p.Ropes[0].Damage[0] = Stretch{59, 61} }, "ends at 61 m", Place{Part: RopePart, Field: "damage", Element: "0"}},
		{"mark beyond the rope", func(p *Plan) { p.Ropes[0].MiddleMark = 60 }, "mark is at 60 m", Place{Part: RopePart, Field: "middle_mark"}},
		{"names taken", func(p *Plan) { p.Ropes[1].Name = "A" }, `the name "A" is taken by rope 1`, Place{Part: RopePart, Index: 1, Field: "name"}},
		{"balanced over what", func(p *Plan) { p.Order.Within[0] = "weather" }, "nothing that conditions can be balanced over", Place{Part: OrderPart, Field: "within", Element: "0"}},
		{"balanced twice", func(p *Plan) { p.Order.Within[1] = WithinRope }, "listed twice", Place{Part: OrderPart, Field: "within", Element: "1"}},
		{"days without days", func(p *Plan) { p.Days = Days{} }, "no days to balance over", Place{Part: OrderPart, Field: "within", Element: "1"}},
		{"negative run", func(p *Plan) { p.Order.MaxRun = -1 }, "-1 specimens of a condition", Place{Part: OrderPart, Field: "max_run"}},
		{"no date", func(p *Plan) { p.Days.Dates[1] = "6.12.2026" }, "is no date", Place{Part: DaysPart, Field: "dates", Element: "1"}},
		{"dates out of order", func(p *Plan) { p.Days.Dates[1] = "2026-12-05" }, "does not come after", Place{Part: DaysPart, Field: "dates", Element: "1"}},
		{"night shift", func(p *Plan) { p.Days.From, p.Days.To, p.Days.Breaks = 16*time.Hour, 9*time.Hour, nil }, "from 16:00 to 09:00", Place{Part: DaysPart, Field: "hours"}},
		{"break after work", func(p *Plan) { p.Days.Breaks[0] = Hours{17 * time.Hour, 18 * time.Hour} }, "not within the working hours", Place{Part: DaysPart, Field: "breaks", Element: "0"}},
		{"negative people", func(p *Plan) { p.Days.People = -1 }, "-1 people", Place{Part: DaysPart, Field: "people"}},
		{"negative hanging", func(p *Plan) { p.Days.Hang = -time.Minute }, "below zero", Place{Part: DaysPart, Field: "hang"}},
		{"prepared how", func(p *Plan) { p.Preparations[0].Do = "boil" }, `"boil" is no preparation`, Place{Part: PreparationPart, Field: "do"}},
		{"nobody prepared", func(p *Plan) { p.Preparations[0].Conditions = nil }, "no condition is prepared so", Place{Part: PreparationPart, Field: "conditions"}},
		{"unknown prepared", func(p *Plan) { p.Preparations[0].Conditions[0] = "Dulse" }, `no condition "Dulse"`, Place{Part: PreparationPart, Field: "conditions", Element: "0"}},
		{"size of what", func(p *Plan) { p.Preparations[0].In = "" }, "no name of a bath or rack", Place{Part: PreparationPart, Field: "in"}},
		{"negative size", func(p *Plan) { p.Preparations[0].Holds = -1 }, "it holds -1", Place{Part: PreparationPart, Field: "holds"}},
		{"no time", func(p *Plan) { p.Preparations[0].Time = Rest{} }, "it takes", Place{Part: PreparationPart, Field: "time"}},
		{"wide tolerance", func(p *Plan) { p.Preparations[0].Time.Tolerance = time.Hour }, "more than the time", Place{Part: PreparationPart, Field: "tolerance"}},
		{"two sizes", func(p *Plan) {
			p.Preparations = append(p.Preparations, p.Preparations[0])
			p.Preparations[1].Holds = 4
		}, `"bath" holds 4 here, and 6 in preparation 1`, Place{Part: PreparationPart, Index: 1, Field: "holds"}},
		{"long rest after the last fall", func(p *Plan) { p.Series.Overnight.After = 3 }, "after fall 3 of a series of 3", Place{Part: SeriesPart, Field: "overnight_after"}},
		{"long rest of no time", func(p *Plan) { p.Series.Overnight.Rest = Rest{} }, "the long rest is", Place{Part: SeriesPart, Field: "overnight"}},
		{"power of a coin", func(p *Plan) { p.Numbers.Power = 0.4 }, "a power of 40 %", Place{Part: NumbersPart, Field: "power"}},
		{"difference at the margin", func(p *Plan) { p.Numbers.Margins = 1 }, "a difference of 1 margins", Place{Part: NumbersPart, Field: "margins"}},
		{"spread of all", func(p *Plan) { p.Numbers.Falls = 1 }, "a spread of 100 %", Place{Part: NumbersPart, Field: "falls"}},
		{"level of what", func(p *Plan) { p.Numbers.Levels = map[Measure]float64{"colour": 1} }, `"colour" is no value`, Place{Part: NumbersPart, Field: "levels", Element: "colour"}},
		{"level of nothing", func(p *Plan) { p.Numbers.Levels = map[Measure]float64{PeakForce: 0} }, "a level of 0 N", Place{Part: NumbersPart, Field: "levels", Element: "peak force"}},
		{"at most one", func(p *Plan) { p.Numbers.Most = 1 }, "at most 1 specimens", Place{Part: NumbersPart, Field: "most"}},
		{"negative cost", func(p *Plan) { p.Numbers.PerHour = -1 }, "a cost of -1", Place{Part: NumbersPart, Field: "per_hour"}},
		{"claims what", func(p *Plan) { p.Questions[0].Claim = "stronger" }, `"stronger" is nothing`, Place{Part: QuestionPart, Field: "claim"}},
		{"trend of one fall", func(p *Plan) { p.Questions[0].Trend, p.Questions[0].Falls = true, []int{2} }, "one fall has no trend", Place{Part: QuestionPart, Field: "falls"}},
		{"trend against other falls", func(p *Plan) { p.Questions[0].Trend, p.Questions[0].BaselineFalls = true, []int{2} }, "the same falls on both sides", Place{Part: QuestionPart, Field: "baseline_falls"}},
		{"falls of the baseline beyond the series", func(p *Plan) { p.Questions[0].BaselineFalls = []int{4} }, "fall 4 is outside the series", Place{Part: QuestionPart, Field: "baseline_falls", Element: "0"}},
		{"fall with itself", func(p *Plan) {
			p.Questions[0].Baseline, p.Questions[0].BaselineFalls = "Marram soaked", []int{2, 3}
		}, `fall 3 of condition "Marram soaked" would be compared with itself`, Place{Part: QuestionPart, Field: "baseline_falls"}},
		{"condition with itself", func(p *Plan) { p.Questions[0].Baseline = "Marram soaked" }, "compared with itself", Place{Part: QuestionPart, Field: "compare"}},
		{"specimen of a rope that is not", func(p *Plan) {
			p.Specimens = []Specimen{{Label: "M-01", Lot: "Marram 9.6", Rope: "C", Condition: "Marram dry"}}
		}, `no rope "C" of lot "Marram 9.6"`, Place{Part: SpecimenPart, Field: "rope"}},
		{"specimen of one of two ropes", func(p *Plan) {
			p.Specimens = []Specimen{{Label: "M-01", Lot: "Marram 9.6", Condition: "Marram dry"}}
		}, "is several ropes", Place{Part: SpecimenPart, Field: "lot"}},
	}
	for _, c := range cases {
		p := drawn()
		c.spoil(&p)
		faults := p.Faults()
		if len(faults) != 1 || !strings.Contains(faults[0].Problem.What, c.want) || faults[0].Place != c.at {
			t.Errorf("%s: want one fault %q at %+v, got:", c.name, c.want, c.at)
			for _, f := range faults {
				t.Errorf("  %+v %v", f.Place, f.Problem)
			}
		}
	}
	if len(cases) < 30 {
		t.Fatalf("%d cases", len(cases))
	}
}

// Ropes of one lot are ropes: before the draw, after it, and with one of them
// alone.
func TestRopesAsBlocks(t *testing.T) {
	p := drawn()
	p.Analysis.Blocks = []Block{RopeBlock}
	if got := p.ropesCut(); got != 3 {
		t.Errorf("%d ropes before the draw, want 3", got)
	}
	p.Specimens = []Specimen{{Label: "1", Lot: "Marram 9.6", Rope: "A"}, {Label: "2", Lot: "Marram 9.6", Rope: "B"}}
	if got := p.ropesCut(); got != 2 {
		t.Errorf("%d ropes of one lot, want 2", got)
	}
	p.Specimens[1].Rope = "A"
	if got := p.ropesCut(); got != 1 {
		t.Errorf("%d ropes, want 1", got)
	}
}

// The rest before each fall of a series with a night in it, and a spare that was
// never dropped is no departure, one that was is.
func TestOvernightAndSpares(t *testing.T) {
	p := small()
	p.Series = Series{Falls: 3, Setting: "standard", Rest: Rest{3 * time.Minute, 0}, Overnight: Overnight{2, Rest{16 * time.Hour, time.Hour}}}
	for n, want := range []time.Duration{0, 0, 3 * time.Minute, 16 * time.Hour} {
		if got := p.Series.RestBefore(n).Set; got != want {
			t.Errorf("before fall %d %v, want %v", n, got, want)
		}
	}
	morning := time.Date(2026, 12, 5, 9, 0, 0, 0, time.UTC)
	p.Specimens[1].Spare = true
	s := Study{Plan: p, Frozen: &Freeze{Stamp: Stamp{At: morning}}}
	for i, after := range []time.Duration{0, 3 * time.Minute, 16 * time.Hour} {
		s.Drops = append(s.Drops, Drop{Kind: Fall, Specimen: "M-01", Fall: i + 1, Setting: "standard", Stamp: Stamp{At: morning.Add(after)}})
	}
	texts := func() string {
		var b strings.Builder
		for _, d := range s.Departures() {
			b.WriteString(d.Where + ": " + d.Text + "\n")
		}
		return b.String()
	}
	if got, want := texts(), "S-01: not dropped; the plan has 3 falls\n"; got != want {
		t.Errorf("departures are %q, want %q", got, want)
	}
	s.Drops = append(s.Drops, Drop{Kind: Fall, Specimen: "M-02", Fall: 1, Setting: "standard", Stamp: Stamp{At: morning.Add(20 * time.Hour)}})
	if got := texts(); !strings.Contains(got, "M-02: a spare of the plan, dropped once") {
		t.Errorf("departures are %q", got)
	}
}
