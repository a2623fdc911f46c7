package lmm_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

func correlations(rows [][]float64) *mat.SymDense {
	m := mat.NewSymDense(len(rows), nil)
	for i := range rows {
		for j := range i + 1 {
			m.SetSym(i, j, rows[i][j])
		}
	}
	return m
}

// Source: mvtnorm's pmvt, refdata/lmm/make_reference.R; product structure and
// others, one of them singular (six differences of four means).
//
// Tolerance: 1e-4, the digits that are promised; mvtnorm gives its own error as at most 1e-4 (99 %).
func TestJointAgainstR(t *testing.T) {
	n := 0
	for i, c := range reference(t).Joint {
		if i%7 != 0 { // one in seven, for speed; all matrices are in it
			continue
		}
		j, err := lmm.NewJoint(correlations(c.Correlation))
		if err != nil {
			t.Fatal(err)
		}
		sides, df := lmm.OneSided, c.DF
		if c.TwoSided {
			sides = lmm.TwoSided
		}
		if df == 0 {
			df = math.Inf(1)
		}
		p, uncertainty, err := j.Within(c.Bound, df, sides)
		if err != nil {
			t.Fatal(err)
		}
		if c.Error > 1e-4 || uncertainty > 4e-4 || !near.Abs(p, c.Inside, 1e-4) {
			t.Errorf("case %d, %d statistics, df %g, bound %g, %v: %.6f ± %.1g, want %.6f ± %.1g", i, len(c.Correlation), df, c.Bound, sides, p, uncertainty, c.Inside, c.Error)
		}
		n++
	}
	if n < 11 {
		t.Fatalf("%d probabilities looked at", n)
	}
}

func halves(k int) *mat.SymDense {
	m := mat.NewSymDense(k, nil)
	for i := range k {
		for j := range i {
			m.SetSym(i, j, 0.5)
		}
		m.SetSym(i, i, 1)
	}
	return m
}

// Source: [Dunnett1955], d for three treatments and 8 df (printed one-sided:
// 2.42, from memory; the two-sided ones of 1955 were approximate) and for four
// and 20 df (printed: 2.65), to more digits by SciPy: Gauss-Hermite over the
// common part, adaptive quadrature over s. Tolerance: that of Quantile.
func TestDunnettQuantiles(t *testing.T) {
	for _, c := range []struct {
		k         int
		df, level float64
		sides     lmm.Sides
		want      float64
	}{
		{3, 8, 0.95, lmm.OneSided, 2.4164552},
		{3, 8, 0.95, lmm.TwoSided, 2.8796615},
		{3, 8, 0.99, lmm.OneSided, 3.5092743},
		{3, 8, 0.99, lmm.TwoSided, 4.0022562},
		{4, 20, 0.95, lmm.TwoSided, 2.6510296},
	} {
		j, err := lmm.NewJoint(halves(c.k))
		if err != nil {
			t.Fatal(err)
		}
		got, err := j.Quantile(c.level, c.df, c.sides)
		if err != nil || !near.Abs(got, c.want, 1e-5) {
			t.Errorf("d(%d, %g) at %g, %v: %.7f, want %.7f (%v)", c.k, c.df, c.level, c.sides, got, c.want, err)
		}
	}
}

// The lattice and the double integral share no step. Correlations moved off the
// product structure by 1e-6, which moves a probability by less than 1e-5, go to
// the lattice.
func TestLatticeAgreesWithDoubleIntegral(t *testing.T) {
	exact := halves(5)
	off := halves(5)
	off.SetSym(0, 1, 0.5+1e-6)
	for _, df := range []float64{2.5, 9.3, 40.7, math.Inf(1)} {
		for _, sides := range []lmm.Sides{lmm.TwoSided, lmm.OneSided} {
			a, _ := lmm.NewJoint(exact)
			b, _ := lmm.NewJoint(off)
			p, ua, _ := a.Within(2.3, df, sides)
			q, ub, _ := b.Within(2.3, df, sides)
			if ua == ub {
				t.Fatal("both went the same way")
			}
			if !near.Abs(p, q, 4e-5) {
				t.Errorf("df %g: %.7f by the double integral, %.7f by the lattice", df, p, q)
			}
		}
	}
}

// One statistic is Student's t; unconnected normals multiply.
func TestJointLimits(t *testing.T) {
	j, err := lmm.NewJoint(halves(1))
	if err != nil {
		t.Fatal(err)
	}
	// Source: Student's t with 4 df, 97.5 % at 2.7764451.
	if p, _, _ := j.Within(2.7764451052, 4, lmm.TwoSided); !near.Abs(p, 0.95, 1e-8) {
		t.Errorf("one statistic: %.10f", p)
	}
	// 1 df is Cauchy's: 1/2 + arctan(b)/π.
	if p, _, _ := j.Within(3, 1, lmm.OneSided); !near.Abs(p, 0.5+math.Atan(3)/math.Pi, 1e-8) {
		t.Errorf("one statistic, 1 df: %.10f", p)
	}
	none := mat.NewSymDense(3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
	j, err = lmm.NewJoint(none)
	if err != nil {
		t.Fatal(err)
	}
	one := 1 - math.Erfc(2/math.Sqrt2)
	if p, _, _ := j.Within(2, math.Inf(1), lmm.TwoSided); !near.Abs(p, one*one*one, 1e-9) {
		t.Errorf("three unconnected: %.10f, want %.10f", p, one*one*one)
	}
}

func TestJointRefuses(t *testing.T) {
	for name, m := range map[string]*mat.SymDense{
		"diagonal":      mat.NewSymDense(2, []float64{2, 0, 0, 1}),
		"above 1":       mat.NewSymDense(2, []float64{1, 1.5, 1.5, 1}),
		"contradictory": mat.NewSymDense(3, []float64{1, 0.9, 0.9, 0.9, 1, -0.9, 0.9, -0.9, 1}),
	} {
		if _, err := lmm.NewJoint(m); !errors.Is(err, lmm.ErrRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
	j, _ := lmm.NewJoint(halves(2))
	if _, _, err := j.Within(2, 0, lmm.TwoSided); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("no degrees of freedom: %v", err)
	}
	if _, err := j.Quantile(1, 5, lmm.TwoSided); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("level 1: %v", err)
	}
}

// Source: R's p.adjust(c(0.01, 0.04, 0.03, 0.005), "holm") gives 0.03 0.06 0.06
// 0.02; arithmetic that can be followed by hand.
func TestHolm(t *testing.T) {
	got, err := lmm.Holm([]float64{0.01, 0.04, 0.03, 0.005})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.03, 0.06, 0.06, 0.02} {
		if !near.Abs(got[i], want, 1e-15) {
			t.Errorf("value %d: %g, want %g", i+1, got[i], want)
		}
	}
	if _, err := lmm.Holm([]float64{0.5, math.NaN()}); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("NaN: %v", err)
	}
}
