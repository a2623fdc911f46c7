package html

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/trace"
)

func TestWordsOfThePlan(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{falls([]int{5}), "fall 5"},
		{falls([]int{1, 2, 3, 4, 5}), "falls 1 to 5"},
		{falls([]int{1, 2}), "falls 1, 2"},
		{falls([]int{1, 2, 4}), "falls 1, 2, 4"},
		{span(0), "0 s"},
		{span(3*time.Minute + 15*time.Second), "3 min 15 s"},
		{span(26 * time.Hour), "26 h"},
		{span(1500 * time.Millisecond), "1.5 s"},
		{margin(campaign.Margin{Share: 0.05}, campaign.PeakForce), "5 %"},
		{margin(campaign.Margin{Amount: 125}, campaign.PeakForce), "0.125 kN"},
		{margin(campaign.Margin{Amount: 0.2}, campaign.ReboundSpeed), "0.2 m/s"},
		{given(0.0096, 1e3, "mm"), "9.6 mm"},
		{given(0, 1, "m"), "not known"},
		{trimmed(1200), "1200"},
		{tied("about 5.0 % at 3 slips of 2 s; 4 N"), "about 5.0_% at 3 slips of 2_s; 4_N"},
		{rest(campaign.Rest{}), "not controlled"},
		{since(study.DropRow{Rest: 185 * time.Second}), "3:05"},
	} {
		got := strings.ReplaceAll(c.got, "\u202f", "_")
		if !strings.Contains(c.want, "_") {
			got = strings.ReplaceAll(c.got, "\u202f", " ")
		}
		if got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// Notes that say the same share a number; a doubtful one is printed as it is.
func TestLedger(t *testing.T) {
	row := func(id string, notes ...trace.Note) study.DropRow {
		return study.DropRow{Drop: campaign.Drop{ID: id, Kind: campaign.Fall, Specimen: id, Fall: 1}, Reading: &trace.Reading{Notes: notes}}
	}
	said := func(s string) trace.Note { return trace.Note{Grade: trace.Said, Text: s} }
	doubtful := func(s string) trace.Note { return trace.Note{Grade: trace.Doubtful, Text: s} }
	l := &ledger{}
	l.enter(row("a", said("speed is 5.2 m/s"), doubtful("drift of 3 N")))
	l.enter(row("b", said("speed is 1.1e-05 m/s"), doubtful("drift of 4 N")))
	l.enter(row("c", doubtful("drift of 3 N")))
	if got := fmt.Sprint(l.of["a"], l.of["b"], l.of["c"]); got != "[0 1] [0 2] [1]" {
		t.Errorf("entries %s", got)
	}
	if got := l.entries[0].where(3); got != "a fall 1, b fall 1; the numbers are those of a fall 1 and differ from drop to drop" {
		t.Errorf("the shared note is said of %q", got)
	}
	if got := l.entries[1].where(3); got != "a fall 1, c fall 1" {
		t.Errorf("the doubtful note is said of %q", got)
	}
}
