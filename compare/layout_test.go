package compare

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// planned are studies as they are judged in numbers, and whether they fall apart
// into strata.
var planned = map[string]struct {
	w      truth
	ask    Ask
	amount float64
	strata bool
}{
	"log, Holm":       {truth{3, 4, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Holm}, 0, true},
	"averages":        {truth{4, 3, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Holm}, 0, true},
	"averages, joint": {truth{4, 3, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Joint}, 0, true},
	"averages, share": {truth{4, 3, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Adjust: Holm}, 0, true},
	"one way":         {truth{4, 3, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Holm}, 0, true},
	"log, alone":      {truth{2, 3, 5, 0.04, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log}, 0, true},
	"log, joint":      {truth{3, 3, 2, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Joint}, 0, true},
	"share of a mean": {truth{3, 4, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Adjust: Holm}, 0, true},
	"amount":          {truth{3, 4, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Adjust: Holm}, 130, true},
	"no specimens":    {truth{3, 5, 1, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, Adjust: Holm}, 0, true},
	"no own level":    {truth{3, 4, 3, 0.05, 0, 0, 0, 0.04, nil}, Ask{Scale: Log, Adjust: Holm}, 0, true},
	"rope":            {truth{3, 6, 3, 0.05, 0.02, 0, 0.03, 0.02, nil}, Ask{Scale: Log, Blocks: []string{"rope"}, Adjust: Holm}, 0, true},
	"trend":           {truth{3, 4, 4, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, FallsAs: Trend, Adjust: Holm}, 0, true},
	"trends":          {truth{3, 5, 4, 0.05, 0.03, 0.02, 0, 0.02, nil}, Ask{Scale: Log, FallsAs: TrendPerSpecimen, Adjust: Holm}, 0, false},
	"rope out of step": {
		truth{3, 4, 3, 0.05, 0.02, 0, 0.03, 0.02, nil},
		Ask{Scale: Log, Blocks: []string{"rope"}, Adjust: Holm},
		0, false,
	},
	"spread":        {truth{2, 5, 3, 0.05, 0.03, 0, 0, 0.02, []float64{1, 3}}, Ask{Scale: Log, SpreadByCondition: true}, 0, false},
	"Satterthwaite": {truth{3, 4, 3, 0.05, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Log, DF: lmm.Satterthwaite}, 0, false},
}

// plannedQuestions are of each condition over all falls and at the first, one of
// them to one side, and of the last fall against the first; of averages alone for
// "averages" and "one way", whose one number of degrees of freedom is a case of its
// own.
func plannedQuestions(name string, w truth, amount float64) []Question {
	averages, oneWay := strings.HasPrefix(name, "averages"), name == "one way"
	var out []Question
	for c := 1; c < w.conditions; c++ {
		q := Question{Name: fmt.Sprint(c), Measure: "peak force", Unit: "N", Condition: fmt.Sprint("c", c), Baseline: "c0", Share: 0.05}
		if amount > 0 {
			q.Share, q.Amount = 0, amount
		}
		if oneWay {
			q.Claim = ClaimHigher
		}
		out = append(out, q)
		if averages || oneWay {
			continue
		}
		q.Name, q.Falls, q.Claim = fmt.Sprint(c, " first"), []Fall{"1"}, []Claim{AnyDifference, ClaimHigher, ClaimLower}[c%3]
		out = append(out, q)
	}
	if last := FallNumber(w.falls); w.falls > 1 && !averages && !oneWay {
		q := out[0]
		q.Name, q.Baseline, q.Falls, q.BaselineFalls = "itself", "c1", []Fall{last}, []Fall{"1"}
		out = append(out, q)
		if q.Share == 0 || name == "log, Holm" {
			q = out[0]
			q.Name, q.Trend = "trend", true
			out = append(out, q)
		}
	}
	return out
}

// A layout judges values as Analyse and Put do: verdicts, estimates and widths,
// by fitting and, where it falls apart, by strata. 1e-4 is where the searches end
// and what a joint quantile holds; a verdict may differ where a p lies within that
// of 0.05, which none of these does.
func TestLayoutJudgesAsPut(t *testing.T) {
	checked, findings := 0, map[Verdict]int{}
	for name, c := range planned {
		questions := plannedQuestions(name, c.w, c.amount)
		draws := rand.New(rand.NewPCG(8, 1))
		var l *Layout
		var b *Balanced
		var judge *Judge
		for draw := range 2 {
			w := c.w
			w.step = 0.1 * float64(draw)
			d := w.draw(draws)
			asked, err := Analyse(d, c.ask)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			want, err := asked.Put(questions)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if l == nil {
				if l, err = Lay(d, c.ask, questions); err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if b, err = l.Balanced(); (err == nil) != c.strata || err != nil && !errors.Is(err, lmm.ErrNotBalanced) {
					t.Fatalf("%s: strata: %v", name, err)
				}
				if judge, err = l.Judge(asked.table.value); err != nil {
					t.Fatal(err)
				}
			}
			out := make([]Outcome, len(questions))
			if err := judge.Outcomes(slices.Clone(asked.table.value), out); err != nil {
				t.Fatal(err)
			}
			checked += sameOutcomes(t, name+", fitted", out, want)
			if b == nil {
				continue
			}
			sides, squares := b.Reduce(asked.table.value)
			if err := b.Judge().Outcomes(sides, squares, true, out); err != nil {
				t.Fatal(err)
			}
			checked += sameOutcomes(t, name+", by strata", out, want)
			for _, o := range out {
				findings[o.Verdict]++
			}
		}
	}
	if checked < 200 || findings[Higher] < 10 || findings[NoDifference] < 3 || findings[NotSettled] < 10 {
		t.Fatalf("%d checked, %v", checked, findings)
	}
}

func sameOutcomes(t *testing.T, name string, got []Outcome, want []Answer) int {
	t.Helper()
	for i, o := range got {
		v := want[i].Difference.view(want[i].Question.margin())
		half := (v.upper - v.lower) / 2
		tolerance := 2e-4
		if strings.HasPrefix(name, "log, joint, by strata") { // correlations of a grid
			tolerance = 0.01
		}
		same := near.Rel(o.Half, half, tolerance) || math.IsNaN(o.Half) && !(half < math.Inf(1))
		if o.Verdict != want[i].Verdict || !near.Abs(o.Estimate, v.estimate, 1e-4*half) || !same {
			t.Errorf("%s, %s: %s %g ± %g, Put has %s %g ± %g", name, want[i].Question.Name, o.Verdict, o.Estimate, o.Half, want[i].Verdict, v.estimate, half)
		}
	}
	return len(got)
}

// What Analyse or Put refuse is refused before there are values, and so is a study
// from which no interval can be had.
func TestLayRefuses(t *testing.T) {
	w := truth{2, 3, 3, 0.05, 0.03, 0, 0, 0.02, nil}
	d := w.draw(rand.New(rand.NewPCG(1, 1)))
	good := w.question("1")
	one := truth{2, 1, 3, 0.05, 0.03, 0, 0, 0.02, nil}.draw(rand.New(rand.NewPCG(1, 1)))
	far, other, wide := w.question("7"), good, good
	other.Condition, wide.Share = "nowhere", 0
	checked := 0
	for name, c := range map[string]struct {
		d   Data
		ask Ask
		q   Question
	}{
		"a fall beyond":     {d, Ask{Scale: Log}, far},
		"no such condition": {d, Ask{Scale: Log}, other},
		"no margin":         {d, Ask{Scale: Log}, wide},
		"one specimen each": {one, Ask{Scale: Log}, good},
		"no such block":     {d, Ask{Scale: Log, Blocks: []string{"tub"}}, good},
	} {
		if _, err := Lay(c.d, c.ask, []Question{c.q}); len(problem.All(err)) != 1 {
			t.Errorf("%s: %v", name, err)
		}
		checked++
	}
	if checked != 5 {
		t.Fatalf("%d checked", checked)
	}
}

func BenchmarkJudge(b *testing.B) {
	w := truth{6, 3, 5, 0.05, 0.03, 0, 0, 0.02, nil}
	var questions []Question
	for c := 1; c < 6; c++ {
		questions = append(questions, Question{Name: fmt.Sprint(c), Measure: "peak force", Unit: "N", Condition: fmt.Sprint("c", c), Baseline: "c0", Share: 0.05})
	}
	d := w.draw(rand.New(rand.NewPCG(8, 1)))
	l, err := Lay(d, Ask{Scale: Log, Adjust: Holm}, questions)
	if err != nil {
		b.Fatal(err)
	}
	values := make([]float64, len(d.Value))
	for i, v := range d.Value {
		values[i] = math.Log(v)
	}
	out := make([]Outcome, len(questions))
	b.Run("fitted", func(b *testing.B) {
		j, err := l.Judge(values)
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if err := j.Outcomes(values, out); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("strata", func(b *testing.B) {
		s, err := l.Balanced()
		if err != nil {
			b.Fatal(err)
		}
		sides, squares := s.Reduce(values)
		j := s.Judge()
		for b.Loop() {
			if err := j.Outcomes(sides, squares, true, out); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// Quantiles beside t and p beside the level are one rule: for thousands of drawn means
// and sums of squares, one after Holm and each alone, to both sides and to one, on
// logarithms and as shares of a mean.
func TestReachedAreTheChances(t *testing.T) {
	checked, differ := 0, 0
	for _, name := range []string{"averages", "averages, share", "averages, alone", "one way"} {
		c := planned[strings.TrimSuffix(name, ", alone")]
		if name == "averages, alone" {
			c.ask.Adjust = None
		}
		random := rand.New(rand.NewPCG(3, 8))
		l, err := Lay(c.w.draw(random), c.ask, plannedQuestions(name, c.w, 0))
		if err != nil {
			t.Fatal(err)
		}
		b, err := l.Balanced()
		if err != nil {
			t.Fatal(err)
		}
		quick, slow := b.Judge(), b.Judge()
		sides, squares, out := make([]float64, b.Sides), make([]float64, len(b.Degrees)), make([]Outcome, len(l.Questions))
		for range 3000 {
			for i := range sides {
				sides[i] = 0.05 * random.NormFloat64()
				if c.ask.Scale != Log {
					sides[i]++
				}
			}
			for k := range squares {
				squares[k] = 0.0008 * b.Degrees[k] * math.Exp(random.NormFloat64()) * float64(1+2*(1-k%2))
			}
			if err := quick.Outcomes(sides, squares, false, out); err != nil {
				t.Fatal(err)
			}
			if err := slow.Outcomes(sides, squares, false, out); err != nil {
				t.Fatal(err)
			}
			if err := slow.chances(); err != nil {
				t.Fatal(err)
			}
			for i := range out {
				d, e := slow.family[i], quick.family[i]
				if (slow.by.p[i] < alpha) != (quick.by.p[i] < alpha) || (d.EquivalencePAdjusted < alpha) != (e.EquivalencePAdjusted < alpha) {
					t.Fatalf("%s: p %g and %g, by quantiles %g and %g", name, slow.by.p[i], d.EquivalencePAdjusted, quick.by.p[i], e.EquivalencePAdjusted)
				}
				if slow.by.p[i] < alpha || d.EquivalencePAdjusted < alpha {
					differ++
				}
				checked++
			}
		}
	}
	if checked != 4*3000*3 || differ < checked/20 || differ > checked*9/10 {
		t.Fatalf("%d checked, %d of them found something", checked, differ)
	}
}
