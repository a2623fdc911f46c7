package study_test

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

var (
	frozen = time.Date(2026, 5, 3, 18, 0, 0, 0, time.UTC)
	day    = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
)

// plan has two conditions of two specimens and two falls each.
func plan() campaign.Plan {
	p := campaign.Plan{
		Name: "wet", Title: "Wet ropes", Invented: true,
		Questions: []campaign.Question{{
			Name: "wet", Asks: "Does it catch harder when wet?", Value: campaign.PeakForce,
			Compare: "wet", Baseline: "dry", Falls: []int{1}, Margin: campaign.Margin{Share: 0.05},
		}},
		Factors: []campaign.Factor{{Name: "water", Levels: []string{"none", "sea"}}},
		Conditions: []campaign.Condition{
			{Name: "dry", Levels: map[string]string{"water": "none"}, Baseline: true},
			{Name: "wet", Levels: map[string]string{"water": "sea"}},
		},
		Ropes:    []campaign.Rope{{Lot: "Marram 9.6", Length: 60}},
		Rig:      campaign.Rig{Name: "Boathouse tower"},
		Settings: []campaign.Setting{{Name: "standard", Mass: 80, Drop: 1.5, FreeLength: 2.6}},
		Series:   campaign.Series{Falls: 2, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}},
	}
	for i, label := range []string{"A", "B", "C", "D"} {
		condition := "dry"
		if i > 1 {
			condition = "wet"
		}
		p.Specimens = append(p.Specimens, campaign.Specimen{Label: label, Lot: "Marram 9.6", Condition: condition, From: float64(1 + 4*i), To: float64(5 + 4*i)})
	}
	return p
}

// halfSine is a trace of one half-sine pulse in kN at 1 kHz.
func halfSine(peak float64) []byte {
	var b strings.Builder
	b.WriteString("time [s],force [kN]\n")
	for i := range 1000 {
		f := 0.0
		if s := float64(i-200) / 300; s > 0 && s < 1 {
			f = peak * math.Sin(math.Pi*s)
		}
		fmt.Fprintf(&b, "%.3f,%.5f\n", float64(i)/1000, f)
	}
	return []byte(b.String())
}

// desk is one on an empty book, with a clock and IDs of its own.
func desk(t *testing.T) *study.Desk {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	known, n := traceio.New(delimited.Format{}), 0
	return &study.Desk{
		Store:   store,
		Read:    known.Read,
		Now:     func() time.Time { return frozen },
		NewID:   func() string { n++; return fmt.Sprintf("id-%04d", n) },
		Program: "test",
	}
}

func begun(t *testing.T) *study.Desk {
	t.Helper()
	d := desk(t)
	if _, err := d.PutPlan(t.Context(), plan(), "wet.toml", []byte("the file"), "tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Freeze(t.Context(), "wet", "tester"); err != nil {
		t.Fatal(err)
	}
	return d
}

func release(specimen string, fall int, minutes float64, data []byte) study.Release {
	return study.Release{
		Drop: campaign.Drop{
			Kind: campaign.Fall, Specimen: specimen, Fall: fall,
			Stamp: campaign.Stamp{At: day.Add(time.Duration(minutes * float64(time.Minute))), By: "tester"},
		},
		Name: fmt.Sprintf("%s-%d.csv", specimen, fall), Trace: data,
	}
}

func add(t *testing.T, d *study.Desk, r study.Release) campaign.Drop {
	t.Helper()
	drop, _, err := d.AddDrop(t.Context(), "wet", r)
	if err != nil {
		t.Fatal(err)
	}
	return drop
}

func TestPutPlan(t *testing.T) {
	d := desk(t)
	if added, err := d.PutPlan(t.Context(), plan(), "wet.toml", []byte("one"), "tester"); err != nil || !added {
		t.Fatalf("a new study: added %v, %v", added, err)
	}
	again := plan()
	again.Title = "Wet ropes, again"
	if added, err := d.PutPlan(t.Context(), again, "wet.toml", []byte("two"), "tester"); err != nil || added {
		t.Fatalf("a new plan: added %v, %v", added, err)
	}
	o, err := d.Overview(t.Context(), "wet")
	if err != nil || o.Study.Plan.Title != again.Title {
		t.Fatalf("the plan in the book is %q, %v", o.Study.Plan.Title, err)
	}
	f, err := d.Freeze(t.Context(), "wet", "tester")
	if err != nil || f.PlanSHA256 != o.Study.File.SHA256 {
		t.Fatalf("frozen with %q, the file has %q, %v", f.PlanSHA256, o.Study.File.SHA256, err)
	}
	if _, err := d.PutPlan(t.Context(), plan(), "wet.toml", []byte("three"), "tester"); problem.KindOf(err) != problem.Conflict {
		t.Errorf("a frozen plan was replaced: %v", err)
	}
}

// A trace that cannot be read refuses the drop, and nothing of it is kept.
func TestUnreadableTraceStoresNothing(t *testing.T) {
	d := begun(t)
	_, _, err := d.AddDrop(t.Context(), "wet", release("A", 1, 0, []byte("no table here")))
	if len(problem.All(err)) == 0 {
		t.Fatalf("got %v, want a refusal", err)
	}
	o, err := d.Overview(t.Context(), "wet")
	if err != nil || len(o.Study.Drops) != 0 {
		t.Errorf("%d drops are stored, %v", len(o.Study.Drops), err)
	}
}

func TestFindings(t *testing.T) {
	d := begun(t)
	add(t, d, release("A", 1, 0, halfSine(3.00)))
	add(t, d, release("B", 1, 10, halfSine(3.06)))
	add(t, d, release("C", 1, 20, halfSine(3.60)))
	gone := add(t, d, release("D", 1, 30, nil)) // counts, but has no trace
	f, err := d.Findings(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Answers[0].Verdict; got != compare.NoClaim {
		t.Errorf("with one wet specimen the verdict is %q", got)
	}
	if len(f.Left) != 1 || f.Left[0].Drop.ID != gone.ID || f.Left[0].Why != "no trace was recorded" {
		t.Errorf("left out: %+v", f.Left)
	}
	if f.Exploratory != "" {
		t.Errorf("exploratory: %s", f.Exploratory)
	}

	// Voided as not loaded, the fall is free again and D goes once more.
	if err := d.VoidDrop(t.Context(), "wet", gone.ID, "logger off", false, "tester"); err != nil {
		t.Fatal(err)
	}
	add(t, d, release("D", 1, 40, halfSine(3.672)))
	f, err = d.Findings(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	a := f.Answers[0]
	// Ratio of geometric means: √(3.6·3.672)/√(3·3.06) = 1.2 exactly; the peaks
	// lie between samples by less than 1e-5 of themselves.
	if a.Verdict != compare.Higher || math.Abs(a.Difference.Percent-20) > 0.003 {
		t.Errorf("verdict %q, %.5f %%", a.Verdict, a.Difference.Percent)
	}
	if len(f.Measures) != 1 || len(f.Measures[0].Models) != 1 || len(f.Measures[0].Models[0].Analysis.Means) != 2 || len(f.Left) != 0 {
		t.Errorf("%d measures, %d left out", len(f.Measures), len(f.Left))
	}
}

func TestExploratory(t *testing.T) {
	d := begun(t)
	early := release("A", 1, 0, halfSine(3))
	early.Drop.At = frozen.Add(-time.Hour)
	add(t, d, early)
	f, err := d.Findings(t.Context(), "wet")
	if err != nil || !strings.Contains(f.Exploratory, "after the first fall") {
		t.Errorf("exploratory %q, %v", f.Exploratory, err)
	}
}

func TestOverviewAndTrace(t *testing.T) {
	d := begun(t)
	one := add(t, d, release("A", 1, 0, halfSine(3)))
	two := add(t, d, release("A", 2, 4, halfSine(3.2)))
	if err := d.Weigh(t.Context(), "wet", campaign.Weighing{Stamp: one.Stamp, Specimen: "A", State: "dry", Mass: 0.21}); err != nil {
		t.Fatal(err)
	}
	if err := d.Deviate(t.Context(), "wet", "B and C were swapped on the rack", "tester"); err != nil {
		t.Fatal(err)
	}
	o, err := d.Overview(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	if o.Drops[1].Rest != 4*time.Minute || o.Specimens[0].Taken != 2 || o.Specimens[0].Mass != 0.21 || !math.IsNaN(o.Specimens[1].Mass) {
		t.Errorf("rest %v, specimens %+v", o.Drops[1].Rest, o.Specimens[:2])
	}
	if o.Conditions[0].Counting != 2 || o.Conditions[0].Planned != 4 || len(o.Study.Deviations) != 1 {
		t.Errorf("conditions %+v", o.Conditions)
	}
	rests := 0
	for _, dep := range o.Departures {
		if strings.Contains(dep.Text, "rest") {
			rests++
		}
	}
	if rests != 1 {
		t.Errorf("%d departures speak of the rest of 4 min: %+v", rests, o.Departures)
	}

	v, err := d.Trace(t.Context(), "wet", two.ID)
	if err != nil {
		t.Fatal(err)
	}
	if v.Before != one.ID || v.After != "" || v.Settings.Mass != 80 || len(v.Signal.Force) != 1000 {
		t.Errorf("before %q, after %q, settings %+v", v.Before, v.After, v.Settings)
	}
	if _, err := d.Trace(t.Context(), "wet", "nothing"); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a drop that is not there: %v", err)
	}

	r, err := d.Report(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Inputs) != 3 || len(r.Overlays) != 2 || len(r.Overlays[0].Traces) != 1 {
		t.Errorf("%d inputs, %d overlays", len(r.Inputs), len(r.Overlays))
	}
	// The overlay starts 0.05 s before first contact and keeps the peak.
	first := r.Overlays[0].Traces[0]
	top := 0.0
	for _, f := range first.Force {
		top = max(top, f)
	}
	if math.Abs(first.Time[0]+0.05) > 0.002 || math.Abs(top-3000) > 1 {
		t.Errorf("overlay from %.4f s, peak %.1f N", first.Time[0], top)
	}
}

func TestAbsentStudy(t *testing.T) {
	d := desk(t)
	for name, ask := range map[string]func(ctx context.Context) error{
		"overview": func(ctx context.Context) error { _, err := d.Overview(ctx, "none"); return err },
		"findings": func(ctx context.Context) error { _, err := d.Findings(ctx, "none"); return err },
		"report":   func(ctx context.Context) error { _, err := d.Report(ctx, "none"); return err },
		"freeze":   func(ctx context.Context) error { _, err := d.Freeze(ctx, "none", "x"); return err },
	} {
		if err := ask(t.Context()); problem.KindOf(err) != problem.NotFound {
			t.Errorf("%s of a study that is not there: %v", name, err)
		}
	}
}
