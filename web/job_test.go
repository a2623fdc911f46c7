package web

import (
	"context"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
)

// steps reads the line of the job of a study in some state.
func stepsOf(t *testing.T, o *study.Overview, f *study.Findings) map[string]frame.Step {
	t.Helper()
	s := &server{options: Options{Report: writeReport}}
	out := map[string]frame.Step{}
	for _, step := range s.steps(o, f) {
		out[step.Key] = step
	}
	return out
}

func TestLineOfTheJob(t *testing.T) {
	d := fake(t)
	whole, err := d.Overview(context.Background(), "sea-water")
	if err != nil {
		t.Fatal(err)
	}
	found, err := d.Findings(context.Background(), "sea-water")
	if err != nil {
		t.Fatal(err)
	}
	// A study that has only been asked and planned.
	planned := *whole
	st := *d.study
	st.Frozen, st.Drops = nil, nil
	planned.Study, planned.Drops = &st, nil
	planned.Conditions = slices.Clone(whole.Conditions)
	for i := range planned.Conditions {
		planned.Conditions[i].Counting, planned.Conditions[i].Void = 0, 0
	}
	planned.Specimens = slices.Clone(whole.Specimens)
	for i := range planned.Specimens {
		planned.Specimens[i].Taken = 0
	}
	// One fall was lost for good: taken, void, not counting.
	lost := *whole
	lost.Conditions = slices.Clone(whole.Conditions)
	lost.Conditions[5].Counting = 14
	// One fall is still to come.
	begun := lost
	begun.Specimens = slices.Clone(whole.Specimens)
	begun.Specimens[17].Taken = 4
	weighed := *whole
	wet := *d.study
	wet.Weighings = []campaign.Weighing{{ID: "w-1", Specimen: "M-04", State: "soaked", Mass: 0.25}}
	weighed.Study = &wet

	for _, c := range []struct {
		name     string
		overview *study.Overview
		findings *study.Findings
		step     string
		state    string
		fill     frame.Fill
	}{
		{"whole", whole, found, "question", "3 questions, margin 5\u202f%", frame.Done},
		{"whole", whole, found, "plan", "frozen 4 May, 90 falls", frame.Done},
		{"whole", whole, found, "cut", "18 pieces, 2 ropes", frame.Done},
		{"whole", whole, found, "rig", "80\u202fkg, drop 1.42\u202fm", frame.Done},
		{"whole", whole, found, "tower", "90 falls, 2 void", frame.Done},
		{"whole", whole, found, "traces", "1 doubtful", frame.Done},
		{"whole", whole, found, "water", "not weighed", frame.Open},
		{"whole", whole, found, "findings", "2 settled, 1 not", frame.Done},
		{"whole", whole, found, "publish", "report", frame.Done},
		{"planned", &planned, nil, "plan", "not frozen, 90 falls", frame.Part},
		{"planned", &planned, nil, "rig", "80\u202fkg, drop 1.42\u202fm", frame.Part},
		{"planned", &planned, nil, "tower", "no drops yet", frame.Open},
		{"planned", &planned, nil, "traces", "none yet", frame.Open},
		{"planned", &planned, nil, "findings", "too few falls yet", frame.Open},
		{"planned", &planned, nil, "publish", "report so far", frame.Open},
		{"lost", &lost, found, "tower", "89 of 90 falls, 2 void", frame.Done},
		{"lost", &lost, found, "findings", "2 settled, 1 not", frame.Done},
		{"begun", &begun, found, "tower", "89 of 90 falls, 2 void", frame.Part},
		{"begun", &begun, found, "traces", "1 doubtful", frame.Part},
		{"begun", &begun, found, "findings", "2 settled, 1 not", frame.Part},
		{"begun", &begun, found, "publish", "report so far", frame.Part},
		{"weighed", &weighed, found, "water", "1 weighing", frame.Done},
	} {
		got := stepsOf(t, c.overview, c.findings)[c.step]
		if got.State != c.state || got.Fill != c.fill {
			t.Errorf("%s, %s: %q %s, want %q %s", c.name, c.step, got.State, got.Fill, c.state, c.fill)
		}
	}
	if wall, there := stepsOf(t, whole, found)["wall"]; !there || wall.Fill != frame.Done || wall.State != "from 90 falls" {
		t.Errorf("the wall is %+v", wall)
	}
}

// TestCutList marks what was dropped or soaked, and nothing else.
func TestCutList(t *testing.T) {
	d := *fake(t)
	st := *d.study
	st.Weighings = []campaign.Weighing{{ID: "w-1", Specimen: "M-02", State: "soaked and drained 2 min", Mass: 0.25}, {ID: "w-2", Specimen: "M-03", State: "dry", Mass: 0.211}}
	d.study = &st
	text := ask(New(untouchedDesk{&d}, Options{}), "/study/sea-water").Body.String()
	cut := text[strings.Index(text, `id="cut"`):strings.Index(text, `id="rig"`)]
	for label, want := range map[string]bool{"M-01": true, "M-02": true, "M-03": false} {
		row := cut[strings.Index(cut, ">"+label+"<"):]
		row = row[:strings.Index(row, "</tr>")]
		if got := strings.Contains(row, "destroy"); got != want {
			t.Errorf("%s: to be destroyed %v, want %v", label, got, want)
		}
	}
	if !strings.Contains(text, "250.0\u202fg") {
		t.Error("the weighing is not shown")
	}
}

// untouchedDesk has dropped only the first specimen.
type untouchedDesk struct{ *fakeDesk }

func (d untouchedDesk) Overview(ctx context.Context, name string) (*study.Overview, error) {
	o, err := d.fakeDesk.Overview(ctx, name)
	for i := range o.Specimens[1:] {
		o.Specimens[i+1].Taken = 0
	}
	return o, err
}
