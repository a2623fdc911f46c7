package lmm_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
	"fallwright.example/refdata"
)

func reference(t testing.TB) refdata.LMM {
	t.Helper()
	ref, err := refdata.LMMReference()
	if err != nil {
		t.Fatal(err)
	}
	if len(ref.Cases) < 20 || ref.MadeWith["lme4"] == "" {
		t.Fatalf("%d cases made with %v", len(ref.Cases), ref.MadeWith)
	}
	return ref
}

func dense(rows [][]float64) *mat.Dense {
	m := mat.NewDense(len(rows), len(rows[0]), nil)
	for i, r := range rows {
		m.SetRow(i, r)
	}
	return m
}

func modelOf(c refdata.LMMCase) lmm.Model {
	m := lmm.Model{Y: c.Y, X: dense(c.X), Names: c.Columns}
	for _, r := range c.Random {
		m.Random = append(m.Random, lmm.Term{Name: r.Name, Level: r.Level, Slope: r.Slope, SlopeName: r.SlopeName, Independent: r.Independent})
	}
	return m
}

// held says what does not agree, and counts what was looked at.
type held struct {
	*testing.T
	name string
	n    int
}

func (h *held) abs(what string, got, want, tol float64) {
	h.Helper()
	h.n++
	if !near.Abs(got, want, tol) {
		h.Errorf("%s: %s = %.12g, want %.12g within %g", h.name, what, got, want, tol)
	}
}

func (h *held) rel(what string, got, want, tol float64) {
	h.Helper()
	h.n++
	if !near.Rel(got, want, tol) {
		h.Errorf("%s: %s = %.12g, want %.12g within a share of %g", h.name, what, got, want, tol)
	}
}

// component finds the variance or covariance that lme4 gives under its names.
func component(f *lmm.Fit, c refdata.LMMCase, group, a, b string) float64 {
	for i, r := range c.Random {
		// lme4 calls the second of two uncorrelated terms Subject.1.
		if !strings.EqualFold(strings.TrimSuffix(group, ".1"), r.Name) {
			continue
		}
		at := func(name string) int {
			if name == "(Intercept)" {
				return 0
			}
			return 1
		}
		row := at(a)
		column := row
		if b != "" {
			column = at(b)
		}
		return f.Components[i].Covariance[row][column]
	}
	return math.NaN()
}

func (h *held) estimates(c refdata.LMMCase, f *lmm.Fit, want refdata.LMMEstimates) {
	h.abs("deviance", f.Deviance, want.Deviance, 1e-6)
	cov := f.Covariance()
	for j := range want.Beta {
		h.rel("β of "+f.Columns[j], f.Beta[j], want.Beta[j], 1e-6)
		h.rel("SE of "+f.Columns[j], math.Sqrt(cov.At(j, j)), want.SE[j], 1e-6)
	}
	h.rel("residual SD", f.ResidualSD[0], want.Sigma, 1e-6)
	for _, v := range want.Components {
		if v.Group == "Residual" {
			h.rel("residual variance", f.ResidualVariance, v.Covariance, 1e-6)
			continue
		}
		what, got := "component "+v.Group+" "+v.A+" "+v.B, component(f, c, v.Group, v.A, v.B)
		if math.Abs(v.Covariance) < f.ResidualVariance/10 { // R's own end is not sharper
			h.abs(what, got, v.Covariance, 1e-6*f.ResidualVariance)
			continue
		}
		h.rel(what, got, v.Covariance, 1e-6)
	}
}

// Source: R with lme4, pbkrtest and lmerTest, refdata/lmm/make_reference.R;
// Dyestuff, Dyestuff2, Pastes, Penicillin, sleepstudy and beets with and
// without every seventh row, and an invented drop test in three models.
//
// Tolerance: 1e-6 absolute for deviances, a share of 1e-6
// for estimates, 1e-4 for degrees of freedom. lme4's search was carried on to
// its numerical end for it; left alone it holds some four digits of a variance. A component
// below a tenth of the residual variance is held to a share of 1e-6 of that: the
// deviance is flat there, and beets' by ML is 1/180000 here to all digits and
// off by 8e-6 of itself there.
func TestAgainstR(t *testing.T) {
	for _, c := range reference(t).Cases {
		t.Run(c.Name, func(t *testing.T) {
			h := &held{T: t, name: "ML"}
			ml, err := lmm.New(modelOf(c), lmm.ML)
			if err != nil {
				t.Fatal(err)
			}
			h.estimates(c, ml, c.ML)
			h.name = "REML"
			f, err := lmm.New(modelOf(c), lmm.REML)
			if err != nil {
				t.Fatal(err)
			}
			h.estimates(c, f, c.REML)
			h.inference(c, f)
			if !f.Record.Converged || f.Record.Evaluations == 0 {
				t.Errorf("record %+v", f.Record)
			}
			if h.n < 15 {
				t.Fatalf("%d values looked at", h.n)
			}
		})
	}
}

func (h *held) inference(c refdata.LMMCase, f *lmm.Fit) {
	for j, name := range c.Columns {
		l := make([]float64, len(c.Columns))
		l[j] = 1
		kr, err := f.Contrast(l, lmm.KenwardRoger)
		if err != nil {
			h.Fatal(err)
		}
		h.rel("Kenward-Roger SE of "+name, kr.SE, c.Inference.KRSE[j], 1e-6)
		h.abs("Kenward-Roger df of "+name, kr.DF, c.Inference.KRDF[j], 1e-4)
		s, err := f.Contrast(l, lmm.Satterthwaite)
		if err != nil {
			h.Fatal(err)
		}
		h.abs("Satterthwaite df of "+name, s.DF, c.Inference.SatDF[j], 1e-4)
	}
	for _, test := range c.Inference.Tests {
		for by, want := range map[lmm.DF]struct{ F, DF1, DF2, Scale, P float64 }{
			lmm.KenwardRoger: test.KR, lmm.Satterthwaite: test.Satterthwaite,
		} {
			got, err := f.FTest(test.L, by)
			if err != nil {
				h.Fatal(err)
			}
			what := by.String() + " " + test.Name + ": "
			h.rel(what+"F", got.F, want.F, 1e-5)
			h.abs(what+"df1", got.DF1, want.DF1, 0)
			h.abs(what+"df2", got.DF2, want.DF2, 1e-4)
			h.abs(what+"p", got.P, want.P, 1e-6)
			if by == lmm.KenwardRoger {
				h.rel(what+"scaling", got.Scaling, want.Scale, 1e-6)
			}
		}
	}
}
