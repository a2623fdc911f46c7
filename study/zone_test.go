package study_test

import (
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
)

// Every time of an answer is in the desk's zone; the book keeps the moment.
func TestZone(t *testing.T) {
	d := begun(t)
	drop := add(t, d, release("A", 1, 0, halfSine(3)))
	if err := d.VoidDrop(t.Context(), "wet", drop.ID, "guide touched", true, "tester"); err != nil {
		t.Fatal(err)
	}
	if err := d.Weigh(t.Context(), "wet", campaign.Weighing{Stamp: drop.Stamp, Specimen: "A", State: "dry", Mass: 0.2}); err != nil {
		t.Fatal(err)
	}
	if err := d.Deviate(t.Context(), "wet", "x happened", "tester"); err != nil {
		t.Fatal(err)
	}
	d.Zone = time.FixedZone("here", 3600)
	o, err := d.Overview(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	s := o.Study
	for what, at := range map[string]time.Time{
		"created": s.Created.At, "frozen": s.Frozen.At, "drop": s.Drops[0].At, "void": s.Drops[0].Void.At,
		"weighing": s.Weighings[0].At, "deviation": s.Deviations[0].At,
	} {
		if at.Location() != d.Zone {
			t.Errorf("%s is in %s", what, at.Location())
		}
	}
	if !s.Drops[0].At.Equal(drop.At) {
		t.Errorf("the moment moved from %s to %s", drop.At, s.Drops[0].At)
	}
	f, err := d.Findings(t.Context(), "wet")
	if err != nil || strings.Contains(f.Exploratory, "UTC") {
		t.Errorf("%q, %v", f.Exploratory, err)
	}
	r, err := d.Report(t.Context(), "wet")
	if err != nil || r.Made.Location() != d.Zone {
		t.Errorf("made in %v, %v", r.Made.Location(), err)
	}
}
