package cutlist

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fallwright.example/problem"
)

func round(m float64) float64 { return math.Round(m*1000) / 1000 }

// drawnCase is a demand and ropes at random: up to three lots, damage, marks, two
// lengths in some lots, spares in some.
func drawnCase(random *rand.Rand) ([]Rope, Demand) {
	d := Demand{
		Knots: Knots{Count: 2, TakeUp: round(0.2 + random.Float64()), Tail: 0.1},
		Kerf:  []float64{0, 0.002, 0.01}[random.IntN(3)], Keep: 2, Seed: random.Uint64(), Blind: random.IntN(3) == 0,
		Spread: random.IntN(4) == 0,
	}
	var ropes []Rope
	for k := range 1 + random.IntN(3) {
		lot := fmt.Sprintf("%c%d 9.6", 'M'+k%2, k)
		for n := range 1 + random.IntN(4) {
			r := Rope{Name: fmt.Sprintf("%s, rope %d", lot, n+1), Lot: lot, Length: round(20 + 50*random.Float64()), DiscardStart: 1, DiscardEnd: round(random.Float64())}
			for range random.IntN(3) {
				at := round(random.Float64() * (r.Length - 2))
				r.Damage = append(r.Damage, Interval{at, round(at + 0.1 + random.Float64())})
			}
			if random.IntN(2) == 0 {
				r.Middle, r.MiddleClear = r.Length/2, 0.3
			}
			ropes = append(ropes, r)
		}
		conditions, count, free := 1+random.IntN(5), 1+random.IntN(8), round(1.5+random.Float64())
		for c := range conditions {
			w := Want{Lot: lot, Condition: fmt.Sprintf("c%d", c), Count: count, FreeLength: free}
			if c == 1 && random.IntN(4) == 0 {
				w.FreeLength += 0.35
			}
			if c == 0 && random.IntN(4) == 0 {
				w.Count *= 2
			}
			d.Wants = append(d.Wants, w)
		}
		if random.IntN(3) == 0 {
			d.Wants = append(d.Wants, Want{Lot: lot, Count: 1 + random.IntN(2), FreeLength: free})
		}
		if d.MaxRun = 2; conditions > 2 && random.IntN(2) == 0 {
			d.MaxRun = 1
		}
		if conditions == 1 {
			d.MaxRun = 0
		}
	}
	return ropes, d
}

// 200 cases at random: a list that is made passes the checker, which shares nothing
// with the making; a list that is refused says why, and what it says would do does.
func TestListsHold(t *testing.T) {
	random := rand.New(rand.NewPCG(6, 6))
	made, short, undrawn, even := 0, 0, 0, 0
	for range 200 {
		ropes, d := drawnCase(random)
		l, err := Plan(ropes, d)
		if err != nil {
			switch problem.KindOf(err) {
			case problem.TooFew:
				short++
				tooShortIsTrue(t, ropes, d, err)
			case problem.Conflict:
				undrawn++
			default:
				t.Errorf("%v", err)
			}
			continue
		}
		made++
		if l.Arrangements != nil {
			even++
		}
		if err := Check(l, ropes, d); err != nil {
			t.Errorf("%+v\n%+v\n%v", ropes, d, err)
		}
		again, err := Plan(ropes, d)
		if err != nil || !reflect.DeepEqual(l, again) {
			t.Error("the same seed gave another list")
		}
		balances(t, l, ropes)
	}
	t.Logf("%d made (%d drawn evenly over all arrangements), %d too short, %d without an order", made, even, short, undrawn)
	if made < 90 || short < 40 || even < 60 {
		t.Errorf("%d made, %d of them even, %d too short", made, even, short)
	}
}

// balances adds every rope up again: all of it is accounted for.
func balances(t *testing.T, l *List, ropes []Rope) {
	t.Helper()
	for i, r := range ropes {
		u := l.Uses[i]
		left := 0.0
		for _, s := range u.Left {
			left += s.To - s.From
		}
		if got := u.Cut + u.Lost + u.Unusable + u.Waste + left; math.Abs(got-r.Length) > 1e-6 {
			t.Errorf("%s: %g m in all, it has %g m: %+v", r.Name, got, r.Length, u)
		}
	}
}

// tooShortIsTrue holds a refusal to its hints: one rope of the length it names does,
// and a centimetre less does not.
func tooShortIsTrue(t *testing.T, ropes []Rope, d Demand, err error) {
	t.Helper()
	p := problem.All(err)[0]
	lot := strings.TrimPrefix(p.Where, "lot ")
	d.Wants = slices.DeleteFunc(slices.Clone(d.Wants), func(w Want) bool { return w.Lot != lot })
	d.MaxRun = 0
	for _, h := range p.Hints {
		var more float64
		at := strings.Index(h, "with ")
		if !strings.HasPrefix(h, "one more rope") {
			continue
		}
		if _, err := fmt.Sscanf(h[at:], "with %f m usable", &more); err != nil {
			t.Errorf("%q: %v", h, err)
		}
		for _, c := range []struct {
			length float64
			does   bool
		}{{more + 0.01, true}, {more - 0.01, false}} {
			_, err := Plan(append(slices.Clone(ropes), Rope{Name: "more", Lot: lot, Length: c.length}), d)
			if short := problem.KindOf(err) == problem.TooFew; short == c.does {
				t.Errorf("%s, with %.2f m: %v", p, c.length, err)
			}
		}
		return
	}
	if !slices.ContainsFunc(p.Hints, func(h string) bool { return strings.HasPrefix(h, "they fit") }) {
		t.Errorf("no way out: %q %q", p, p.Hints)
	}
}

// The rope opened is the least: against all choices of ropes, for lots of one length,
// where a rope holds ⌊(L + k)/(l + k)⌋ pieces of each stretch.
func TestLeastIsOpened(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 6))
	looked := 0
	for range 200 {
		var ropes []Rope
		for n := range 2 + random.IntN(4) {
			ropes = append(ropes, Rope{Name: fmt.Sprint(n), Lot: "M", Length: round(10 + 30*random.Float64()), Damage: []Interval{{5, 5.5}}})
		}
		d := Demand{Wants: []Want{{"M", "dry", 1 + random.IntN(8), 3}, {"M", "wet", 1 + random.IntN(8), 3}}, Kerf: 0.01}
		l, err := Plan(ropes, d)
		least := math.Inf(1)
		for choice := range 1 << len(ropes) {
			holds, opened := 0, 0.0
			for i, r := range ropes {
				if choice>>i&1 == 1 {
					opened += r.Length - 0.5
					holds += 1 + int((r.Length-5.5+0.01)/3.01+1e-9)
				}
			}
			if holds >= d.Wants[0].Count+d.Wants[1].Count {
				least = min(least, opened)
			}
		}
		if err != nil {
			if !math.IsInf(least, 1) && problem.KindOf(err) == problem.TooFew {
				t.Errorf("refused, and %.3f m would do: %v", least, err)
			}
			continue
		}
		looked++
		if math.Abs(l.Opened-least) > 1e-6 || !l.Proven {
			t.Errorf("opened %.3f m, proven %v, least %.3f m", l.Opened, l.Proven, least)
		}
	}
	if looked < 100 {
		t.Errorf("%d looked at", looked)
	}
}

// Spread uses all ropes alike; without it the fewest are opened.
func TestSpread(t *testing.T) {
	ropes := []Rope{{Name: "A", Lot: "M", Length: 30}, {Name: "B", Lot: "M", Length: 30}, {Name: "C", Lot: "M", Length: 30}}
	for spread, want := range map[bool][]int{true: {4, 4, 4}, false: {12, 0, 0}} {
		l, err := Plan(ropes, Demand{Wants: []Want{{"M", "dry", 6, 2}, {"M", "wet", 6, 2}}, MaxRun: 2, Spread: spread})
		if err != nil {
			t.Fatal(err)
		}
		for i, u := range l.Uses {
			if u.Pieces != want[i] {
				t.Errorf("spread %v: rope %s gives %d pieces, want %d", spread, u.Rope, u.Pieces, want[i])
			}
		}
	}
}

func small() ([]Rope, Demand) {
	return []Rope{{Name: "A", Lot: "M", Length: 30, DiscardStart: 1, Damage: []Interval{{20, 21}}, Middle: 15, MiddleClear: 0.2}},
		Demand{Wants: []Want{{"M", "dry", 3, 2}, {"M", "wet", 3, 2}}, Knots: Knots{2, 0.2, 0.1, ""}, Kerf: 0.005, MaxRun: 2}
}

// Each thing that can be wrong with a list is seen.
func TestCheckSees(t *testing.T) {
	ropes, d := small()
	n := 0
	for name, spoil := range map[string]func(l *List){
		"shorter":           func(l *List) { l.Pieces[0].To -= 0.01 },
		"before the start":  func(l *List) { l.Pieces[0].From, l.Pieces[0].To = 0.5, 3.1 },
		"over the end":      func(l *List) { l.Pieces[5].From, l.Pieces[5].To = 28, 30.6 },
		"overlap":           func(l *List) { l.Pieces[1].From -= 1; l.Pieces[1].To -= 1 },
		"no room for a cut": func(l *List) { l.Pieces[1].From -= 0.005; l.Pieces[1].To -= 0.005 },
		"over damage":       func(l *List) { l.Pieces[5].From, l.Pieces[5].To = 18, 20.6 },
		"over the mark":     func(l *List) { l.Pieces[5].From, l.Pieces[5].To = 13, 15.6 },
		"one missing":       func(l *List) { l.Pieces = l.Pieces[1:] },
		"one too many": func(l *List) {
			l.Pieces = append(l.Pieces, Piece{Label: "x", Rope: "A", Lot: "M", Condition: "damp", From: 24.5, To: 27.1, FreeLength: 2})
		},
		"a label twice":   func(l *List) { l.Pieces[1].Label = l.Pieces[0].Label },
		"another rope":    func(l *List) { l.Pieces[1].Rope = "B" },
		"three in a row":  func(l *List) { sortByCondition(l) },
		"wrong condition": func(l *List) { l.Pieces[0].Condition = l.Pieces[1].Condition; l.Pieces[2].Condition = "damp" },
	} {
		l, err := Plan(ropes, d)
		if err != nil {
			t.Fatal(err)
		}
		if err := Check(l, ropes, d); err != nil {
			t.Fatalf("the list itself: %v", err)
		}
		spoil(l)
		n++
		if Check(l, ropes, d) == nil {
			t.Errorf("%s: not seen", name)
		}
	}
	if n < 13 {
		t.Errorf("%d faults", n)
	}
	two := []Rope{{Name: "A", Lot: "M", Length: 8}, {Name: "B", Lot: "M", Length: 8}}
	l := &List{Uses: []Use{{Rope: "A"}, {Rope: "B"}}}
	for i, c := range []string{"dry", "dry", "wet", "wet"} {
		from := float64(i%2) * 4
		l.Pieces = append(l.Pieces, Piece{Label: fmt.Sprint(i), Rope: two[i/2].Name, Lot: "M", Condition: c, From: from, To: from + 2, FreeLength: 2})
	}
	err := Check(l, two, Demand{Wants: []Want{{"M", "dry", 2, 2}, {"M", "wet", 2, 2}}})
	if got := problem.All(err); len(got) != 2 || got[0].Error() != "rope A: it gives 0 of wet and 2 of dry" {
		t.Errorf("an unbalanced rope: %v", err)
	}
}

func sortByCondition(l *List) {
	for i := range l.Pieces {
		l.Pieces[i].Condition = []string{"dry", "wet"}[i/3]
	}
}

// The draw goes through: over 400 seeds each condition stands in each slot of a rope
// about as often, and every arrangement of two whole sets comes up.
func TestConditionsAreDrawn(t *testing.T) {
	ropes, d := small()
	seen, first := map[string]int{}, 0
	for seed := range uint64(400) {
		d.Seed = seed
		l, err := Plan(ropes, d)
		if err != nil {
			t.Fatal(err)
		}
		order := ""
		for _, p := range l.Pieces {
			order += p.Condition[:1]
		}
		seen[order]++
		if order[0] == 'd' {
			first++
		}
		if l.Arrangements.Int64() != 8 { // (2!)³, pairs side by side allowed
			t.Fatalf("%v arrangements", l.Arrangements)
		}
	}
	if len(seen) != 8 || first < 160 || first > 240 { // 4 standard deviations
		t.Errorf("%d orders, %d begin with dry: %v", len(seen), first, seen)
	}
}

func TestRefusals(t *testing.T) {
	ropes, d := small()
	d.Wants[0].Count, d.Wants[1].Count = 9, 9
	_, err := Plan(ropes, d)
	want := []string{
		"lot M: 18 specimens take 46.80 m without the cuts, its 1 rope of 30.0 m has 27.60 m usable in 3 stretches",
		"with 4 of M, dry, 4 of M, wet there is rope for 8 specimens",
		"one more rope of M with 23.44 m usable would do",
	}
	all := problem.All(err)
	if len(all) != 1 || all[0].Error() != want[0] || !slices.Equal(all[0].Hints, want[1:]) {
		t.Errorf("%v\n%q", err, all[0].Hints)
	}
	d.Wants = []Want{{"M", "dry", 5, 2}, {"M", "wet", 2, 2}}
	d.MaxRun = 1
	if _, err = Plan(ropes, d); problem.KindOf(err) != problem.Conflict || len(problem.All(err)[0].Hints) == 0 {
		t.Errorf("%v", err)
	}
	// One condition follows itself; that is no run.
	if _, err = Plan(ropes, Demand{Wants: []Want{{"M", "dry", 5, 2}, {"M", "", 1, 2}}, MaxRun: 1}); err != nil {
		t.Errorf("one condition: %v", err)
	}
	bad := []Rope{{Name: "A", Lot: "M", Length: -3, Damage: []Interval{{5, 4}}}, {Name: "A", Lot: "M", Length: 5, Middle: 7}}
	_, err = Plan(bad, Demand{Wants: []Want{{"N", "dry", 1, 2}, {"M", "wet", 1, math.NaN()}, {"M", "wet", 1, 1}}, Kerf: -1})
	if got := problem.All(err); len(got) != 9 {
		t.Errorf("%d refusals: %v", len(got), err)
	}
}

// Blinded labels hide the condition, the key opens them, and steps and labels say
// neither.
func TestBlind(t *testing.T) {
	ropes, d := small()
	d.Blind = true
	d.Wants = append(d.Wants, Want{"M", "", 1, 2})
	l, err := Plan(ropes, d)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range l.Key {
		at := slices.IndexFunc(l.Pieces, func(p Piece) bool { return p.Label == k.Label })
		if at < 0 || l.Pieces[at].Condition != k.Condition {
			t.Errorf("the key says %v", k)
		}
	}
	h := l.Hidden()
	if slices.ContainsFunc(h.Pieces, func(p Piece) bool { return p.Spare }) {
		t.Error("a spare shows")
	}
	text := fmt.Sprint(h.Pieces, h.Key, h.Labels(), h.Steps(ropes, d), l.Labels())
	if strings.Contains(text, "dry") || strings.Contains(text, "wet") || strings.Contains(text, "spare") || len(h.Pieces) != 7 {
		t.Errorf("the condition shows: %s", text)
	}
	for _, label := range l.Labels() {
		if label.Lines[len(label.Lines)-1] != "after use: destroy" || len(label.Title) != 4 {
			t.Errorf("%+v", label)
		}
	}
	cuts := 0
	for _, s := range l.Steps(ropes, d) {
		if s.Do == "cut at the mark" && s.Tool == "hot cutter" {
			cuts++
		}
	}
	if cuts != 7 {
		t.Errorf("%d cuts", cuts)
	}
}

func BenchmarkPlan(b *testing.B) {
	var ropes []Rope
	for n := range 10 {
		ropes = append(ropes, Rope{Name: fmt.Sprint(n), Lot: "M", Length: 70 + float64(n), DiscardStart: 1, DiscardEnd: 1, Damage: []Interval{{20, 21}}, Middle: 35, MiddleClear: 0.2})
	}
	d := Demand{Kerf: 0.005, MaxRun: 1, Knots: Knots{2, 0.25, 0.1, ""}}
	for _, c := range []string{"a", "b", "c", "d", "e"} {
		d.Wants = append(d.Wants, Want{"M", c, 40, 2.1})
	}
	for b.Loop() {
		if _, err := Plan(ropes, d); err != nil {
			b.Fatal(err)
		}
	}
}
