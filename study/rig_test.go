package study_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/dial"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// trialling is a study with trial drops in its book: of a fresh off-cut, twice of
// A, of a specimen of another lot, void, without a setting, and without a trace.
func trialling(t *testing.T) *study.Desk {
	t.Helper()
	d := desk(t)
	p := plan()
	p.Ropes[0].Type, p.Ropes[0].FirstFallForce = "single", 8600
	p.Ropes = append(p.Ropes, campaign.Rope{Lot: "Samphire 9.6", Length: 60})
	p.Specimens[3].Lot = "Samphire 9.6"
	p.Settings = append([]campaign.Setting{{Name: "high", Mass: 70, Drop: 2.2, FreeLength: 2.6}, {Name: "low", Mass: 80, Drop: 1.1, FreeLength: 2.6}}, p.Settings...)
	if _, err := d.PutPlan(t.Context(), p, "wet.toml", []byte("the file"), "tester"); err != nil {
		t.Fatal(err)
	}
	minutes := 0.0
	drop := func(kind campaign.Kind, specimen, setting string, peak float64) campaign.Drop {
		minutes += 10
		r := release(specimen, 0, minutes, nil)
		r.Drop.Kind, r.Drop.Setting, r.Name = kind, setting, fmt.Sprintf("%g.csv", minutes)
		if peak > 0 {
			r.Trace = halfSine(peak)
		}
		return add(t, d, r)
	}
	drop(campaign.Trial, "", "standard", 3.4)
	drop(campaign.Trial, "A", "standard", 3.3)
	drop(campaign.Trial, "A", "high", 3.9)
	drop(campaign.Trial, "D", "standard", 3.5)
	void := drop(campaign.Trial, "", "standard", 3.1)
	drop(campaign.Trial, "", "standard", 0)
	drop(campaign.Check, "", "standard", 3.2)
	if err := d.VoidDrop(t.Context(), "wet", void.ID, "the rope was wet", true, "tester"); err != nil {
		t.Fatal(err)
	}
	return d
}

func TestRig(t *testing.T) {
	r, err := trialling(t).Rig(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	w := r.Told
	got := []string{w.Low, w.High, w.Masses, w.FreeLengths, w.Highest, w.Falls, w.Force, w.ForceMass, w.ForceDrop, w.ForceLength, w.Room, r.Lot}
	want := []string{"3 kN", "4 kN", "80 kg, 70 kg", "2.6 m", "2.2 m", "2", "8.6 kN", "80 kg", "4.8 m", "2.8 m", "", "Marram 9.6"}
	if !slices.Equal(got, want) {
		t.Errorf("filled in %q, want %q", got, want)
	}
	if len(r.Checks) != 1 || len(r.Trials) != 6 || len(w.Trials) != 3 {
		t.Fatalf("%d checks, %d trials, %d usable", len(r.Checks), len(r.Trials), len(w.Trials))
	}
	for i, why := range []string{"", "", "", "it is of Samphire 9.6", "it is void: the rope was wet", "no peak"} {
		if !strings.Contains(r.Trials[i].Why, why) || (why == "") != (r.Trials[i].Why == "") {
			t.Errorf("trial %d: %q, want %q", i+1, r.Trials[i].Why, why)
		}
	}
	for i, fall := range []string{"1", "1", "2"} {
		if w.Trials[i].Fall != fall {
			t.Errorf("trial %d is fall %s, want %s", i+1, w.Trials[i].Fall, fall)
		}
	}
	if w.Trials[2].Mass != "70 kg" || w.Trials[2].Drop != "2.2 m" || !strings.HasPrefix(w.Trials[2].Peak, "3.9") {
		t.Errorf("trial 3 is %+v", w.Trials[2])
	}
	about := map[string]bool{}
	for _, a := range r.Assumed {
		about[a.About] = true
	}
	if len(about) != 3 || !about["highest drop"] || !about["window, low"] || !about["published, force"] {
		t.Errorf("assumed %v", r.Assumed)
	}
}

// What is written is what package dial is asked, in SI.
func TestDiallingAsks(t *testing.T) {
	r, err := trialling(t).Rig(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	w := r.Told
	w.Masses, w.Room = "60 kg to 80 kg by 10 kg", "5 m"
	got, err := w.Ask()
	if err != nil {
		t.Fatal(err)
	}
	q := dial.Question{
		Window: dial.Window{Low: 3000, High: 4000},
		Rig: dial.Rig{
			Masses: []float64{60, 70, 80}, FreeLengths: []float64{2.6}, LowestDrop: 0.05, HighestDrop: 2.2, DropStep: 0.01, Room: 5, Gravity: 9.80665,
		},
		Published: &dial.Published{Force: 8600, Mass: 80, Drop: 4.8, FreeLength: 2.8},
		Falls:     2, Enough: 0.9, Level: 0.9, Trials: got.Question.Trials,
	}
	if fmt.Sprintf("%+v %+v", got.Question, *got.Question.Published) != fmt.Sprintf("%+v %+v", withPointer(q, got.Question.Published), *q.Published) {
		t.Errorf("asked %+v\nwant %+v", got.Question, q)
	}
	want, err := dial.Ask(q)
	if err != nil || want.Next != got.Next || want.Series != got.Series {
		t.Errorf("%+v, want %+v, %v", got.Next, want.Next, err)
	}
	if n := len(got.Trials); n != 3 || got.Trials[1].Specimen != "A" || got.Trials[2].Fall != 2 {
		t.Errorf("%d trials", n)
	}
	if !strings.Contains(got.Sentence(), fmt.Sprintf("%.2f m", got.Next.Drop)) {
		t.Errorf("said %q, the drop is %g", got.Sentence(), got.Next.Drop)
	}
}

// withPointer is a question that prints as another with that pointer.
func withPointer(q dial.Question, p *dial.Published) dial.Question {
	q.Published = p
	return q
}

// Each fault is refused under the name of its part, with what was written.
func TestDiallingRefuses(t *testing.T) {
	good := study.Dialling{
		Low: "3 kN", High: "4 kN", Masses: "80 kg", FreeLengths: "2.6 m", Lowest: "5 cm", Highest: "3 m", Step: "1 cm",
		Falls: "5", Enough: "90 %", Level: "90 %",
	}
	trial := study.DiallingTrial{Mass: "80 kg", Drop: "0.45 m", FreeLength: "2.6 m", Peak: "2.86 kN"}
	looked := 0
	for _, c := range []struct {
		where, what string
		spoil       func(*study.Dialling)
	}{
		{"window, low", `"3" has no unit`, func(w *study.Dialling) { w.Low = "3" }},
		{"window, high", "it is missing", func(w *study.Dialling) { w.High = " " }},
		{"window", "has no width", func(w *study.Dialling) { w.High = "3.01 kN" }},
		{"masses", "is a length", func(w *study.Dialling) { w.Masses = "80 kg, 2 m" }},
		{"masses", "goes nowhere", func(w *study.Dialling) { w.Masses = "80 kg to 60 kg by 5 kg" }},
		{"masses", "at most 60", func(w *study.Dialling) { w.Masses = "1 kg to 900 kg by 1 kg" }},
		{"free lengths", "it is missing", func(w *study.Dialling) { w.FreeLengths = "2.6 m," }},
		{"highest drop", `"three" does not begin with a number`, func(w *study.Dialling) { w.Highest = "three" }},
		{"highest drop", "is below the lowest", func(w *study.Dialling) { w.Highest = "2 cm" }},
		{"falls", `"many" is not a whole number`, func(w *study.Dialling) { w.Falls = "many" }},
		{"falls", "a series of 0 falls", func(w *study.Dialling) { w.Falls = "" }},
		{"enough", "a chance of 2", func(w *study.Dialling) { w.Enough = "200 %" }},
		{"published, mass", "it is missing", func(w *study.Dialling) { w.Force = "8 kN"; w.ForceDrop, w.ForceLength = "4.8 m", "2.8 m" }},
		{"trial 1, peak", "it is missing", func(w *study.Dialling) { w.Trials[0].Peak = "" }},
		{"trial 1, fall", `"two" is not`, func(w *study.Dialling) { w.Trials[0].Fall = "two" }},
		{"trial 1, drop", "more than twice", func(w *study.Dialling) { w.Trials[0].Drop = "9 m" }},
		{"room", "are not enough", func(w *study.Dialling) { w.Room = "2.7 m" }},
	} {
		w := good
		w.Trials = []study.DiallingTrial{{}, trial}
		w.Trials = w.Trials[1:]
		c.spoil(&w)
		_, err := w.Ask()
		all := problem.All(err)
		if !slices.ContainsFunc(all, func(p *problem.Problem) bool { return p.Where == c.where && strings.Contains(p.What, c.what) }) {
			t.Errorf("%s: refused by %q, want %q", c.where, all, c.what)
		}
		looked++
	}
	if looked < 15 {
		t.Errorf("looked at %d", looked)
	}
	w := good
	w.Trials = []study.DiallingTrial{{}, trial, {}}
	if a, err := w.Ask(); err != nil || len(a.Trials) != 1 {
		t.Errorf("empty lines: %v", err)
	}
}
