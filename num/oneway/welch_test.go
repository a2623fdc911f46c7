package oneway

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"fallwright.example/internal/near"
)

func welch(t *testing.T, a, b Sample) Contrast {
	t.Helper()
	c, err := Welch(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func interval(t *testing.T, c Contrast, level float64) Interval {
	t.Helper()
	i, err := c.Interval(level)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// Six dry and six wet peak forces in kN, computed with R 4.2.2
// (t.test(wet, dry)). Tolerance: half a unit of the last digit printed.
func TestWelchAgainstR(t *testing.T) {
	dry := summarise(t, 8.91, 9.12, 8.75, 9.03, 8.98, 9.20)
	wet := summarise(t, 9.35, 9.41, 9.02, 9.44, 9.30, 9.52)
	c := welch(t, wet, dry)
	for _, r := range []struct {
		what           string
		got, want, tol float64
	}{
		{"difference", c.Amount, 0.341667, 5e-7},
		{"t", c.T, 3.55131, 5e-6},
		{"df", c.DF, 9.91885, 5e-6},
		{"p", c.P, 0.00532377, 5e-9},
	} {
		if !near.Abs(r.got, r.want, r.tol) {
			t.Errorf("%s = %.9g, want %.9g", r.what, r.got, r.want)
		}
	}
}

// Peak force and contact time of a trolley on pads of seven thicknesses,
// [Yao2025], whose authors printed the Welch test of each pair of neighbours
// to 16 digits. Tolerance: 10 digits, since the contact times are near 0.25
// with a spread near 0.005, which costs both computations two or three, and
// the authors' p comes from another incomplete beta function. One difference
// is exactly 0 and the check there is absolute.
func TestWelchAgainstPads(t *testing.T) {
	const what = "Welch's t against a published table"
	dose := padGroups(t, what)
	rows := readCSV(t, shared(t, what, "pad-impact-dose", "expected", "pairwise_comparisons.csv"))
	checked := 0
	for _, row := range rows[1:] {
		a := summarise(t, dose[row[0]+row[1]]...)
		b := summarise(t, dose[row[0]+row[2]]...)
		c := welch(t, a, b)
		i := interval(t, c, 0.95)
		for _, r := range []struct {
			what string
			got  float64
			col  int
		}{
			{"difference", c.Amount, 3},
			{"se", c.SE, 4},
			{"t", c.T, 5},
			{"p", c.P, 6},
			{"lower", i.Lower, 8},
			{"upper", i.Upper, 9},
		} {
			want := number(t, row[r.col])
			if !near.Abs(r.got, want, 1e-10*max(math.Abs(want), c.SE)) {
				t.Errorf("%s, %s and %s: %s = %.15g, want %.15g", row[0], row[1], row[2], r.what, r.got, want)
			}
			checked++
		}
	}
	if checked != 72 {
		t.Fatalf("%d figures checked, want 12 pairs of 6", checked)
	}
}

// padGroups reads the pad table: values by variable and thickness, in the
// words of the published comparisons ("peak_force4.0 mm").
func padGroups(t *testing.T, what string) map[string][]float64 {
	t.Helper()
	groups := map[string][]float64{}
	for _, row := range readCSV(t, shared(t, what, "pad-impact-dose", "data.csv"))[1:] {
		groups["contact_duration"+row[0]+" mm"] = append(groups["contact_duration"+row[0]+" mm"], number(t, row[2]))
		groups["peak_force"+row[0]+" mm"] = append(groups["peak_force"+row[0]+" mm"], number(t, row[3]))
	}
	if len(groups) != 14 {
		t.Fatalf("%d groups read, want 14", len(groups))
	}
	return groups
}

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Example 1 of [Lakens2017]: means 5.25 and 5.22, SD 0.95 and 0.83, 95 and 89
// people, bounds of ±0.43 standard deviations (their root mean square; for the
// pooled form the pooled one). The figures of the example are from memory; t,
// df and p were computed from them with R 4.2.2. Tolerance: half a unit of the
// last digit printed.
func TestEquivalenceAgainstLakens(t *testing.T) {
	a, b := Sample{N: 95, Mean: 5.25, SD: 0.95}, Sample{N: 89, Mean: 5.22, SD: 0.83}
	c := welch(t, a, b)
	bound := 0.43 * math.Sqrt((a.SD*a.SD+b.SD*b.SD)/2)
	e, err := c.Equivalence(-bound, bound)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct {
		what           string
		got, want, tol float64
	}{
		{"df", c.DF, 181.13, 5e-3},
		{"t of the upper bound", e.TUpper, -2.69277, 5e-6},
		{"p", e.P, 0.0038755, 5e-8},
		{"p of the upper bound", e.PUpper, 0.0038755, 5e-8},
		{"sum of both t", e.TLower + e.TUpper, 2 * c.T, 1e-14}, // the bounds are symmetric
	} {
		if !near.Abs(r.got, r.want, r.tol) {
			t.Errorf("%s = %.9g, want %.9g", r.what, r.got, r.want)
		}
	}
	// The pooled form of the same example is a one-way analysis of two groups
	// moved by the bound: F = t² on 182, and its p counts both tails.
	a.Mean -= 0.43 * math.Sqrt((94*a.SD*a.SD+88*b.SD*b.SD)/182)
	f, err := AnalyseSamples([]Sample{a, b})
	if err != nil {
		t.Fatal(err)
	}
	if f.DFWithin != 182 || !near.Abs(math.Sqrt(f.F), 2.68737, 5e-6) || !near.Abs(f.P/2, 0.0039346, 5e-8) {
		t.Errorf("pooled: t(%g) = %.7g, p %.7g, want t(182) = 2.68737, p 0.0039346", f.DFWithin, math.Sqrt(f.F), f.P/2)
	}
}

// Laws on random groups: the two one-sided tests say the same as the interval
// at 1 − 2α, the two-sided p the same as the interval at 1 − α, and swapping the
// groups turns the sign.
func TestWelchLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	draw := func() Sample {
		return Sample{N: 2 + r.IntN(6), Mean: 4000 + 150*r.NormFloat64(), SD: 20 + 200*r.Float64()}
	}
	var inside, apart int
	for range 500 {
		a, b := draw(), draw()
		c, alpha, margin := welch(t, a, b), 0.01+0.2*r.Float64(), 400*r.Float64()
		e, err := c.Equivalence(-margin, margin)
		if err != nil {
			t.Fatal(err)
		}
		i := interval(t, c, 1-2*alpha)
		if wholly := i.Lower > -margin && i.Upper < margin; wholly != (e.P < alpha) {
			t.Fatalf("%+v, margin %g: interval %+v inside is %v, p %g against %g", c, margin, i, wholly, e.P, alpha)
		} else if wholly {
			inside++
		}
		i = interval(t, c, 1-alpha)
		if excludes := i.Lower > 0 || i.Upper < 0; excludes != (c.P < alpha) {
			t.Fatalf("%+v: interval %+v excludes zero is %v, p %g against %g", c, i, excludes, c.P, alpha)
		} else if excludes {
			apart++
		}
		if w := welch(t, b, a); w.Amount != -c.Amount || w.T != -c.T || w.P != c.P || w.SE != c.SE {
			t.Fatalf("swapped: %+v and %+v", c, w)
		}
		if lo, hi := float64(min(a.N, b.N)-1), float64(a.N+b.N-2); c.DF < lo*(1-1e-12) || c.DF > hi*(1+1e-12) {
			t.Fatalf("%g degrees of freedom outside %g to %g", c.DF, lo, hi)
		}
	}
	if inside < 50 || apart < 50 {
		t.Fatalf("only %d equivalent and %d different of 500: the laws were hardly tried", inside, apart)
	}
}

// Exact algebra: with no spread in one group the other alone gives the
// interval, Student's on n − 1 about the difference.
func TestWelchOneFlatGroup(t *testing.T) {
	a := summarise(t, 1, 2, 3)
	c := welch(t, a, Sample{N: 5, Mean: 7})
	alone, err := a.Interval(0.95)
	if err != nil {
		t.Fatal(err)
	}
	got := interval(t, c, 0.95)
	if !near.Rel(c.DF, 2, 1e-14) || !near.Rel(got.Lower, alone.Lower-7, 1e-14) || !near.Rel(got.Upper, alone.Upper-7, 1e-14) {
		t.Errorf("%+v %+v, want 2 degrees of freedom and %+v less 7", c, got, alone)
	}
}
