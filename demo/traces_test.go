package demo_test

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/demo"
	"fallwright.example/planfile"
)

// The studies of two seeds, made once for all tests.
var (
	traces = sync.OnceValue(func() []demo.Drop { return demo.Traces(1) })
	others = sync.OnceValue(func() []demo.Drop { return demo.Traces(2) })
)

func TestSameSeedSameBytes(t *testing.T) {
	one, again, other := traces(), demo.Traces(1), others()
	if !reflect.DeepEqual(one, again) {
		t.Error("one seed made two studies")
	}
	same := 0
	for i := range one {
		if len(one[i].CSV) > 0 && bytes.Equal(one[i].CSV, other[i].CSV) {
			same++
		}
	}
	if same != 0 || fmt.Sprint(demo.Weighings(1)) == fmt.Sprint(demo.Weighings(2)) {
		t.Errorf("two seeds share %d traces, or their weighings", same)
	}
	if first, second := demo.Weighings(1), demo.Weighings(1); !reflect.DeepEqual(first, second) {
		t.Error("one seed made two sets of weighings")
	}
}

// The counts of the design, for two seeds.
func TestDropsOfTheDesign(t *testing.T) {
	for i, drops := range [][]demo.Drop{traces(), others()} {
		count := map[string]int{}
		names := map[string]bool{}
		before := time.Duration(-1)
		for _, d := range drops {
			switch {
			case d.VoidReason != "":
				count["void "+string(d.Kind)]++
				if d.TraceName != "" || d.CSV != nil {
					t.Errorf("void %s fall %d has a trace", d.Specimen, d.Fall)
				}
			default:
				count[string(d.Kind)]++
				if names[d.TraceName] || d.TraceName == "" || len(d.CSV) == 0 {
					t.Errorf("%s %s %d: trace %q of %d bytes", d.Kind, d.Specimen, d.Fall, d.TraceName, len(d.CSV))
				}
				names[d.TraceName] = true
			}
			if d.At <= before || d.At%time.Second != 0 {
				t.Errorf("%s %s %d at %v, after %v", d.Kind, d.Specimen, d.Fall, d.At, before)
			}
			before = d.At
		}
		if want := map[string]int{"trial": 2, "check": 3, "fall": 89, "void fall": 2}; fmt.Sprint(count) != fmt.Sprint(want) {
			t.Errorf("seed %d: %v, want %v", i+1, count, want)
		}
	}
}

// begun is the demonstration's own plan as a study whose plan is frozen.
func begun(t *testing.T) *campaign.Study {
	t.Helper()
	plan, err := planfile.Parse("skerry-head.toml", demo.StudyFile)
	if err != nil {
		t.Fatal(err)
	}
	frozen := campaign.Stamp{At: start.Add(-24 * time.Hour), By: "test"}
	return &campaign.Study{Plan: plan, Frozen: &campaign.Freeze{Stamp: frozen}}
}

var start = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)

// The rules of a campaign are the outside here: they take every drop and every
// weighing, in order, under the study file, and find exactly the departures that
// were put in.
func TestCampaignTakesTheStudy(t *testing.T) {
	s := begun(t)
	if len(s.Plan.Specimens) != 18 || len(demo.Specimens()) != 18 {
		t.Fatalf("%d specimens in the study file, %d in the demonstration", len(s.Plan.Specimens), len(demo.Specimens()))
	}
	for i, want := range demo.Specimens() {
		got := s.Plan.Specimens[i]
		if math.Abs(got.From-want.From) < 1e-9 && math.Abs(got.To-want.To) < 1e-9 {
			got.From, got.To = want.From, want.To
		}
		if got != want {
			t.Errorf("the study file has %+v, the traces are of %+v", got, want)
		}
	}
	if got, ok := s.Plan.Setting("standard"); !ok || got != demo.Standard() {
		t.Errorf("the study file has the setting %+v, the traces %+v", got, demo.Standard())
	}
	for _, d := range traces() {
		drop := campaign.Drop{
			Stamp: campaign.Stamp{At: start.Add(d.At)}, Kind: d.Kind, Specimen: d.Specimen,
			Fall: d.Fall, Setting: d.Setting, Note: d.Note,
		}
		if d.VoidReason != "" {
			drop.Void = &campaign.Void{Stamp: drop.Stamp, Reason: d.VoidReason, Loaded: d.VoidLoaded}
		}
		if err := s.CheckDrop(drop); err != nil {
			t.Errorf("%s %s %d: %v", d.Kind, d.Specimen, d.Fall, err)
		}
		s.Drops = append(s.Drops, drop)
	}
	for _, w := range demo.Weighings(1) {
		if err := s.CheckWeighing(campaign.Weighing{
			Stamp:    campaign.Stamp{At: start.Add(w.At)},
			Specimen: w.Specimen, Of: w.Of, Soak: w.Soak.Seconds(), Hung: w.Hung.Seconds(), State: w.State, Mass: w.Mass,
		}); err != nil {
			t.Error(err)
		}
	}
	var where []string
	for _, d := range s.Departures() {
		where = append(where, d.Where)
	}
	if want := []string{"M-07 fall 3", "S-05 fall 3"}; !slices.Equal(where, want) {
		t.Errorf("departures at %q, want %q", where, want)
	}
}

// column reads the force of a trace in kN, and holds the form of the file.
func column(t *testing.T, d demo.Drop) []float64 {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(string(d.CSV), "\n"), "\n")
	if lines[0] != "time [s],force [kN]" {
		t.Fatalf("%s begins with %q", d.TraceName, lines[0])
	}
	var force []float64
	for i, line := range lines[1:] {
		at, f, _ := strings.Cut(line, ",")
		if want := strconv.FormatFloat(float64(i)/2000, 'f', 4, 64); at != want {
			t.Fatalf("%s line %d is at %s, want %s", d.TraceName, i+2, at, want)
		}
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || strings.IndexByte(f, '.') != len(f)-6 {
			t.Fatalf("%s line %d: force %q", d.TraceName, i+2, f)
		}
		force = append(force, v)
	}
	return force
}

// Each trace is 4 s at 2 kHz, begins with half a thousand samples of baseline
// near -35 N, and has its peak where the story says. Noise of 12 N over 500
// samples leaves the baseline's mean within 2 N.
func TestTraces(t *testing.T) {
	checked := 0
	var noise []float64
	for _, d := range traces() {
		if d.TraceName == "" {
			continue
		}
		force := column(t, d)
		// Two baselines that were drawn apart go together by 0 ± 0.045.
		if r := together(noise, force[:500]); math.Abs(r) > 0.25 {
			t.Errorf("%s has the noise of the trace before it: correlation %.2f", d.TraceName, r)
		}
		noise = force[:500]
		if n := len(force); n < 7999 || n > 8001 {
			t.Errorf("%s has %d samples, want 4 s at 2 kHz", d.TraceName, n)
		}
		base := 0.0
		for _, f := range force[:500] {
			base += f / 500
		}
		peak := slices.Max(force) - base
		if !(base > -0.055 && base < -0.015) || !(peak > 3.2 && peak < 4.5) {
			t.Errorf("%s: baseline %.4f kN, peak %.3f kN", d.TraceName, base, peak)
		}
		if near := slices.Max(force[:500]) - base; near > 0.08 {
			t.Errorf("%s: %.3f kN before the trigger", d.TraceName, near)
		}
		if f := force[560] - base; f < 0.2 {
			t.Errorf("%s: only %.3f kN 30 ms after the trigger", d.TraceName, f)
		}
		checked++
	}
	if checked != 94 {
		t.Fatalf("checked %d traces, want 94", checked)
	}
}

// together is the correlation of two series, 0 where there is no first one.
func together(a, b []float64) float64 {
	if a == nil {
		return 0
	}
	n := float64(len(a))
	var ma, mb, ab, aa, bb float64
	for i := range a {
		ma, mb = ma+a[i]/n, mb+b[i]/n
	}
	for i := range a {
		ab += (a[i] - ma) * (b[i] - mb)
		aa += (a[i] - ma) * (a[i] - ma)
		bb += (b[i] - mb) * (b[i] - mb)
	}
	return ab / math.Sqrt(aa*bb)
}

// Eighteen dry weighings before the first release, six wet ones; uptake near the
// 40 % and 23 % invented for the lots. Then six dried and forty-two of the soaking
// series: untreated rope is nearly saturated after one minute, treated rope rises to
// the fifteenth, and all heads for the same 40 % (common practice, no source).
func TestWeighings(t *testing.T) {
	dry, wet, series := map[string]float64{}, 0, 0
	after := map[string]map[time.Duration]float64{}
	for _, w := range demo.Weighings(1) {
		switch {
		case w.Of == campaign.Dried || w.Of == campaign.Soaked:
			series++
			if after[w.Specimen] == nil {
				after[w.Specimen] = map[time.Duration]float64{}
			}
			after[w.Specimen][w.Soak] = w.Mass/dry[w.Specimen] - 1
		case w.State == demo.WeighedDry:
			dry[w.Specimen] = w.Mass
			if w.At >= 0 || !(w.Mass > 0.2 && w.Mass < 0.225) {
				t.Errorf("%s dry: %.4f kg at %v", w.Specimen, w.Mass, w.At)
			}
		case w.State == demo.WeighedSoaked:
			wet++
			gain, want := w.Mass/dry[w.Specimen]-1, 0.40
			if w.Specimen[0] == 'S' {
				want = 0.23
			}
			if !(gain > want-0.06 && gain < want+0.06) {
				t.Errorf("%s soaked: %+.1f %%, want about %+.0f %%", w.Specimen, 100*gain, 100*want)
			}
		default:
			t.Errorf("state %q", w.State)
		}
	}
	for label, at := range after {
		one, ten, last := at[time.Minute], at[10*time.Minute], at[15*time.Minute]
		switch label[0] {
		case 'M':
			if one < 0.9*last || last < 0.36 || last > 0.44 {
				t.Errorf("%s: %.3f after 1 min, %.3f after 15", label, one, last)
			}
		case 'S':
			if one > 0.4*last || last < 1.05*ten || last < 0.28 {
				t.Errorf("%s: %.3f after 1 min, %.3f after 10, %.3f after 15", label, one, ten, last)
			}
		}
	}
	if len(after) != 6 || series != 48 {
		t.Errorf("%d specimens in %d weighings of the series, want 6 in 48", len(after), series)
	}
	if len(dry) != 18 || wet != 6 {
		t.Errorf("%d dry and %d wet, want 18 and 6", len(dry), wet)
	}
}

// Question: how long does a demonstration keep somebody waiting for its traces?
// Measured: 0.25 s of one core for 94 traces of 8000 samples.
func BenchmarkTraces(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		demo.Traces(1)
	}
}
