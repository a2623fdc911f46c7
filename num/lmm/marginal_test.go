package lmm_test

import (
	"slices"
	"testing"

	"fallwright.example/num/lmm"
	"fallwright.example/refdata"
)

// codes gives the numbers of names and the names, in a given order or sorted.
func codes(names, order []string) ([]int, []string) {
	levels := slices.Clone(order)
	if levels == nil {
		levels = slices.Compact(slices.Sorted(slices.Values(names)))
	}
	out := make([]int, len(names))
	for i, n := range names {
		out[i] = slices.Index(levels, n)
	}
	return out, levels
}

var conditions = []string{"dry", "fresh", "salt", "frozen", "dried", "used"}

func ropes(t *testing.T, ref refdata.LMMMarginal) (*lmm.Design, *lmm.Fit) {
	t.Helper()
	condition, _ := codes(ref.Condition, conditions)
	fall, falls := codes(ref.Fall, nil)
	specimen, _ := codes(ref.Specimen, nil)
	d, err := lmm.Variables{Rows: len(ref.Y), Factors: []lmm.Factor{
		{Name: "condition", Levels: conditions, Code: condition}, {Name: "fall", Levels: falls, Code: fall},
	}}.Design("condition", "fall", "condition:fall")
	if err != nil {
		t.Fatal(err)
	}
	f, err := lmm.New(lmm.Model{Y: ref.Y, X: d.X, Names: d.Names, Random: []lmm.Term{{Name: "specimen", Level: specimen}}}, lmm.REML)
	if err != nil {
		t.Fatal(err)
	}
	return d, f
}

func row(t *testing.T, d *lmm.Design, at map[string]string) []float64 {
	t.Helper()
	l, err := d.Row(at, nil)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func (h *held) contrast(what string, f *lmm.Fit, l []float64, want refdata.LMMMean) {
	c, err := f.Contrast(l, lmm.KenwardRoger)
	if err != nil {
		h.Fatal(err)
	}
	estimate := want.Estimate
	if want.Contrast == "" {
		estimate = want.EMMean
	}
	lower, upper := c.Interval(0.95)
	h.abs(what+": estimate", c.Estimate, estimate, 1e-7)
	h.rel(what+": SE", c.SE, want.SE, 1e-6)
	h.abs(what+": df", c.DF, want.DF, 1e-4)
	h.abs(what+": lower", lower, want.Lower, 1e-6)
	h.abs(what+": upper", upper, want.Upper, 1e-6)
	h.rel(what+": t", c.T, want.T, 1e-6)
	h.abs(what+": p", c.P, want.P, 1e-7)
}

// Source: emmeans with Kenward-Roger, and lmerTest's type III table, on the
// invented ropes with every seventh row gone; refdata/lmm/make_reference.R.
// Tolerances as TestAgainstR.
func TestMeansContrastsAndTermsAgainstR(t *testing.T) {
	ref := reference(t).Marginal
	d, f := ropes(t, ref)
	h := &held{T: t, name: "ropes thinned"}
	for _, want := range ref.Means {
		h.contrast(want.Condition+" at fall "+want.Fall, f, row(t, d, map[string]string{"condition": want.Condition, "fall": want.Fall}), want)
	}
	against := func(contrast, fall string) []float64 {
		at := func(condition string) map[string]string {
			if fall == "" {
				return map[string]string{"condition": condition}
			}
			return map[string]string{"condition": condition, "fall": fall}
		}
		return lmm.Difference(row(t, d, at(contrast[:len(contrast)-len(" - dry")])), row(t, d, at("dry")))
	}
	for _, want := range ref.ByFall {
		h.contrast(want.Contrast+" at fall "+want.Fall, f, against(want.Contrast, want.Fall), want)
	}
	for _, want := range ref.Averaged {
		h.contrast(want.Contrast, f, against(want.Contrast, ""), want)
	}
	for by, tests := range map[lmm.DF][]refdata.LMMTermTest{lmm.KenwardRoger: ref.TermsKR, lmm.Satterthwaite: ref.TermsSatterthwaite} {
		for _, want := range tests {
			l, err := d.Test(want.Term)
			if err != nil {
				t.Fatal(err)
			}
			got, err := f.FTest(l, by)
			if err != nil {
				t.Fatal(err)
			}
			what := by.String() + " " + want.Term
			h.rel(what+" F", got.F, want.F, 1e-5)
			h.abs(what+" df1", got.DF1, want.DF1, 0)
			h.abs(what+" df2", got.DF2, want.DF2, 1e-4)
			h.rel(what+" p", got.P, want.P, 1e-4)
		}
	}
	if h.n < 7*(30+25+5)+4*6 {
		t.Fatalf("%d values looked at", h.n)
	}
}

// The joint p of each contrast lies between its own and Bonferroni's, and is
// nearer to the latter: at one fall the five share a baseline only. The largest t
// has the p of the largest.
func TestAdjustLiesBetweenOneAndBonferroni(t *testing.T) {
	d, f := ropes(t, reference(t).Marginal)
	var l [][]float64
	dry := row(t, d, map[string]string{"condition": "dry", "fall": "2"})
	for _, c := range conditions[1:] {
		l = append(l, lmm.Difference(row(t, d, map[string]string{"condition": c, "fall": "2"}), dry))
	}
	set, err := f.Contrasts(l, lmm.KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	p, err := set.Adjust(lmm.TwoSided)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range set.Each {
		if p[i] < c.P-1e-4 || p[i] > min(1, 5*c.P)+1e-4 {
			t.Errorf("contrast %d: joint p %.5f, own %.5f", i+1, p[i], c.P)
		}
		for j, other := range set.Each {
			if other.T*other.T > c.T*c.T && p[j] > p[i]+1e-3 {
				t.Errorf("t %.3f has joint p %.5f, t %.3f has %.5f", other.T, p[j], c.T, p[i])
			}
		}
	}
	if len(p) != 5 {
		t.Fatalf("%d values", len(p))
	}
}
