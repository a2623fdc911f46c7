package compare

import (
	"math"
	"slices"
	"strings"
	"testing"
)

var salt = Question{
	Name: "salt", Asks: "Does salt water make the fifth catch harder?", Measure: "peak force", Unit: "N",
	Condition: "Marram soaked", Baseline: "Marram dry", Falls: []Fall{"5"}, Share: 0.05,
}

// inN is the same question with a margin of 0.2 kN.
func inN() Question {
	q := salt
	q.Share, q.Amount = 0, 200
	return q
}

// inPercent and amount are differences as sentences need them.
func inPercent(percent, lower, upper, lower90, upper90 float64) Difference {
	return Difference{
		Condition: salt.Condition, Baseline: salt.Baseline, Fall: "5", N: 3, NBaseline: 3, Amount: math.Log1p(percent / 100),
		Percent: percent, PercentLower: lower, PercentUpper: upper, PercentLower90: lower90, PercentUpper90: upper90,
	}
}

func amount(x, lower, upper, lower90, upper90 float64) Difference {
	nan := math.NaN()
	return Difference{
		Condition: salt.Condition, Baseline: salt.Baseline, Fall: "5", N: 3, NBaseline: 3,
		Amount: x, Lower: lower, Upper: upper, Lower90: lower90, Upper90: upper90, Percent: nan, PercentLower: nan, PercentUpper: nan,
	}
}

// Every verdict on both scales, with its sentence.
func TestSentences(t *testing.T) {
	alone := manner{adjust: None, asked: 1, scale: Log, unit: "specimens"}
	linear := manner{adjust: None, asked: 1, scale: Linear, unit: "specimens"}
	three := manner{adjust: Joint, asked: 3, scale: Log, unit: "values"}
	nan := math.NaN()
	checked := 0
	for _, c := range []struct {
		m       manner
		q       Question
		d       Difference
		verdict Verdict
		settle  Settle
		want    string
	}{
		{
			alone, salt, inPercent(9.8, 6.1, 13.6, 7, 12.7), Higher,
			Settle{},
			"Marram soaked: 9.8 % higher peak force than Marram dry at fall 5 (95 % interval 6.1 to 13.6 %; 3 and 3 specimens).",
		},
		{
			alone, salt, inPercent(-6, -9.1, -2.7, -8, -3), Lower,
			Settle{},
			"Marram soaked: 6.0 % lower peak force than Marram dry at fall 5 (95 % interval 2.7 to 9.1 %; 3 and 3 specimens).",
		},
		{
			three, salt, inPercent(0.8, -2.5, 4.3, -1.8, 3.5), NoDifference,
			Settle{},
			"Marram soaked: no difference that matters in peak force from Marram dry at fall 5 (seen 0.8 % higher, 90 % interval adjusted for 3 questions 1.8 % lower to 3.5 % higher, inside the margin of 5.0 %; 3 and 3 values).",
		},
		{
			alone, salt, inPercent(-2, -10.5, 7.3, -9, 6), NotSettled,
			Settle{17, 23, 7, 9},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 2.0 % lower, 95 % interval 10.5 % lower to 7.3 % higher, margin 5.0 %; 3 and 3 specimens); about 17 specimens a condition would settle it with 80 % power (23 with 90 %) if the difference is what was seen; were there none, 7 would show that (9 with 90 %).",
		},
		{
			alone, salt, inPercent(4.99, 0.5, 9.3, 1, 9), NotSettled,
			Settle{Unknown, Unknown, 7, 9},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 5.0 % higher, 95 % interval 0.5 to 9.3 %, margin 5.0 %; 3 and 3 specimens); the difference seen lies so near the margin that even 1000 specimens a condition would not settle it with 80 % power; if there is none, about 7 would show that (9 with 90 %).",
		},
		{
			linear, inN(), amount(100, -350, 550, -200, 400), NotSettled,
			Settle{900, Unknown, Unknown, Unknown},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 0.10 kN higher, 95 % interval 0.35 kN lower to 0.55 kN higher, margin 0.20 kN; 3 and 3 specimens); about 900 specimens a condition would settle it with 80 % power (more than 1000 with 90 %) if the difference is what was seen; were there none, more than 1000 would be needed to show that.",
		},
		{
			linear, inN(), amount(199, -3500, 5500, -2000, 4000), NotSettled,
			Settle{Unknown, Unknown, Unknown, Unknown},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 0.20 kN higher, 95 % interval 3.50 kN lower to 5.50 kN higher, margin 0.20 kN; 3 and 3 specimens); at the spread seen even 1000 specimens a condition would not settle it with 80 % power.",
		},
		{
			linear, inN(), amount(199, -3500, 5500, -2000, 4000), NotSettled,
			Settle{},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 0.20 kN higher, 95 % interval 3.50 kN lower to 5.50 kN higher, margin 0.20 kN; 3 and 3 specimens).",
		},
		{
			linear, salt, inPercent(20, nan, nan, -5, 60), NotSettled,
			Settle{},
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5 (seen 20.0 % higher, 95 % interval without bounds, margin 5.0 %; 3 and 3 specimens).",
		},
		{
			linear, inN(), amount(-10, -130, 110, -110, 90), NoDifference,
			Settle{},
			"Marram soaked: no difference that matters in peak force from Marram dry at fall 5 (seen 0.01 kN lower, 90 % interval 0.11 kN lower to 0.09 kN higher, inside the margin of 0.20 kN; 3 and 3 specimens).",
		},
		{ // Holm's steps come to it, Bonferroni's limits do not
			three, salt, inPercent(0.8, -5, 7, -4, 5.3), NoDifference,
			Settle{},
			"Marram soaked: no difference that matters in peak force from Marram dry at fall 5 (seen 0.8 % higher, 90 % interval adjusted for 3 questions 4.0 % lower to 5.3 % higher, margin 5.0 %; 3 and 3 values).",
		},
		{
			alone, salt, inPercent(9.8, nan, nan, nan, nan), NoClaim,
			Settle{},
			"Marram soaked: no claim about its peak force against Marram dry at fall 5, 9.8 % higher (3 and 3 specimens).",
		},
		{
			alone, salt, inPercent(nan, nan, nan, nan, nan), NoClaim,
			Settle{},
			"Marram soaked: no claim about its peak force against Marram dry at fall 5 (3 and 3 specimens).",
		},
		{
			alone, salt, amount(0.1, nan, nan, nan, nan), NoClaim, Settle{}, // a difference of logarithms is no amount
			"Marram soaked: no claim about its peak force against Marram dry at fall 5 (3 and 3 specimens).",
		},
		{
			linear, salt, amount(300, nan, nan, nan, nan), NoClaim,
			Settle{},
			"Marram soaked: no claim about its peak force against Marram dry at fall 5, 0.30 kN higher (3 and 3 specimens).",
		},
	} {
		if got := c.m.parts(Answer{Question: c.q, Verdict: c.verdict, Difference: c.d, Settle: c.settle}).sentence(); got != c.want {
			t.Errorf("%s\nwant\n%s", got, c.want)
		}
		checked++
	}
	if checked != 15 {
		t.Fatalf("%d checked", checked)
	}
}

// Where Holm's steps decide, the limits shown may say otherwise: the notes say so,
// and never that an interval leaves out what it takes in.
func TestDecides(t *testing.T) {
	holm := manner{adjust: Holm, asked: 5, scale: Log, unit: "specimens"}
	d := func(at, low, high, low90, high90, p float64) Difference {
		out := inPercent(at, low, high, low90, high90)
		out.PAdjusted = p
		return out
	}
	for _, c := range []struct {
		verdict Verdict
		d       Difference
		want    []string
	}{
		{NotSettled, d(3.2, -0.1, 6.7, 0.2, 6.4, 0.025), []string{"a difference was seen (p 0.025), but its estimate is smaller", "takes in zero, though the p is below 0.05"}},
		{NotSettled, d(3.2, 0.1, 6.7, 0.4, 6.4, 0.021), []string{"a difference was seen (p 0.021), but"}},
		{Higher, d(6, -0.2, 12, 0.3, 11, 0.03), []string{"takes in zero"}},
		{Higher, d(6, 1, 11, 2, 10, 0.004), nil},
		{NoDifference, d(1, -6, 7, -3, 5.2, 0.7), []string{"reaches beyond the margin"}},
		{NoDifference, d(1, -3, 4, -2, 3, 0.7), nil},
		{NoClaim, d(3.2, -0.1, 6.7, 0.2, 6.4, 0.025), nil},
	} {
		got := holm.decides(Answer{Question: salt, Verdict: c.verdict, Difference: c.d})
		if !slices.EqualFunc(got, c.want, strings.Contains) {
			t.Errorf("%s %+v: %q, want %q", c.verdict, c.d, got, c.want)
		}
	}
}

// A number is never parted from its per cent.
func TestTie(t *testing.T) {
	a := Answer{Sentence: "5 % and 6 %", Rule: "7 %", Notes: []string{"the 95 % interval"}}
	a.tie()
	if text := a.Sentence + a.Rule + a.Notes[0]; strings.Contains(text, " %") || strings.Count(text, "\u202f%") != 4 {
		t.Error(text)
	}
}

func TestWord(t *testing.T) {
	for _, v := range []Verdict{Higher, Lower, NoDifference, NotSettled, NoClaim} {
		want := map[Verdict]string{Higher: "harder", Lower: "softer"}[v]
		if want == "" {
			want = string(v)
		}
		if got := v.Word("peak force"); got != want {
			t.Errorf("%s of peak force is %q, want %q", v, got, want)
		}
		if got := v.Word("rebound speed"); got != string(v) {
			t.Errorf("%s of rebound speed is %q", v, got)
		}
	}
}

// The rule in use is printed whole: margin, adjustment, degrees of freedom.
func TestRule(t *testing.T) {
	for _, c := range []struct {
		m    manner
		q    Question
		want []string
	}{
		{
			manner{adjust: None, asked: 1, scale: Log, unit: "specimens"},
			salt,
			[]string{"harder or softer when the 95 % interval of the ratio of geometric means excludes zero (p < 0.05) and the estimate lies at or beyond the margin of 5.0 %; no difference that matters when the 90 % interval lies wholly inside the margin (two one-sided tests at 5 %); no claim with fewer than two specimens in a condition; otherwise not settled. Mixed model, degrees of freedom by Kenward-Roger. One question, so nothing to adjust for."},
		},
		{
			manner{adjust: None, asked: 4, scale: Linear, by: 1, unit: "values"},
			salt,
			[]string{"95 % interval of the difference in per cent of the baseline's mean", "by Satterthwaite. No adjustment for 4 questions.", "fewer than two values"},
		},
		{
			manner{adjust: Holm, asked: 3, unit: "specimens"},
			inN(),
			[]string{"the p of the difference is below 0.05 after Holm's steps over 3 questions", "margin of 0.20 kN", "both one-sided tests against the margin have p below 0.05", "by Bonferroni's share of 3"},
		},
		{
			manner{adjust: Joint, asked: 3, unit: "specimens"},
			inN(),
			[]string{"adjusted jointly over 3 questions by the multivariate t."},
		},
	} {
		for _, want := range c.want {
			if got := c.m.rule(c.q); !strings.Contains(got, want) {
				t.Errorf("%s\nwant\n%s", got, want)
			}
		}
	}
}

func TestUnits(t *testing.T) {
	for unit, want := range map[string]string{"N": "1.23 kN", "m": "1234.500 m", "m/s": "1234.50 m/s", "J": "1234 J", "": "1234"} {
		if got := (Question{Unit: unit}).show(1234.5); got != want {
			t.Errorf("%q: %q, want %q", unit, got, want)
		}
	}
}

// Falls in plain words, whatever order they are named in.
func TestFallWords(t *testing.T) {
	for _, c := range []struct {
		falls []Fall
		want  string
	}{
		{nil, ""},
		{[]Fall{""}, ""},
		{[]Fall{"5"}, " at fall 5"},
		{[]Fall{"2", "1"}, " over falls 1 and 2"},
		{[]Fall{"3", "1", "2"}, " over falls 1 to 3"},
		{[]Fall{"5", "1", "3"}, " over falls 1, 3 and 5"},
		{[]Fall{"1", "2", "4"}, " over falls 1, 2 and 4"},
		{[]Fall{"10", "9", "11"}, " over falls 9 to 11"},
		{[]Fall{"first", "last"}, " over falls first and last"},
		{[]Fall{"last", "1", "2"}, " over falls last, 1 and 2"},
	} {
		before := slices.Clone(c.falls)
		if got := fallWords(c.falls); got != c.want || !slices.Equal(before, c.falls) {
			t.Errorf("%v: %q, want %q, and the falls left alone: %v", before, got, c.want, c.falls)
		}
	}
}
