package power_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/compare"
	"fallwright.example/internal/near"
	"fallwright.example/power"
)

// power.t.test(strict = TRUE) of R 4.2.2, testdata/power.R: n, difference in
// standard deviations, power at 5 %.
var tTests = []struct {
	n                 int
	difference, power float64
}{
	{3, 2, 0.462640811891},
	{4, 1.5, 0.429997556180},
	{6, 1, 0.347353697272},
	{7, 1.6666666666666667, 0.816267425154},
	{10, 1.2, 0.718405376542},
	{15, 0.5, 0.262443033865},
	{30, 0.7, 0.759904918068},
}

// power.anova.test of R 4.2.2, testdata/power.R: n, means in standard deviations.
var fTests = []struct {
	n     int
	means []float64
	power float64
}{
	{3, []float64{0, 0, 2}, 0.485784907358},
	{4, []float64{0, 0.5, 1, 1.5}, 0.329337719168},
	{5, []float64{-1, 0, 1}, 0.701508342623},
	{6, []float64{0, 0, 0, 0, 0, 1.5}, 0.645920563284},
	{12, []float64{0, 0.4, 0.8}, 0.369600722071},
}

// The quick answers are R's, whose functions hold some ten digits.
func TestQuickAnswersAgainstR(t *testing.T) {
	checked := 0
	for _, c := range tTests {
		if got := power.TwoGroups(c.n, c.difference, 0.05); !near.Abs(got, c.power, 1e-9) {
			t.Errorf("n %d, difference %g: %.12f, R has %.12f", c.n, c.difference, got, c.power)
		}
		checked++
	}
	for _, c := range fTests {
		if got := power.AnyDifference(c.n, c.means, 1, 0.05); !near.Abs(got, c.power, 1e-9) {
			t.Errorf("n %d, means %v: %.12f, R has %.12f", c.n, c.means, got, c.power)
		}
		checked++
	}
	if checked != 12 {
		t.Fatalf("%d checked", checked)
	}
}

// oneFall is two conditions with one value a specimen and next to no margin, for
// which a finding is a t test and nothing else.
func oneFall(n int, difference float64) power.Plan {
	return power.Plan{
		Conditions: []power.Condition{{Name: "dry", Specimens: n}, {Name: "soaked", Specimens: n}}, Falls: 1,
		Ask: compare.Ask{Measure: "peak force", Unit: "N"},
		Questions: []power.Question{{
			Question: compare.Question{Name: "soaked", Measure: "peak force", Unit: "N", Condition: "soaked", Baseline: "dry", Amount: 1e-9},
			Truth:    power.Truth{Amount: 50 * difference},
		}},
		// 30 and 40 make 50, between specimens and from value to value.
		Variances: power.Variances{Source: power.Given, Parts: []compare.Variance{
			{Group: "specimen", Term: "intercept", SD: 30, DF: math.Inf(1)}, {SD: 40, DF: math.Inf(1)},
		}},
	}
}

// Simulated studies of one value a specimen have R's power: harder and softer
// together are the strict two-sided test. Four Monte Carlo standard errors.
func TestSimulationAgainstR(t *testing.T) {
	checked := 0
	for _, c := range tTests {
		r, err := power.Simulate(t.Context(), oneFall(c.n, c.difference), power.Options{Seed: 3, Studies: 40_000})
		if err != nil {
			t.Fatal(err)
		}
		got := r.Chances[0]
		if p := got.Higher.P + got.Lower.P; !near.Abs(p, c.power, 4*got.Higher.SE) {
			t.Errorf("n %d, difference %g: %.4f ± %.4f, R has %.4f", c.n, c.difference, p, got.Higher.SE, c.power)
		}
		if got.Exact == nil || !near.Abs(got.Exact.Higher+got.Exact.Lower, c.power, 1e-8) {
			t.Errorf("n %d: exact %+v, R has %.10f", c.n, got.Exact, c.power)
		}
		checked++
	}
	if checked != 7 {
		t.Fatalf("%d checked", checked)
	}
}

// The F test of the table of tests sees what R says it sees, in studies drawn and
// analysed one by one. Four standard errors of 1500 studies.
func TestFTestAgainstR(t *testing.T) {
	const studies = 1500
	checked := 0
	for _, c := range fTests[:3] {
		random := rand.New(rand.NewPCG(4, 1))
		found := 0
		for range studies {
			var d compare.Data
			for k, mean := range c.means {
				for range c.n {
					d.Value = append(d.Value, 100+mean+random.NormFloat64())
					d.Condition = append(d.Condition, fmt.Sprint("c", k))
				}
			}
			a, err := compare.Analyse(d, compare.Ask{})
			if err != nil {
				t.Fatal(err)
			}
			if a.Terms[0].P < 0.05 {
				found++
			}
		}
		if p := float64(found) / studies; !near.Abs(p, c.power, 4*math.Sqrt(c.power*(1-c.power)/studies)) {
			t.Errorf("n %d, means %v: %.4f, R has %.4f", c.n, c.means, p, c.power)
		}
		checked++
	}
	if checked != 3 {
		t.Fatalf("%d checked", checked)
	}
}

// Where the exact chances hold, with margins and series of falls, the simulation
// has them, every finding within four Monte Carlo standard errors (and 1e-3 where
// next to none is found).
func TestSimulationAgainstExact(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		specimens, falls int
		margins          float64
		claim            compare.Claim
	}{{3, 5, 2, ""}, {3, 5, 0, ""}, {8, 2, 0, compare.ClaimNone}, {6, 3, 1, ""}, {5, 1, -2, ""}, {4, 3, 1.8, compare.ClaimHigher}, {4, 3, 1.5, compare.ClaimLower}} {
		p := soaking(2, c.specimens, c.falls, c.margins)
		p.Questions[0].Claim = c.claim
		r, err := power.Simulate(t.Context(), p, power.Options{Seed: 1, Studies: 40_000})
		if err != nil {
			t.Fatal(err)
		}
		x := r.Chances[0]
		if x.Exact == nil {
			t.Errorf("%+v: nothing exact", c)
			continue
		}
		for _, pair := range []struct {
			got  power.Share
			want float64
		}{{x.Higher, x.Exact.Higher}, {x.Lower, x.Exact.Lower}, {x.NoDifference, x.Exact.NoDifference}, {x.NotSettled, x.Exact.NotSettled}} {
			if !near.Abs(pair.got.P, pair.want, 4*pair.got.SE+1e-3) {
				t.Errorf("%+v: simulated %+v, exact %+v", c, x, *x.Exact)
				break
			}
			checked++
		}
		want := map[compare.Verdict]power.Share{compare.Higher: x.Higher, compare.Lower: x.Lower, compare.NoDifference: x.NoDifference}[x.Calls]
		if x.Power != want {
			t.Errorf("%+v: power %+v, %s has %+v", c, x.Power, x.Calls, want)
		}
	}
	if checked != 28 {
		t.Fatalf("%d checked", checked)
	}
}
