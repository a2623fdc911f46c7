package precision

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/refdata"
)

func dryAndWet(t *testing.T) []Pair {
	t.Helper()
	c, err := refdata.Precision("pairs")
	if err != nil {
		t.Fatal(err)
	}
	dry, err := c.Numbers("dry [kN]")
	if err != nil {
		t.Fatal(err)
	}
	wet, err := c.Numbers("wet [kN]")
	if err != nil || len(wet) != 6 {
		t.Fatalf("%d pairs, %v", len(wet), err)
	}
	out := make([]Pair, len(wet))
	for i := range wet {
		out[i] = Pair{"", dry[i], wet[i]}
	}
	return out
}

// Six matched pairs, invented; every figure worked out apart, to all digits
// given.
func TestMatchedPairs(t *testing.T) {
	a, err := Pairs(dryAndWet(t), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "difference", a.Difference, 0.341667, 6)
	within(t, "SD", a.SD, 0.067946, 6)
	within(t, "t", *a.T, 12.31726, 5)
	digits(t, "p", *a.P, 6.24515e-5, 5.5)
	within(t, "lower", a.Interval.Lower, 0.270362, 6)
	within(t, "upper", a.Interval.Upper, 0.412972, 6)
	within(t, "lower 90", a.Interval90.Lower, 0.285772, 6)
	within(t, "upper 90", a.Interval90.Upper, 0.397562, 6)
	digits(t, "TOST", a.Equivalence.P, 0.00115262, 5.5)
	digits(t, "reading", a.Reading.SD, a.SD/math.Sqrt2, 14)
	digits(t, "limit", a.UpperLimit.Value, 0.341667+1.959964*0.067946, 5.5)
	if a.Verdict != Same || !strings.Contains(a.Sentence, "agree within the margin of 0.5000: mean difference 0.3417, 95 % interval 0.2704 to 0.4130") {
		t.Errorf("%q: %s", a.Verdict, a.Sentence)
	}
	for margin, want := range map[float64]PairVerdict{0.3: Higher, 0.39: Unsure, 0: NoMargin} {
		got, err := Pairs(dryAndWet(t), margin)
		if err != nil || got.Verdict != want {
			t.Errorf("margin %g: %q, %v", margin, got.Verdict, err)
		}
		// 0.048333 is left of the margin: t(0.05, 7)·0.067946/√8 = 0.0455 is less,
		// t(0.05, 6)·0.067946/√7 = 0.0499 is more.
		if want == Unsure && *got.Equivalence.Pairs != 8 {
			t.Errorf("pairs needed: %d", *got.Equivalence.Pairs)
		}
	}
	turned := dryAndWet(t)
	for i, p := range turned {
		turned[i] = Pair{"", p.Second, p.First}
	}
	if b, err := Pairs(turned, 0.3); err != nil || b.Verdict != Lower || b.Difference != -a.Difference {
		t.Errorf("turned: %+v, %v", b, err)
	}
}

// How often the intervals of both limits of agreement and of the reading's
// spread hold the truth: 4000 draws of eight pairs, within 93.5 and 96.5 % (four
// standard errors of the simulation are 1.4 %).
func TestAgreementCoverage(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	const draws = 4000
	held := [4]int{}
	for range draws {
		p := make([]Pair, 8)
		for i := range p {
			x := 10 + random.NormFloat64()
			p[i] = Pair{"", x + random.NormFloat64(), x + 0.3 + random.NormFloat64()}
		}
		a, err := Pairs(p, 0)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range []struct {
			in    Interval
			truth float64
		}{
			{a.Interval, 0.3},
			{*a.Reading.Interval, 1},
			{a.UpperLimit.Interval, 0.3 + 1.959964*math.Sqrt2},
			{a.LowerLimit.Interval, 0.3 - 1.959964*math.Sqrt2},
		} {
			if c.in.Lower <= c.truth && c.truth <= c.in.Upper {
				held[i]++
			}
		}
	}
	for i, n := range held {
		if share := float64(n) / draws; share < 0.935 || share > 0.965 {
			t.Errorf("interval %d holds the truth in %.2f %%", i, 100*share)
		}
	}
}

func TestPairsRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		pairs  []Pair
		margin float64
		kind   problem.Kind
		text   string
	}{
		"one":    {[]Pair{{"a", 1, 2}}, 0, problem.TooFew, "1 complete pairs: a spread needs 2"},
		"nan":    {[]Pair{{"a", 1, math.NaN()}, {"", 1, 2}}, 0, problem.Invalid, "pair a: the value is NaN, which is no reading"},
		"margin": {[]Pair{{"a", 1, 2}, {"b", 1, 2}}, -1, problem.Invalid, "margin: it is -1, and has to be the smallest difference that matters"},
	} {
		if _, err := Pairs(c.pairs, c.margin); problem.KindOf(err) != c.kind || err.Error() != c.text {
			t.Errorf("%s: %v", name, err)
		}
	}
	a, err := Pairs([]Pair{{"a", 1, 2}, {"b", 3, 4}}, 0.5)
	if err != nil || a.P != nil || a.Equivalence != nil || a.Verdict != Unsure || len(a.Notes) != 1 {
		t.Errorf("the same difference each time: %+v, %v", a, err)
	}
}

// Differences in proportion to the reading are noted.
func TestPairsTrend(t *testing.T) {
	var p []Pair
	for i := range 8 {
		x := float64(i + 1)
		p = append(p, Pair{"", x, 1.2*x + 0.01*float64(i%2)})
	}
	a, err := Pairs(p, 0)
	if err != nil || len(a.Notes) != 1 || !strings.Contains(a.Notes[0], "change with the size") {
		t.Errorf("%+v, %v", a, err)
	}
}

func BenchmarkPairs(b *testing.B) {
	p := make([]Pair, 30)
	for i := range p {
		p[i] = Pair{"", math.Sin(float64(i)), math.Cos(float64(i))}
	}
	for b.Loop() {
		if _, err := Pairs(p, 0.1); err != nil {
			b.Fatal(err)
		}
	}
}
