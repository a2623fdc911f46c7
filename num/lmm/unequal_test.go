package lmm_test

import (
	"testing"

	"fallwright.example/num/lmm"
)

// Source: R's nlme, lme with varIdent by sex on its Orthodont data,
// refdata/lmm/make_reference.R.
//
// Tolerance: 1e-6 for the deviance, the minimum being flat; the rest as sharp as
// nlme's search ends, which no longer moves at a share of 1e-5.
func TestUnequalSpreadAgainstR(t *testing.T) {
	ref := reference(t).Unequal
	sex, groups := codes(ref.Sex, []string{"Male", "Female"})
	m := lmm.Model{
		Y: ref.Y, X: dense(ref.X), Names: ref.Columns,
		Random: []lmm.Term{{Name: "Subject", Level: ref.Level}},
		Spread: &lmm.Spread{Name: "Sex", Group: sex, Groups: groups},
	}
	type wanted = struct {
		Deviance               float64
		Beta, SE               []float64
		Sigma, Ratio, Variance float64
	}
	h := &held{T: t}
	for method, want := range map[lmm.Method]wanted{lmm.REML: wanted(ref.REML), lmm.ML: wanted(ref.ML)} {
		f, err := lmm.New(m, method)
		if err != nil {
			t.Fatal(err)
		}
		h.name = method.String()
		h.abs("deviance", f.Deviance, want.Deviance, 1e-6)
		h.rel("residual SD of the first", f.ResidualSD[0], want.Sigma, 1e-5)
		h.rel("ratio", f.ResidualSD[1]/f.ResidualSD[0], want.Ratio, 1e-5)
		h.rel("variance", f.Components[0].Covariance[0][0], want.Variance, 1e-4)
		for j := range want.Beta {
			h.rel("β of "+ref.Columns[j], f.Beta[j], want.Beta[j], 1e-5)
		}
		if _, err := f.Contrast([]float64{0, 1, 0, 0}, lmm.Satterthwaite); err != nil {
			t.Error(err)
		}
		t.Logf("%+v", f.Record)
	}
	if h.n != 16 {
		t.Fatalf("%d values looked at", h.n)
	}
}
