package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// published is a table of other people, beside the project.
func published(t *testing.T, what string, name ...string) string {
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

// fields are the cells of a published text, from a line on; one of another number
// of cells is left out.
func fields(t *testing.T, path string, skip, columns int) [][]string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var out [][]string
	for i, line := range strings.Split(string(data), "\n") {
		if f := strings.Fields(line); i >= skip && len(f) == columns {
			out = append(out, f)
		}
	}
	return out
}

// asTable writes rows as the CSV that the command is given.
func asTable(t *testing.T, header string, rows [][]string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "table.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := csv.NewWriter(f)
	if err := w.Write(strings.Split(header, ",")); err != nil {
		t.Fatal(err)
	}
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return path
}

// figures is what a command prints as JSON, and counts what is looked at in it.
type figures struct {
	*testing.T
	root any
	n    *int
}

func ask(t *testing.T, args ...string) figures {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(context.Background(), append(args, "--json"), strings.NewReader(""), &out, &errs); code != done {
		t.Fatalf("%v: exit %d: %s", args, code, errs.String())
	}
	f := figures{T: t, n: new(int)}
	if err := json.Unmarshal(out.Bytes(), &f.root); err != nil {
		t.Fatal(err)
	}
	return f
}

// at walks down by keys and places.
func (f figures) at(path ...any) any {
	f.Helper()
	v := f.root
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, ok := v.(map[string]any)
			if !ok {
				f.Fatalf("%v: %T has no %q", path, v, p)
			}
			v = m[p]
		case int:
			l, ok := v.([]any)
			if !ok || p >= len(l) {
				f.Fatalf("%v: nothing at %d", path, p)
			}
			v = l[p]
		}
	}
	return v
}

func (f figures) number(path ...any) float64 {
	f.Helper()
	v, ok := f.at(path...).(float64)
	if !ok {
		f.Fatalf("%v: %v is no number", path, f.at(path...))
	}
	return v
}

// is holds a number to the figure printed, within a tolerance.
func (f figures) is(want, tol float64, path ...any) {
	f.Helper()
	*f.n++
	if got := f.number(path...); !near.Abs(got, want, tol) {
		f.Errorf("%v: %.10g, want %.10g within %g", path, got, want, tol)
	}
}

// least fails when fewer numbers were looked at.
func (f figures) least(n int) {
	f.Helper()
	if *f.n < n {
		f.Errorf("%d numbers looked at, want %d", *f.n, n)
	}
}

func parsed(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Peak force of a trolley on pads of seven thicknesses, five runs each [Yao2025].
// Means, SD and Welch's tests of neighbours as the authors print them; analysis of
// variance, Dunnett's test against 4 mm and Bartlett's by R 4.2.2; the line through
// all 35 likewise. Printed digits; R's joint p come by chance, and that of 28 mm,
// 0.00020, lies above Bonferroni's bound of 0.000135, so it is held to 1e-4.
func TestPadsCompared(t *testing.T) {
	table := published(t, "pads compared", "pad-impact-dose", "data.csv")
	args := []string{"compare", table, "--value", "F_peak", "--condition", "h"}
	f := ask(t, append(args, "--baseline", "4.0", "--adjust", "joint", "--checks")...)
	for i, w := range [][2]float64{{6.544, 0.6085}, {5.960, 0.2081}, {5.654, 0.1950}, {5.332, 0.0811}, {4.742, 0.1928}, {4.422, 0.0691}, {3.928, 0.1946}} {
		f.is(w[0], 1e-12, "means", i, "mean")
		f.is(w[1], 5e-5, "means", i, "sd")
	}
	f.is(54.60206, 5e-6, "terms", 0, "f")
	f.is(6, 0, "terms", 0, "df1")
	f.is(28, 1e-9, "terms", 0, "df2")
	f.is(math.Sqrt(0.0768557), 1e-7, "residual_sd")
	f.is(-0.584, 1e-12, "overall_against_baseline", 0, "difference")
	f.is(0.1753348, 5e-8, "overall_against_baseline", 0, "se")
	f.is(-3.33077, 5e-6, "overall_against_baseline", 0, "t")
	f.is(-5.0760, 5e-5, "overall_against_baseline", 1, "t")
	f.is(-6.91249, 5e-6, "overall_against_baseline", 2, "t")
	f.is(0.0124, 2e-4, "overall_against_baseline", 0, "p_adjusted")
	f.is(0.00020, 1e-4, "overall_against_baseline", 1, "p_adjusted")
	if p := f.number("overall_against_baseline", 1, "p_adjusted"); p > 6*f.number("overall_against_baseline", 1, "p") {
		t.Errorf("joint p %g beyond Bonferroni's", p)
	}
	f.is(23.2943, 5e-5, "checks", "spread_test", "statistic")
	f.is(0.00070, 5e-6, "checks", "spread_test", "p")
	for i := 2; i < 6; i++ {
		f.is(0, 2e-5, "overall_against_baseline", i, "p_adjusted")
	}
	f.least(30)

	f = ask(t, "compare", table, "--value", "F_peak", "--fall", "h", "--falls-as", "trend")
	f.is(-0.0352261905, 5e-11, "trends", 0, "slope")
	f.is(0.001865248, 5e-10, "trends", 0, "se")
	f.is(6.6350476-4*0.0352261905, 5e-8, "means", 0, "mean") // at 4 mm
	v := f.number("terms", 0, "f")
	if r2 := v / (v + 33); !near.Abs(r2, 0.91531147, 5e-9) {
		t.Errorf("R² %.9f", r2)
	}
	f.least(3)
}

// Each pair with a residual spread of its own is Welch's test, the authors' t, p and
// interval to 15 digits [Yao2025]. Tolerance: where the search for two spreads ends.
func TestPadsByWelch(t *testing.T) {
	table := published(t, "pads by Welch's test", "pad-impact-dose", "data.csv")
	file, err := os.Open(published(t, "pads by Welch's test", "pad-impact-dose", "expected", "pairwise_comparisons.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	pairs := 0
	for _, r := range rows {
		if r[0] != "peak_force" {
			continue
		}
		first, second := strings.TrimSuffix(r[1], " mm"), strings.TrimSuffix(r[2], " mm")
		f := ask(t, "compare", table, "--value", "F_peak", "--condition", "h", "--baseline", second, "--spread", "condition", "--df", "satterthwaite")
		list := f.at("overall_against_baseline").([]any)
		k := slices.IndexFunc(list, func(v any) bool { return v.(map[string]any)["condition"] == first })
		for name, column := range map[string]int{"difference": 3, "se": 4, "t": 5, "p": 6, "lower": 8, "upper": 9} {
			want := parsed(t, r[column])
			f.is(want, 2e-6*max(1e-2, math.Abs(want)), "overall_against_baseline", k, name)
		}
		f.least(6)
		pairs++
	}
	if pairs != 6 {
		t.Fatalf("%d pairs", pairs)
	}
}

// Four specimens of a geotextile after each of 13 exposures [Santos2025], of which
// the machine's mean and SD stand here to 0.01 N and 1e-5 N; four values of exactly
// these. By R 4.2.2 from the unrounded values: F(12, 39) 1.602, p 0.13119; Dunnett
// against the unexposed: SE 252.0847, day 30 +598.22 N, t 2.3731, smallest p 0.161;
// Bartlett p 0.385; the line on days −0.34847, SE 1.42502, p 0.808. Tolerance: what
// rounding the means to 0.005 N does.
func TestGeotextileCompared(t *testing.T) {
	machine := [][2]float64{
		{1416.69, 227.54967},
		{1541.58, 449.50633},
		{1750.55, 305.50767},
		{2014.91, 289.43777},
		{1968.04, 477.12994},
		{1394.07, 283.17036},
		{1481.50, 265.34641},
		{1469.80, 349.06937},
		{1580.55, 403.66771},
		{1983.10, 658.65316},
		{1440.23, 124.88008},
		{1517.46, 119.66289},
		{1670.42, 307.38849},
	}
	var rows [][]string
	for i, m := range machine {
		for _, z := range []float64{-3, -1, 1, 3} {
			v := m[0] + m[1]*z/math.Sqrt(20./3)
			rows = append(rows, []string{strconv.Itoa(10 * i), strconv.FormatFloat(v, 'g', -1, 64)})
		}
	}
	table := asTable(t, "day,load", rows)
	f := ask(t, "compare", table, "--value", "load", "--condition", "day", "--checks")
	f.is(1.602, 5e-4, "terms", 0, "f")
	f.is(0.13119, 1e-5, "terms", 0, "p")
	f.is(39, 1e-9, "terms", 0, "df2")
	f.is(252.0847, 5e-4, "overall_against_baseline", 2, "se")
	f.is(598.22, 0.01, "overall_against_baseline", 2, "difference")
	f.is(2.3731, 1e-4, "overall_against_baseline", 2, "t")
	f.is(0.385, 5e-4, "checks", "spread_test", "p")
	line := ask(t, "compare", table, "--value", "load", "--fall", "day", "--falls-as", "trend")
	line.is(-0.34847, 1e-4, "trends", 0, "slope")
	line.is(1.42502, 1e-4, "trends", 0, "se")
	line.is(0.808, 5e-4, "terms", 0, "p")
	f.least(7)
	line.least(3)
	if testing.Short() {
		return // twelve comparisons at once take a second or two
	}
	joint := ask(t, "compare", table, "--value", "load", "--condition", "day", "--adjust", "joint")
	smallest := 1.0
	for i := range 12 {
		smallest = min(smallest, joint.number("overall_against_baseline", i, "p_adjusted"))
	}
	if p := joint.number("overall_against_baseline", 2, "p_adjusted"); p != smallest || !near.Abs(p, 0.161, 2e-3) {
		t.Errorf("day 30: joint p %.5f, the smallest %.5f", p, smallest)
	}
}

// The eleven one-way sets of [NISTSRD140] as files, through a table: F and the
// residual SD that their headers certify, to the digits that a float64 holds of the
// values (see num/oneway).
func TestCertifiedTables(t *testing.T) {
	want := map[string]float64{"SiRstv": 12.5, "AtmWtAg": 10, "SmLs0[1-3]": 12.5, "SmLs0[4-6]": 10, "SmLs0[7-9]": 4}
	dir, checked := published(t, "certified analyses of variance", "nist-strd-anova"), 0
	for pattern, digits := range want {
		files, _ := filepath.Glob(filepath.Join(dir, pattern+".dat"))
		for _, path := range files {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			var certified, sd float64
			for _, line := range strings.Split(string(text), "\n") {
				w := strings.Fields(line)
				switch {
				case strings.HasPrefix(line, "Between"):
					certified = parsed(t, w[len(w)-1])
				case strings.Contains(line, "Standard Deviation"):
					sd = parsed(t, w[len(w)-1])
				}
			}
			f := ask(t, "compare", asTable(t, "treatment,response", fields(t, path, 60, 2)), "--value", "response", "--condition", "treatment")
			got, spread := f.number("terms", 0, "f"), f.number("residual_sd")
			if near.Digits(got, certified) < digits || near.Digits(spread, sd) < digits {
				t.Errorf("%s: F %.15g, residual SD %.15g; certified %.15g and %.15g", filepath.Base(path), got, spread, certified, sd)
			}
			checked++
		}
	}
	if checked != 11 {
		t.Fatalf("%d sets checked", checked)
	}
}

// Six batches of dye [Davies1972] as another repository has them: mean squares
// 11271.5 and 2451.25, F(5, 24) 4.59827, p 0.0043975, variances 1764.050 and
// 2451.250, log likelihood −159.827138, by lme4 and nlme. Printed digits.
func TestDyesAsFiled(t *testing.T) {
	data, err := os.ReadFile(published(t, "dyes as filed", "dyestuff", "dyes.data.json"))
	if err != nil {
		t.Fatal(err)
	}
	var filed struct{ Y [][]float64 }
	if err := json.Unmarshal(data, &filed); err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for i, b := range filed.Y {
		for _, v := range b {
			rows = append(rows, []string{fmt.Sprint("batch ", i+1), fmt.Sprint(v)})
		}
	}
	table := asTable(t, "batch,yield", rows)
	f := ask(t, "compare", table, "--value", "yield", "--specimen", "batch")
	f.is(1527.5, 1e-9, "means", 0, "mean")
	f.is(42.0006, 5e-5, "random", 0, "sd")
	f.is(49.5101, 5e-5, "residual_sd")
	f.is(2*159.827138, 1e-6, "reml_deviance")
	f.least(4)
	f = ask(t, "compare", table, "--value", "yield", "--condition", "batch")
	f.is(4.59827, 5e-6, "terms", 0, "f")
	f.is(0.0043975, 5e-8, "terms", 0, "p")
	f.least(2)
	f = ask(t, "precision", table, "--value", "yield", "--nested", "batch")
	f.is(11271.5, 1e-8, "anova", 0, "ms")
	f.is(2451.25, 1e-8, "anova", 1, "ms")
	f.is(1764.050, 5e-4, "components", 0, "variance")
	f.least(3)
}
