package oneway

import (
	"math"
	"math/big"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/refdata"
)

func analyse(t *testing.T, groups [][]float64) Anova {
	t.Helper()
	a, err := Analyse(groups)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// [NISTSRD140] certifies 15 digits. How many can be had is set by the values: a
// tenth on top of 1, 1e6 or 1e12 keeps about 15, 10 or 3 digits in a float64,
// and AtmWtAg's spread of 1.5e-5 on 108 keeps about 9.
func TestAnovaNIST(t *testing.T) {
	want := map[string]float64{
		"SiRstv": 13, "AtmWtAg": 10,
		"SmLs01": 13, "SmLs02": 13, "SmLs03": 13,
		"SmLs04": 9.5, "SmLs05": 9.5, "SmLs06": 9.5,
		"SmLs07": 3.5, "SmLs08": 3.5, "SmLs09": 3.5,
	}
	sets := refdata.NISTOneWay()
	for _, set := range sets {
		got := analyse(t, set.Groups)
		t.Logf("%s: F to %.1f digits", set.Name, near.Digits(got.F, set.F))
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"SS between", got.SSBetween, set.SSBetween},
			{"SS within", got.SSWithin, set.SSWithin},
			{"MS between", got.MSBetween, set.SSBetween / got.DFBetween},
			{"F", got.F, set.F},
			{"R²", got.RSquared, set.RSquared},
			{"residual SD", got.ResidualSD, set.ResidualSD},
		} {
			if d := near.Digits(c.got, c.want); d < want[set.Name] {
				t.Errorf("%s: %s = %.15g, certified %.15g: %.1f digits, want %g", set.Name, c.what, c.got, c.want, d, want[set.Name])
			}
		}
		if k, n := len(set.Groups), len(set.Groups[0]); got.DFBetween != float64(k-1) || got.DFWithin != float64(k*(n-1)) {
			t.Errorf("%s: %g and %g degrees of freedom", set.Name, got.DFBetween, got.DFWithin)
		}
	}
	if len(sets) != 11 || len(want) != 11 {
		t.Fatalf("%d sets checked, want 11", len(sets))
	}
}

// Where the certificate cannot tell, exact rational arithmetic on the values as
// a float64 holds them can: the computation itself loses next to nothing, even
// on 1e12. Tolerance: 12 digits; 18 009 roundings of a running sum cost three.
func TestAnovaAgainstExactArithmetic(t *testing.T) {
	checked := 0
	for _, set := range refdata.NISTOneWay() {
		between, within := exactSquares(set.Groups)
		got := analyse(t, set.Groups)
		if d := min(near.Digits(got.SSBetween, between), near.Digits(got.SSWithin, within)); d < 12 {
			t.Errorf("%s: SS %.17g and %.17g, exactly %.17g and %.17g: %.1f digits", set.Name, got.SSBetween, got.SSWithin, between, within, d)
		}
		checked++
	}
	if checked != 11 {
		t.Fatalf("%d sets checked, want 11", checked)
	}
}

// exactSquares sums squares without rounding, by Σx² − (Σx)²/n, which is only
// safe when nothing is rounded.
func exactSquares(groups [][]float64) (between, within float64) {
	n, sum, squares, cells := 0, new(big.Rat), new(big.Rat), new(big.Rat)
	over := func(s *big.Rat, n int) *big.Rat {
		return new(big.Rat).Quo(new(big.Rat).Mul(s, s), new(big.Rat).SetInt64(int64(n)))
	}
	for _, g := range groups {
		part := new(big.Rat)
		for _, v := range g {
			x := new(big.Rat).SetFloat64(v)
			part.Add(part, x)
			squares.Add(squares, x.Mul(x, x))
		}
		n += len(g)
		sum.Add(sum, part)
		cells.Add(cells, over(part, len(g)))
	}
	between, _ = new(big.Rat).Sub(cells, over(sum, n)).Float64()
	within, _ = new(big.Rat).Sub(squares, cells).Float64()
	return between, within
}

// Textbook tables, typed from the publications named, with results as printed
// or from R 4.2.2 (aov). Tolerance: half a unit of the last digit.
func TestAnovaTextbooks(t *testing.T) {
	for _, c := range []struct {
		name                                string
		groups                              [][]float64
		between, within, f, p               float64
		betweenTol, withinTol, fTol, pSlack float64
	}{
		{
			// [NISTHB151] 7.4.3; data from memory, the printed sums came out of them.
			"resistances",
			[][]float64{{6.9, 5.4, 5.8, 4.6, 4.0}, {8.3, 6.8, 7.8, 9.2, 6.5}, {8.0, 10.5, 8.1, 6.9, 9.3}},
			27.897, 17.452, 9.5911, 0.0032482, 5e-4, 8e-4, 5e-5, 5e-8,
		},
		{
			// [Dunnett1955], fabric strength; data from memory. The residual variance is 19 on 8.
			"fabric",
			[][]float64{{55, 47, 48}, {55, 64, 64}, {55, 49, 52}, {50, 44, 41}},
			402, 152, 7.05263, 0.012315, 1e-12, 1e-12, 5e-6, 5e-7,
		},
	} {
		a := analyse(t, c.groups)
		if !near.Abs(a.SSBetween, c.between, c.betweenTol) || !near.Abs(a.SSWithin, c.within, c.withinTol) ||
			!near.Abs(a.F, c.f, c.fTol) || !near.Abs(a.P, c.p, c.pSlack) {
			t.Errorf("%s: %+v", c.name, a)
		}
	}
}

// Peak force of the pads, [Yao2025]: group means and SD printed by the authors
// to 15 digits, F, MSE and Welch's p by R 4.2.2 (aov, oneway.test). Tolerance:
// half a unit of the last digit printed; 12 digits for means and SD.
func TestAnovaPads(t *testing.T) {
	const what = "analysis of variance of the pads"
	dose := padGroups(t, what)
	rows := readCSV(t, shared(t, what, "pad-impact-dose", "expected", "batch_summary.csv"))[1:]
	var groups [][]float64
	for _, row := range rows {
		g := dose["peak_force"+row[0]+" mm"]
		s := summarise(t, g...)
		if d := min(near.Digits(s.Mean, number(t, row[7])), near.Digits(s.SD, number(t, row[8]))); d < 12 {
			t.Errorf("%s mm: %+v, published %s and %s: %.1f digits", row[0], s, row[7], row[8], d)
		}
		groups = append(groups, g)
	}
	if len(groups) != 7 {
		t.Fatalf("%d groups, want 7", len(groups))
	}
	a := analyse(t, groups)
	if a.DFBetween != 6 || a.DFWithin != 28 || !near.Abs(a.F, 54.60206, 5e-6) || !near.Abs(a.MSWithin, 0.0768557, 5e-8) {
		t.Errorf("%+v, want F(6, 28) = 54.60206 and MSE 0.0768557", a)
	}
	u, err := AnalyseUnequal(groups)
	if err != nil || !near.Abs(u.P, 1.699e-9, 5e-13) {
		t.Errorf("Welch's p %.5g, %v, want 1.699e-9", u.P, err)
	}
}

// Peak loads of 13 exposures of a geotextile, four specimens each, as the
// machine summed them up [Santos2025]: mean to 0.01 N, SD to 1e-5 N.
// F and both p by R 4.2.2 and the authors. Tolerance: rounding the means to
// 0.005 N in differences of some 100 N moves F by about 1e-4 of itself; the
// figures of Welch's test are given to four digits.
func TestAnovaGeotextile(t *testing.T) {
	groups := []Sample{
		{4, 1416.69, 227.54967},
		{4, 1541.58, 449.50633},
		{4, 1750.55, 305.50767},
		{4, 2014.91, 289.43777},
		{4, 1968.04, 477.12994},
		{4, 1394.07, 283.17036},
		{4, 1481.50, 265.34641},
		{4, 1469.80, 349.06937},
		{4, 1580.55, 403.66771},
		{4, 1983.10, 658.65316},
		{4, 1440.23, 124.88008},
		{4, 1517.46, 119.66289},
		{4, 1670.42, 307.38849},
	}
	a, err := AnalyseSamples(groups)
	if err != nil {
		t.Fatal(err)
	}
	if a.DFBetween != 12 || a.DFWithin != 39 || !near.Abs(a.F, 1.602, 5e-4) || !near.Abs(a.P, 0.13119, 1e-5) {
		t.Errorf("%+v, want F(12, 39) = 1.602, p 0.13119", a)
	}
	u, err := AnalyseUnequalSamples(groups)
	if err != nil {
		t.Fatal(err)
	}
	if !near.Abs(u.F, 1.3288, 1e-4) || !near.Abs(u.DFWithin, 15.028, 5e-4) || !near.Abs(u.P, 0.2973, 5e-5) {
		t.Errorf("%+v, want F(12, 15.028) = 1.3288, p 0.2973", u)
	}
}

// The machine's own mean and SD under its table of four peaks, seven exposures
// [Santos2025]. The peaks are printed to 0.01 N, so the mean may be off by
// 0.005 N twice over and the SD by as much.
func TestSummariseAgainstMachine(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(shared(t, "mean and SD against a machine's own", "geotextile-puncture"), "d*", "*Resultados.csv"))
	if err != nil || len(files) != 7 {
		t.Fatalf("%d tables, %v, want 7", len(files), err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var peaks []float64
		mean, sd := math.NaN(), math.NaN()
		for _, line := range strings.Split(string(text), "\n") {
			f := strings.Split(strings.TrimSpace(line), ";")
			if len(f) != 5 {
				continue
			}
			load := strings.Replace(f[3], ",", ".", 1)
			switch {
			case len(f[0]) == 1:
				peaks = append(peaks, number(t, load))
			case strings.HasPrefix(f[0], "M\xe9d"): // Média, in Latin-1
				mean = number(t, load)
			case strings.HasPrefix(f[0], "Desvio"):
				sd = number(t, load)
			}
		}
		s := summarise(t, peaks...)
		if s.N != 4 || !near.Abs(s.Mean, mean, 0.01) || !near.Abs(s.SD, sd, 0.01) {
			t.Errorf("%s: %+v, the machine has %g and %g", file, s, mean, sd)
		}
	}
}

// Exact algebra: for two groups Welch's several-group test is the square of his
// t, with the same degrees of freedom, and the classic one is the square of the
// pooled t.
func TestTwoGroupsAreT(t *testing.T) {
	checked := 0
	for i, pair := range [][2]Sample{
		{{3, 4000, 120}, {3, 4300, 40}}, {{2, 1, 0.1}, {9, 1.5, 2}}, {{6, -1, 1e-3}, {4, 0, 30}},
	} {
		c := welch(t, pair[0], pair[1])
		u, err := AnalyseUnequalSamples(pair[:])
		if err != nil {
			t.Fatal(err)
		}
		a, err := AnalyseSamples(pair[:])
		if err != nil {
			t.Fatal(err)
		}
		n1, n2 := float64(pair[0].N), float64(pair[1].N)
		pooled := ((n1-1)*pair[0].SD*pair[0].SD + (n2-1)*pair[1].SD*pair[1].SD) / (n1 + n2 - 2)
		for _, r := range []struct {
			what      string
			got, want float64
		}{
			{"Welch's F", u.F, c.T * c.T},
			{"its df", u.DFWithin, c.DF},
			{"its p", u.P, c.P},
			{"F", a.F, c.Amount * c.Amount / (pooled * (1/n1 + 1/n2))},
			{"residual SD", a.ResidualSD, math.Sqrt(pooled)},
		} {
			// 1e-11: 1 − w/W in the weights loses digits where one group rules.
			if !near.Rel(r.got, r.want, 1e-11) {
				t.Errorf("pair %d: %s = %.15g, want %.15g", i, r.what, r.got, r.want)
			}
			checked++
		}
	}
	if checked != 15 {
		t.Fatalf("%d figures checked, want 15", checked)
	}
}

// A group of one adds a mean and no spread; worked by hand for 1, 3 and 5:
// the total mean is 3, SSB = 2·1 + 1·4 = 6, SSW = 2 on 1.
func TestAnovaGroupOfOne(t *testing.T) {
	a := analyse(t, [][]float64{{1, 3}, {5}})
	for _, r := range []struct{ got, want float64 }{
		{a.SSBetween, 6}, {a.SSWithin, 2}, {a.F, 3}, {a.DFBetween, 1}, {a.DFWithin, 1},
	} {
		if !near.Rel(r.got, r.want, 1e-14) {
			t.Errorf("%+v, want SSB 6, SSW 2, F(1, 1) = 3", a)
		}
	}
}
