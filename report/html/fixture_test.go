package html

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// The fixture is an invented study, made by a formula: 6 conditions of 3
// specimens and 5 falls. One fall is void and was repeated, one is void and
// took its number, one has no trace, one reading is doubtful. It tests what the
// report says, not what the numbers are.
type madeOf struct {
	name, treatment, water string
	force, climb           float64 // N at the first fall, N·per log fall
}

var made = []madeOf{
	{"dry", "none", "dry", 3460, 225},
	{"soaked 5 min", "none", "soaked 5 min in sea water", 3515, 470},
	{"soaked, dried overnight", "none", "soaked, then dried overnight", 3590, 240},
	{"treated", "treated", "dry", 3485, 228},
	{"treated, soaked 5 min", "treated", "soaked 5 min in sea water", 3500, 320},
	{"treated, soaked, dried", "treated", "soaked, then dried overnight", 3545, 236},
}

var dayOne = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)

func stamp(minutes int) campaign.Stamp {
	return campaign.Stamp{At: dayOne.Add(time.Duration(minutes) * time.Minute), By: "A. Tern"}
}

func sourceFile(name string) campaign.SourceFile {
	sum := sha256.Sum256([]byte(name))
	return campaign.SourceFile{Name: name, SHA256: hex.EncodeToString(sum[:]), Size: int64(40_000 + len(name)*317)}
}

func fixturePlan() campaign.Plan {
	p := campaign.Plan{
		Name: "sea-water", Title: "What sea water does to a catch", By: "Skerry Head Climbing Club", Invented: true,
		Purpose: "Does a rope that went into the sea catch harder, and does a water-repellent treatment help?",
		Factors: []campaign.Factor{
			{Name: "treatment", Levels: []string{"none", "treated"}},
			{Name: "water", Levels: []string{"dry", "soaked 5 min in sea water", "soaked, then dried overnight"}},
		},
		Ropes: []campaign.Rope{
			{Lot: "Marram 9.6", Type: "single", Diameter: 0.0096, MassPerLength: 0.062, Length: 60, FirstFallForce: 8600, Construction: "kernmantle, 36 % sheath", Treatment: "none", History: "new"},
			{Lot: "Samphire 9.6 treated", Type: "single", Diameter: 0.0096, Length: 60, Construction: "kernmantle", Treatment: "sheath and core", History: "new"},
		},
		Rig:      campaign.Rig{Name: "Skerry Head tower", Cell: "S-beam cell, 2 kHz", CellRange: 20_000, EdgeRadius: 0.005, Guide: "two steel rails, greased"},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 5, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}},
		Reading:  campaign.ReadingRule{Class: 60},
		Questions: []campaign.Question{
			{Name: "soaked", Asks: "Does a rope soaked in sea water catch harder by its fifth fall?", Value: campaign.PeakForce, Compare: "soaked 5 min", Baseline: "dry", Falls: []int{5}, Margin: campaign.Margin{Share: 0.05}},
			{Name: "harmless", Asks: "Does the treatment change the catch of a dry rope?", Value: campaign.PeakForce, Compare: "treated", Baseline: "dry", Falls: []int{1, 2, 3, 4, 5}, Margin: campaign.Margin{Share: 0.05}},
			{Name: "first", Asks: "Is the first fall after a night of drying harder?", Value: campaign.PeakForce, Compare: "soaked, dried overnight", Baseline: "dry", Falls: []int{1}, Margin: campaign.Margin{Amount: 150}},
		},
	}
	for i, c := range made {
		p.Conditions = append(p.Conditions, campaign.Condition{
			Name: c.name, Baseline: i == 0, Levels: map[string]string{"treatment": c.treatment, "water": c.water},
		})
		lot, letter := p.Ropes[0].Lot, "M"
		if c.treatment == "treated" {
			lot, letter = p.Ropes[1].Lot, "S"
		}
		for k := range 3 {
			n := i%3*3 + k
			p.Specimens = append(p.Specimens, campaign.Specimen{
				Label: fmt.Sprintf("%s-%02d", letter, n+1), Lot: lot, Condition: c.name,
				From: 3.4 * float64(n), To: 3.4 * float64(n+1), Knots: "figure of eight, both ends",
			})
		}
	}
	return p
}

// peak is the formula: a logarithmic climb with a specimen's own level.
func peak(c madeOf, k, fall int) float64 {
	return c.force + c.climb*math.Log(float64(fall)) + 24*math.Sin(float64(7*k)+c.force) + 4*math.Cos(float64(fall*3+k))
}

func readingOf(force float64) *trace.Reading {
	v := func(x float64) trace.Value { return trace.Value(x) }
	return &trace.Reading{
		SampleRate: 2000, Samples: 6000, Unit: "kN", Class: 60, Tare: 3.1, Noise: 5.2,
		PeakForce: v(force), TimeToPeak: v(0.118 - force/2e5), FirstImpulse: v(645 + force/40), ImpactSpeed: v(5.24 - force/2e4),
		MaxStretch: v(0.742 - force/2e4), EnergyIn: v(1630 + force/20), EnergyAbsorbed: v(910 + force/20), ReboundSpeed: v(2.1 + force/4000),
		Notes: []trace.Note{
			{Grade: trace.Said, Text: "stretch and energy start from 5.277 m/s, a free fall of 1.42 m"},
			{Grade: trace.Said, Text: fmt.Sprintf("impact speed is %.4g m/s if the rope goes tight again where it first did, %.4g m/s if where it went slack", 5.24-force/2e4, 5.1-force/2e4)},
		},
	}
}

func fixture(t testing.TB) study.Report {
	t.Helper()
	s := &campaign.Study{ID: "01", Created: stamp(-2000), Plan: fixturePlan(), File: sourceFile("sea-water.toml")}
	s.Frozen = &campaign.Freeze{Stamp: stamp(-900), PlanSHA256: s.File.SHA256}
	s.Deviations = []campaign.Deviation{{ID: "d1", Stamp: stamp(300), Text: "Bath 2 was refilled before S-05, the water was 2 °C colder."}}
	r := study.Report{
		Program: "fallwright 0.1.0 (go1.26.8)", Made: stamp(3000).At,
		Inputs: []study.Input{{What: "study file", File: s.File}},
	}
	rows := fixtureDrops(s, &r)
	r.Overview = overviewOf(s, rows)
	r.Findings = fixtureFindings(t, s, rows)
	r.Overlays = []study.Overlay{overlayOf(1), overlayOf(5)}
	return r
}

// fixtureDrops records the drops in the study, and their files in the report.
func fixtureDrops(s *campaign.Study, r *study.Report) []study.DropRow {
	var rows []study.DropRow
	add := func(d campaign.Drop, of string, rest time.Duration, read *trace.Reading) {
		d.ID, d.Stamp = fmt.Sprintf("drop-%03d", len(rows)), stamp(4*len(rows))
		if read != nil {
			file := sourceFile(fmt.Sprintf("%s-%s-%d.csv", d.Specimen, d.Kind, len(rows)))
			d.Trace = &file
			r.Inputs = append(r.Inputs, study.Input{What: dropName(d), File: file})
		}
		s.Drops = append(s.Drops, d)
		rows = append(rows, study.DropRow{Drop: d, Condition: of, Rest: rest, Reading: read})
	}
	add(campaign.Drop{Kind: campaign.Trial, Setting: "standard", Note: "dialling in"}, "", 0, readingOf(3390))
	add(campaign.Drop{Kind: campaign.Check, Setting: "standard"}, "", 0, readingOf(3402))
	for i, sp := range s.Plan.Specimens {
		c := made[i/3]
		for fall := 1; fall <= 5; fall++ {
			rest := time.Duration(0)
			if fall > 1 {
				rest = 3*time.Minute + time.Duration((i*7+fall*3)%11-5)*time.Second
			}
			read := readingOf(peak(c, i%3, fall))
			d := campaign.Drop{Kind: campaign.Fall, Specimen: sp.Label, Fall: fall, Setting: "standard"}
			switch {
			case sp.Label == "M-02" && fall == 1:
				void := d
				void.Void = &campaign.Void{Stamp: stamp(31), Reason: "release jammed, the mass did not fall"}
				add(void, c.name, 0, nil)
			case sp.Label == "S-05" && fall == 3:
				d.Void = &campaign.Void{Stamp: stamp(330), Reason: "second specimen caught on the rail", Loaded: true}
			case sp.Label == "M-08" && fall == 4:
				read = nil
			case sp.Label == "S-01" && fall == 2:
				read.ReboundSpeed = trace.None()
				read.Notes = append(read.Notes, trace.Note{Grade: trace.Doubtful, Text: "the trace itself shows 4.99 m/s at contact, -5.4 % of the free fall: look at the guide's friction, the mass and the drop"})
			}
			add(d, c.name, rest, read)
		}
	}
	return rows
}

func overviewOf(s *campaign.Study, rows []study.DropRow) study.Overview {
	o := study.Overview{Study: s, Drops: rows, Departures: []campaign.Departure{{Where: "S-05 fall 4", Text: "rest of 9 min 20 s, set 3 min with 15 s tolerance"}}, Doubtful: 1}
	for _, c := range s.Plan.Conditions {
		count := study.ConditionCount{Condition: c, Specimens: 3, Planned: 15}
		for _, row := range rows {
			if row.Condition == c.Name {
				if row.Drop.Void == nil {
					count.Counting++
				} else {
					count.Void++
				}
			}
		}
		o.Conditions = append(o.Conditions, count)
	}
	for i, sp := range s.Plan.Specimens {
		row := study.SpecimenRow{Specimen: sp, Mass: 0.2108 + 0.0007*float64(i%4)}
		if i == 4 {
			row.Mass = math.NaN()
		}
		for _, d := range s.Drops {
			if d.Specimen == sp.Label && d.Took() {
				row.Taken++
				if d.Void == nil {
					row.Counting++
				}
			}
		}
		o.Specimens = append(o.Specimens, row)
	}
	return o
}

func fixtureFindings(t testing.TB, s *campaign.Study, rows []study.DropRow) study.Findings {
	t.Helper()
	f := study.Findings{
		Study: s, Rule: campaign.AnalysisRule{Adjust: campaign.Holm}, Method: "A mixed model takes all falls together, by a rule of 5 %.",
		Assumptions: []study.Assumption{{Text: "Specimens are independent.", Looked: "order and day"}, {Text: "Falls are missing by chance."}},
		Answers:     make([]compare.Answer, len(s.Plan.Questions)),
	}
	data := compare.Data{Columns: []compare.Column{{Name: "rope"}, {Name: "setting"}}}
	for _, row := range rows {
		switch {
		case row.Drop.Kind != campaign.Fall || row.Drop.Void != nil:
		case row.Reading == nil:
			f.Left = append(f.Left, study.LeftOut{Drop: row.Drop, Measure: campaign.PeakForce, Why: "no trace was recorded"})
		default:
			piece, _ := s.Plan.Specimen(row.Drop.Specimen)
			data.Value = append(data.Value, float64(row.Reading.PeakForce))
			data.Specimen, data.Condition = append(data.Specimen, row.Drop.Specimen), append(data.Condition, row.Condition)
			data.Fall, data.Row = append(data.Fall, compare.FallNumber(row.Drop.Fall)), append(data.Row, dropName(row.Drop))
			data.Columns[0].Value, data.Columns[1].Value = append(data.Columns[0].Value, piece.Lot), append(data.Columns[1].Value, "standard")
		}
	}
	m := study.MeasureTable{Measure: campaign.PeakForce}
	for _, on := range []compare.Scale{compare.Log, compare.Linear} {
		m.Models = append(m.Models, fixtureModel(t, &f, data, on))
	}
	f.Measures = []study.MeasureTable{m}
	return f
}

// fixtureModel fits on one scale and answers the questions that are put on it.
func fixtureModel(t testing.TB, f *study.Findings, data compare.Data, on compare.Scale) study.Model {
	t.Helper()
	ask := compare.Ask{Measure: "peak force", Unit: "N", Scale: on, Adjust: compare.Holm, EachFall: true, Margin: compare.Margin{Share: 0.05}}
	if on == compare.Linear {
		ask.Margin = compare.Margin{Amount: 150}
	}
	for _, c := range made {
		ask.Conditions = append(ask.Conditions, c.name)
	}
	a, err := compare.Analyse(data, ask)
	if err != nil {
		t.Fatal(err)
	}
	checks, err := a.Check()
	if err != nil {
		t.Fatal(err)
	}
	var questions []compare.Question
	var places []int
	for i, q := range f.Study.Plan.Questions {
		if (q.Margin.Share > 0) != (on == compare.Log) {
			continue
		}
		put := compare.Question{
			Name: q.Name, Asks: q.Asks, Measure: string(q.Value), Unit: q.Value.Unit(), Condition: q.Compare, Baseline: q.Baseline,
			Share: q.Margin.Share, Amount: q.Margin.Amount,
		}
		for _, n := range q.Falls {
			put.Falls = append(put.Falls, compare.FallNumber(n))
		}
		questions, places = append(questions, put), append(places, i)
	}
	answers, err := a.Put(questions)
	if err != nil {
		t.Fatal(err)
	}
	for k, i := range places {
		f.Answers[i] = answers[k]
	}
	return study.Model{Measure: campaign.PeakForce, Scale: on, Analysis: a, Checks: checks}
}

// overlayOf makes traces of one fall: a half sine with its bounce.
func overlayOf(fall int) study.Overlay {
	o := study.Overlay{Fall: fall}
	for i, c := range made {
		for k := range 3 {
			top := peak(c, k, fall)
			length := 0.245 - top/8e4
			tr := study.OverlayTrace{Specimen: fmt.Sprint(i, k), Condition: c.name}
			for n := -100; n < 740; n++ {
				s := float64(n) / 2000
				f := 5 * math.Sin(float64(n*(i+3)))
				if s > 0 && s < length {
					x := math.Pow(s/length, 0.9)
					f = top * math.Sin(math.Pi*x) * (1 + 0.04*math.Exp(-s*40)*math.Sin(s*700))
				}
				tr.Time, tr.Force = append(tr.Time, s), append(tr.Force, f)
			}
			o.Traces = append(o.Traces, tr)
		}
	}
	return o
}
