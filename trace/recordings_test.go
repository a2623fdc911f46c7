package trace_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// recording reads one of the openly licensed recordings that lie beside the
// project. They are not ropes, but cells, tares, signs and contacts.
func recording(t *testing.T, name string, ask traceio.Ask) *trace.Recording {
	t.Helper()
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "shared")
	}
	data, err := os.ReadFile(filepath.Join(root, "data", name))
	if os.IsNotExist(err) {
		t.Skipf("NOT CHECKED: %s is absent; readings of real recordings are not held against their published figures", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	rec, err := traceio.New(delimited.Format{}).Read(name, data, ask)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func near(t *testing.T, what string, got trace.Value, want, tol float64) {
	t.Helper()
	if !(math.Abs(float64(got)-want) <= tol) {
		t.Errorf("%s = %.7g, want %.7g within %.2g", what, float64(got), want, tol)
	}
}

// A trolley on a pad 4 mm thick, five runs in one file, force negative.
// Source: the recordings' own repository (folder pad-impact-force): peak with
// the offset removed, impulse and contact by a threshold of 0.5 N. Tolerances:
// two steps of the converter, 0.031 N each, on the peak (their offset is a
// median, ours a mean); 2 % on the impulse, because their threshold cuts the
// flanks that ours follows to zero; the time above their threshold to the
// interval of 0.01 s that it is counted in.
func TestPadImpacts(t *testing.T) {
	for _, c := range []struct {
		column                 string
		contact, impulse, peak float64
	}{
		{"Latest: Force (N)", 0.22, 0.8926402, 10.470019},
		{"Run 1: Force (N)", 0.23, 0.8813636, 6.758220},
		{"Run 2: Force (N)", 0.22, 0.9049806, 10.410058},
		{"Run 3: Force (N)", 0.23, 0.8950580, 8.187621},
		{"Run 4: Force (N)", 0.23, 0.8844487, 7.762089},
	} {
		r, signal, err := trace.Take(recording(t, "pad-impact-force/pad-04mm.csv", traceio.Ask{Force: c.column}), trace.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.column+" peak", r.PeakForce, c.peak, 0.062)
		near(t, c.column+" impulse", r.FirstImpulse, c.impulse, 0.02*c.impulse)
		above := 0
		for _, f := range signal.Force {
			if f > 0.5 {
				above++
			}
		}
		near(t, c.column+" contact", trace.Value(0.01*float64(above)), c.contact, 0.0101)
	}
}

// A jump on a force plate: begins under body weight, flies, lands. Source: the
// recordings' own notebook (folder jump-force-bmc): take-off 0.907 s, landing
// 1.323 s, threshold 10 N; the landing's peak as recorded is 3632.84 N.
// Tolerances: 2 intervals of 1/600 s on take-off. On landing 4: the plate's
// noise crosses their threshold first (9.9, 4.7 and 13.6 N at samples 795 to
// 797), the force itself comes with 118.9 N at 798. On the peak 10 N, the level
// in flight being theirs to within the threshold.
func TestJump(t *testing.T) {
	r, _, err := trace.Take(recording(t, "jump-force-bmc/GRFZjump.txt", traceio.Ask{Rate: 600}), trace.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Contacts) != 2 || !r.Contacts[0].Begun {
		t.Fatalf("contacts %+v, want one that had begun and the landing", r.Contacts)
	}
	near(t, "take-off", trace.Value(r.Contacts[0].End), 0.907, 2.0/600)
	near(t, "landing", trace.Value(r.Contacts[1].Start), 1.323, 4.0/600)
	near(t, "peak", r.PeakForce, 3632.84, 10)
	if r.Grade() != trace.Doubtful {
		t.Errorf("grade %q: a trace that begins under load is doubtful", r.Grade())
	}
}
