package compare

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// Every verdict on both scales, with its sentence. The limits are worked by
// hand. With three specimens a condition and equal spread the interval is
// estimate ± t·s·√(2/3) on 4 degrees of freedom, t 2.7764 at 95 % and 2.1318 at
// 90 %: on logarithms of spread 0.015 that is ±0.0340 and ±0.0261, on values of
// spread 60 N ±0.136 and ±0.104 kN.
func TestPutSays(t *testing.T) {
	for _, c := range []struct {
		name        string
		q           Question
		soaked, dry []float64
		verdict     Verdict
		needed      int
		sentence    string
	}{
		{
			"beyond the margin", salt, lognormal(3, 1.098*3500, 0.015), lognormal(3, 3500, 0.015), Higher, 0,
			// ln 1.098 = 0.0935: e^0.0595 and e^0.1275
			"Marram soaked: 9.8 % higher peak force than Marram dry at fall 5 (95 % interval 6.1 to 13.6 %; 3 and 3 specimens).",
		},
		{
			"excludes zero, estimate beyond", salt, lognormal(3, 0.94*3500, 0.015), lognormal(3, 3500, 0.015), Lower, 0,
			// ln 0.94 = −0.0619: e^−0.0279 and e^−0.0959
			"Marram soaked: 6.0 % lower peak force than Marram dry at fall 5 (95 % interval 2.7 to 9.1 %; 3 and 3 specimens).",
		},
		{
			"inside at 90 %", salt, lognormal(3, 1.008*3500, 0.015), lognormal(3, 3500, 0.015), NoDifference, 0,
			// ln 1.008 = 0.0080: e^−0.0181 and e^0.0341
			"Marram soaked: no difference that matters in peak force from Marram dry at fall 5, 0.8 % higher (90 % interval 1.8 % lower to 3.5 % higher, inside the margin of 5.0 %; 3 and 3 specimens).",
		},
		{
			"wide", salt, lognormal(3, 0.98*3500, 0.04), lognormal(3, 3500, 0.04), NotSettled, 7,
			// ln 0.98 = −0.0202, ±0.0907; h = ln(1 + 0.05/0.98) = 0.0498: t on 10 is
			// 2.228, 2.228·0.04·√(2/6) = 0.0515; on 12 it is 2.179, 0.0466.
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5, 2.0 % lower (95 % interval 10.5 % lower to 7.3 % higher, margin 5.0 %; 3 and 3 specimens); about 7 specimens a condition would narrow the interval to the margin at the spread seen.",
		},
		{
			"narrow but near the margin", salt, lognormal(3, 1.04*3500, 0.015), lognormal(3, 3500, 0.015), NotSettled, 0,
			// ln 1.04 = 0.0392: e^0.0052 and e^0.0732, at 90 % up to e^0.0653 = 1.068
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5, 4.0 % higher (95 % interval 0.5 to 7.6 %, margin 5.0 %; 3 and 3 specimens); the interval is as narrow as the margin already, the difference lies too close to the margin to call.",
		},
		{
			"one specimen", salt,
			[]float64{3843},
			lognormal(3, 3500, 0.015), NoClaim, Unknown,
			"Marram soaked: no claim about its peak force against Marram dry at fall 5, 9.8 % higher (1 and 3 specimens).",
		},
		{
			"none", salt, nil, lognormal(3, 3500, 0.015), NoClaim, Unknown,
			"Marram soaked: no claim about its peak force against Marram dry at fall 5 (0 and 3 specimens).",
		},
		{
			"amount, higher", inN(), normal(3, 3800, 60), normal(3, 3500, 60), Higher, 0,
			"Marram soaked: 0.30 kN higher peak force than Marram dry at fall 5 (95 % interval 0.16 to 0.44 kN; 3 and 3 specimens).",
		},
		{
			"amount, inside", inN(), normal(3, 3490, 60), normal(3, 3500, 60), NoDifference, 0,
			"Marram soaked: no difference that matters in peak force from Marram dry at fall 5, 0.01 kN lower (90 % interval 0.11 kN lower to 0.09 kN higher, inside the margin of 0.20 kN; 3 and 3 specimens).",
		},
		{
			"amount, wide", inN(), normal(3, 3600, 200), normal(3, 3500, 200), NotSettled, 9,
			// ±0.453 kN; t.975 on 14 is 2.145: 2.145·200·√(2/8) = 214; on 16, 2.120: 200·0.9994
			"Marram soaked: not settled whether its peak force differs from Marram dry at fall 5, 0.10 kN higher (95 % interval 0.35 kN lower to 0.55 kN higher, margin 0.20 kN; 3 and 3 specimens); about 9 specimens a condition would narrow the interval to the margin at the spread seen.",
		},
	} {
		a := put(t, c.q, c.soaked, c.dry)
		want := strings.ReplaceAll(c.sentence, " %", "\u202f%") // does not break
		if a.Verdict != c.verdict || a.Needed != c.needed || a.Sentence != want {
			t.Errorf("%s: %s, needed %d\n%s\nwant %s, %d\n%s", c.name, a.Verdict, a.Needed, a.Sentence, c.verdict, c.needed, want)
		}
		if strings.Contains(a.Sentence+a.Rule+strings.Join(a.Notes, ""), " %") {
			t.Errorf("%s: a number can be parted from its per cent: %s", c.name, strings.Join(append(a.Notes, a.Sentence, a.Rule), "\n"))
		}
		if !reflect.DeepEqual(a.Question, c.q) {
			t.Errorf("%s: the question was altered", c.name)
		}
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

func TestRuleNamesTheMargin(t *testing.T) {
	const want = "harder or softer when the 95 % Welch interval of the ratio of geometric means excludes zero and the estimate lies at or beyond the margin of 5.0 %; no difference that matters when the 90 % interval lies wholly inside the margin (two one-sided tests at 5 %); otherwise not settled. No adjustment for several comparisons."
	if got := rule(salt); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	q := inN()
	q.Measure, q.Unit, q.Amount = "rebound speed", "m/s", 0.5
	if got := rule(q); !strings.HasPrefix(got, "higher or lower when the 95 % Welch interval excludes zero and the estimate lies at or beyond the margin of 0.50 m/s;") {
		t.Error(got)
	}
}

// Falls in plain words, whatever order they are named in.
func TestFallWords(t *testing.T) {
	for _, c := range []struct {
		falls []int
		want  string
	}{
		{[]int{5}, "at fall 5"},
		{[]int{2, 1}, "over falls 1 and 2"},
		{[]int{3, 1, 2}, "over falls 1 to 3"},
		{[]int{5, 1, 3}, "over falls 1, 3 and 5"},
		{[]int{1, 2, 4}, "over falls 1, 2 and 4"},
	} {
		before := slices.Clone(c.falls)
		if got := fallWords(c.falls); got != c.want || !slices.Equal(before, c.falls) {
			t.Errorf("%v: %q, want %q, and the falls left alone: %v", before, got, c.want, c.falls)
		}
	}
}
