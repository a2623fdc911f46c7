package power

import (
	"fmt"
	"math"
	"testing"

	"fallwright.example/compare"
	"fallwright.example/internal/near"
)

// blocked is a plan with a rope and a day, both even, and questions of every kind.
func blocked() Plan {
	share := func(name, condition, baseline string, margins float64) Question {
		return Question{
			Question: compare.Question{Name: name, Measure: "peak force", Unit: "N", Condition: condition, Baseline: baseline, Share: 0.05},
			Truth:    Truth{Margins: margins},
		}
	}
	p := Plan{
		Falls: 3, Blocks: []Block{{Name: "rope", Each: 2}},
		Ask: compare.Ask{Measure: "peak force", Unit: "N", Scale: compare.Log, Adjust: compare.Holm, Blocks: []string{"rope"}},
		Variances: Variances{Source: Given, From: "the test", Scale: compare.Log, Parts: []compare.Variance{
			{Group: "specimen", Term: "intercept", SD: 0.03}, {Group: "rope", Term: "intercept", SD: 0.03}, {SD: 0.02},
		}},
	}
	for _, name := range []string{"dry", "soaked", "treated"} {
		p.Conditions = append(p.Conditions, Condition{name, 4})
	}
	p.Questions = []Question{share("wet", "soaked", "dry", 1.7), share("treatment", "treated", "dry", 0), share("first", "soaked", "treated", 1.7)}
	p.Questions[2].Falls = []compare.Fall{"1"}
	rest := share("wear", "dry", "dry", 0)
	rest.Falls, rest.BaselineFalls = []compare.Fall{"3"}, []compare.Fall{"1"}
	p.Questions = append(p.Questions, rest)
	return p
}

// A study drawn as sides and sums of squares is one drawn as values and reduced: the
// findings of both are as frequent, within four Monte Carlo standard errors, for
// each question and each finding. So are those of values that are fitted.
func TestStrataAndValuesAreOneStudy(t *testing.T) {
	b, err := lay(blocked(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if b.balanced == nil {
		t.Fatal("the plan does not fall into strata")
	}
	const many, few = 20_000, 1500
	quick, fitted := newTally(b), newTally(b)
	if err := quick.more(t.Context(), b, Options{}.complete(), many, many); err != nil {
		t.Fatal(err)
	}
	slow := *b
	slow.balanced = nil
	if err := fitted.more(t.Context(), &slow, Options{}.complete(), few, few); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for q, question := range b.plan.Questions {
		for k, finding := range findings {
			a, c := quick.share(q, k), fitted.share(q, k)
			if !near.Abs(a.P, c.P, 4*math.Sqrt(a.P*(1-a.P)/few)+1e-3) {
				t.Errorf("%s, %s: %.4f by strata, %.4f fitted", question.Name, finding, a.P, c.P)
			}
			checked++
		}
	}
	if checked != 16 || quick.refused > 0 || fitted.refused > 0 {
		t.Fatalf("%d checked, %d and %d refused", checked, quick.refused, fitted.refused)
	}
}

// The sides of studies drawn by strata have the mean and the covariance of those of
// values, and so have the sums of squares. Four standard errors of 4000 draws.
func TestDrawsHaveTheirMoments(t *testing.T) {
	b, err := lay(blocked(), 2)
	if err != nil {
		t.Fatal(err)
	}
	d, err := b.drawer()
	if err != nil {
		t.Fatal(err)
	}
	d.values = make([]float64, len(b.cell))
	const draws = 4000
	m, k := b.balanced.Sides, len(b.balanced.Degrees)
	sums := map[string][2][]float64{}
	note := func(way int, sides, squares []float64) {
		for i := range m {
			add(sums, fmt.Sprint("side ", i), way, sides[i]-b.expected[i])
			for j := range i + 1 {
				add(sums, fmt.Sprint("product ", i, j), way, (sides[i]-b.expected[i])*(sides[j]-b.expected[j]))
			}
		}
		for i := range k {
			add(sums, fmt.Sprint("squares ", i), way, squares[i])
		}
	}
	for i := range uint64(draws) {
		d.drawStrata(i)
		note(0, d.sides, d.squares)
		d.drawValues(i)
		sides, squares := b.balanced.Reduce(d.values)
		note(1, sides, squares)
	}
	checked := 0
	for name, s := range sums {
		mean0, se0 := meanOf(s[0])
		mean1, se1 := meanOf(s[1])
		if !near.Abs(mean0, mean1, 4.5*math.Hypot(se0, se1)+1e-12) {
			t.Errorf("%s: %g ± %g by strata, %g ± %g of values", name, mean0, se0, mean1, se1)
		}
		checked++
	}
	if checked < 15 {
		t.Fatalf("%d checked", checked)
	}
}

func add(sums map[string][2][]float64, name string, way int, v float64) {
	s := sums[name]
	s[way] = append(s[way], v)
	sums[name] = s
}

func meanOf(x []float64) (mean, se float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		se += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(se/(n-1)) / math.Sqrt(n)
}

// χ² has its mean, variance and third moment, df, 2df and 8df, and the same luck at
// other degrees of freedom gives nearly the same place in its distribution.
func TestChi(t *testing.T) {
	s := newStream()
	const draws = 40_000
	checked := 0
	for _, df := range []float64{0.4, 1, 2, 3.5, 12, 400} {
		var first, second []float64
		agree := 0.0
		for i := range uint64(draws) {
			s.set(1, i, 7)
			x := s.chi(df)
			s.set(1, i, 7)
			y := s.chi(df * 1.2)
			first, second = append(first, x), append(second, (x-df)*(x-df))
			if (x > df) == (y > df*1.2) {
				agree++
			}
		}
		m, se := meanOf(first)
		v, vse := meanOf(second)
		if !near.Abs(m, df, 4*se) || !near.Abs(v, 2*df, 4*vse) || agree/draws < 0.93 {
			t.Errorf("df %g: mean %g ± %g, variance %g ± %g, %g agree", df, m, se, v, vse, agree/draws)
		}
		checked++
	}
	if checked != 6 {
		t.Fatalf("%d checked", checked)
	}
}

// More specimens meet the same specimens and more: values of a smaller plan are
// among those of the larger, but for a truth that is the same.
func TestSameLuck(t *testing.T) {
	small, large := blocked(), blocked().With(6, 4)
	a, err := lay(small, 9)
	if err != nil {
		t.Fatal(err)
	}
	b, err := lay(large, 9)
	if err != nil {
		t.Fatal(err)
	}
	draw := func(b *bench) *drawer {
		d, err := b.drawer()
		if err != nil {
			t.Fatal(err)
		}
		d.values = make([]float64, len(b.cell))
		d.drawValues(3)
		for i := range d.values {
			d.values[i] -= b.cell[i]
		}
		return d
	}
	x, y := draw(a), draw(b)
	for c := range 3 {
		for s := range 4 {
			for f := range 3 {
				if got, want := y.values[(c*6+s)*4+f], x.values[(c*4+s)*3+f]; !near.Abs(got, want, 1e-12) {
					t.Fatalf("condition %d, specimen %d, fall %d: %g, the smaller plan has %g", c, s, f+1, got, want)
				}
			}
		}
	}
}

// Means supposed give every question its difference, whatever its kind, on either
// scale; contradictions are refused.
func TestCells(t *testing.T) {
	checked := 0
	for _, as := range []compare.FallsAs{compare.Levels, compare.Trend} {
		for _, scale := range []compare.Scale{compare.Log, compare.Linear} {
			p := blocked()
			p.Ask.FallsAs, p.Ask.Scale, p.Level = as, scale, 3500
			p.Questions[3].Truth.Margins = -1
			trend := p.Questions[0]
			trend.Name, trend.Trend, trend.Truth = "trend", true, Truth{Share: 0.02}
			if as == compare.Levels {
				p.Questions = append(p.Questions, trend)
			}
			cells, err := p.cells()
			if err != nil {
				t.Fatal(err)
			}
			at := map[string][]float64{"dry": cells[0], "soaked": cells[1], "treated": cells[2]}
			for _, q := range p.Questions {
				seen, base := q.Weights(p.Falls)
				got := product(seen, at[q.Condition]) - product(base, at[q.Baseline])
				want, wrong := q.step(scale, 3500)
				if wrong != "" || !near.Abs(got, want, 1e-9*(1+math.Abs(want))) {
					t.Errorf("%s, %s, %s: %g, want %g %s", as, scale, q.Name, got, want, wrong)
				}
				checked++
			}
		}
	}
	if checked != 18 {
		t.Fatalf("%d checked", checked)
	}
	p := blocked()
	p.Questions[2].Falls = nil
	p.Questions[2].Truth.Margins = -3
	if _, err := p.cells(); err == nil {
		t.Error("a contradiction was taken")
	}
}

// Differences by hand: 1.7 margins of 5 % are 8.5 % up, −1 is 5 % down; at the margin
// the finding called for is higher or lower, inside it none that matters.
func TestTruths(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		truth     Truth
		log, line float64
		calls     compare.Verdict
	}{
		{Truth{Margins: 1.7}, math.Log(1.085), 297.5, compare.Higher},
		{Truth{Margins: 1}, math.Log(1.05), 175, compare.Higher},
		{Truth{Margins: 0.99}, math.Log(1.0495), 173.25, compare.NoDifference},
		{Truth{}, 0, 0, compare.NoDifference},
		{Truth{Margins: -0.99}, math.Log(0.9505), -173.25, compare.NoDifference},
		{Truth{Margins: -1}, math.Log(0.95), -175, compare.Lower},
		{Truth{Share: -0.2}, math.Log(0.8), -700, compare.Lower},
	} {
		q := blocked().Questions[0]
		q.Truth = c.truth
		for scale, want := range map[compare.Scale]float64{compare.Log: c.log, compare.Linear: c.line} {
			got, wrong := q.step(scale, 3500)
			if wrong != "" || !near.Abs(got, want, 1e-12*(1+math.Abs(want))) || q.calls(scale, 3500) != c.calls {
				t.Errorf("%+v, %s: %g %s calls for %s", c.truth, scale, got, wrong, q.calls(scale, 3500))
			}
			checked++
		}
	}
	q := blocked().Questions[0]
	q.Share, q.Amount, q.Truth = 0, 200, Truth{Amount: -210}
	if got, _ := q.step(compare.Linear, 0); got != -210 || q.calls(compare.Linear, 0) != compare.Lower {
		t.Errorf("an amount: %g", got)
	}
	if checked != 14 {
		t.Fatalf("%d checked", checked)
	}
}
