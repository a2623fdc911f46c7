package lmm_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// fittedCase fits one of the stored data sets by REML.
func fittedCase(t testing.TB, name string) *lmm.Fit {
	t.Helper()
	for _, c := range reference(t).Cases {
		if c.Name == name {
			return fitted(t, modelOf(c))
		}
	}
	t.Fatalf("no case %q", name)
	return nil
}

func eachRow(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// Source: R 4.2.2 with lme4 1.1.31, m <- lmer(Reaction ~ Days + (Days|Subject),
// sleepstudy) and lmer(Yield ~ 1 + (1|Batch), Dyestuff),
// residuals(m)/(sigma(m)*sqrt(1-hatvalues(m))). Tolerance 1e-5: the end of R's
// own search.
func TestStandingAgainstR(t *testing.T) {
	checked := 0
	for name, want := range map[string]map[int]float64{
		"sleepstudy correlated": {
			0: -0.182653763074, 1: -0.627179564318, 9: 1.658948708609,
			56: 5.527005328090, 57: 0.641278099537, 59: -4.570435860714, 179: -0.249021058325,
		},
		"Dyestuff": {0: 0.775409591394, 1: -1.543739062684, 29: -0.828371476933},
	} {
		f := fittedCase(t, name)
		got, err := f.Standing(eachRow(f.N))
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range want {
			checked++
			if !near.Abs(got[i], w, 1e-5) {
				t.Errorf("%s row %d: %.9f, want %.9f", name, i, got[i], w)
			}
		}
	}
	if checked != 10 {
		t.Fatalf("%d values looked at", checked)
	}
}

// explicit writes P and V of a fit out in full.
func explicit(f *lmm.Fit) (p *mat.Dense) {
	m := f.Model()
	v := mat.NewDense(f.N, f.N, nil)
	for i := range f.N {
		for j := range f.N {
			for k, term := range m.Random {
				c := f.Components[k].Covariance
				if term.Level[i] != term.Level[j] {
					continue
				}
				sum := c[0][0]
				if term.Slope != nil {
					sum += c[0][1]*(term.Slope[i]+term.Slope[j]) + c[1][1]*term.Slope[i]*term.Slope[j]
				}
				v.Set(i, j, v.At(i, j)+sum)
			}
		}
		g := 0
		if m.Spread != nil {
			g = m.Spread.Group[i]
		}
		v.Set(i, i, v.At(i, i)+f.ResidualSD[g]*f.ResidualSD[g])
	}
	var vi, vx, xvx, inv, fall mat.Dense
	if vi.Inverse(v) != nil {
		return nil
	}
	vx.Mul(&vi, m.X)
	xvx.Mul(m.X.T(), &vx)
	if inv.Inverse(&xvx) != nil {
		return nil
	}
	fall.Product(&vx, &inv, vx.T())
	p = &mat.Dense{}
	p.Sub(&vi, &fall)
	return p
}

// The definition with V and P written out, for rows and for the levels of the
// first term; correlated slopes, crossed terms, unequal spread. Tolerance: the
// rounding of matrices of up to 200 rows.
func TestStandingByItsDefinition(t *testing.T) {
	fits := map[string]*lmm.Fit{}
	for _, name := range []string{"sleepstudy correlated thinned", "Penicillin thinned", "ropes with trends", "Dyestuff2"} {
		fits[name] = fittedCase(t, name)
	}
	spread := fits["sleepstudy correlated thinned"].Model()
	spread.Spread = &lmm.Spread{Name: "half", Groups: []string{"early", "late"}}
	for _, s := range spread.Random[0].Slope {
		spread.Spread.Group = append(spread.Spread.Group, int(s/5))
	}
	fits["unequal"] = fitted(t, spread)
	checked := 0
	for name, f := range fits {
		p, y := explicit(f), mat.NewVecDense(f.N, f.Model().Y)
		for _, group := range [][]int{eachRow(f.N), f.Model().Random[0].Level} {
			got, err := f.Standing(group)
			if err != nil {
				t.Fatal(err)
			}
			for g, value := range got {
				d := mat.NewVecDense(f.N, nil)
				for i, number := range group {
					if number == g {
						d.SetVec(i, 1)
					}
				}
				var pd mat.VecDense
				pd.MulVec(p, d)
				if want := mat.Dot(&pd, y) / math.Sqrt(mat.Dot(&pd, d)); !near.Abs(value, want, 1e-6) {
					t.Errorf("%s: group %d stands off by %.9f, want %.9f", name, g, value, want)
				}
				checked++
			}
		}
	}
	if checked < 500 {
		t.Fatalf("%d looked at", checked)
	}
}

// With the levels of a term of intercepts it is the predicted effect over its
// standard deviation; Source: the variance of a prediction is the variance of
// the effect less R's conditional variance with that of the mean taken off it;
// in six balanced batches of five, SD² = kτ⁴/(σ² + kτ²)·(1 − 1/6).
func TestStandingOfLevels(t *testing.T) {
	f := fittedCase(t, "Dyestuff")
	got, err := f.Standing(f.Model().Random[0].Level)
	if err != nil {
		t.Fatal(err)
	}
	tau, sigma := f.Components[0].Covariance[0][0], f.ResidualVariance
	sd := math.Sqrt(5 * tau * tau / (sigma + 5*tau) * 5 / 6)
	effects := f.Effects(0)
	if len(got) != 6 {
		t.Fatalf("%d levels", len(got))
	}
	for l, s := range got {
		if !near.Rel(s, effects[l][0]/sd, 1e-9) {
			t.Errorf("level %d: %g, want %g", l, s, effects[l][0]/sd)
		}
	}
}

func TestStandingRefuses(t *testing.T) {
	f := fittedCase(t, "Dyestuff")
	for _, c := range []struct {
		group []int
		want  error
	}{{eachRow(3), lmm.ErrShape}, {append(eachRow(29), -1), lmm.ErrRange}} {
		if _, err := f.Standing(c.group); !errors.Is(err, c.want) {
			t.Errorf("%v: %v, want %v", c.group, err, c.want)
		}
	}
	// A row that has a column of X to itself has nothing left over.
	m := f.Model()
	for i := range f.N {
		x := mat.NewDense(f.N, 3, nil)
		for k := range f.N {
			x.Set(k, 0, 1)
			x.Set(k, 1, math.Sqrt(float64(k)))
		}
		x.Set(i, 2, 0.7)
		m.X, m.Names = x, []string{"mean", "root", "alone"}
		got, err := fitted(t, m).Standing(eachRow(f.N))
		if err != nil || !math.IsNaN(got[i]) || math.IsNaN(got[(i+1)%f.N]) {
			t.Errorf("row %d alone in its column: %v, %v", i+1, got, err)
		}
	}
}
