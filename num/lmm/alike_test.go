package lmm_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// without makes the model of the rows that are left by hand.
func without(m lmm.Model, out func(i int) bool) lmm.Model {
	var rows [][]float64
	left := lmm.Model{Names: m.Names}
	for i, y := range m.Y {
		if !out(i) {
			left.Y = append(left.Y, y)
			rows = append(rows, mat.Row(nil, i, m.X))
		}
	}
	left.X = dense(rows)
	for _, t := range m.Random {
		u := lmm.Term{Name: t.Name, SlopeName: t.SlopeName, Independent: t.Independent}
		for i, l := range t.Level {
			if !out(i) {
				u.Level = append(u.Level, l)
				if t.Slope != nil {
					u.Slope = append(u.Slope, t.Slope[i])
				}
			}
		}
		left.Random = append(left.Random, u)
	}
	return left
}

// Two routes to one number: the search from the estimates of all rows against
// the thorough one. Tolerance: both end where a Newton step gains 1e-9.
func TestWithoutRows(t *testing.T) {
	checked := 0
	for _, c := range reference(t).Cases {
		if c.Name == "tied" {
			continue // two minima of nearly one height
		}
		f := fitted(t, modelOf(c))
		first := f.Model().Random[0].Level[f.N/2]
		for _, left := range []func(i int) bool{
			func(i int) bool { return i == f.N/3 },
			func(i int) bool { return f.Model().Random[0].Level[i] == first },
		} {
			var rows []int
			for i := range f.N {
				if left(i) {
					rows = append(rows, i)
				}
			}
			got, err := f.Without(rows...)
			if err != nil {
				t.Fatal(c.Name, err)
			}
			want := fitted(t, without(f.Model(), left))
			checked++
			if got.N != f.N-len(rows) || !near.Abs(got.Deviance, want.Deviance, 1e-7) || !near.Rel(got.Beta[0], want.Beta[0], 1e-5) {
				t.Errorf("%s without %d rows: deviance %.9f, want %.9f; β₀ %g, want %g", c.Name, len(rows), got.Deviance, want.Deviance, got.Beta[0], want.Beta[0])
			}
		}
	}
	// After Refit it is the new values that count.
	f := fittedCase(t, "Dyestuff")
	m := f.Model()
	m.Y = f.Simulate(3)
	other, err := f.Refit(m.Y)
	if err != nil {
		t.Fatal(err)
	}
	got, err := other.Without(4)
	if want := fitted(t, without(m, func(i int) bool { return i == 4 })); err != nil || !near.Abs(got.Deviance, want.Deviance, 1e-7) || near.Abs(got.Beta[0], f.Beta[0], 1e-3) {
		t.Errorf("after a refit: %v, %v", got, err)
	}
	if checked < 38 {
		t.Fatalf("%d looked at", checked)
	}
}

func TestWithoutRefuses(t *testing.T) {
	f := fittedCase(t, "Dyestuff")
	if _, err := f.Without(30); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("row 31 of 30: %v", err)
	}
	if _, err := f.Without(eachRow(30)...); !errors.Is(err, lmm.ErrTooFew) {
		t.Errorf("all rows: %v", err)
	}
	if _, err := f.Without(eachRow(25)...); !errors.Is(err, lmm.ErrTooFew) {
		t.Errorf("one batch left: %v", err)
	}
	m := f.Model()
	m.Spread = &lmm.Spread{Groups: []string{"a", "b"}, Group: make([]int, 30)}
	m.Spread.Group[3], m.Spread.Group[4] = 1, 1
	if _, err := f.Alike(m); !errors.Is(err, lmm.ErrShape) {
		t.Errorf("another spread: %v", err)
	}
}

// The degrees of freedom behind spreads, counted by hand.
func TestDegreesOfSpreads(t *testing.T) {
	checked := 0
	for name, want := range map[string][]float64{
		"Dyestuff":              {24, 5},                   // 6 batches of 5
		"Penicillin":            {144 - 24 - 6 + 1, 23, 5}, // 24 plates crossed with 6 samples
		"Pastes":                {30, 0, 20},               // batches, and casks that hold them
		"sleepstudy correlated": {180 - 36, 34},            // 18 lines of two, X one of them
		"ropes":                 {90 - 30 - 12, 12},        // 18 specimens in 6 conditions, 5 falls
	} {
		f := fittedCase(t, name)
		got := f.ResidualDF()
		for i := range f.Components {
			got = append(got, f.TermDF(i))
		}
		for i := range want {
			checked++
			if !near.Abs(got[i], want[i], 1e-9) {
				t.Errorf("%s: %v degrees of freedom, want %v", name, got, want)
			}
		}
	}
	if checked != 12 {
		t.Fatalf("%d looked at", checked)
	}
	// By condition: 3 specimens of 5 falls with a mean a fall leave 8 each.
	m := fittedCase(t, "ropes").Model()
	m.Spread = &lmm.Spread{Groups: []string{"a", "b", "c", "d", "e", "f"}}
	for _, level := range m.Random[0].Level {
		m.Spread.Group = append(m.Spread.Group, level/3)
	}
	for g, df := range fitted(t, m).ResidualDF() {
		if !near.Abs(df, 8, 1e-9) {
			t.Errorf("group %d: %g degrees of freedom, want 8", g, df)
		}
	}
}

// Source: algebra of the balanced case, [Satterthwaite1946] on two mean squares.
// With g groups of k, the mean square between B and within W,
//
//	v = B·(1/(gk) + 1/k) + W·(1 − 1/k)
//	df = v²/((B·(1/(gk) + 1/k))²/(g − 1) + (W·(1 − 1/k))²/(g(k − 1)))
//
// Tolerance: the search's end.
func TestNewValueOfBalancedGroups(t *testing.T) {
	f := fittedCase(t, "Dyestuff")
	const g, k = 6.0, 5.0
	w := f.ResidualVariance
	b := w + k*f.Components[0].Covariance[0][0]
	between, within := b*(1/(g*k)+1/k), w*(1-1/k)
	v := between + within
	df := v * v / (between*between/(g-1) + within*within/(g*(k-1)))
	for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
		got, err := f.NewValue([]float64{1}, []float64{0}, 0, by)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(got.SE, math.Sqrt(v), 1e-7) || !near.Rel(got.DF, df, 1e-5) || !near.Rel(got.Estimate, f.Beta[0], 1e-12) {
			t.Errorf("%v: %v, want SE %g, df %g", by, got, math.Sqrt(v), df)
		}
	}
}

// Source: Student's interval for one more value, x̄ ± t·s·√(1 + 1/n), exact;
// five values, and one mean a group with a spread of its own: s, n and df are
// then those of the group. Tolerance: rounding.
func TestNewValueIsStudents(t *testing.T) {
	a, b := []float64{3, 4, 8, 5, 7}, []float64{10, 40, 20}
	m := lmm.Model{Y: append(a[:5:5], b...), X: mat.NewDense(8, 2, nil), Names: []string{"a", "b"}}
	m.Spread = &lmm.Spread{Name: "condition", Groups: m.Names, Group: []int{0, 0, 0, 0, 0, 1, 1, 1}}
	for i, g := range m.Spread.Group {
		m.X.(*mat.Dense).Set(i, g, 1)
	}
	f := fitted(t, m)
	for g, values := range [][]float64{a, b} {
		n, mean, square := float64(len(values)), 0.0, 0.0
		for _, v := range values {
			mean += v / n
		}
		for _, v := range values {
			square += (v - mean) * (v - mean)
		}
		l := make([]float64, 2)
		l[g] = 1
		for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
			got, err := f.NewValue(l, nil, g, by)
			if err != nil {
				t.Fatal(err)
			}
			if want := math.Sqrt(square / (n - 1) * (1 + 1/n)); !near.Rel(got.SE, want, 1e-7) || !near.Rel(got.DF, n-1, 1e-5) {
				t.Errorf("group %d by %v: %v, want SE %g, df %g", g, by, got, want, n-1)
			}
		}
	}
}

// The variance against the components as printed, at a place on the slope and in
// a residual group; the df against a derivative by differences of the variance
// in τ, which the observed information is in as well. Two routes, tolerance that
// of the differences.
func TestNewValueOnASlope(t *testing.T) {
	f := fittedCase(t, "sleepstudy correlated")
	l := []float64{1, 7}
	got, err := f.NewValue(l, []float64{7}, 0, lmm.Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	mean, err := f.Contrast(l, lmm.Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	c := f.Components[0].Covariance
	own := c[0][0] + 2*7*c[0][1] + 49*c[1][1] + f.ResidualVariance
	if want := math.Hypot(mean.SE, math.Sqrt(own)); !near.Rel(got.SE, want, 1e-10) {
		t.Errorf("SE %g, want %g", got.SE, want)
	}
	apart := fittedCase(t, "sleepstudy independent")
	got2, err := apart.NewValue(l, []float64{7}, 0, lmm.Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	mean2, err := apart.Contrast(l, lmm.Satterthwaite)
	if err != nil {
		t.Fatal(err)
	}
	c = apart.Components[0].Covariance
	if want := math.Hypot(mean2.SE, math.Sqrt(c[0][0]+49*c[1][1]+apart.ResidualVariance)); !near.Rel(got2.SE, want, 1e-10) {
		t.Errorf("independent slope: SE %g, want %g", got2.SE, want)
	}
	kr, err := f.NewValue(l, []float64{7}, 0, lmm.KenwardRoger)
	// Balanced: observed and expected information agree to some per cent only,
	// since the residual is not orthogonal to both parts of the slope.
	if err != nil || !near.Rel(kr.DF, got.DF, 0.1) || !near.Rel(kr.SE, got.SE, 1e-6) {
		t.Errorf("Kenward-Roger %v beside %v, %v", kr, got, err)
	}
	if _, err := f.NewValue(l, nil, 0, lmm.KenwardRoger); !errors.Is(err, lmm.ErrShape) {
		t.Errorf("no place on the slope: %v", err)
	}
	if _, err := f.NewValue(l, []float64{7}, 1, lmm.KenwardRoger); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("residual group 1 of 1: %v", err)
	}
}
