package dial

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/problem"
)

func mustAsk(t *testing.T, q Question) *Answer {
	t.Helper()
	a, err := Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func fiveFalls() Question {
	q := oneFall()
	q.Falls = 5
	return q
}

// The same question has the same answer, bit for bit.
func TestDeterministic(t *testing.T) {
	q := fiveFalls()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 3300}}
	if a, b := mustAsk(t, q), mustAsk(t, q); !reflect.DeepEqual(a, b) {
		t.Errorf("%+v\n%+v", a, b)
	}
}

// A trial narrows; so does what a maker states, less.
func TestKnowledgeNarrows(t *testing.T) {
	width := func(q Question) float64 {
		a := mustAsk(t, q)
		return math.Log(a.Peak.High / a.Peak.Low)
	}
	q := fiveFalls()
	nothing := width(q)
	q.Published = &Published{8400, 80, 4.8, 2.8}
	stated := width(q)
	q.Published = nil
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 3300}}
	tried := width(q)
	if !(stated < 0.85*nothing && tried < 0.5*stated) {
		t.Errorf("widths: nothing known %.3f, published %.3f, one trial %.3f", nothing, stated, tried)
	}
}

// A rope that a maker states to be hard is dropped from lower.
func TestPublishedForceLowersTheDrop(t *testing.T) {
	drop := func(force float64) float64 {
		q := fiveFalls()
		q.Published = &Published{force, 80, 4.8, 2.8}
		return mustAsk(t, q).Next.Drop
	}
	if soft, hard := drop(7500), drop(10500); !(hard < 0.75*soft) {
		t.Errorf("drop of a soft rope %.2f, of a hard one %.2f", soft, hard)
	}
}

// A used specimen counts as its fall: 3.6 kN on fall 5 is a softer rope than
// 3.6 kN on fall 1; and falls of one specimen teach the rise.
func TestUsedSpecimen(t *testing.T) {
	q := fiveFalls()
	at := Setting{80, 0.5, 2.6}
	q.Trials = []Trial{{Setting: at, Peak: 3600}}
	fresh := mustAsk(t, q)
	q.Trials[0].Fall = 5
	used := mustAsk(t, q)
	if !(used.Next.Drop > fresh.Next.Drop+0.08) {
		t.Errorf("drop after a fresh specimen's peak %.2f, after a used one's %.2f", fresh.Next.Drop, used.Next.Drop)
	}
	q.Trials = []Trial{{Setting: at, Peak: 3200, Fall: 1, Specimen: "T-1"}, {Setting: at, Peak: 3590, Fall: 5, Specimen: "T-1"}}
	a := mustAsk(t, q)
	if w := a.Rise.High - a.Rise.Low; !(math.Abs(a.Rise.Middle-0.122) < 0.015 && w < 0.7*(fresh.Rise.High-fresh.Rise.Low)) {
		t.Errorf("rise %+v, before it was seen %+v", a.Rise, fresh.Rise)
	}
}

// The series asks for a lower first peak than a single fall.
func TestSeriesAimsLower(t *testing.T) {
	q := oneFall()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 3300}}
	one := mustAsk(t, q)
	q.Falls = 5
	five := mustAsk(t, q)
	if !(five.Peak.Middle < one.Peak.Middle-150 && five.Last.Middle < 4000 && five.Last.Middle > five.Peak.Middle*1.1) {
		t.Errorf("one fall aims at %.0f, five at %.0f up to %.0f", one.Peak.Middle, five.Peak.Middle, five.Last.Middle)
	}
}

// What contradicts is said, and stops neither for good nor for the series.
func TestContradiction(t *testing.T) {
	q := fiveFalls()
	at := Setting{80, 0.5, 2.6}
	q.Trials = []Trial{{Setting: at, Peak: 3300}, {Setting: at, Peak: 3350}, {Setting: at, Peak: 4300}}
	a := mustAsk(t, q)
	if a.Stop != Doubt || len(a.Warnings) == 0 || !strings.Contains(strings.Join(a.Warnings, "\n"), "trial 3 read 4.3 kN") {
		t.Errorf("%s %q", a.Stop, a.Warnings)
	}
	// One trial is set beside the prior alone, not beside itself.
	q.Trials = q.Trials[:1]
	if e, nothing := mustAsk(t, q).Trials[0].Expected, mustAsk(t, fiveFalls()).Peak; !(e.High/e.Low > 0.9*nothing.High/nothing.Low) {
		t.Errorf("the first trial is expected at %+v", e)
	}
	q.Trials = append(q.Trials, Trial{Setting: at, Peak: 3350}, Trial{Setting: at, Peak: 3280})
	if a := mustAsk(t, q); a.Stop != Reached || len(a.Warnings) != 0 {
		t.Errorf("%s %q", a.Stop, a.Warnings)
	}
}

// A published force that the trials do not go with is said; one that they do is
// not.
func TestPublishedContradiction(t *testing.T) {
	q := fiveFalls()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 2900}}
	for force, want := range map[float64]bool{8000: false, 13500: true} {
		q.Published = &Published{force, 80, 4.8, 2.8}
		said := strings.Contains(strings.Join(mustAsk(t, q).Warnings, "\n"), "the published force of")
		if said != want {
			t.Errorf("%g N: said %v", force, said)
		}
	}
}

// When to stop: never before the first trial, then when the chance is enough; a
// window that scatter and rise do not fit into is no reason to go on.
func TestStop(t *testing.T) {
	q := fiveFalls()
	if a := mustAsk(t, q); a.Stop != GoOn || !(a.OneMore > a.Series+0.3) {
		t.Errorf("before the first trial: %s, series %.2f, one more %.2f", a.Stop, a.Series, a.OneMore)
	}
	for range 3 {
		q.Trials = append(q.Trials, Trial{Setting: Setting{80, 0.5, 2.6}, Peak: 3300})
	}
	if a := mustAsk(t, q); a.Stop != Reached {
		t.Errorf("%s at %.2f", a.Stop, a.Series)
	}
	q.Window = Window{3000, 3400}
	for range 6 {
		q.Trials = append(q.Trials, Trial{Setting: Setting{80, 0.5, 2.6}, Peak: 3300})
	}
	a := mustAsk(t, q)
	if a.Stop != NoGain || !strings.Contains(strings.Join(a.Warnings, "\n"), "over the 5 falls of a series, and the window is 13 % wide") {
		t.Errorf("%s at %.2f and %.2f: %q", a.Stop, a.Series, a.OneMore, a.Warnings)
	}
}

// The first mass and length that do are taken; a later one has to be better.
func TestPreference(t *testing.T) {
	q := fiveFalls()
	q.Rig.Masses, q.Rig.HighestDrop = []float64{55, 80}, 0.3
	if a := mustAsk(t, q); a.Next.Mass != 80 {
		t.Errorf("%+v: from 30 cm only the heavier mass lands", a.Next)
	}
	q = oneFall()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 3300}}
	q.Rig.Masses = []float64{80, 79, 81}
	if a := mustAsk(t, q); a.Next.Mass != 80 {
		t.Errorf("%+v: any mass lands, and the first is preferred", a.Next)
	}
}

// A peak typed ten times too high puts the window out of reach: the trial is named first.
func TestOutOfReachByAContradiction(t *testing.T) {
	q := oneFall()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 31000}}
	_, err := Ask(q)
	all := problem.All(err)
	if len(all) != 1 || len(all[0].Hints) != 2 || !strings.HasPrefix(all[0].Hints[0], "trial 1 read 31 kN, and what ropes and rigs are like put it at") {
		t.Fatalf("%v", err)
	}
}

// A refusal names the limit and what would reach the window, and that does.
func TestOutOfReach(t *testing.T) {
	q := oneFall()
	q.Trials = []Trial{{Setting: Setting{80, 0.5, 2.6}, Peak: 3000}}
	q.Window = Window{5200, 5600}
	q.Rig.HighestDrop = 0.6
	_, err := Ask(q)
	all := problem.All(err)
	if len(all) != 1 || !strings.Contains(err.Error(), "window: 5.2 kN to 5.6 kN is not reached on this rig: 80 kg, a drop of 0.6 m") || len(all[0].Hints) != 1 {
		t.Fatalf("%v", err)
	}
	hint := all[0].Hints[0]
	var drop, mass float64
	if _, err := fmt.Sscanf(hint, "a drop of about %f m, or a mass of about %f kg at that drop", &drop, &mass); err != nil {
		t.Fatalf("hint %q: %v", hint, err)
	}
	q.Rig.Masses = []float64{mass}
	if a := mustAsk(t, q); math.Abs(math.Log(a.Peak.Middle/5400)) > 0.1 {
		t.Errorf("%.0f kg bring %.0f N, and were to bring 5.4 kN", mass, a.Peak.Middle)
	}
	q.Rig.Masses = []float64{80}
	q.Rig.HighestDrop = 4
	// A spring extrapolates from 0.6 m with some tenths of error.
	if a := mustAsk(t, q); math.Abs(math.Log(a.Next.Drop/drop)) > 0.35 {
		t.Errorf("the hint is %.2f m, and where it can go higher it goes to %.2f m", drop, a.Next.Drop)
	}
	// Twice the weight is above the window: a lighter mass.
	q = oneFall()
	q.Rig.Masses = []float64{320}
	if _, err := Ask(q); err == nil || !strings.Contains(strings.Join(problem.All(err)[0].Hints, ""), "a mass of about") {
		t.Errorf("%v", err)
	}
	// The rope hangs below the floor.
	q = oneFall()
	q.Rig.Room = 2.5
	if _, err := Ask(q); err == nil || !strings.Contains(err.Error(), "room: 2.5 m from anchor to catch bed") {
		t.Errorf("%v", err)
	}
	q.Rig.Room = 3
	if a := mustAsk(t, q); 2.6+a.Stretch.High > 3.05 {
		t.Errorf("%+v has no room", a)
	}
}

func TestRefusals(t *testing.T) {
	cases := []struct {
		change func(*Question)
		want   string
	}{
		{func(q *Question) { q.Window = Window{4000, 3000} }, "window: 4 kN to 3 kN has no width"},
		{func(q *Question) { q.Window.Low = -1 }, "window, low: "},
		{func(q *Question) { q.Rig.Masses = nil }, "masses: there is none at hand"},
		{func(q *Question) { q.Rig.Masses[0] = -80 }, "masses: -80 kg is outside"},
		{func(q *Question) { q.Rig.FreeLengths[0] = math.NaN() }, "free lengths: "},
		{func(q *Question) { q.Rig.HighestDrop = 0.02 }, "highest drop: 20 mm is below the lowest"},
		{func(q *Question) { q.Rig.DropStep = 0 }, "drop step: "},
		{func(q *Question) { q.Rig.LowestDrop, q.Rig.HighestDrop = 8, 9 }, "lowest drop: 8 m is more than twice every free length"},
		{func(q *Question) { q.Trials = []Trial{{Setting: Setting{80, 6, 2.6}, Peak: 3000}} }, "trial 1, drop: 6 m is more than twice"},
		{func(q *Question) { q.Trials = []Trial{{Setting: Setting{80, 1, 2.6}}} }, "trial 1, peak: "},
		{func(q *Question) { q.Trials = []Trial{{Setting: Setting{80, 1, 2.6}, Peak: 3000, Fall: -1}} }, "trial 1, fall: -1"},
		{func(q *Question) { q.Published = &Published{8400, 80, 9, 2.8} }, "published, drop: 9 m is more than twice"},
		{func(q *Question) { q.Falls = 0 }, "falls: a series of 0"},
		{func(q *Question) { q.Enough = 1 }, "enough: "},
		{func(q *Question) { q.Level = 0 }, "level: "},
		{func(q *Question) { q.Rig.Gravity = 1.6 }, "gravity: "},
	}
	for _, c := range cases {
		q := oneFall()
		c.change(&q)
		_, err := Ask(q)
		if err == nil || !strings.Contains(err.Error(), c.want) || len(problem.All(err)) == 0 {
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
}
