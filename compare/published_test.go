package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/refdata"
)

// [NISTSRD140], analysis of variance, 15 digits certified, through the analysis
// that a table of values without specimens gets: F, its degrees of freedom, the
// residual SD. Digits wanted as in num/oneway: a tenth on top of 1, 1e6 or 1e12
// keeps about 15, 10 or 4 in a float64, and AtmWtAg's 1.5e-5 on 108 about 10.
func TestCertifiedOneWay(t *testing.T) {
	want := map[string]float64{
		"SiRstv": 12.5, "AtmWtAg": 10,
		"SmLs01": 12.5, "SmLs02": 12.5, "SmLs03": 12.5,
		"SmLs04": 10, "SmLs05": 10, "SmLs06": 10,
		"SmLs07": 4, "SmLs08": 4, "SmLs09": 4,
	}
	checked := 0
	for _, set := range refdata.NISTOneWay() {
		var d Data
		for i, g := range set.Groups {
			d.group(fmt.Sprint(i+1), g...)
		}
		a := analysed(t, d, Ask{})
		if len(a.Terms) != 1 {
			t.Errorf("%s: terms %+v", set.Name, a.Terms)
			continue
		}
		f := a.Terms[0]
		k, n := len(set.Groups), len(d.Value)
		t.Logf("%s: F to %.1f digits, residual SD to %.1f", set.Name, near.Digits(f.F, set.F), near.Digits(a.ResidualSD, set.ResidualSD))
		if w := want[set.Name]; near.Digits(f.F, set.F) < w || near.Digits(a.ResidualSD, set.ResidualSD) < w {
			t.Errorf("%s: F %.15g, residual SD %.15g; certified %.15g and %.15g", set.Name, f.F, a.ResidualSD, set.F, set.ResidualSD)
		}
		if f.DF1 != float64(k-1) || !near.Rel(f.DF2, float64(n-k), 1e-12) {
			t.Errorf("%s: %g and %g degrees of freedom", set.Name, f.DF1, f.DF2)
		}
		checked++
	}
	if checked != 11 {
		t.Fatalf("%d sets checked", checked)
	}
}

// Tensile strength of cotton, a textbook's five percentages of five values, with
// 35 % as the control: sums of squares 475.76 on 4 and 161.20 on 20, F 14.757,
// p of Dunnett's test 0.9469, 0.0598, 0.0042 and below 0.001, by R 4.2.2 in chance
// (±0.0005), and its critical value 2.6511. Printed digits, and that chance.
func TestCotton(t *testing.T) {
	ref, err := refdata.CompareCore()
	if err != nil {
		t.Fatal(err)
	}
	d, _ := tableOf(ref.Cases[slices.IndexFunc(ref.Cases, func(c refdata.ComparedCase) bool { return c.Name == "cotton" })])
	a := analysed(t, d, Ask{Baseline: "35", Adjust: Joint})
	f := a.Terms[0]
	if !near.Abs(f.F, 14.757, 5e-4) || f.DF1 != 4 || !near.Abs(f.DF2, 20, 1e-9) || !near.Abs(a.ResidualSD*a.ResidualSD*20, 161.20, 5e-9) {
		t.Errorf("%+v, residual SD %g", f, a.ResidualSD)
	}
	for i, p := range []float64{0.9469, 0.0598, 0.0042, 0.0005} {
		x := a.Overall[i]
		if !near.Abs(x.PAdjusted, p, 5e-4) {
			t.Errorf("%s: joint p %.5f, want %g", x.Condition, x.PAdjusted, p)
		}
		if c := (x.Upper - x.Amount) / x.SE; !near.Abs(c, 2.6511, 3e-4) || !near.Abs(c*x.SE, 4.76, 5e-3) {
			t.Errorf("%s: critical value %.5f, difference %.4f", x.Condition, c, c*x.SE)
		}
	}
}

// Sugar of beets from pbkrtest, a split plot: harvests on the whole plots of three
// blocks, sowing days within. Kenward-Roger, R 4.2.2 with pbkrtest: leaving out
// harvest F 15.21053 on 1 and 2, p 0.059898; sowing F 101.0 on 4 and 20, p
// 5.7412e-13. The plan is balanced, so blocks and sowing days taken as random, as
// compare has them, leave these as they are. Printed digits.
func TestBeets(t *testing.T) {
	const plots = `h1 b1 3 17.1 4 16.9 5 16.6 2 17.0 1 17.0
h2 b2 3 17.0 2 17.0 4 16.7 5 16.4 1 16.8
h1 b3 5 16.6 2 16.9 3 17.1 4 16.8 1 16.9
h2 b1 2 17.0 1 16.8 5 16.5 4 16.7 3 17.0
h1 b2 4 16.8 1 16.9 3 17.0 2 17.0 5 16.5
h2 b3 1 16.7 4 16.6 3 16.9 2 16.9 5 16.4`
	var harvest, block, sow []string
	var value []float64
	for _, line := range strings.Split(plots, "\n") {
		f := strings.Fields(line)
		for i := 2; i < len(f); i += 2 {
			var v float64
			if _, err := fmt.Sscan(f[i+1], &v); err != nil {
				t.Fatal(err)
			}
			harvest, block, sow, value = append(harvest, f[0]), append(block, f[1]), append(sow, f[i]), append(value, v)
		}
	}
	columns := []Column{{"harvest", harvest}, {"block", block}, {"sow", sow}}
	if len(value) != 30 {
		t.Fatalf("%d values", len(value))
	}
	for _, c := range []struct {
		condition      []string
		blocks         []string
		f, tol         float64
		df1, df2, p, q float64
	}{
		{harvest, []string{"sow", "block", "harvest:block"}, 15.21053, 5e-6, 1, 2, 0.059898, 5e-7},
		{sow, []string{"harvest:block"}, 101.0, 5e-2, 4, 20, 5.7412e-13, 5e-16},
	} {
		a := analysed(t, Data{Value: value, Condition: c.condition, Columns: columns}, Ask{Blocks: c.blocks})
		f := a.Terms[0]
		if !near.Abs(f.F, c.f, c.tol) || f.DF1 != c.df1 || !near.Abs(f.DF2, c.df2, 1e-4) || !near.Abs(f.P, c.p, c.q) {
			t.Errorf("%s: %+v, want %+v", a.Formula, f, c)
		}
	}
}

// sleepstudy [Belenky2003], a line a subject, by lme4 1.1.31 and pbkrtest 0.5.2
// with its usual search and, where two figures stand, with another one to 1e-10:
// slope, standard error, degrees of freedom, t, F, variances; without its first
// three rows the degrees of freedom are no whole numbers. lme4's usual search
// stops some 2e-5 short of the variances, and more with rows left out, where it
// warns; the other one holds six digits.
func TestSleepstudyByKenwardRoger(t *testing.T) {
	ref, err := refdata.CompareCore()
	if err != nil {
		t.Fatal(err)
	}
	d, _ := tableOf(ref.Cases[slices.IndexFunc(ref.Cases, func(c refdata.ComparedCase) bool { return c.Name == "sleepstudy" })])
	ask := Ask{FallsAs: TrendPerSpecimen}
	a := analysed(t, d, ask)
	s, f := a.Trends[0], a.Terms[0]
	level, slope, tie := a.Random[0].SD, a.Random[1].SD, a.Correlations[0].Correlation
	short := Data{Value: d.Value[3:], Fall: d.Fall[3:], Specimen: d.Specimen[3:]}
	b := analysed(t, short, ask)
	at := slices.IndexFunc(b.Means, func(m Mean) bool { return m.Fall == "0" })
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"slope", s.Slope, 10.46728596, 6e-9},
		{"SE", s.SE, 1.545789644, 1e-6},
		{"SE, closely", s.SE, 1.54578893, 1e-7},
		{"df", s.DF, 17, 1e-4},
		{"t", s.Slope / s.SE, 6.771481, 5e-6},
		{"F", f.F, 45.85296, 6e-5},
		{"variance of levels", level * level, 612.100158, 0.02},
		{"variance of levels, closely", level * level, 612.089748, 2e-4},
		{"variance of slopes", slope * slope, 35.071714, 1e-4},
		{"variance of slopes, closely", slope * slope, 35.071662, 2e-6},
		{"correlation", tie, 0.065551, 2e-5},
		{"residual variance", a.ResidualSD * a.ResidualSD, 654.940008, 2e-3},
		{"residual variance, closely", a.ResidualSD * a.ResidualSD, 654.941041, 2e-5},
		{"slope without three", b.Trends[0].Slope, 10.191287, 1e-4},
		{"closely", b.Trends[0].Slope, 10.19136967, 1e-7},
		{"its SE", b.Trends[0].SE, 1.4655296, 1e-4},
		{"closely", b.Trends[0].SE, 1.46562137, 2e-7},
		{"its df", b.Trends[0].DF, 16.953211, 1e-4},
		{"closely", b.Trends[0].DF, 16.95323671, 1e-6},
		{"df at day 0", b.Means[at].DF, 16.846247, 2e-4},
		{"closely", b.Means[at].DF, 16.84606, 1e-5},
	} {
		if !near.Abs(c.got, c.want, c.tol) {
			t.Errorf("%s: %.10g, want %.10g", c.what, c.got, c.want)
		}
	}
	if math.IsNaN(tie) || a.N != 180 || b.N != 177 {
		t.Errorf("%d and %d rows", a.N, b.N)
	}
}
