package compare

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Example 1 of [Lakens2017] through the rule: means 5.25 and 5.22, SD 0.95 and
// 0.83 of 95 and 89 people, margin 0.43 standard deviations. One spread, that of
// the pool: t(182) = −2.68737, p 0.0039346; a spread each, the root mean square
// of the two, where Kenward-Roger gives Welch's degrees of freedom:
// t(181.13) = −2.69277, p 0.0038755 (R 4.2.2). Printed digits.
func TestPutLakens(t *testing.T) {
	var d Data
	d.group("first", normalValues(95, 5.25, 0.95)...)
	d.group("second", normalValues(89, 5.22, 0.83)...)
	q := Question{Name: "example 1", Measure: "score", Condition: "first", Baseline: "second"}
	for _, c := range []struct {
		spread    bool
		sd, df, p float64
	}{
		{false, math.Sqrt((94*0.95*0.95 + 88*0.83*0.83) / 182), 182, 0.0039346},
		{true, math.Sqrt((0.95*0.95 + 0.83*0.83) / 2), 181.13, 0.0038755},
	} {
		q.Amount = 0.43 * c.sd
		x := answers(t, analysed(t, d, Ask{Baseline: "second", SpreadByCondition: c.spread}), q)[0]
		if x.Verdict != NoDifference || !near.Abs(x.Difference.DF, c.df, 0.005) || !near.Abs(x.Difference.EquivalenceP, c.p, 5e-8) {
			t.Errorf("%s, %.5g degrees of freedom, p %.7f; want %+v", x.Verdict, x.Difference.DF, x.Difference.EquivalenceP, c)
		}
		if x.Welch == nil || !near.Abs(x.Welch.DF, 181.13, 0.005) || x.Welch.Verdict != NoDifference {
			t.Errorf("welch %+v", x.Welch)
		}
		if !strings.Contains(x.Sentence, "95 and 89 values") {
			t.Error(x.Sentence)
		}
	}
}

// matched is six pairs of invented peak forces in kN, each pair cut side by side.
func matched() Data {
	var d Data
	for i := range wet {
		d.add("wet", "W"+string(rune('1'+i)), wet[i])
		d.add("dry", "D"+string(rune('1'+i)), dry[i])
	}
	d.columnOf("pair", func(specimen string) string { return specimen[1:] })
	return d
}

// Six matched pairs, R 4.2.2 (t.test): paired difference 0.341667, t 12.31726 on
// 5, p 6.24515e-05, 95 % 0.270362 to 0.412972, 90 % 0.285772 to 0.397562, two
// one-sided tests against 0.5: p 0.00115262; unpaired by Welch t 3.55131 on
// 9.91885, p 0.00532377. Re-randomised within pairs: 2 of 2^6. Printed digits;
// the mixed model with the pair as a block is the paired test exactly.
func TestPutMatchedPairs(t *testing.T) {
	q := Question{Name: "wet", Measure: "peak force", Unit: "kN", Condition: "wet", Baseline: "dry", Amount: 0.5, Within: "pair"}
	a := analysed(t, matched(), Ask{Baseline: "dry", Blocks: []string{"pair"}})
	x := answers(t, a, q)[0]
	d := x.Difference
	for i, r := range []struct{ got, want, tol float64 }{
		{d.Amount, 0.341667, 5e-7},
		{d.T, 12.31726, 5e-6},
		{d.DF, 5, 1e-6},
		{d.P, 6.24515e-05, 5e-11},
		{d.Lower, 0.270362, 5e-7},
		{d.Upper, 0.412972, 5e-7},
		{d.Lower90, 0.285772, 5e-7},
		{d.Upper90, 0.397562, 5e-7},
		{d.EquivalenceP, 0.00115262, 5e-9},
		{x.Welch.Amount / x.Welch.SE, 3.55131, 5e-6},
		{x.Welch.DF, 9.91885, 5e-6},
		{x.Welch.P, 0.00532377, 5e-9},
		{x.Randomisation.P, 2. / 64, 1e-15},
		{x.Randomisation.Smallest, 2. / 64, 1e-15},
	} {
		if !near.Abs(r.got, r.want, r.tol) {
			t.Errorf("figure %d: %.9g, want %.9g", i, r.got, r.want)
		}
	}
	if x.Verdict != NoDifference || x.Welch.Verdict != NotSettled {
		t.Errorf("%s, by Welch %s", x.Verdict, x.Welch.Verdict)
	}
	if want := `with one value a specimen and nothing but these two conditions, Welch's test comes to "not settled" (p 0.0053): the finding hangs on the model`; !slices.Contains(x.Notes, want) {
		t.Errorf("%q", x.Notes)
	}
}

// The fabrics of [Dunnett1955] as three questions: joint p 0.0365, 0.8964,
// 0.4093 (R's multcomp, ±0.0005), interval of the first 11 ± 2.87966·√(19·2/3),
// the factor by a Gauss quadrature of its own in SciPy; Holm's steps on the p
// values of none. The adjustment sees only the questions that are put, not the
// tables of the analysis.
func TestPutAdjusts(t *testing.T) {
	var d Data
	d.group("standard", 55, 47, 48)
	d.group("process 1", 55, 64, 64)
	d.group("process 2", 55, 49, 52)
	d.group("process 3", 50, 44, 41)
	q := func(condition string) Question {
		return Question{Name: condition, Measure: "strength", Condition: condition, Baseline: "standard", Amount: 5}
	}
	all := []Question{q("process 1"), q("process 2"), q("process 3")}
	plain := answers(t, analysed(t, d, Ask{}), all...)
	joint := answers(t, analysed(t, d, Ask{Adjust: Joint}), all...)
	holm := answers(t, analysed(t, d, Ask{Adjust: Holm}), all...)
	for i, want := range []float64{0.0365, 0.8964, 0.4093} {
		if !near.Abs(joint[i].Difference.PAdjusted, want, 5e-4) {
			t.Errorf("joint p of %s: %.5f, want %g", all[i].Name, joint[i].Difference.PAdjusted, want)
		}
		p := plain[i].Difference
		if p.PAdjusted != p.P || p.EquivalencePAdjusted != p.EquivalenceP {
			t.Errorf("adjusted although none was asked for: %+v", p)
		}
	}
	half := 2.87966 * math.Sqrt(38./3)
	if f := joint[0].Difference; !near.Abs(f.Lower, 11-half, 1e-4) || !near.Abs(f.Upper, 11+half, 1e-4) {
		t.Errorf("joint interval %g to %g", f.Lower, f.Upper)
	}
	var p, equivalence []float64
	for _, x := range plain {
		p, equivalence = append(p, x.Difference.P), append(equivalence, x.Difference.EquivalenceP)
	}
	p, _ = lmm.Holm(p)
	equivalence, _ = lmm.Holm(equivalence)
	for i, x := range holm {
		if x.Difference.PAdjusted != p[i] || x.Difference.EquivalencePAdjusted != equivalence[i] {
			t.Errorf("holm %+v, want %g and %g", x.Difference, p[i], equivalence[i])
		}
	}
	if plain[0].Verdict != Higher || joint[0].Verdict != Higher || holm[0].Verdict != Higher || plain[1].Verdict != NotSettled {
		t.Errorf("%s %s %s %s", plain[0].Verdict, joint[0].Verdict, holm[0].Verdict, plain[1].Verdict)
	}
	two := answers(t, analysed(t, d, Ask{Adjust: Joint}), all[:2]...)
	if !(two[0].Difference.PAdjusted < joint[0].Difference.PAdjusted) {
		t.Errorf("two questions are adjusted as three: %g", two[0].Difference.PAdjusted)
	}
	one := answers(t, analysed(t, d, Ask{Adjust: Joint}), all[0])
	if x := one[0]; strings.Contains(x.Sentence, "adjusted") || x.Difference.PAdjusted != x.Difference.P || !strings.HasSuffix(x.Rule, "One question, so nothing to adjust for.") {
		t.Errorf("%+v, %s", x.Difference, x.Rule)
	}
	if note := "3 questions stand side by side without adjustment: each errs in 1 of 20 cases by itself, all together more often"; !slices.Contains(plain[1].Notes, note) || slices.Contains(joint[1].Notes, note) {
		t.Errorf("%q, joint %q", plain[1].Notes, joint[1].Notes)
	}
}

// Laws: another order of rows changes nothing, another unit no per cent and no
// verdict, and the question turned round gives the reciprocal ratio.
func TestPutLaws(t *testing.T) {
	d := soaked(4, 1.12, 0.02, 0.01, 3)
	q := salt
	q.Falls = []Fall{"3", "1", "2"}
	ask := Ask{Scale: Log, Baseline: "Marram dry"}
	a := answers(t, analysed(t, d, ask), q)[0]
	if a.Verdict != Higher {
		t.Fatal(a.Sentence)
	}
	r := rand.New(rand.NewPCG(1, 1))
	for range 5 {
		var s Data
		for _, i := range r.Perm(len(d.Value)) {
			s.Value, s.Specimen = append(s.Value, d.Value[i]), append(s.Specimen, d.Specimen[i])
			s.Condition, s.Fall = append(s.Condition, d.Condition[i]), append(s.Fall, d.Fall[i])
		}
		b := answers(t, analysed(t, s, ask), q)[0]
		if b.Sentence != a.Sentence || !reflect.DeepEqual(b.Notes, a.Notes) || b.Randomisation.P != a.Randomisation.P || !near.Rel(b.Difference.P, a.Difference.P, 1e-6) {
			t.Fatalf("another order of the same rows: %+v, want %+v", b, a)
		}
	}
	for i := range d.Value {
		d.Value[i] /= 1000
	}
	turned := q
	turned.Condition, turned.Baseline = q.Baseline, q.Condition
	b := answers(t, analysed(t, d, ask), q)[0]
	c := answers(t, analysed(t, d, ask), turned)[0]
	other := func(percent float64) float64 { return 100 * (100/(100+percent) - 1) }
	for i, x := range []struct{ got, want float64 }{
		{b.Difference.Percent, a.Difference.Percent},
		{b.Difference.PercentUpper90, a.Difference.PercentUpper90},
		{c.Difference.Percent, other(a.Difference.Percent)},
		{c.Difference.PercentLower, other(a.Difference.PercentUpper)},
		{c.Difference.P, a.Difference.P},
	} {
		if !near.Rel(x.got, x.want, 1e-6) {
			t.Errorf("figure %d: %.12g, want %.12g", i, x.got, x.want)
		}
	}
	if b.Verdict != Higher || c.Verdict != Lower {
		t.Errorf("%s, turned round %s", b.Verdict, c.Verdict)
	}
}

// What a table lacks is no claim, with what is missing; the other questions are
// answered all the same.
func TestPutMissing(t *testing.T) {
	d := soaked(3, 1.12, 0.02, 0.01, 3)
	d.add("worn", "W1", 3000, 3100)
	d.add("worn", "W2", 3050, 3150)
	d.add("one", "O1", 3000, 3100, 3200)
	q := func(condition string, falls ...Fall) Question {
		x := salt
		x.Condition, x.Falls = condition, falls
		return x
	}
	got := answers(t, analysed(t, d, Ask{Scale: Log, Baseline: "Marram dry"}),
		q("Marram soaked", "1"), q("worn", "2", "3"), q("worn", "3"), q("worn", "7"), q("torn", "1"), q("one", "1"), q("one"), q("worn", "3", "7"))
	for i, want := range []struct {
		verdict  Verdict
		n        int
		sentence string
		note     string
	}{
		{Higher, 3, "than Marram dry at fall 1 (", ""},
		{NoClaim, 2, "worn: no claim about its peak force against Marram dry over falls 2 and 3 (2 and 3 specimens).", "worn has no value at fall 3: the difference over falls 2 and 3 cannot be had"},
		{NoClaim, 0, "worn: no claim about its peak force against Marram dry at fall 3 (0 and 3 specimens).", "worn has no specimen with a value at fall 3: a finding needs two a condition"},
		{NoClaim, 0, "at fall 7 (0 and 0 specimens).", "worn has no specimen with a value at fall 7: a finding needs two a condition"},
		{NoClaim, 0, "torn: no claim about its peak force against Marram dry at fall 1 (0 and 3 specimens).", "torn has no specimen with a value at fall 1: a finding needs two a condition"},
		{NoClaim, 1, "one: no claim about its peak force against Marram dry at fall 1, ", "one has 1 specimen with a value at fall 1: a finding needs two a condition"},
		{NoClaim, 1, "over falls 1 to 3, ", "one has 1 specimen with a value over falls 1 to 3: a finding needs two a condition"},
		{NoClaim, 0, "over falls 3 and 7 (0 and 3", "worn has no specimen with a value over falls 3 and 7: a finding needs two a condition"},
	} {
		x := got[i]
		if notes := strings.Join(x.Notes, "\n"); want.n == 0 && (strings.Contains(notes, "other falls") || strings.Contains(notes, "worn has no value at")) {
			t.Errorf("question %d says too much: %s", i, notes)
		}
		if x.Verdict != want.verdict || x.Difference.N != want.n || !strings.Contains(x.Sentence, want.sentence) || want.note != "" && !slices.Contains(x.Notes, want.note) {
			t.Errorf("question %d: %s, %d\n%s\n%q\nwant %+v", i, x.Verdict, x.Difference.N, x.Sentence, x.Notes, want)
		}
	}
}

// Only questions that a test could be had of are adjusted for, the plain test
// beside them included.
func TestPutFamily(t *testing.T) {
	d := soaked(3, 1.12, 0.02, 0.01, 3)
	d.add("one", "O1", 3000, 3100, 3200)
	one, torn := salt, salt
	one.Condition, torn.Condition, one.Falls, torn.Falls = "one", "torn", []Fall{"1"}, []Fall{"1"}
	q := salt
	q.Falls = []Fall{"1"}
	x := answers(t, analysed(t, d, Ask{Scale: Log, Adjust: Holm, Baseline: "Marram dry"}), q, torn, one)
	if !strings.Contains(x[0].Rule, "Holm's steps over 2 questions") || x[0].Difference.PAdjusted != 2*min(x[0].Difference.P, x[2].Difference.P) && x[0].Difference.PAdjusted != max(x[0].Difference.P, 2*x[2].Difference.P) {
		t.Errorf("%s, %+v", x[0].Rule, x[0].Difference)
	}
	alone := cross(q, sides([]float64{8.3, 8.32, 8.34}, []float64{8.2, 8.22, 8.24}), Log, 1)
	if alone.Verdict != Higher || !(20*alone.P > alpha) {
		t.Fatalf("%+v", alone)
	}
	var many []Question
	for range 20 {
		many = append(many, q)
	}
	var plain Data
	for i, v := range []float64{8.2, 8.22, 8.24, 8.3, 8.32, 8.34} {
		plain.add([]string{q.Baseline, q.Condition}[i/3], string(rune('A'+i)), math.Exp(v))
	}
	for adjust, want := range map[Adjust]Verdict{None: Higher, Holm: NotSettled} {
		if y := answers(t, analysed(t, plain, Ask{Scale: Log, Adjust: adjust}), many...)[0]; y.Welch.Verdict != want {
			t.Errorf("%s: Welch's test comes to %s", adjust, y.Welch.Verdict)
		}
	}
}

// A specimen that lacks a fall counts by the falls it has, and is named.
func TestPutPartly(t *testing.T) {
	d := soaked(3, 1.12, 0.02, 0.01, 3)
	d.add("Marram dry", "A9", 3500, math.NaN(), 3900)
	q := salt
	q.Falls = []Fall{"1", "2", "3"}
	x := answers(t, analysed(t, d, Ask{Scale: Log}), q)[0]
	if x.Difference.NBaseline != 4 || x.Randomisation.NBaseline != 3 || !slices.Equal(x.Randomisation.LeftOut, []string{"A9"}) ||
		!strings.Contains(x.Randomisation.Said, "; left out for want of a fall: A9") {
		t.Errorf("%+v, %+v", x.Difference, x.Randomisation)
	}
	q.Falls = []Fall{"2"}
	if y := answers(t, analysed(t, d, Ask{Scale: Log}), q)[0]; y.Difference.NBaseline != 3 || strings.Contains(strings.Join(y.Notes, "\n"), "A9 of") {
		t.Errorf("%+v, %q", y.Difference, y.Notes)
	}
	for _, want := range []string{
		"A9 of Marram dry has no value at fall 2: the model takes it by its other falls",
		"unequal numbers, 3 and 4: where the smaller group varies more, the interval errs more often than it says; add to Marram soaked first",
	} {
		if !slices.Contains(x.Notes, want) {
			t.Errorf("%q, want %q", x.Notes, want)
		}
	}
}

func TestPutRefusals(t *testing.T) {
	a := analysed(t, soaked(3, 1.1, 0.02, 0.01, 1), Ask{Scale: Log})
	amount, twice, within := inN(), salt, salt
	twice.Falls = []Fall{"1", "1.0"}
	within.Within = "rope"
	_, err := a.Put([]Question{amount, twice, salt, within})
	if err == nil {
		t.Fatal("answered")
	}
	for _, want := range []string{"an amount of 200 cannot be judged on the log scale", `question salt: names fall "1.0", each is named once`, `question salt: no column is named "rope"`} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	if got, err := a.Put(nil); err != nil || len(got) != 0 {
		t.Errorf("no question: %v, %v", got, err)
	}
}

// What is not there is null, and an answer comes back from JSON as it was.
func TestAnswerJSON(t *testing.T) {
	d := soaked(3, 1.01, 0.06, 0.02, 5)
	d.add("one", "O1", 3000, 3100, 3200)
	one := salt
	one.Condition, one.Falls = "one", []Fall{"1"}
	over := salt
	over.Falls = []Fall{"1", "2"}
	for i, x := range answers(t, analysed(t, d, Ask{Scale: Log}), over, one) {
		b, err := json.Marshal(x)
		if err != nil {
			t.Fatal(err)
		}
		var back Answer
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(back)
		if err != nil || string(again) != string(b) || back.Settle != x.Settle {
			t.Errorf("%s\nback as\n%s, %v", b, again, err)
		}
		if (x.Verdict == NotSettled) != strings.Contains(string(b), `"settle":`) || i == 0 && x.Verdict != NotSettled {
			t.Errorf("%s: %s", x.Verdict, b)
		}
	}
	b, _ := json.Marshal(Settle{7, Unknown, 12, 15})
	if string(b) != `{"seen_80":7,"seen_90":null,"none_80":12,"none_90":15}` {
		t.Errorf("%s", b)
	}
}

// Specimens dealt within a column that is one with the condition could be dealt
// in one way only, which tests nothing.
func TestPutWithOneArrangement(t *testing.T) {
	d := matched()
	d.Columns = append(d.Columns, Column{Name: "bag", Value: d.Condition})
	q := Question{Name: "wet", Measure: "peak force", Unit: "kN", Condition: "wet", Baseline: "dry", Amount: 0.5, Within: "bag"}
	if x := answers(t, analysed(t, d, Ask{Baseline: "dry", Blocks: []string{"pair"}}), q)[0]; x.Randomisation != nil {
		t.Errorf("%+v", x.Randomisation)
	}
}
