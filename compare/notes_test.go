package compare

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// Each note has its cause, and without one there is nothing to say.
func TestAnswerNotes(t *testing.T) {
	three := func(mean float64) []float64 { return lognormalValues(3, mean, 0.015) }
	for _, c := range []struct {
		name        string
		ask         Ask
		q           Question
		soaked, dry []float64
		want        []string // each the beginning of a note
	}{
		{"nothing to say", Ask{}, salt, lognormalValues(4, 4000, 0.02), lognormalValues(4, 3500, 0.02), nil},
		{"three and three", Ask{}, salt, three(4000), three(3500), []string{
			"3 and 3 specimens dealt anew in all 20 ways: p 0.1; so few can give no p below 0.1: this check can neither bear the difference out",
		}},
		{"one", Ask{}, salt, three(4000)[:1], three(3500), []string{"Marram soaked has 1 specimen with a value at fall 1: a finding needs two a condition"}},
		{"copied", Ask{}, salt, three(4000), []float64{3500, 3500, 3500}, []string{
			"all values of Marram dry are the same: look whether they were copied or rounded", "3 and 3 specimens dealt",
		}},
		{"seen but small", Ask{}, salt, lognormalValues(4, 1.03*3500, 0.005), lognormalValues(4, 3500, 0.005), []string{
			"a difference was seen (p ",
		}},
		{"unequal", Ask{}, salt, lognormalValues(4, 4000, 0.02), lognormalValues(5, 3500, 0.02), []string{
			"unequal numbers, 4 and 5: where the smaller group varies more, the interval errs more often than it says; add to Marram soaked first",
		}},
		{"two", Ask{}, salt, lognormalValues(2, 4500, 0.005), lognormalValues(2, 3500, 0.005), []string{
			"two specimens say little about how much specimens vary: the interval rests on 2.0 degrees of freedom; a third a condition would steady it", "2 and 2 specimens dealt",
		}},
	} {
		c.ask.Scale = Log
		q := c.q
		q.Falls = []Fall{"1"}
		var d Data
		for i, v := range c.soaked {
			d.add(q.Condition, "S"+string(rune('1'+i)), v)
		}
		for i, v := range c.dry {
			d.add(q.Baseline, "D"+string(rune('1'+i)), v)
		}
		x := answers(t, analysed(t, d, c.ask), q)[0]
		same := slices.EqualFunc(x.Notes, c.want, strings.HasPrefix)
		if !same || x.Notes == nil {
			t.Errorf("%s (%s):\n%s\nwant\n%s", c.name, x.Verdict, strings.Join(x.Notes, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// No claim in spite of specimens enough has its reason: no spread at all, or a
// baseline that gives no per cent.
func TestNotesWithout(t *testing.T) {
	for _, c := range []struct {
		soaked, dry []float64
		q           Question
		verdict     Verdict
		want        string
	}{
		{[]float64{3, 3}, []float64{4, 4}, inN(), NoClaim, "the values repeat without any residual spread, so there are numbers without intervals: look whether they were copied or rounded"},
		{[]float64{3, 4, 5}, []float64{-1, 0, 1}, salt, NoClaim, "the mean of Marram dry is not above zero: the difference cannot be had in per cent, only as an amount, so only a margin in the unit of the measure can be judged"},
		{[]float64{3, 4, 5}, []float64{-1, 0, 1}, inN(), NoDifference, ""},
	} {
		var d Data
		d.group(salt.Condition, c.soaked...)
		d.group(salt.Baseline, c.dry...)
		c.q.Falls = nil
		x := answers(t, analysed(t, d, Ask{}), c.q)[0]
		if x.Verdict != c.verdict || c.want != "" && !slices.Contains(x.Notes, c.want) {
			t.Errorf("%s, %q, want %s, %q", x.Verdict, x.Notes, c.verdict, c.want)
		}
	}
}

// Specimens that differ less than their falls do leave a spread of zero, and it
// is said; so are two specimens among other conditions, and a test that
// re-randomisation does not bear out.
func TestNotesOfTheModel(t *testing.T) {
	var d Data
	for c, condition := range []string{"dry", "wet", "worn"} {
		for i, values := range [][]float64{{100, 104, 96}, {104, 96, 100}, {96, 100, 104}}[:3-c/2] {
			for f := range values {
				values[f] += 5 * float64(c)
			}
			d.add(condition, condition+string(rune('1'+i)), values...)
		}
	}
	q := Question{Name: "worn", Measure: "x", Condition: "worn", Baseline: "dry", Amount: 3}
	x := answers(t, analysed(t, d, Ask{}), q)[0]
	for _, want := range []string{
		"the spread between specimens is estimated at zero: with few levels that is no proof that there is none, so look at the single values too",
		"two specimens say little about how much specimens vary: the interval leans on the spread in the other conditions, ",
	} {
		if !slices.ContainsFunc(x.Notes, func(n string) bool { return strings.HasPrefix(n, want) }) {
			t.Errorf("%q, want %q", x.Notes, want)
		}
	}
	zero := &Analysis{Random: []Random{{Group: "rope", Term: "intercept", SD: 0}, {Group: "specimen", Term: "fall", SD: 0}, {Group: "specimen", Term: "intercept", SD: 1}}}
	for i, want := range []string{"the spread between levels of rope is", "the spread between specimens in their trend over falls is"} {
		if got := zero.atZero(); len(got) != 2 || !strings.HasPrefix(got[i], want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
	claimed := Answer{Verdict: Higher, Question: salt, Randomisation: &Randomisation{P: 0.2, Exact: true, Smallest: 0.01, Said: "said"}}
	if got := crossChecks(claimed); len(got) != 1 || got[0] != "said: by this check alone the difference would not be claimed" {
		t.Errorf("%q", got)
	}
	claimed.Randomisation.P = 0.04
	if got := crossChecks(claimed); len(got) != 0 {
		t.Errorf("%q", got)
	}
}

// Specimens come to the mean of their falls, repeats of one fall counting once.
func TestBring(t *testing.T) {
	var d Data
	d.add("a", "S1", 10, 20, 31)
	d.add("a", "S1", 14)
	d.add("a", "S3", 60, math.NaN(), 83)
	d.add("a", "S2", 60, 70, 82)
	d.add("b", "T1", 1, 2, 3)
	d.add("b", "T2", 1, 2, 4)
	b := analysed(t, d, Ask{}).table.bring("a", []Fall{"3", "1"}, nil)
	if !slices.Equal(b.specimen, []string{"S1", "S2", "S3"}) || !slices.Equal(b.value, []float64{21.5, 71, 71.5}) || len(b.lacking) != 0 {
		t.Errorf("%+v", b)
	}
	b = analysed(t, d, Ask{}).table.bring("a", []Fall{"1", "2", "3"}, nil)
	if !slices.Equal(b.specimen, []string{"S1", "S2"}) || len(b.lacking) != 1 || b.lacking[0].specimen != "S3" || !slices.Equal(b.lacking[0].falls, []Fall{"2"}) {
		t.Errorf("%+v", b)
	}
}
