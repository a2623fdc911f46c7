package lmm_test

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
	"fallwright.example/refdata"
)

// Source: [NISTSRD140], certified F, degrees of freedom and residual standard
// deviation of eleven one-way sets, here as models without a random term, for
// which Kenward-Roger, Satterthwaite and the classic analysis are one.
// Tolerance: the digits that the offset leaves in the values themselves: 13,
// 9 and 3.
func TestWithoutRandomTerms(t *testing.T) {
	checked := 0
	for _, set := range refdata.NISTOneWay() {
		m, design := oneWay(set.Groups)
		tol := 1e-11
		switch first := set.Groups[0][0]; {
		case first > 1e9:
			tol = 3e-3
		case first > 1e5, set.Name == "AtmWtAg":
			tol = 1e-8
		}
		f, err := lmm.New(m, lmm.REML)
		if err != nil {
			t.Fatal(set.Name, err)
		}
		l, err := design.Test("group")
		if err != nil {
			t.Fatal(set.Name, err)
		}
		left := float64(len(m.Y) - len(set.Groups))
		h := &held{T: t, name: set.Name}
		h.rel("residual SD", f.ResidualSD[0], math.Sqrt(set.SSWithin/left), tol)
		for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
			got, err := f.FTest(l, by)
			if err != nil {
				t.Fatal(set.Name, by, err)
			}
			h.rel("F", got.F, set.F, tol)
			h.rel("df1", got.DF1, float64(len(set.Groups)-1), 1e-12)
			h.rel("df2", got.DF2, left, max(1e-9, tol/100))
			checked++
		}
	}
	if checked != 22 {
		t.Fatalf("%d tests looked at", checked)
	}
}

func oneWay(groups [][]float64) (lmm.Model, *lmm.Design) {
	v := lmm.Variables{Factors: []lmm.Factor{{Name: "group"}}}
	var y []float64
	for i, g := range groups {
		v.Factors[0].Levels = append(v.Factors[0].Levels, string(rune('a'+i)))
		for _, x := range g {
			v.Factors[0].Code = append(v.Factors[0].Code, i)
			y = append(y, x)
		}
	}
	v.Rows = len(y)
	d, err := v.Design("group")
	if err != nil {
		panic(err)
	}
	return lmm.Model{Y: y, X: d.X, Names: d.Names}, d
}

// Two groups with a spread of their own and nothing else: each group's
// standard deviation is its own with n − 1, and the difference has Welch's
// standard error. REML separates into the two groups, so this is exact algebra.
// The degrees of freedom by Satterthwaite are Welch's too: the variance of each
// s² at the REML estimates is 2σ⁴/(n − 1) by the observed information.
func TestUnequalSpreadAloneIsWelch(t *testing.T) {
	a, b := []float64{55, 47, 48, 51}, []float64{55, 64, 64, 70, 90}
	m, _ := oneWay([][]float64{a, b})
	m.Spread = &lmm.Spread{Name: "group", Groups: []string{"a", "b"}, Group: []int{0, 0, 0, 0, 1, 1, 1, 1, 1}}
	f, err := lmm.New(m, lmm.REML)
	if err != nil {
		t.Fatal(err)
	}
	c, err := f.Contrast([]float64{0, 1}, lmm.Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	va, vb := variance(a)/4, variance(b)/5
	df := (va + vb) * (va + vb) / (va*va/3 + vb*vb/4)
	for what, p := range map[string][2]float64{
		"SD of a": {f.ResidualSD[0], math.Sqrt(4 * va)}, "SD of b": {f.ResidualSD[1], math.Sqrt(5 * vb)},
		"SE": {c.SE, math.Sqrt(va + vb)}, "df": {c.DF, df},
	} {
		if !near.Rel(p[0], p[1], 1e-6) {
			t.Errorf("%s %.10g, want %.10g", what, p[0], p[1])
		}
	}
}

func variance(x []float64) float64 {
	mean, ss := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		ss += (v - mean) * (v - mean)
	}
	return ss / float64(len(x)-1)
}

// A contrast of a Ratio is the contrast written out, by either method, and the
// zeros of Fieller are where it reaches c standard errors: definitions, held to
// rounding.
func TestRatioIsTheContrast(t *testing.T) {
	m, _ := drops(3, 2, 3, 4, 200, 100)
	f, err := lmm.New(m, lmm.REML)
	if err != nil {
		t.Fatal(err)
	}
	p, checked := len(m.Names), 0
	a, b := make([]float64, p), make([]float64, p)
	a[0], a[1], b[0], b[p-1] = 1, 1, 1, 0.5
	for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
		r, err := f.Ratio(a, b, by)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range []float64{-2, 0, 0.97, 1, 5} {
			l := make([]float64, p)
			for i := range l {
				l[i] = a[i] - x*b[i]
			}
			want, err := f.Contrast(l, by)
			if err != nil {
				t.Fatal(err)
			}
			got := r.At(x)
			if !near.Rel(got.Estimate, want.Estimate, 1e-9) || !near.Rel(got.SE, want.SE, 1e-9) || !near.Rel(got.DF, want.DF, 1e-8) {
				t.Errorf("%v at %g: %+v, want %+v", by, x, got, want)
			}
			checked++
		}
		low, high, ok := r.Zero(2)
		if !ok || !near.Rel(r.At(low).T, 2, 1e-7) || !near.Rel(r.At(high).T, -2, 1e-7) {
			t.Errorf("zeros %g, %g, %v: t %g and %g", low, high, ok, r.At(low).T, r.At(high).T)
		}
	}
	if checked == 0 {
		t.Fatal("nothing looked at")
	}
}

// Least squares without a variance: as many columns as rows gives the values
// back, and what the data do not hold is NaN.
func TestPlain(t *testing.T) {
	m, _ := oneWay([][]float64{{3}, {5}, {11}})
	got, err := lmm.Plain(m.Y, m.X, m.Names, [][]float64{{1, 0, 0}, {0, 1, 0}, {1, 0.5, 0.5}})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{3, 2, 8} {
		if !near.Abs(got[i], want, 1e-12) {
			t.Errorf("contrast %d is %g, want %g", i, got[i], want)
		}
	}
	got, err = lmm.Plain(m.Y[:2], dense([][]float64{{1, 0}, {1, 0}}), m.Names[:2], [][]float64{{1, 0}, {0, 1}})
	if err != nil || !near.Abs(got[0], 4, 1e-12) || !math.IsNaN(got[1]) {
		t.Errorf("%v, %v: want 4 and what is not held", got, err)
	}
}
