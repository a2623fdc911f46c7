package oneway

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// shared is where real recordings lie beside the project.
func shared(t *testing.T, what string, name ...string) string {
	t.Helper()
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(append([]string{root, "data"}, name...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("NOT CHECKED: %s: %v", what, err)
	}
	return path
}

func summarise(t *testing.T, values ...float64) Sample {
	t.Helper()
	s, err := Summarise(values)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Exact algebra: the deviations from the mean are whole numbers.
func TestSummarise(t *testing.T) {
	for _, c := range []struct {
		values   []float64
		mean, sd float64
	}{
		{[]float64{2, 4, 4, 4, 5, 5, 7, 9}, 5, math.Sqrt(32. / 7)},
		{[]float64{1e12 + 1, 1e12 + 2, 1e12 + 3}, 1e12 + 2, 1}, // whole numbers below 2^53
		{[]float64{-1e12 - 1, -1e12 - 2, -1e12 - 3}, -1e12 - 2, 1},
		{[]float64{1e12 + 1, 1e12 + 2, 1e12 + 4}, 1e12 + 7./3, math.Sqrt(7. / 3)}, // a mean that no float64 holds
		{[]float64{-3, 3}, 0, math.Sqrt(18)},
	} {
		s := summarise(t, c.values...)
		if s.N != len(c.values) || s.Mean != c.mean || !near.Abs(s.SD, c.sd, 1e-15*c.sd) {
			t.Errorf("%v: %+v, want mean %g and SD %.17g", c.values, s, c.mean, c.sd)
		}
	}
	for n := 2; n < 100; n++ { // no spread at all, however the sum rounds
		if s := summarise(t, slices.Repeat([]float64{0.1}, n)...); s.Mean != 0.1 || s.SD != 0 {
			t.Errorf("%d equal values: %+v", n, s)
		}
	}
	if s := summarise(t, 7); s.N != 1 || s.Mean != 7 || !math.IsNaN(s.SD) {
		t.Errorf("one value: %+v, want mean 7 and SD NaN", s)
	}
	values := []float64{3, 1, 2}
	summarise(t, values...)
	if values[0] != 3 || values[1] != 1 || values[2] != 2 {
		t.Errorf("the caller's values were altered: %v", values)
	}
}

// Student's t has closed quantiles on 1, 2 and 4 degrees of freedom, and on
// none other below 6; they need no table. Tolerance: 12 digits, what the
// inverse of the incomplete beta function gives.
func TestQuantile(t *testing.T) {
	checked := 0
	for _, p := range []float64{0.5, 0.6, 0.9, 0.95, 0.975, 0.995, 0.9995} {
		a := 4 * p * (1 - p)
		q := math.Cos(math.Acos(math.Sqrt(a))/3) / math.Sqrt(a)
		for _, c := range []struct{ df, want float64 }{
			{1, math.Tan(math.Pi * (p - 0.5))},
			{2, 2 * (p - 0.5) * math.Sqrt(2/a)},
			{4, 2 * math.Sqrt(max(q-1, 0))},
		} {
			if p == 0.5 {
				c.want = 0
			}
			if got := quantile(p, c.df); !near.Abs(got, c.want, 1e-12*max(1, c.want)) {
				t.Errorf("t(%g) on %g = %.15g, want %.15g", p, c.df, got, c.want)
			}
			if got := above(c.want, c.df); !near.Rel(got, 1-p, 1e-11) {
				t.Errorf("tail above %g on %g = %.15g, want %.15g", c.want, c.df, got, 1-p)
			}
			checked++
		}
	}
	if checked != 21 {
		t.Fatalf("%d quantiles checked, want 21", checked)
	}
}

// F on 2 and d has the closed tail (1 + 2f/d)^(−d/2), and F on 1 and d is t²
// on d. The last rows lie where 1 − CDF would give 0 or noise.
func TestFTail(t *testing.T) {
	for _, c := range []struct{ f, d float64 }{{0, 5}, {0.5, 3}, {3.7, 12}, {15, 30.5}, {400, 20}, {1e4, 40}} {
		if got, want := fTail(c.f, 2, c.d), math.Pow(1+2*c.f/c.d, -c.d/2); !near.Rel(got, want, 1e-12) {
			t.Errorf("F(2, %g) above %g: %.15g, want %.15g", c.d, c.f, got, want)
		}
		if got, want := fTail(c.f, 1, c.d), 2*above(math.Sqrt(c.f), c.d); !near.Rel(got, want, 1e-12) {
			t.Errorf("F(1, %g) above %g: %.15g, want %.15g", c.d, c.f, got, want)
		}
	}
}

// Exact algebra: mean 2 and SD 1 of 1, 2, 3, so 2 ± t/√3 with the closed
// quantile on 2 degrees of freedom.
func TestStudentInterval(t *testing.T) {
	s := summarise(t, 1, 2, 3)
	for _, level := range []float64{0.5, 0.9, 0.95, 0.99} {
		half := level * math.Sqrt(2/(1-level*level)) / math.Sqrt(3)
		got, err := s.Interval(level)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(got.Lower, 2-half, 1e-12) || !near.Rel(got.Upper, 2+half, 1e-12) {
			t.Errorf("level %g: %+v, want 2 ± %.15g", level, got, half)
		}
	}
}

func TestRefusals(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	good, flat := Sample{N: 3, Mean: 1, SD: 1}, Sample{N: 3, Mean: 1}
	welch := func(a, b Sample) error { _, err := Welch(a, b); return err }
	sum := func(v ...float64) error { _, err := Summarise(v); return err }
	student := func(s Sample, level float64) error { _, err := s.Interval(level); return err }
	anova := func(g ...Sample) error { _, err := AnalyseSamples(g); return err }
	unequal := func(g ...Sample) error { _, err := AnalyseUnequalSamples(g); return err }
	bounds := func(lo, up float64) error {
		c, _ := Welch(good, good)
		_, err := c.Equivalence(lo, up)
		return err
	}
	cases := []struct {
		err  error
		kind error
		what string
	}{
		{sum(), ErrTooFew, "no value, a mean needs 1"},
		{sum(1, nan), ErrNotFinite, "value 2 is NaN"},
		{sum(inf, 1), ErrNotFinite, "value 1 is +Inf"},
		{sum(1e308, -1e308), ErrNotFinite, "the values are too far apart for their spread to be held"},
		{sum(0, 1e200), ErrNotFinite, "the values are too far apart"},
		{student(Sample{N: 1, Mean: 1, SD: nan}, 0.95), ErrTooFew, "1 in a group, a spread needs 2"},
		{student(flat, 0.95), ErrNoSpread, "the values of each group are all the same"},
		{student(good, 0), ErrRange, "level 0, an interval needs one between 0 and 1"},
		{student(good, 1), ErrRange, "level 1,"},
		{student(good, nan), ErrRange, "level NaN,"},
		{welch(good, Sample{N: 1, Mean: 1, SD: nan}), ErrTooFew, "1 in a group"},
		{welch(Sample{}, good), ErrTooFew, "0 in a group"},
		{welch(good, Sample{N: 2, Mean: nan, SD: 1}), ErrNotFinite, "a group with mean NaN and standard deviation 1"},
		{welch(good, Sample{N: 2, Mean: 1, SD: inf}), ErrNotFinite, "standard deviation +Inf"},
		{welch(good, Sample{N: 2, Mean: 1, SD: -1}), ErrRange, "standard deviation -1"},
		{welch(flat, flat), ErrNoSpread, "the values of each group are all the same"},
		{bounds(1, 1), ErrRange, "bounds 1 and 1, the lower has to come first"},
		{bounds(nan, 1), ErrRange, "bounds NaN and 1"},
		{anova(good), ErrTooFew, "1 groups with 3 values"},
		{anova(Sample{N: 1, Mean: 1}, Sample{N: 1, Mean: 2}), ErrTooFew, "2 groups with 2 values"},
		{anova(good, Sample{N: 1, Mean: nan}), ErrNotFinite, "a group of one with mean NaN"},
		{anova(good, Sample{N: 0}), ErrTooFew, "0 in a group"},
		{anova(flat, flat), ErrNoSpread, "the values of each group are all the same"},
		{unequal(good), ErrTooFew, "1 groups, the analysis needs 2"},
		{unequal(good, Sample{N: 1, Mean: 1}), ErrTooFew, "1 in a group"},
		{unequal(good, flat), ErrNoSpread, "all 3 values of a group are the same"},
	}
	for i, c := range cases {
		if !errors.Is(c.err, c.kind) || !strings.Contains(c.err.Error(), c.what) {
			t.Errorf("case %d: %v, want %v with %q", i, c.err, c.kind, c.what)
		}
	}
	_, err := Analyse([][]float64{{1, 2}, {3, nan}})
	if !errors.Is(err, ErrNotFinite) {
		t.Errorf("Analyse let a NaN through: %v", err)
	}
	if _, err = AnalyseUnequal([][]float64{{1, 2}, {}}); !errors.Is(err, ErrTooFew) {
		t.Errorf("AnalyseUnequal let an empty group through: %v", err)
	}
}
