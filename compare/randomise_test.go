package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// Three against three, all of one above all of the other: 2 of 20, the least
// that three and three can give, and it is said.
func TestRandomiseThreeAndThree(t *testing.T) {
	var d Data
	for i, v := range []float64{1, 2, 3, 5, 6, 8} {
		d.add([]string{"a", "b"}[i/3], fmt.Sprint("S", i), v, v+10+0.1*float64(i*i%3))
	}
	a := analysed(t, d, Ask{})
	r, err := a.Randomise("b", "a", nil, nil, 9)
	if err != nil {
		t.Fatal(err)
	}
	want := Randomisation{P: 0.1, Arrangements: 20, Exact: true, Smallest: 0.1, N: 3, NBaseline: 3}
	want.Said = "3 and 3 specimens dealt anew in all 20 ways: p 0.1; so few can give no p below 0.1"
	if fmt.Sprint(*r) != fmt.Sprint(want) {
		t.Errorf("%+v, want %+v", *r, want)
	}
	x := answers(t, a, Question{Name: "b", Measure: "x", Condition: "b", Baseline: "a", Amount: 1})[0]
	if note := want.Said + ": this check can neither bear the difference out nor speak against it"; !slices.Contains(x.Notes, note) {
		t.Errorf("%q", x.Notes)
	}
}

// Six and six, as deal.py has it: 10 of 924, on values with a second fall that
// must not count; on logarithms the ranks, and here the count, stay.
func TestRandomiseOneFall(t *testing.T) {
	var d Data
	for i := range wet {
		d.add("wet", fmt.Sprint("W", i), 100*float64(7-i), wet[i])
		d.add("dry", fmt.Sprint("D", i), float64(i), dry[i])
	}
	r, err := analysed(t, d, Ask{}).Randomise("wet", "dry", []Fall{"2"}, nil, 0)
	if err != nil || !near.Abs(r.P, 10./924, 1e-15) || !r.Exact || r.Arrangements != 924 || !near.Abs(r.Smallest, 2./924, 1e-15) {
		t.Errorf("%+v, %v", r, err)
	}
	if strings.Contains(r.Said, "so few") {
		t.Error(r.Said)
	}
}

// Three against five, as deal.py has it: 6 of 56, whichever is asked about.
func TestRandomiseUnequal(t *testing.T) {
	var d Data
	d.group("a", 4.1, 3.9, 4.4)
	d.group("b", 3.6, 3.8, 4.0, 3.5, 3.9)
	a := analysed(t, d, Ask{})
	for _, c := range [][2]string{{"a", "b"}, {"b", "a"}} {
		r, err := a.Randomise(c[0], c[1], nil, nil, 0)
		if err != nil || r.P != 6./56 || !near.Abs(r.Smallest, 1./56, 1e-15) || r.N+r.NBaseline != 8 {
			t.Errorf("%v: %+v, %v", c, r, err)
		}
	}
}

// Strata come by rows of the data as given, also where rows are left out, and
// only those of one stratum change places.
func TestRandomiseWithinStrata(t *testing.T) {
	d := matched()
	d.Value = append([]float64{math.NaN()}, d.Value...)
	d.Condition = append([]string{"dry"}, d.Condition...)
	d.Specimen = append([]string{"D0"}, d.Specimen...)
	d.Fall = append([]Fall{"1"}, d.Fall...)
	d.Columns[0].Value = append([]string{"none"}, d.Columns[0].Value...)
	a := analysed(t, d, Ask{Baseline: "dry"})
	r, err := a.Randomise("wet", "dry", nil, d.Columns[0].Value, 0)
	if err != nil || r.P != 2./64 || r.Arrangements != 64 {
		t.Errorf("%+v, %v", r, err)
	}
	q := Question{Name: "wet", Measure: "peak force", Condition: "wet", Baseline: "dry", Amount: 0.5, Within: "pair"}
	if x := answers(t, a, q)[0]; x.Randomisation.Strata != "pair" || !strings.HasPrefix(x.Randomisation.Said, "6 and 6 specimens dealt anew within each pair in all 64 ways: p 0.0312") {
		t.Errorf("%+v", x.Randomisation)
	}
}

// Too many arrangements are sampled, with the seed and the number said; p is
// (1 + count)/(1 + draws), near that of Welch's t for normal values.
func TestRandomiseSampled(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	var d Data
	for i := range 24 {
		d.add([]string{"a", "b"}[i/12], fmt.Sprint("S", i), rng.NormFloat64()+0.9*float64(i/12))
	}
	a := analysed(t, d, Ask{})
	r, err := a.Randomise("b", "a", nil, nil, 7)
	if err != nil {
		t.Fatal(err)
	}
	x := answers(t, a, Question{Name: "b", Measure: "x", Condition: "b", Baseline: "a", Amount: 1})[0]
	if r.Exact || r.Arrangements != 20_000 || r.Seed != 7 || !near.Abs(r.Smallest, 1./20_001, 1e-12) || !strings.Contains(r.Said, "anew 20000 times by chance, seed 7: p ") {
		t.Errorf("%+v", r)
	}
	if count := r.P*20_001 - 1; math.Abs(count-math.Round(count)) > 1e-6 || !near.Abs(r.P, x.Welch.P, 0.01) {
		t.Errorf("p %g, Welch's %g", r.P, x.Welch.P)
	}
	if x.Randomisation.Seed != putSeed {
		t.Errorf("%+v", x.Randomisation)
	}
}

func TestRandomiseRefusals(t *testing.T) {
	d := soaked(3, 1.1, 0.02, 0.01, 1)
	d.add("short", "X1", 3000)
	d.add("worn", "A1", 3000, 3100, 3200) // a specimen of the dry ones
	d.add("worn", "Y1", 3010, 3110, 3210)
	a := analysed(t, d, Ask{Scale: Log})
	changing := make([]string, len(d.Value))
	for i := range changing {
		changing[i] = string(d.Fall[i])
	}
	for _, c := range []struct {
		condition, base string
		falls           []Fall
		strata          []string
		kind            problem.Kind
		want            string
	}{
		{"torn", "Marram dry", nil, nil, problem.NotFound, "condition torn: no row with a value has it"},
		{"worn", "torn", nil, nil, problem.NotFound, "condition torn: no row with a value has it"},
		{"worn", "worn", nil, nil, problem.Invalid, "condition worn: compared with itself, two conditions are needed"},
		{"worn", "Marram dry", []Fall{"4"}, nil, problem.NotFound, "fall 4: no row with a value has it"},
		{"short", "Marram dry", nil, nil, problem.TooFew, "condition short: no specimen has values over falls 1 to 3"},
		{"worn", "Marram dry", nil, nil, problem.Invalid, "specimen A1: in condition worn and in Marram dry, it was not dealt to one of them"},
		{"Marram soaked", "Marram dry", nil, changing, problem.Invalid, `specimen B1: in stratum "1" and in "2", it was dealt once`},
		{"Marram soaked", "Marram dry", nil, changing[1:], problem.Invalid, "strata: 24 entries for 25 rows, one a row is needed"},
	} {
		if r, err := a.Randomise(c.condition, c.base, c.falls, c.strata, 1); problem.KindOf(err) != c.kind || err.Error() != c.want {
			t.Errorf("%+v, %v, want %s", r, err, c.want)
		}
	}
	d.Specimen = nil
	if _, err := analysed(t, d, Ask{Scale: Log}).Randomise("Marram soaked", "Marram dry", nil, nil, 1); problem.KindOf(err) != problem.Invalid {
		t.Errorf("rows without specimens at several falls: %v", err)
	}
}
