package web

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// fakeDesk is an invented study of Skerry Head with six conditions, three
// specimens each, five falls each: 90 drops that count, two that are void, a
// trial and a check. Its traces are half sines that lose height from bounce to
// bounce, read by the package that reads real ones.
type fakeDesk struct {
	study    *campaign.Study
	readings map[string]*trace.Reading
	peaks    map[string]float64 // that the traces were made with
	fail     error              // what Overview returns, when set
	done     []string           // what was written
	ropes    []study.WallRope   // fitted to the study's own falls
	pending  bool               // those are not fitted yet
}

var skerryHead = sync.OnceValue(makeSkerryHead)

func fake(t testing.TB) *fakeDesk {
	t.Helper()
	return skerryHead()
}

// fakeTrace is one trace at 5 kHz: 0.1 s of rest, then contacts that are half
// sines losing height, A·sin(πx)·exp(−0.6x) with x from 0 to 1 over T seconds.
// T is what makes the impulse that of 80 kg falling 1.42 m and leaving with
// 0.55 of its speed, and the flights between are those of that speed, so that
// the readings agree with each other.
func fakeTrace(peak float64, seed int) *trace.Recording {
	const (
		rate, mass, g, keeps = 5000.0, 80.0, 9.80665, 0.55
		top                  = 0.7543 // the largest value of sin(πx)·exp(−0.6x)
		area                 = 0.4757 // its integral, π(1+exp(−0.6))/(0.36+π²)
	)
	speed := math.Sqrt(2 * g * 1.42)
	last := mass * speed * (1 + keeps) / (peak*area/top - mass*g) // T
	n := int(2.6 * rate)
	rec := &trace.Recording{Time: make([]float64, n), Force: make([]float64, n), Unit: "kN", ForceColumn: "force", TimeColumn: "time"}
	for i := range n {
		rec.Time[i] = float64(i) / rate
		rec.Force[i] = 6 * math.Sin(float64(7*i+seed)*1.7) // N, what a cell mutters
	}
	for start := 0.1; start < 2.6; speed *= keeps {
		height := (mass*speed*(1+keeps)/last + mass*g) / area
		for i := int(math.Ceil(start * rate)); i < n && rec.Time[i] < start+last; i++ {
			x := (rec.Time[i] - start) / last
			rec.Force[i] += height * math.Sin(math.Pi*x) * math.Exp(-0.6*x)
		}
		start += last + 2*keeps*speed/g
		if speed < 0.3 {
			break
		}
	}
	return rec
}

var fakeConditions = []string{"Marram dry", "Marram soaked", "Marram dried", "Samphire dry", "Samphire soaked", "Samphire dried"}

// fakePeak is the peak force of a fall: each condition starts and rises in its
// own way.
func fakePeak(condition, specimen, fall int) float64 {
	first := []float64{3470, 3510, 3600, 3480, 3500, 3540}[condition]
	rise := []float64{110, 215, 120, 108, 150, 112}[condition]
	return first + rise*math.Pow(float64(fall-1), 0.85) + 28*float64(specimen-1) + 9*math.Sin(float64(37*condition+11*specimen+5*fall))
}

func fakePlan() campaign.Plan {
	p := campaign.Plan{
		Name: "sea-water", Title: "Sea water and the catch", By: "Skerry Head Climbing Club", Invented: true,
		Purpose: "Find out whether a rope that was soaked in sea water catches harder, whether drying brings it back, and whether a treatment helps.",
		Factors: []campaign.Factor{{Name: "rope", Levels: []string{"Marram", "Samphire"}}, {Name: "water", Levels: []string{"dry", "soaked", "dried"}}},
		Ropes: []campaign.Rope{
			{Lot: "Marram 9.6", Type: "single", Diameter: 0.0096, MassPerLength: 0.062, Length: 60, Treatment: "none", History: "new"},
			{Lot: "Samphire 9.6 treated", Type: "single", Diameter: 0.0096, MassPerLength: 0.063, Length: 60, Treatment: "against water, sheath and core", History: "new"},
		},
		Rig:      campaign.Rig{Name: "Boathouse tower", Cell: "20 kN load cell at the anchor", CellRange: 20000, EdgeRadius: 0.005, Guide: "two steel wires"},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 5, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}},
		Reading:  campaign.ReadingRule{Class: 60},
	}
	for i, name := range fakeConditions {
		rope, water, _ := strings.Cut(name, " ")
		p.Conditions = append(p.Conditions, campaign.Condition{Name: name, Levels: map[string]string{"rope": rope, "water": water}, Baseline: i == 0})
	}
	for c, name := range fakeConditions {
		for k := range 3 {
			n, letter, lot := 3*(c%3)+k, "M", p.Ropes[0].Lot
			if c >= 3 {
				letter, lot = "S", p.Ropes[1].Lot
			}
			from, to := float64(10+34*n)/10, float64(44+34*n)/10
			p.Specimens = append(p.Specimens, campaign.Specimen{
				Label: fmt.Sprintf("%s-%02d", letter, n+1), Lot: lot, Condition: name, From: from, To: to, Knots: "figure of eight",
			})
		}
	}
	ask := func(name, asks, condition, baseline string, falls []int) {
		p.Questions = append(p.Questions, campaign.Question{
			Name: name, Asks: asks, Value: campaign.PeakForce, Compare: condition, Baseline: baseline, Falls: falls, Margin: campaign.Margin{Share: 0.05},
		})
	}
	ask("soaked, fifth fall", "Does Marram catch harder when it is soaked, after falls enough for a long day?", "Marram soaked", "Marram dry", []int{5})
	ask("treatment, dry", "Does the treated rope catch harder than the untreated one when both are dry?", "Samphire dry", "Marram dry", []int{1, 2, 3, 4, 5})
	ask("dried, fifth fall", "Does Marram that was soaked and dried again still catch harder?", "Marram dried", "Marram dry", []int{5})
	return p
}

func makeSkerryHead() *fakeDesk {
	begun := time.Date(2026, time.May, 4, 9, 30, 0, 0, time.UTC)
	stamp := func(after time.Duration) campaign.Stamp { return campaign.Stamp{At: begun.Add(after), By: "the club"} }
	st := &campaign.Study{
		ID: "study-1", Created: stamp(-24 * time.Hour), Plan: fakePlan(),
		File:   campaign.SourceFile{Name: "skerry-head.toml", SHA256: strings.Repeat("5e", 32), Size: 4711},
		Frozen: &campaign.Freeze{Stamp: stamp(-time.Hour), PlanSHA256: strings.Repeat("5e", 32)},
	}
	d := &fakeDesk{study: st, readings: map[string]*trace.Reading{}, peaks: map[string]float64{}}
	clock := time.Duration(0)
	add := func(drop campaign.Drop, peak float64) {
		clock += 2 * time.Minute
		drop.ID = fmt.Sprintf("drop-%03d", len(st.Drops)+1)
		drop.Stamp, drop.Setting = stamp(clock), "standard"
		drop.Trace = &campaign.SourceFile{Name: drop.ID + ".csv", SHA256: strings.Repeat(fmt.Sprintf("%02x", len(st.Drops)), 32), Size: 184320}
		st.Drops = append(st.Drops, drop)
		r, _, err := trace.Take(fakeTrace(peak, len(st.Drops)), d.settings())
		if err != nil {
			panic(err)
		}
		r.Notes = nil // the half sine ends lower than it began, and a reader of traces says so
		if len(st.Drops) == 40 {
			r.Notes = append(r.Notes, trace.Note{Grade: trace.Doubtful, Text: "the cell moved by 40 N between the beginning and the end: look at its cable"})
		}
		d.readings[drop.ID], d.peaks[drop.ID] = r, peak
	}
	add(campaign.Drop{Kind: campaign.Trial, Note: "dialling in"}, 3300)
	add(campaign.Drop{Kind: campaign.Check, Note: "reference rope"}, 3420)
	for fall := 1; fall <= 5; fall++ {
		for i, sp := range st.Plan.Specimens {
			drop := campaign.Drop{Kind: campaign.Fall, Specimen: sp.Label, Fall: fall}
			if fall == 2 && (i == 4 || i == 9) {
				void := drop
				void.Void = &campaign.Void{Stamp: stamp(clock), Reason: "released before the gate was shut", Loaded: false}
				add(void, 3000)
			}
			add(drop, fakePeak(i/3, i%3, fall))
		}
	}
	st.Deviations = []campaign.Deviation{{ID: "dev-1", Stamp: stamp(5 * time.Hour), Text: "bath 2 stood at 14 °C instead of 12 °C for the last soak"}}
	return d
}

func (d *fakeDesk) settings() trace.Settings {
	return trace.Settings{Class: 60, Mass: 80, Drop: 1.42, Length: 2.6}
}

func (d *fakeDesk) known(name string) error {
	if d.fail != nil {
		return d.fail
	}
	if name != d.study.Plan.Name {
		return problem.New(problem.NotFound, "study "+name, "the book has no study of that name").Hint("fallwright book lists the studies")
	}
	return nil
}

func (d *fakeDesk) Clock() time.Time { return time.Date(2026, time.May, 4, 9, 0, 0, 0, time.UTC) }

func (d *fakeDesk) Studies(context.Context) ([]study.Summary, error) {
	return []study.Summary{{
		Name: d.study.Plan.Name, Title: d.study.Plan.Title, Invented: true, Created: d.study.Created, Frozen: true, Counting: 90, Planned: 90,
	}}, d.fail
}

func (d *fakeDesk) row(i int) study.DropRow {
	drop := d.study.Drops[i]
	row := study.DropRow{Drop: drop, Reading: d.readings[drop.ID]}
	row.Condition, _ = d.study.Condition(drop.Specimen)
	for k := i - 1; k >= 0 && drop.Specimen != ""; k-- {
		if before := d.study.Drops[k]; before.Specimen == drop.Specimen && before.Void == nil {
			row.Rest = drop.At.Sub(before.At)
			break
		}
	}
	return row
}

func (d *fakeDesk) Overview(_ context.Context, name string) (*study.Overview, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	o := &study.Overview{Study: d.study}
	for _, c := range d.study.Plan.Conditions {
		o.Conditions = append(o.Conditions, study.ConditionCount{Condition: c, Specimens: 3, Counting: 15, Planned: 15})
	}
	o.Conditions[1].Void, o.Conditions[3].Void = 1, 1
	for _, s := range d.study.Plan.Specimens {
		o.Specimens = append(o.Specimens, study.SpecimenRow{Specimen: s, Taken: 5, Counting: 5, Mass: math.NaN()})
	}
	for i := range d.study.Drops {
		o.Drops = append(o.Drops, d.row(i))
		if r := o.Drops[i].Reading; r != nil && r.Grade() == trace.Doubtful {
			o.Doubtful++
		}
	}
	o.Departures = []campaign.Departure{{Where: "M-07 fall 3", Text: "rest of 38 min, set 3 min with 15 s tolerance"}}
	return o, nil
}

func (d *fakeDesk) Trace(_ context.Context, name, dropID string) (*study.TraceView, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	for i, drop := range d.study.Drops {
		if drop.ID != dropID {
			continue
		}
		row := d.row(i)
		taken, err := d.taken(i, 60)
		if err != nil {
			return nil, err
		}
		curves := *taken
		curves.Reading = row.Reading
		v := &study.TraceView{
			Row: row, Settings: d.settings(), Program: "fallwright test", Signal: curves.Signal, Curves: &curves, Rule: 60,
		}
		if i > 0 {
			v.Before = d.study.Drops[i-1].ID
		}
		if i+1 < len(d.study.Drops) {
			v.After = d.study.Drops[i+1].ID
		}
		return v, nil
	}
	return nil, problem.New(problem.NotFound, "drop "+dropID, "the study has no such drop")
}

func (d *fakeDesk) Findings(ctx context.Context, name string) (*study.Findings, error) {
	return d.by(name, d.study.Plan.Analysis, campaign.Margin{})
}

func (d *fakeDesk) Checked(ctx context.Context, name string) (*study.Findings, error) {
	f, err := d.Findings(ctx, name)
	if err != nil {
		return nil, err
	}
	f.Measures[0].Models[0].Checks, err = f.Measures[0].Models[0].Analysis.Check()
	return f, err
}

func (d *fakeDesk) WhatIf(_ context.Context, name string, a study.Alternative) (*study.Findings, error) {
	d.done = append(d.done, fmt.Sprintf("what if %+v", a))
	switch a.Margin {
	case "":
		return d.by(name, a.Rule, campaign.Margin{})
	case "20 %":
		return d.by(name, a.Rule, campaign.Margin{Share: 0.2})
	}
	return nil, problem.New(problem.Invalid, "margin", "%q has no unit", a.Margin).Hint("write 20 %%")
}

// by answers the questions by a rule, with another margin where one is given.
func (d *fakeDesk) by(name string, rule campaign.AnalysisRule, margin campaign.Margin) (*study.Findings, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	data := compare.Data{Columns: []compare.Column{{Name: "rope"}, {Name: "setting"}}, Measured: []compare.Measured{{Name: "order within the day"}}}
	for i, drop := range d.study.Counting() {
		c, _ := d.study.Condition(drop.Specimen)
		piece, _ := d.study.Plan.Specimen(drop.Specimen)
		data.Value = append(data.Value, float64(d.readings[drop.ID].PeakForce))
		data.Specimen, data.Condition, data.Fall = append(data.Specimen, drop.Specimen), append(data.Condition, c), append(data.Fall, compare.FallNumber(drop.Fall))
		data.Row = append(data.Row, dropTitle(drop))
		data.Columns[0].Value, data.Columns[1].Value = append(data.Columns[0].Value, piece.Lot), append(data.Columns[1].Value, drop.Setting)
		data.Measured[0].Value = append(data.Measured[0].Value, float64(i))
	}
	a, err := compare.Analyse(data, compare.Ask{
		Measure: "peak force", Unit: "N", Conditions: fakeConditions, Scale: compare.Log, FallsAs: compare.FallsAs(rule.FallsAs.Word()),
		Adjust: compare.Adjust(rule.Adjust.Word()), SpreadByCondition: rule.SpreadByCondition, EachFall: true, Margin: compare.Margin{Share: 0.05},
	})
	if err != nil {
		return nil, err
	}
	f := &study.Findings{
		Study: d.study, Rule: rule, Method: "The method in words.", Assumptions: []study.Assumption{{Text: "Specimens are independent.", Looked: "order and day"}, {Text: "Falls are missing by chance."}},
		Measures: []study.MeasureTable{{Measure: campaign.PeakForce, Models: []study.Model{{Measure: campaign.PeakForce, Scale: compare.Log, Analysis: a}}}},
	}
	var questions []compare.Question
	for _, q := range d.study.Plan.Questions {
		if margin != (campaign.Margin{}) {
			q.Margin = margin
		}
		put := compare.Question{Name: q.Name, Asks: q.Asks, Measure: string(q.Value), Unit: "N", Condition: q.Compare, Baseline: q.Baseline, Share: q.Margin.Share}
		for _, n := range q.Falls {
			put.Falls = append(put.Falls, compare.FallNumber(n))
		}
		questions = append(questions, put)
	}
	if f.Answers, err = a.Put(questions); err != nil {
		return nil, err
	}
	f.Left = []study.LeftOut{{Drop: d.study.Drops[20], Measure: campaign.ReboundSpeed, Why: "its trace gives no rebound speed"}}
	return f, nil
}

func (d *fakeDesk) Report(ctx context.Context, name string) (*study.Report, error) {
	o, err := d.Overview(ctx, name)
	if err != nil {
		return nil, err
	}
	return &study.Report{Overview: *o, Program: "fallwright test"}, nil
}

// writeReport stands for the report's writer.
func writeReport(w io.Writer, r study.Report) error {
	_, err := fmt.Fprintf(w, "<!doctype html><title>%s</title><style>p{color:red}</style><p>report", r.Overview.Study.Plan.Title)
	return err
}

// takenOnce keeps what was taken of the traces, by drop and class.
var takenOnce sync.Map

func (d *fakeDesk) taken(i, class int) (*study.Curves, error) {
	key := [2]int{i, class}
	if c, ok := takenOnce.Load(key); ok {
		return c.(*study.Curves), nil
	}
	set := d.settings()
	set.Class = class
	r, signal, err := trace.Take(fakeTrace(d.peaks[fmt.Sprintf("drop-%03d", i+1)], i+1), set)
	if err != nil {
		return nil, err
	}
	c := study.NewCurves(r, signal)
	takenOnce.Store(key, c)
	return c, nil
}
