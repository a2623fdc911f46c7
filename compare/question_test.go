package compare

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/oneway"
)

// asked is the invented table of testdata/questions.R, kN: two falls of one
// specimen and one of another were lost.
func askedData() Data {
	nan := math.NaN()
	var d Data
	d.add("dry", "D1", 3.412, 3.655, 3.768)
	d.add("dry", "D2", 3.301, 3.598, 3.702)
	d.add("dry", "D3", 3.525, 3.714, 3.955)
	d.add("dry", "D4", 3.388, 3.603, nan)
	d.add("soaked", "S1", 3.604, 3.911, 4.203)
	d.add("soaked", "S2", 3.498, 3.935, 4.151)
	d.add("soaked", "S3", 3.702, 4.108, 4.297)
	d.add("soaked", "S4", nan, 3.956, 4.120)
	return d
}

// A question of each shape, and what lme4, pbkrtest and emmeans of R 4.2.2 give
// for it (testdata/questions.R): estimate, standard error, degrees of freedom, p.
var shapes = []struct {
	name string
	q    Question
	on   map[Scale][4]float64
	said string // a part of the sentence, on logarithms
}{
	{
		"own",
		Question{Condition: "soaked", Baseline: "soaked", Falls: []Fall{"3"}, BaselineFalls: []Fall{"1"}},
		map[Scale][4]float64{
			Log:    {1.555608935e-01, 8.087506957e-03, 1.014176770e+01, 2.585361798e-09},
			Linear: {6.055030235e-01, 3.003836379e-02, 1.013761437e+01, 1.634850101e-09},
		},
		"soaked at fall 3: 16.8\u202f% higher peak force than its own at fall 1",
	},
	{
		"across",
		Question{Condition: "soaked", Baseline: "dry", Falls: []Fall{"3"}, BaselineFalls: []Fall{"1"}},
		map[Scale][4]float64{
			Log:    {2.078184494e-01, 1.649497601e-02, 7.629075334, 2.230977264e-06},
			Linear: {7.862500000e-01, 6.209566980e-02, 7.579757204, 2.274126546e-06},
		},
		"soaked at fall 3: 23.1\u202f% higher peak force than dry at fall 1",
	},
	{
		"trend",
		Question{Condition: "soaked", Baseline: "dry", Trend: true},
		map[Scale][4]float64{
			Log:    {0.023277199707, 0.005718731012, 10.141767701258, 2.184674552e-03},
			Linear: {1.061691087e-01, 2.124033073e-02, 1.013761437e+01, 5.167150263e-04},
		},
		"soaked: the trend of its peak force is 2.4\u202f% a fall above that of dry over falls 1 to 3",
	},
}

// R prints ten digits; the fits agree to about 1e-7 (the optimisers' stops), and
// so do degrees of freedom to 1e-5.
func TestQuestionShapesAgainstR(t *testing.T) {
	checked := 0
	for _, s := range shapes {
		for on, want := range s.on {
			a := analysed(t, askedData(), Ask{Measure: "peak force", Unit: "N", Scale: on, Baseline: "dry"})
			q := s.q
			q.Name, q.Measure = s.name, "peak force"
			q.Amount = 0.05
			if on == Log {
				q.Share, q.Amount = 0.01, 0
			}
			x := answers(t, a, q)[0]
			d := x.Difference
			if !near.Rel(d.Amount, want[0], 1e-6) || !near.Rel(d.SE, want[1], 1e-5) || !near.Rel(d.DF, want[2], 1e-4) || !near.Rel(d.P, want[3], 1e-4) {
				t.Errorf("%s, %s: %.10g %.10g %.10g %.10g, R has %v", s.name, on, d.Amount, d.SE, d.DF, d.P, want)
			}
			if on == Log && !strings.Contains(x.Sentence, s.said) {
				t.Errorf("%s says %q, want %q", s.name, x.Sentence, s.said)
			}
			if x.Verdict != Higher || x.Welch == nil || x.Welch.Verdict != Higher || x.Randomisation != nil {
				t.Errorf("%s, %s: %s, beside it %+v %+v", s.name, on, x.Verdict, x.Welch, x.Randomisation)
			}
			checked++
		}
	}
	if checked != 6 {
		t.Fatalf("%d checked", checked)
	}
}

// The check beside a condition with itself is the t of each specimen's own
// difference: R's t.test of the three that have both falls.
func TestOwnDifferences(t *testing.T) {
	a := analysed(t, askedData(), Ask{Scale: Log})
	x := answers(t, a, Question{Name: "own", Condition: "soaked", Baseline: "soaked", Falls: []Fall{"3"}, BaselineFalls: []Fall{"1"}, Share: 0.01})[0]
	w := x.Welch
	if w == nil || !near.Rel(w.Amount, 0.157985333131, 1e-9) || !near.Rel(w.SE, 0.006725177362, 1e-9) || !near.Rel(w.P, 0.001807155173, 1e-9) || w.DF != 2 {
		t.Errorf("%+v", w)
	}
}

// A claim with a direction is answered by the one-sided p, half the two-sided
// one on its own side and the rest of one on the other, where it finds nothing.
func TestClaims(t *testing.T) {
	for _, way := range []Adjust{None, Holm, Joint} {
		a := analysed(t, askedData(), Ask{Measure: "peak force", Scale: Log, Baseline: "dry", Adjust: way})
		q := Question{Name: "q", Measure: "peak force", Condition: "soaked", Baseline: "dry", Falls: []Fall{"1"}, Share: 0.01}
		higher, lower := q, q
		higher.Claim, lower.Claim = ClaimHigher, ClaimLower
		got := answers(t, a, q, higher, lower)
		two := got[0].Difference.P
		if !(two > 0.001 && two < 0.05) || got[1].Difference.P != two || got[2].Difference.P != two {
			t.Fatalf("two-sided p %g, %g, %g", two, got[1].Difference.P, got[2].Difference.P)
		}
		if got[2].Verdict == Lower || got[2].Verdict == Higher {
			t.Errorf("%s: a claim of lower finds %q", way, got[2].Verdict)
		}
		var want [2]float64
		switch way {
		case None:
			want = [2]float64{two / 2, 1 - two/2}
		case Holm:
			want = [2]float64{3 * two / 2, 1 - two/2}
		case Joint: // keeps its two sides
			want = [2]float64{got[0].Difference.PAdjusted, 1}
		}
		for i, w := range want {
			if !near.Rel(got[i+1].Difference.PAdjusted, w, 1e-9) {
				t.Errorf("%s, %s: p %g, want %g", way, got[i+1].Question.Claim, got[i+1].Difference.PAdjusted, w)
			}
		}
		notes := strings.Join(got[2].Notes, "\n")
		if !strings.Contains(notes, "lies the other way") || (way == Joint) != strings.Contains(notes, "the joint adjustment is of two-sided tests") {
			t.Errorf("%s: notes %q", way, notes)
		}
		if strings.Contains(got[1].Rule, "one-sided p") == (way == Joint) {
			t.Errorf("%s: rule %q", way, got[1].Rule)
		}
	}
	c := oneway.Contrast{Amount: -1, SE: 1, DF: 4, T: -1, P: 0.3739}
	for claim, want := range map[Claim]float64{AnyDifference: 0.3739, ClaimLower: 0.18695, ClaimHigher: 0.81305, ClaimNone: 0.3739} {
		if got := (Question{Claim: claim}).sided(c); !near.Rel(got, want, 1e-12) {
			t.Errorf("%q: %g, want %g", claim, got, want)
		}
	}
}

func TestQuestionsThatAreNone(t *testing.T) {
	good := Question{Name: "q", Condition: "soaked", Baseline: "dry", Share: 0.05}
	cases := []struct {
		spoil func(*Question)
		want  string
	}{
		{func(q *Question) { q.Baseline = "soaked" }, "two conditions are needed"},
		{func(q *Question) { q.Baseline, q.BaselineFalls = "soaked", []Fall{"1"} }, "does not say at which falls"},
		{func(q *Question) { q.Baseline, q.Falls, q.BaselineFalls = "soaked", []Fall{"1", "2"}, []Fall{"2"} }, "compares fall 2"},
		{func(q *Question) { q.BaselineFalls = []Fall{"1", "1.0"} }, "of the baseline, each is named once"},
		{func(q *Question) { q.Trend, q.Falls = true, []Fall{"2"} }, "at least two are needed"},
		{func(q *Question) { q.Trend, q.BaselineFalls = true, []Fall{"2"} }, "the same falls on both sides"},
		{func(q *Question) { q.Trend, q.Falls = true, []Fall{"before", "after"} }, "which is no number"},
		{func(q *Question) { q.Claim = "stronger" }, "no claim"},
	}
	if err := good.check(); err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		q := good
		c.spoil(&q)
		if err := q.check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", q, err, c.want)
		}
	}
	a := analysed(t, askedData(), Ask{})
	if _, err := a.Put([]Question{{Name: "q", Condition: "soaked", Baseline: "dry", Trend: true, Share: 0.01}}); err == nil || !strings.Contains(err.Error(), "not logarithms") {
		t.Errorf("%v", err)
	}
	x := answers(t, a, Question{Name: "q", Condition: "soaked", Baseline: "soaked", Falls: []Fall{"3"}, BaselineFalls: []Fall{"7"}, Amount: 0.1})[0]
	if x.Verdict != NoClaim || !strings.Contains(strings.Join(x.Notes, "\n"), "at fall 7") {
		t.Errorf("%s %q", x.Verdict, x.Notes)
	}
}
