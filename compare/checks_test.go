package compare

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/refdata"
)

// dropTest invents a drop test: conditions of specimens with a series of falls
// each, forces in N.
func dropTest(seed uint64, conditions, specimens, falls int, between, within float64) Data {
	r := rand.New(rand.NewPCG(seed, 4))
	d := Data{}
	for c := range conditions {
		for s := range specimens {
			own := between * r.NormFloat64()
			for f := range falls {
				d.Value = append(d.Value, 4000+150*float64(c)+250*float64(f)+own+within*r.NormFloat64())
				d.Condition = append(d.Condition, fmt.Sprintf("c%d", c))
				d.Specimen = append(d.Specimen, fmt.Sprintf("S-%d%d", c, s))
				d.Fall = append(d.Fall, FallNumber(f+1))
				d.Row = append(d.Row, fmt.Sprintf("S-%d%d fall %d", c, s, f+1))
			}
		}
	}
	return d
}

func checked(t testing.TB, d Data, ask Ask) (*Analysis, *Checks) {
	t.Helper()
	a, err := Analyse(d, ask)
	if err != nil {
		t.Fatal(err)
	}
	c, err := a.Check()
	if err != nil {
		t.Fatal(err)
	}
	return a, c
}

func names[T ~string](numbers []int, prefix string) []T {
	out := make([]T, len(numbers))
	for i, n := range numbers {
		out[i] = T(fmt.Sprint(prefix, n))
	}
	return out
}

// Source: R 4.2.2, bartlett.test(count ~ spray, InsectSprays), testdata/checks.R.
// For plain samples the test of spreads is Bartlett's own. Tolerance: the end of
// the search.
func TestSpreadTestIsBartletts(t *testing.T) {
	d := Data{Value: []float64{
		10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13, 11, 17, 21, 11, 16, 14, 17, 17, 19, 21, 7, 13, 0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4,
		3, 5, 12, 6, 4, 3, 5, 5, 5, 5, 2, 4, 3, 5, 3, 5, 3, 6, 1, 1, 3, 2, 6, 4, 11, 9, 15, 22, 15, 16, 13, 10, 26, 26, 24, 13,
	}}
	for i := range d.Value {
		d.Condition = append(d.Condition, string(rune('A'+i/12)))
	}
	for _, ask := range []Ask{{}, {SpreadByCondition: true}} {
		_, c := checked(t, d, ask)
		if s := c.SpreadTest; s == nil || !near.Rel(s.Statistic, 25.95982532, 1e-7) || s.DF1 != 5 || !near.Rel(s.P, 9.08512233e-05, 1e-6) {
			t.Fatalf("%+v, want K² = 25.95982532, p = 9.08512233e-05", s)
		}
		if ask.SpreadByCondition == strings.Contains(c.SpreadTest.Said, "take the spread by condition") {
			t.Errorf("%+v: %s", ask, c.SpreadTest.Said)
		}
	}
	_, c := checked(t, d, Ask{})
	if all := strings.Join(c.Notes, "\n"); !strings.Contains(all, "the residual spread differs between conditions, from") {
		t.Errorf("no note of unequal spread:\n%s", all)
	}
}

// Source: R's nlme on Orthodont, distance ~ Sex·age as a factor with a random
// intercept a subject, with and without varIdent by sex: testdata/checks.R. Ours
// is R's ratio over Bartlett's factor for 48 and 30 degrees of freedom (16 boys
// and 11 girls at 4 ages). Tolerance: nlme's search ends at a share of 1e-5.
func TestSpreadTestOfMixedModel(t *testing.T) {
	ref, err := refdata.LMMReference()
	if err != nil {
		t.Fatal(err)
	}
	u := ref.Unequal
	d := Data{Value: u.Y, Condition: u.Sex, Specimen: names[string](u.Level, "")}
	for _, x := range u.X {
		d.Fall = append(d.Fall, Fall(fmt.Sprint(x[1])))
	}
	_, c := checked(t, d, Ask{Conditions: []string{"Male", "Female"}})
	factor := 1 + (1.0/45+1.0/30-1.0/75)/3
	if s := c.SpreadTest; s == nil || !near.Rel(s.Statistic*factor, 16.500250043, 1e-6) || s.DF1 != 1 {
		t.Errorf("%+v, want %g", s, 16.500250043/factor)
	}
	for g, want := range []float64{1.68230583056, 0.805828111034} {
		if got := c.SpreadByCondition[g].Residual; !near.Rel(got, want, 1e-5) {
			t.Errorf("residual SD %d: %g, want %g", g, got, want)
		}
	}
}

// Source: R's lme4, REML criteria of sleepstudy with (Days|Subject) and
// (1|Subject): testdata/checks.R. The same from either side. Tolerance: lme4's
// search.
func TestTrendOfEachSpecimen(t *testing.T) {
	ref, err := refdata.LMMReference()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, s := range ref.Cases {
		if s.Name != "sleepstudy correlated" {
			continue
		}
		d := Data{Value: s.Y, Specimen: names[string](s.Random[0].Level, "S")}
		for _, x := range s.X {
			d.Fall = append(d.Fall, Fall(fmt.Sprint(x[1])))
		}
		for _, as := range []FallsAs{Trend, TrendPerSpecimen} {
			_, c := checked(t, d, Ask{FallsAs: as})
			n++
			if x := c.TrendPerSpecimen; x == nil || !near.Rel(x.Statistic, 42.836813435, 1e-6) || !near.Rel(x.P, 2.79252981711e-10, 1e-5) {
				t.Errorf("%s: %+v", as, x)
			}
			if note := strings.Contains(strings.Join(c.Notes, "\n"), "too narrow; take a trend for each specimen"); note != (as == Trend) {
				t.Errorf("%s: %s", as, c.Notes)
			}
		}
	}
	if n != 2 {
		t.Fatalf("%d looked at", n)
	}
}

// Degenerate tables: what cannot be checked is missing and said, nothing breaks.
func TestCheckOfMeagreTables(t *testing.T) {
	single := Data{Value: []float64{1, 2, 4}, Condition: []string{"a", "b", "c"}, Specimen: []string{"1", "2", "3"}}
	one := dropTest(1, 2, 1, 3, 50, 50)
	alike := Data{Value: []float64{5, 5, 5, 5}, Condition: []string{"a", "a", "b", "b"}}
	mean := Data{Value: []float64{3, 1, 4, 1, 5, 9, 2, 6}}
	two := dropTest(2, 2, 2, 2, 50, 50)
	pairs := dropTest(3, 2, 2, 1, 50, 50)
	for name, d := range map[string]Data{"one value a condition": single, "one specimen a condition": one, "no spread": alike, "a mean": mean, "2 by 2 by 2": two, "2 by 2": pairs} {
		a, c := checked(t, d, Ask{})
		b, err := json.Marshal(c)
		if err != nil {
			t.Fatal(name, err)
		}
		var back Checks
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatal(name, err)
		}
		again, err := json.Marshal(back)
		if err != nil || string(again) != string(b) {
			t.Errorf("%s: written again it differs: %v\n%s\n%s", name, err, b, again)
		}
		if a.model.fit == nil && (len(c.Residuals) > 0 || len(c.Notes) != 1 || !strings.HasPrefix(c.Notes[0], "nothing else can be checked: ")) {
			t.Errorf("%s: %d residuals, %q", name, len(c.Residuals), c.Notes)
		}
		if a.model.fit != nil && len(c.Residuals) != a.N {
			t.Errorf("%s: %d residuals of %d", name, len(c.Residuals), a.N)
		}
	}
}

// Checking changes nothing, and says the same again.
func TestCheckChangesNothing(t *testing.T) {
	d := dropTest(5, 3, 3, 3, 100, 60)
	a, first := checked(t, d, Ask{Adjust: Holm})
	before, _ := json.Marshal(a.Overall)
	second, err := a.Check()
	if err != nil {
		t.Fatal(err)
	}
	after, _ := json.Marshal(a.Overall)
	x, _ := json.Marshal(first)
	y, _ := json.Marshal(second)
	if string(before) != string(after) || string(x) != string(y) || !reflect.DeepEqual(d, dropTest(5, 3, 3, 3, 100, 60)) {
		t.Error("a second look differs from the first, or the table has changed")
	}
}

// How often checks cry wolf: the table of docs/METHODS.md is made by
//
//	go test ./compare -run TestFalseAlarms -rates 2000 -v
//
// 6 conditions, 3 specimens, 5 falls, nothing wrong. Without -rates 60 trials,
// each alarm at most as often as four standard errors above 5 % allow (1 % for
// the shape of residuals), which a limit without Bonferroni is far beyond.
func TestFalseAlarms(t *testing.T) {
	trials := 60
	if *rates > 0 {
		trials = *rates
	}
	count := map[string]float64{}
	for i := range trials {
		d := dropTest(uint64(5000+i), 6, 3, 5, 100, 100)
		order := make([]float64, len(d.Value))
		for k, p := range rand.New(rand.NewPCG(uint64(i), 9)).Perm(len(order)) {
			order[k] = float64(p)
		}
		d.Measured = []Measured{{"order", order}}
		a, err := Analyse(d, Ask{})
		if err != nil {
			t.Fatal(err)
		}
		c := &Checks{}
		if err := c.residuals(a.table, a.model); err != nil {
			t.Fatal(err)
		}
		if err := c.specimens(a.table, a.model); err != nil {
			t.Fatal(err)
		}
		c.spreads(a)
		c.trend(a)
		c.Factors = factorTests(a.data, a.Ask, a.table, a.model)
		_, normal := shapiroWilk(c.standardised())
		for what, alarm := range map[string]bool{
			"a value":  anyOutlying(c.Residuals),
			"specimen": anyInfluence(c.Specimens),
			"spread":   c.SpreadTest.P < 0.05,
			"trend":    c.TrendPerSpecimen.P < 0.05,
			"order":    c.Factors[0].P < 0.05,
			"shape":    normal < 0.01,
		} {
			if alarm {
				count[what] += 1 / float64(trials)
			}
		}
	}
	for what, share := range count {
		t.Logf("%s: %.1f %%", what, 100*share)
	}
	for _, what := range []string{"a value", "specimen", "spread", "trend", "order"} {
		if most := 0.05 + 4*math.Sqrt(0.05*0.95/float64(trials)); count[what] > most {
			t.Errorf("%s: alarm in %.3f of %d tables with nothing wrong", what, count[what], trials)
		}
	}
}

func anyOutlying(all []Residual) bool {
	for _, r := range all {
		if r.Outlying {
			return true
		}
	}
	return false
}

func anyInfluence(all []Influence) bool {
	for _, i := range all {
		if i.Outlying {
			return true
		}
	}
	return false
}

func BenchmarkCheck(b *testing.B) {
	a, err := Analyse(dropTest(1, 6, 3, 5, 150, 80), Ask{Measure: "peak force", Unit: "N"})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := a.Check(); err != nil {
			b.Fatal(err)
		}
	}
}

// Two specimens a condition whose means lie 2a apart have an SD of a·√2, here by
// hand; a value's residual spread too where it is not fitted: of each condition
// its own share.
func TestHowMuchSpecimensVary(t *testing.T) {
	d := Data{}
	d.add("a", "1", 10, 12, 11)
	d.add("a", "2", 16, 18, 17.5)
	d.add("b", "3", 20, 24, 27)
	d.add("b", "4", 21, 24, 25)
	_, c := checked(t, d, Ask{})
	for g, want := range []float64{(51.5/3 - 11) / math.Sqrt2, (71.0/3 - 70.0/3) / math.Sqrt2} {
		if s := c.SpreadByCondition[g]; !near.Rel(s.Specimen, want, 1e-9) || s.Specimens != 2 {
			t.Errorf("%+v, want %g", s, want)
		}
	}
}

// The numbers of the checks under their names.
func TestJSONOfChecks(t *testing.T) {
	nan := math.NaN()
	b, err := json.Marshal(Checks{
		Limit: 3, Skewness: nan, SpecimenLimit: 2,
		Drops:      []Influence{{Name: "S-1 fall 2", Effect: 1.5, Changes: []Change{{Condition: "a", Baseline: "b", With: 1, Without: 2, InSE: 3, P: 0.25, PWithout: nan}}}},
		SpreadTest: &Test{Name: "x", Statistic: 4, DF1: 5, DF2: nan, P: 0.5},
	})
	want := `{"residuals":null,"spread_test":{"name":"x","said":"","statistic":4,"df1":5,"df2":null,"p":0.5},"spread_by_condition":null,` +
		`"trend_per_specimen":null,"specimens":null,"drops":[{"name":"S-1 fall 2","condition":"","outlying":false,` +
		`"changes":[{"condition":"a","baseline":"b","fall":null,"turns":false,"with":1,"without":2,"change_se":3,"p":0.25,"p_without":null}],"effect_sd":1.5}],` +
		`"factors":null,"hidden":null,"notes":null,"residual_limit":3,"skewness":null,"kurtosis":0,"normal_p":0,"specimen_limit":2}`
	if err != nil || string(b) != want {
		t.Errorf("%v\n%s\nwant\n%s", err, b, want)
	}
}
