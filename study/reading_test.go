package study_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// manyFile stands for a format that finds several drops in one file: the file's
// text is "drops A B C", and each is a half sine of another height. What it was
// asked is noted, and how often.
type manyFile struct {
	mu    sync.Mutex
	asked []trace.Ask
	reads atomic.Int64
}

func (m *manyFile) read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	m.reads.Add(1)
	m.mu.Lock()
	m.asked = append(m.asked, ask)
	m.mu.Unlock()
	words := strings.Fields(string(data))
	f := &trace.File{Layout: trace.Layout{Format: "many", Facts: []trace.Fact{{What: "drops", Is: fmt.Sprint(len(words) - 1), Flag: "--part"}}}}
	if len(words) < 2 || words[0] != "drops" {
		return f, problem.New(problem.Unreadable, name, "these are no drops")
	}
	for i, w := range words[1:] {
		rec := &trace.Recording{Unit: "N", Part: w}
		if len(words) == 2 {
			rec.Part = ""
		}
		for k := range 1000 {
			force := 0.0
			if s := float64(k-200) / 300; s > 0 && s < 1 {
				force = 1000 * float64(i+3) * math.Sin(math.Pi*s)
			}
			rec.Time, rec.Force = append(rec.Time, float64(k)/1000), append(rec.Force, force)
		}
		f.Parts = append(f.Parts, rec)
	}
	return f, nil
}

func manyDesk(t *testing.T) (*study.Desk, *manyFile) {
	t.Helper()
	d, m := begun(t), &manyFile{}
	d.Read = m.read
	return d, m
}

// Three falls in one file are three falls; which drop is meant has to be said,
// and one cannot be two.
func TestPartsOfOneFile(t *testing.T) {
	d, m := manyDesk(t)
	data := []byte("drops A B C")
	fall := func(specimen, part string, minutes float64) study.Release {
		r := release(specimen, 1, minutes, data)
		r.Drop.Part = part
		return r
	}
	if _, _, err := d.AddDrop(t.Context(), "wet", fall("A", "", 0)); problem.KindOf(err) != problem.Invalid || !strings.Contains(fmt.Sprint(problem.All(err)[0].Hints), "A, B, C") {
		t.Errorf("a drop of three that is not named: %v", err)
	}
	if _, _, err := d.AddDrop(t.Context(), "wet", fall("A", "D", 0)); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a drop that is not there: %v", err)
	}
	one := add(t, d, fall("A", "b", 0)) // in any case
	two := add(t, d, fall("B", "3", 1)) // by number
	if one.Part != "B" || two.Part != "C" {
		t.Errorf("parts %q and %q, want the file's own names B and C", one.Part, two.Part)
	}
	_, _, err := d.AddDrop(t.Context(), "wet", fall("C", "2", 2))
	if problem.KindOf(err) != problem.Conflict || !strings.Contains(err.Error(), "A fall 1") {
		t.Errorf("one drop for two falls: %v", err)
	}
	if err := d.VoidDrop(t.Context(), "wet", one.ID, "wrong file", true, "tester"); err != nil {
		t.Fatal(err)
	}
	add(t, d, fall("C", "2", 3))
	v, err := d.Trace(t.Context(), "wet", two.ID)
	if err != nil || v.Ask.Part != "C" || math.Abs(float64(v.Row.Reading.PeakForce)-5000) > 1 {
		t.Fatalf("%+v, %v", v, err)
	}
	if last := m.asked[len(m.asked)-1]; last.Part != "C" {
		t.Errorf("the trace was read again as %+v", last)
	}
}

// A release's own ask goes before its recipe's, and that before the plan's.
func TestHowAFileIsRead(t *testing.T) {
	d, m := manyDesk(t)
	rule := plan()
	rule.Name, rule.Reading.Ask = "ruled", trace.Ask{Rate: 1}
	if _, err := d.PutPlan(t.Context(), rule, "ruled.toml", []byte("ruled"), "tester"); err != nil {
		t.Fatal(err)
	}
	kept, err := d.KeepRecipe(t.Context(), "Boathouse tower", "logger", trace.Ask{Rate: 2, Part: "7", SideCar: "x"}, "tester")
	if err != nil || kept.Ask.Part != "" || kept.Ask.SideCar != "" {
		t.Fatalf("%+v, %v: a recipe holds for every file", kept, err)
	}
	trial := func(n int) study.Release {
		r := release("", 0, float64(n), []byte(fmt.Sprintf("drops A%d", n)))
		r.Drop.Kind = campaign.Trial
		return r
	}
	byRule, byRecipe, own, both, none := trial(1), trial(2), trial(3), trial(4), trial(5)
	byRecipe.Recipe, own.Ask = "logger", &trace.Ask{Rate: 3}
	both.Recipe, both.Ask, none.Recipe = "logger", own.Ask, "nothing"
	for i, r := range []study.Release{byRule, byRecipe, own} {
		if _, _, err := d.AddDrop(t.Context(), "ruled", r); err != nil {
			t.Fatal(err)
		}
		if got := m.asked[len(m.asked)-1].Rate; got != float64(i+1) {
			t.Errorf("release %d was read at %g Hz", i+1, got)
		}
	}
	if _, _, err := d.AddDrop(t.Context(), "ruled", both); problem.KindOf(err) != problem.Invalid {
		t.Errorf("recipe and ask: %v", err)
	}
	if _, _, err := d.AddDrop(t.Context(), "ruled", none); problem.KindOf(err) != problem.NotFound || !strings.Contains(fmt.Sprint(problem.All(err)[0].Hints), "logger") {
		t.Errorf("no such recipe: %v", err)
	}
}

func TestPreview(t *testing.T) {
	d, _ := manyDesk(t)
	data := []byte("drops A B C")
	r := release("A", 1, 0, data)
	r.Drop.Part = "B"
	add(t, d, r)
	p, err := d.Preview(t.Context(), "wet", study.Upload{Name: "x", Data: data, Ask: trace.Ask{Part: "C"}})
	if err != nil || p.Refused != nil || len(p.Parts) != 3 || p.Chosen != 2 || p.Curves == nil || p.Setting != "standard" {
		t.Fatalf("%+v, %v", p, err)
	}
	if fmt.Sprint(p.Parts[1].Recorded) != "[A fall 1]" || p.Parts[0].Recorded != nil || math.Abs(float64(p.Parts[2].Reading.PeakForce)-5000) > 1 {
		t.Errorf("parts %+v", p.Parts)
	}
	if p, err = d.Preview(t.Context(), "wet", study.Upload{Name: "x", Data: data, Ask: trace.Ask{Part: "Z"}}); err != nil || problem.KindOf(p.Refused) != problem.NotFound || len(p.Parts) != 3 {
		t.Errorf("a drop that is not there: %+v, %v", p, err)
	}
	if p, err = d.Preview(t.Context(), "wet", study.Upload{Name: "x", Data: []byte("no")}); err != nil || problem.KindOf(p.Refused) != problem.Unreadable || p.Layout.Format != "many" {
		t.Errorf("no drops: %+v, %v", p, err)
	}
	if _, err := d.Preview(t.Context(), "wet", study.Upload{Name: "x", Data: data, Setting: "none"}); problem.KindOf(err) != problem.NotFound {
		t.Errorf("no such setting: %v", err)
	}
	if o, err := d.Overview(t.Context(), "wet"); err != nil || len(o.Drops) != 1 {
		t.Errorf("%d drops after looking, %v", len(o.Drops), err)
	}
}

func TestRereadAndStore(t *testing.T) {
	d := begun(t)
	drop := add(t, d, release("A", 1, 0, halfSine(3)))
	second, err := d.Reread(t.Context(), "wet", drop.ID, 60)
	if err != nil || second.Reading.Class != 60 || second.Settings.Mass != 80 {
		t.Fatalf("%+v, %v", second, err)
	}
	if v, err := d.Trace(t.Context(), "wet", drop.ID); err != nil || v.Row.Reading.Class != 0 || len(v.Earlier) != 0 {
		t.Fatalf("reading again stored something: %+v, %v", v, err)
	}
	if _, err := d.Reread(t.Context(), "wet", drop.ID, 1000); problem.KindOf(err) != problem.Invalid {
		t.Errorf("CFC 1000 at 1 kHz: %v", err)
	}
	stored, err := d.StoreReading(t.Context(), "wet", drop.ID, 60, "checker")
	if err != nil || stored.By != "checker" {
		t.Fatalf("%+v, %v", stored, err)
	}
	v, err := d.Trace(t.Context(), "wet", drop.ID)
	if err != nil || v.Row.Reading.Class != 60 || v.Taken.By != "checker" || len(v.Earlier) != 1 || v.Earlier[0].Settings.Class != 0 || v.Rule != 0 {
		t.Fatalf("%+v, %v", v, err)
	}
	if c, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{}); err != nil || c.Reading.Class != 60 {
		t.Errorf("drawn is not the newest reading: %v", err)
	}
	if c, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{Given: true}); err != nil || c.Reading.Class != 0 {
		t.Errorf("drawn is not the class asked: %v", err)
	}
	o, err := d.Overview(t.Context(), "wet")
	if err != nil || !strings.Contains(fmt.Sprint(o.Departures), "read with CFC 60, the plan says no filter") {
		t.Errorf("departures %v, %v", o.Departures, err)
	}
	for _, try := range []func() error{
		func() error { _, err := d.Reread(t.Context(), "wet", "none", 60); return err },
		func() error { _, err := d.StoreReading(t.Context(), "wet", "none", 60, "x"); return err },
		func() error { _, err := d.Curves(t.Context(), "wet", "none", study.Filter{}); return err },
	} {
		if problem.KindOf(try()) != problem.NotFound {
			t.Error("a drop that is not there was read")
		}
	}
}

func TestOverlayOfChosen(t *testing.T) {
	d := begun(t)
	one := add(t, d, release("A", 1, 0, halfSine(3)))
	two := add(t, d, release("C", 1, 1, halfSine(4)))
	bare := add(t, d, release("B", 1, 2, nil))
	o, err := d.Overlay(t.Context(), "wet", []string{two.ID, one.ID})
	if err != nil || len(o.Rows) != 2 || o.Rows[0].Drop.ID != one.ID {
		t.Fatalf("%+v, %v", o, err)
	}
	for i, peak := range []float64{3000, 4000} {
		top, at := 0.0, 0.0
		for k, f := range o.Rows[i].Trace.Force {
			if f > top {
				top, at = f, o.Rows[i].Trace.Time[k]
			}
		}
		// The half sine of 0.3 s is highest 0.15 s after its contact, which is
		// found some samples late by the noise's threshold.
		if math.Abs(top-peak) > 1 || math.Abs(at-0.15) > 0.01 {
			t.Errorf("trace %d: %g N at %g s from contact", i, top, at)
		}
	}
	if _, err := d.Overlay(t.Context(), "wet", []string{bare.ID}); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a drop without a trace: %v", err)
	}
	for _, n := range []int{0, 61} {
		if _, err := d.Overlay(t.Context(), "wet", make([]string, n)); problem.KindOf(err) != problem.Invalid {
			t.Errorf("%d traces: %v", n, err)
		}
	}
}

// What is drawn again and again is read once, also by many at once; what does
// not fit is let go; and a failure is not kept.
func TestDeskReadsOnce(t *testing.T) {
	d, m := manyDesk(t)
	drop := add(t, d, release("A", 1, 0, []byte("drops A")))
	before := m.reads.Load()
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			for range 20 {
				if c, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{}); err != nil || c.Force.Len() != 1000 {
					t.Errorf("%v", err)
				}
			}
		})
	}
	wait.Wait()
	if n := m.reads.Load() - before; n != 1 {
		t.Errorf("the file was read %d times", n)
	}
	if _, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{Given: true, Class: 60}); err != nil || m.reads.Load()-before != 1 {
		t.Errorf("another filter read the file again: %v", err)
	}

	d.KeepBytes = -1
	other := add(t, d, release("B", 1, 1, []byte("drops B")))
	before = m.reads.Load()
	for range 3 {
		if _, err := d.Curves(t.Context(), "wet", other.ID, study.Filter{}); err != nil {
			t.Fatal(err)
		}
	}
	if n := m.reads.Load() - before; n != 3 {
		t.Errorf("with nothing kept the file was read %d times", n)
	}

	d.KeepBytes = 0
	fails := errors.New("disk gone")
	d.Read = func(string, []byte, trace.Ask) (*trace.File, error) { return nil, fails }
	if _, err := d.Curves(t.Context(), "wet", other.ID, study.Filter{}); !errors.Is(err, fails) {
		t.Fatalf("%v", err)
	}
	d.Read = m.read
	if _, err := d.Curves(t.Context(), "wet", other.ID, study.Filter{}); err != nil {
		t.Errorf("the failure was kept: %v", err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := d.Curves(gone, "wet", other.ID, study.Filter{}); err == nil {
		t.Error("an asker who has gone was served by the store")
	}
}

// A trial or a check does not take a trace that another drop has; a void drop
// claims none, and a fall may take over a trial's.
func TestTraceOfATrialTwice(t *testing.T) {
	d := begun(t)
	trial := func(n int, kind campaign.Kind, data []byte) study.Release {
		r := release("", 0, float64(n), data)
		r.Drop.Kind = kind
		return r
	}
	add(t, d, trial(1, campaign.Trial, halfSine(3)))
	add(t, d, release("A", 1, 2, halfSine(4)))
	for _, r := range []study.Release{trial(3, campaign.Trial, halfSine(3)), trial(3, campaign.Check, halfSine(3)), trial(3, campaign.Check, halfSine(4))} {
		if _, _, err := d.AddDrop(t.Context(), "wet", r); problem.KindOf(err) != problem.Conflict {
			t.Errorf("%s of a trace recorded already: %v", r.Drop.Kind, err)
		}
	}
	void := trial(4, campaign.Trial, halfSine(3))
	void.Drop.Void = &campaign.Void{Reason: "wrong file"}
	add(t, d, void)
	add(t, d, release("B", 1, 5, halfSine(3)))
}

func TestEmptyRecipe(t *testing.T) {
	d := begun(t)
	for _, ask := range []trace.Ask{{}, {Part: "2", SideCarName: "a.toml"}} {
		if _, err := d.KeepRecipe(t.Context(), "Boathouse tower", "logger", ask, "tester"); problem.KindOf(err) != problem.Invalid {
			t.Errorf("%+v: %v", ask, err)
		}
	}
}
