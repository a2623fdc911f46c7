package compare

import (
	"flag"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/dist"
)

var rates = flag.Int("rates", 0, "invented drop tests a row of the tables of rates; 0: a few hundred, and no table")

// Source: Student's interval for one more value of a condition, pooled spread,
// x̄ ± t(N − k)·s·√(1 + 1/n), exact; on the log scale its limits turned back; with
// spread by condition each on its own n − 1. Tolerance: rounding, and the end of
// the search where spreads differ.
func TestNewSpecimenIsStudents(t *testing.T) {
	groups := [][]float64{{3, 4, 8, 5, 7}, {10, 40, 20}, {11, 12, 15, 13}}
	n := 0
	for _, ask := range []Ask{{}, {Scale: Log}, {SpreadByCondition: true}, {Scale: Log, SpreadByCondition: true}} {
		d := Data{}
		for g, values := range groups {
			for _, v := range values {
				d.Value = append(d.Value, v)
				d.Condition = append(d.Condition, string(rune('a'+g)))
			}
		}
		a, err := Analyse(d, ask)
		if err != nil {
			t.Fatal(err)
		}
		turn, back := func(x float64) float64 { return x }, func(x float64) float64 { return x }
		if ask.Scale == Log {
			turn, back = math.Log, math.Exp
		}
		var size, mean, square []float64
		total, df := 0.0, -float64(len(groups))
		for _, values := range groups {
			m, ss := 0.0, 0.0
			for _, v := range values {
				m += turn(v) / float64(len(values))
			}
			for _, v := range values {
				ss += (turn(v) - m) * (turn(v) - m)
			}
			size, mean, square = append(size, float64(len(values))), append(mean, m), append(square, ss)
			total, df = total+ss, df+float64(len(values))
		}
		for g, got := range a.Means {
			variance, own := total/df, df
			if ask.SpreadByCondition {
				own = size[g] - 1
				variance = square[g] / own
			}
			half := dist.T(0.025, own) * math.Sqrt(variance*(1+1/size[g]))
			n++
			if !near.Rel(got.NewLower, back(mean[g]-half), 1e-5) || !near.Rel(got.NewUpper, back(mean[g]+half), 1e-5) {
				t.Errorf("%+v group %d: %g to %g, want %g to %g", ask, g, got.NewLower, got.NewUpper, back(mean[g]-half), back(mean[g]+half))
			}
		}
	}
	if n != 12 {
		t.Fatalf("%d intervals looked at", n)
	}
}

// How often the 95 % interval holds a value of a new specimen, 6 conditions, 3
// specimens, 5 falls; the table of docs/METHODS.md is made by
//
//	go test ./compare -run TestNewSpecimenCoverage -rates 2000 -v
//
// A trial is the chance that the value, whose distribution is known, lies
// within the interval of the last condition at the third fall. Without -rates
// 100 trials of one row, within four standard errors of 95 % or 2 points.
func TestNewSpecimenCoverage(t *testing.T) {
	trials, rows := 100, []float64{100}
	if *rates > 0 {
		trials, rows = *rates, []float64{200, 100, 50, 0}
	}
	for _, between := range rows {
		sum, squares := 0.0, 0.0
		for i := range trials {
			a, err := Analyse(dropTest(uint64(1000+i), 6, 3, 5, between, 100), Ask{})
			if err != nil {
				t.Fatal(err)
			}
			m, sd := a.Means[5*5+2], math.Hypot(between, 100)
			const mean = 4000 + 150*5 + 250*2
			held := dist.Normal((m.NewUpper-mean)/sd) - dist.Normal((m.NewLower-mean)/sd)
			sum, squares = sum+held, squares+held*held
		}
		n := float64(trials)
		share := sum / n
		error1 := math.Sqrt((squares/n - share*share) / n)
		t.Logf("specimen SD %g, residual SD 100: %.1f %%, standard error %.2f, of %d", between, 100*share, 100*error1, trials)
		if !near.Abs(share, 0.95, min(0.02, max(0.005, 4*error1))) {
			t.Errorf("specimen SD %g: the interval holds in %.3f of %d trials, standard error %.4f", between, share, trials, error1)
		}
	}
}

// A trend for each specimen: the new value's own variance is that of the line at
// its fall, so the interval is widest far from the middle; against the variances
// as printed. Two routes, tolerance rounding.
func TestNewSpecimenOnASlope(t *testing.T) {
	d := dropTest(41, 2, 6, 5, 60, 30)
	for i := range d.Value {
		x, _ := d.Fall[i].Number()
		d.Value[i] += 25 * x * math.Sin(float64(i/5))
	}
	a, err := Analyse(d, Ask{FallsAs: TrendPerSpecimen})
	if err != nil {
		t.Fatal(err)
	}
	level, slope, tie := a.Random[0].SD, a.Random[1].SD, a.Correlations[0].Correlation
	for _, m := range a.Means {
		x, _ := m.Fall.Number()
		p := a.model.newSpecimen(a.table, a.grid.mean[0][int(x)-1], m.Condition, m.Fall, a.Ask.DF)
		own := level*level + 2*x*tie*level*slope + x*x*slope*slope + a.ResidualSD*a.ResidualSD
		if !near.Rel(p.SE, math.Sqrt(m.SE*m.SE+own), 1e-9) {
			t.Errorf("%s at fall %s: %g, want %g", m.Condition, m.Fall, p.SE, math.Sqrt(m.SE*m.SE+own))
		}
	}
	if len(a.Means) != 10 {
		t.Fatalf("%d means", len(a.Means))
	}
	if p := (&model{}).newSpecimen(a.table, nil, "c0", "1", a.Ask.DF); !math.IsNaN(p.SE) {
		t.Errorf("without a fit: %+v", p)
	}
}
