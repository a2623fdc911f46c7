package uncert

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

func refused(t *testing.T, what string, err, kind error) {
	t.Helper()
	if !errors.Is(err, kind) {
		t.Errorf("%s: got %v, want %v", what, err, kind)
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	sum := func(x []float64) float64 {
		total := 0.0
		for _, v := range x {
			total += v
		}
		return total
	}
	for _, c := range []struct {
		what string
		in   Input
		kind error
	}{
		{"a value that is not there", Input{Value: nan, Standard: 1}, ErrNotFinite},
		{"an infinite uncertainty", Input{Standard: inf}, ErrNotFinite},
		{"a negative uncertainty", Input{Standard: -1}, ErrRange},
		{"freedom NaN", Input{Standard: 1, Freedom: nan}, ErrNotFinite},
		{"half a degree of freedom", Input{Standard: 1, Freedom: 0.5}, ErrRange},
		{"a negative step", Input{Standard: 1, Step: -1}, ErrRange},
		{"a shape before the first", Input{Standard: 1, Shape: -1}, ErrRange},
		{"no such shape", Input{Standard: 1, Shape: Arcsine + 1}, ErrRange},
	} {
		inputs := []Input{{Standard: 1}, c.in}
		_, err := Propagate(sum, inputs, nil)
		refused(t, c.what, err, c.kind)
		_, err = SecondOrder(sum, inputs, nil)
		refused(t, c.what, err, c.kind)
		_, err = MonteCarlo(sum, inputs, nil, 10, 1)
		refused(t, c.what, err, c.kind)
	}
	_, err := Propagate(sum, nil, nil)
	refused(t, "no inputs", err, ErrRange)
	_, err = Propagate(sum, []Input{{Value: 1, Standard: 1e-20}}, nil)
	refused(t, "a step lost in rounding", err, ErrRange)
	root := func(x []float64) float64 { return math.Sqrt(x[0]) }
	_, err = Propagate(root, []Input{{Value: -1, Standard: 0.1}}, nil)
	refused(t, "no value at the estimates", err, ErrNotFinite)
	_, err = Propagate(root, []Input{{Value: 0.01, Standard: 1}}, nil)
	refused(t, "no value beside the estimates", err, ErrNotFinite)
	_, err = SecondOrder(root, []Input{{Value: 0.01, Standard: 1}}, nil)
	refused(t, "no value beside the estimates", err, ErrNotFinite)
	_, err = FromShares(nan, []Share{{Input: 1, Sensitivity: 1}})
	refused(t, "no value", err, ErrNotFinite)
	_, err = FromShares(1, []Share{{Input: 1, Sensitivity: nan}})
	refused(t, "no sensitivity", err, ErrNotFinite)
	_, err = FromShares(1, []Share{{Input: -1, Sensitivity: 1}})
	refused(t, "a negative input", err, ErrRange)
	_, err = Result{Standard: 1}.Expanded(1)
	refused(t, "certainty", err, ErrRange)
	_, err = Result{Standard: 1}.Expanded(nan)
	refused(t, "p NaN", err, ErrRange)
	_, err = Result{Standard: 1, Freedom: 0.9}.Expanded(0.95)
	refused(t, "less than one degree of freedom", err, ErrRange)
	one := Result{Standard: 1, Budget: make([]Share, 1)}
	_, err = Correlation(one, Result{Standard: 1}, nil)
	refused(t, "budgets of two lengths", err, ErrRange)
	_, err = Correlation(one, Result{Budget: make([]Share, 1)}, nil)
	refused(t, "a certain result", err, ErrRange)
}

func TestCorrelationsRefused(t *testing.T) {
	three := []Input{{Standard: 1}, {Standard: 1}, {Standard: 1}}
	first := func(x []float64) float64 { return x[0] }
	for what, corr := range map[string][][]float64{
		"two rows":                 {{1, 0}, {0, 1}},
		"a short row":              {{1, 0, 0}, {0, 1}, {0, 0, 1}},
		"not one with itself":      {{1, 0, 0}, {0, 0.9, 0}, {0, 0, 1}},
		"above one":                {{1, 1.1, 0}, {1.1, 1, 0}, {0, 0, 1}},
		"NaN":                      {{1, math.NaN(), 0}, {math.NaN(), 1, 0}, {0, 0, 1}},
		"two ways":                 {{1, 0.2, 0}, {0.3, 1, 0}, {0, 0, 1}},
		"a triangle too wide":      {{1, 0.9, -0.9}, {0.9, 1, 0.9}, {-0.9, 0.9, 1}},
		"a triangle just too wide": {{1, 0.9, 0.9}, {0.9, 1, 0.6}, {0.9, 0.6, 1}},
		"equal, yet not alike":     {{1, 1, 0.5}, {1, 1, 0}, {0.5, 0, 1}},
	} {
		_, err := Propagate(first, three, corr)
		refused(t, what, err, ErrCorrelation)
		_, err = MonteCarlo(first, three, corr, 10, 1)
		refused(t, what, err, ErrCorrelation)
	}
}

// L·Lᵀ is the matrix, and so it is for four quantities made of two, r being the
// cosine of the angle between them: pivots of nothing but rounding.
func TestFactor(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 500 {
		angles := []float64{r.Float64(), r.Float64(), r.Float64(), r.Float64()}
		corr := make([][]float64, 4)
		for i := range corr {
			for j := range corr {
				corr[i] = append(corr[i], math.Cos(3*(angles[i]-angles[j])))
			}
			corr[i][i] = 1
		}
		l, err := factor(corr, 4)
		if err != nil {
			t.Fatalf("angles %g: %v", angles, err)
		}
		for i := range l {
			for j := range l {
				if got := dot(l[i], l[j]); !near.Abs(got, corr[i][j], 1e-5) {
					t.Fatalf("angles %g: L·Lᵀ has %g at %d, %d, want %g", angles, got, i, j, corr[i][j])
				}
			}
		}
	}
}
