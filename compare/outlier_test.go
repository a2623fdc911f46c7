package compare

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// Source: two-sided 5 % limits of the largest normed deviate of one sample, from
// memory of [Grubbs1950]'s table as it is printed in textbooks; in SDs of the
// sample, ours is in those of a residual, √(1 − 1/n) times as large. Tolerance:
// the table's last digit.
func TestLimitIsGrubbss(t *testing.T) {
	n := 0
	for size, want := range map[int]float64{4: 1.481, 5: 1.715, 6: 1.887, 8: 2.126, 10: 2.290, 15: 2.549, 20: 2.709} {
		n++
		got := outlyingBeyond(size, float64(size-1)) * math.Sqrt(1-1/float64(size))
		if !near.Abs(got, want, 1e-3) {
			t.Errorf("%d values: %.4f, want %.3f", size, got, want)
		}
	}
	for _, df := range []float64{1, 0, -1, math.NaN()} {
		n++
		if !math.IsInf(outlyingBeyond(5, df), 1) {
			t.Errorf("%g degrees of freedom can tell", df)
		}
	}
	if n != 11 {
		t.Fatalf("%d looked at", n)
	}
}

// Source: R 4.2.2 with lme4 1.1.31, residuals/(sigma·√(1 − hatvalues)),
// testdata/checks.R. Tolerance: lme4's search.
func TestResidualsAgainstR(t *testing.T) {
	_, c := checked(t, sines(), Ask{})
	for i, want := range map[int]float64{0: -0.783356832745, 1: 0.252754840335, 23: -0.571943816844, 47: -1.47515532986} {
		if got := c.Residuals[i].Standardised; !near.Abs(got, want, 1e-6) {
			t.Errorf("row %d: %.9f, want %.9f", i+1, got, want)
		}
	}
	for i, r := range c.Residuals {
		if !near.Abs(r.Fitted+r.Residual, sines().Value[i], 1e-9) {
			t.Fatalf("row %d: %g and %g do not make up the value", i+1, r.Fitted, r.Residual)
		}
	}
}

// A drop at odds and a specimen at odds are told apart, and both stay in.
func TestDropOrSpecimenAtOdds(t *testing.T) {
	drop := dropTest(11, 4, 4, 5, 80, 80)
	drop.Value[12] += 700
	a, c := checked(t, drop, Ask{})
	if !c.Residuals[12].Outlying || anyInfluence(c.Specimens) || a.N != len(drop.Value) {
		t.Errorf("a drop 700 off: %+v of limit %g, %d values", c.Residuals[12], c.Limit, a.N)
	}
	has := func(want ...string) {
		t.Helper()
		all := strings.Join(c.Notes, "\n")
		for _, w := range want {
			if !strings.Contains(all, w) {
				t.Errorf("no note of %q in\n%s", w, all)
			}
		}
	}
	has("S-02 fall 3 lies above what the rest of S-02 and the other specimens say of it", "a single drop is at odds, not its specimen")

	specimen := dropTest(11, 4, 4, 5, 80, 80)
	for i, s := range specimen.Specimen {
		if s == "S-21" {
			specimen.Value[i] -= 900
		}
	}
	_, c = checked(t, specimen, Ask{})
	if anyOutlying(c.Residuals) || !c.Specimens[9].Outlying || c.Specimens[9].Name != "S-21" || c.Specimens[9].Condition != "c2" {
		t.Errorf("a specimen 900 off: %+v", c.Specimens)
	}
	if want := outlyingBeyond(16, 12); c.SpecimenLimit != want { // 16 specimens in 4 conditions
		t.Errorf("limit %g, want %g", c.SpecimenLimit, want)
	}
	has("specimen S-21 as a whole lies below the others of c2", "it stays in unless a reason is found")

	_, c = checked(t, dropTest(11, 4, 4, 5, 80, 80), Ask{})
	if anyOutlying(c.Residuals) || anyInfluence(c.Specimens) {
		t.Error("nothing planted, something at odds")
	}
}

// Where spreads differ, each condition has its own limit: 8 degrees of freedom
// bound a standardised residual by √8, so the pooled limit would see nothing.
func TestOutlyingWithSpreadByCondition(t *testing.T) {
	d := dropTest(21, 6, 3, 5, 80, 40)
	d.Value[7] += 600
	_, c := checked(t, d, Ask{SpreadByCondition: true})
	if !c.Residuals[7].Outlying || c.Limit > math.Sqrt(8) {
		t.Errorf("%+v, limit %g", c.Residuals[7], c.Limit)
	}
}

// A spread taken from four values of a condition says nothing of one of them:
// all lie within the √3 that three degrees of freedom allow.
func TestFewValuesOfASpreadAreNotJudged(t *testing.T) {
	d := dropTest(5, 3, 4, 1, 80, 40)
	d.Fall, d.Specimen, d.Value[2] = nil, nil, d.Value[2]+4000
	_, c := checked(t, d, Ask{SpreadByCondition: true})
	if anyOutlying(c.Residuals) || !math.IsInf(c.Limit, 1) {
		t.Errorf("limit %g", c.Limit)
	}
}

// Without specimens the sentence is of a value, and many are counted.
func TestOutlyingValues(t *testing.T) {
	d := Data{Value: make([]float64, 60)}
	for i := range d.Value {
		d.Value[i] = math.Sin(5 * float64(i))
	}
	d.Value[9] = 20
	_, c := checked(t, d, Ask{})
	if all := strings.Join(c.Notes, "\n"); !strings.Contains(all, "row 10 lies above what the others say of it") || !strings.Contains(all, "do not look normal") {
		t.Errorf("%s", all)
	}
	c = &Checks{}
	for range 8 {
		c.Residuals = append(c.Residuals, Residual{Row: "x", Outlying: true})
	}
	if said := c.outlying(); len(said) != mostNamed+1 || !strings.HasPrefix(said[mostNamed], "3 more values") {
		t.Errorf("%q", said)
	}
}
