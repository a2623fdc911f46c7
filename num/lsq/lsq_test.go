package lsq_test

import (
	"math"
	"testing"

	"fallwright.example/num/lsq"
	"fallwright.example/refdata"
)

func problemOf(set refdata.NLS) lsq.Problem {
	return lsq.Problem{
		Observations: len(set.X),
		Residuals: func(p, r []float64) {
			for i, x := range set.X {
				r[i] = set.Y[i] - set.Model(x, p)
			}
		},
	}
}

// digits is how many of them agree, −log₁₀ of the relative difference.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

// holds compares a fit with a certified one. The values are certified to eleven
// digits, so parameters must agree to ten and what follows from them to nine
// (eight is what was asked of a good program by the collection).
func holds(t *testing.T, set refdata.NLS, f *lsq.Fit) {
	t.Helper()
	worst := math.Inf(1)
	for k := range set.P {
		worst = min(worst, digits(f.P[k], set.P[k]))
		if d := digits(f.P[k], set.P[k]); d < 8 {
			t.Errorf("parameter %d is %.12g, certified %.12g: %.1f digits", k+1, f.P[k], set.P[k], d)
		}
		if d := digits(f.SE(k), set.SD[k]); d < 8 {
			t.Errorf("its standard deviation is %.12g, certified %.12g: %.1f digits", f.SE(k), set.SD[k], d)
		}
	}
	if d := digits(f.S, set.RSS); d < 8 {
		t.Errorf("sum of squares %.12g, certified %.12g: %.1f digits", f.S, set.RSS, d)
	}
	if d := digits(f.SD, set.S); d < 8 {
		t.Errorf("residual standard deviation %.12g, certified %.12g", f.SD, set.S)
	}
	if f.DF != set.DF {
		t.Errorf("%d degrees of freedom, certified %d", f.DF, set.DF)
	}
	t.Logf("%.1f digits at the least, %d steps, %d evaluations", worst, f.Iterations, f.Evaluations)
}

func TestNIST(t *testing.T) {
	sets := refdata.NISTNLS()
	if len(sets) != 6 {
		t.Fatalf("%d sets", len(sets))
	}
	for _, set := range sets {
		for i, start := range set.Starts {
			t.Run(set.Name+" from start "+string(rune('1'+i)), func(t *testing.T) {
				f, err := lsq.Solve(problemOf(set), start)
				if err != nil {
					t.Fatal(err)
				}
				holds(t, set, f)
			})
		}
	}
}
