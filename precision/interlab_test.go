package precision

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/refdata"
)

// published returns a table of refdata.
func published(t *testing.T, name string) (*refdata.Columns, []float64) {
	t.Helper()
	c, err := refdata.Precision(name)
	if err != nil {
		t.Fatal(err)
	}
	v, err := c.Numbers("value")
	if err != nil || len(v) < 20 {
		t.Fatalf("%s: %d values, %v", name, len(v), err)
	}
	return c, v
}

func readings(t *testing.T, name, material string) []Reading {
	t.Helper()
	c, v := published(t, name)
	out := make([]Reading, len(v))
	for i := range v {
		out[i] = Reading{c.Text("lab")[i], c.Text(material)[i], v[i]}
	}
	return out
}

// within fails unless got is want in all printed decimals.
func within(t *testing.T, what string, got, want float64, decimals int) {
	t.Helper()
	if !near.Abs(got, want, 0.5000001*math.Pow10(-decimals)) {
		t.Errorf("%s = %.8g, printed %.*f", what, got, decimals, want)
	}
}

// The glucose table as an E691-type reconstruction (SOURCES.md says what of it
// is sure): mean, s_x̄, s_r, s_R, and the limits r and R to the decimals printed;
// h and k of material E, and lab 2's k beyond the limit that E691 prints.
func TestGlucose(t *testing.T) {
	s, err := Study(readings(t, "glucose", "material"))
	if err != nil {
		t.Fatal(err)
	}
	want := [][6]float64{
		{41.5183, 0.6061, 1.0632, 1.0632, 2.98, 2.98},
		{79.6796, 1.0028, 1.4949, 1.5796, 4.19, 4.42},
		{134.7262, 1.7397, 1.5434, 2.1482, 4.32, 6.01},
		{194.7171, 2.5950, 2.6251, 3.3657, 7.35, 9.42},
		{294.4921, 2.6931, 3.9350, 4.1923, 11.02, 11.74},
	}
	if len(s.Materials) != len(want) {
		t.Fatalf("%d materials", len(s.Materials))
	}
	for i, w := range want {
		m := s.Materials[i]
		within(t, m.Name+" mean", m.Mean, w[0], 4)
		within(t, m.Name+" s_x̄", *m.SDOfMeans, w[1], 4)
		within(t, m.Name+" s_r", m.Repeatability.SD, w[2], 4)
		within(t, m.Name+" s_R", *m.SRE691, w[3], 4)
		within(t, m.Name+" r", m.Repeatability.Limit, w[4], 2)
		within(t, m.Name+" R", m.Reproducibility.Limit, w[5], 2)
		// With equal numbers the two definitions are the same.
		if near.Digits(m.Reproducibility.SD, *m.SRE691) < 12 {
			t.Errorf("%s: ISO 5725-2 gives %g, E691 %g", m.Name, m.Reproducibility.SD, *m.SRE691)
		}
	}
	e := s.Materials[4]
	for i, w := range [][2]float64{{-0.46, 0.18}, {1.64, 2.33}, {-0.68, 0.69}, {0.49, 0.22}, {-0.34, 0.24}, {0.17, 1.03}, {-1.62, 0.84}, {0.79, 0.42}} {
		within(t, "h", *e.Cells[i].H, w[0], 2)
		within(t, "k", *e.Cells[i].K, w[1], 2)
	}
	flagged := map[string]Grade{}
	for _, f := range e.Flags {
		flagged[f.Statistic+" "+strings.Join(f.Labs, " ")] = f.Grade
	}
	if flagged["k 2"] != Outlier || flagged["Cochran 2"] != Outlier || len(flagged) != 2 {
		t.Errorf("flags of E: %v", flagged)
	}
}

// Sulfur in coal, [ISO57252] annex B.1, unequal numbers: the published figures
// to their three decimals and the full ones to four.
func TestCoal(t *testing.T) {
	s, err := Study(readings(t, "coal", "level"))
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range [][7]float64{
		{0.690, 0.015, 0.026, 0.6904, 0.0151, 0.0216, 0.0264},
		{1.252, 0.029, 0.061, 1.2523, 0.0288, 0.0533, 0.0606},
		{1.667, 0.017, 0.035, 1.6674, 0.0171, 0.0303, 0.0348},
		{3.250, 0.026, 0.058, 3.2496, 0.0261, 0.0521, 0.0582},
	} {
		m := s.Materials[i]
		within(t, "m", m.Mean, w[0], 3)
		within(t, "s_r", m.Repeatability.SD, w[1], 3)
		within(t, "s_R", m.Reproducibility.SD, w[2], 3)
		within(t, "m", m.Mean, w[3], 4)
		within(t, "s_r", m.Repeatability.SD, w[4], 4)
		within(t, "s_L", *m.Between, w[5], 4)
		within(t, "s_R", m.Reproducibility.SD, w[6], 4)
		// By their definitions h adds up to zero and k² to the number of labs.
		h, k := 0.0, 0.0
		for _, c := range m.Cells {
			h, k = h+*c.H, k+square(*c.K)
		}
		if !near.Abs(h, 0, 1e-9) || !near.Abs(k, 8, 1e-9) {
			t.Errorf("level %s: h adds up to %g, k² to %g", m.Name, h, k)
		}
		if m.SRE691 != nil || m.Equal || m.Critical.Typical != 3 {
			t.Errorf("level %s: E691 %v, equal %v, typical %d", m.Name, m.SRE691, m.Equal, m.Critical.Typical)
		}
	}
	if len(s.Materials) != 4 || len(s.Notes) != 5 || !strings.Contains(s.Notes[4], "64 values of h and k were looked at: about 3 ") {
		t.Errorf("%d levels, notes %q", len(s.Materials), s.Notes)
	}
}

// Limits for 8 and 16 labs of 3 and 2 readings by the formulas of [Wilrich2013],
// which the printed tables of [ISO57252] and [ASTME691] agree with; five decimals.
func TestCriticalValues(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"h 0.5 %", HCritical(0.005, 8), 2.15249},
		{"h 1 %", HCritical(0.01, 8), 2.06489},
		{"h 5 %", HCritical(0.05, 8), 1.74908},
		{"k 0.5 %", KCritical(0.005, 8, 3), 2.06084},
		{"k 1 %", KCritical(0.01, 8, 3), 1.96378},
		{"k 5 %", KCritical(0.05, 8, 3), 1.66892},
		{"C 5 %", CochranCritical(0.05, 8, 3), 0.51569},
		{"C 1 %", CochranCritical(0.01, 8, 3), 0.61517},
		{"G 5 %", GrubbsCritical(0.05, 8), 2.12665},
		{"G 1 %", GrubbsCritical(0.01, 8), 2.27436},
		{"h 1 %, 16", HCritical(0.01, 16), 2.33472},
		{"h 5 %, 16", HCritical(0.05, 16), 1.86491},
		{"k 1 %, 2", KCritical(0.01, 16, 2), 2.42202},
		{"k 5 %, 2", KCritical(0.05, 16, 2), 1.92858},
		{"C 5 %, 2", CochranCritical(0.05, 16, 2), 0.45168},
		{"C 1 %, 2", CochranCritical(0.01, 16, 2), 0.55272},
	} {
		if !near.Abs(c.got, c.want, 1e-5) { // some of them are cut off, not rounded
			t.Errorf("%s = %.7f, want %.5f", c.what, c.got, c.want)
		}
	}
	for alpha, want := range map[float64]float64{0.05: 0.1101, 0.01: 0.0563} { // printed to four digits
		if got := GrubbsPairCritical(alpha, 8); !near.Abs(got, want, 2e-4) {
			t.Errorf("two together at %g = %.5f, want %.4f", alpha, got, want)
		}
	}
	for i, none := range []float64{HCritical(0.05, 2), KCritical(0.05, 8, 1), KCritical(0.05, 1, 3), CochranCritical(0.05, 1, 2), GrubbsCritical(0.05, 2), GrubbsPairCritical(0.05, 3)} {
		if !math.IsNaN(none) {
			t.Errorf("limit %d is %g for too few labs", i, none)
		}
	}
	if c := critical(2, 1, 0); c.H.Straggler != nil || c.K.Outlier != nil || c.Pair.Straggler != nil {
		t.Errorf("limits for two labs: %+v", c)
	}
}

// sharedFile is a table beside the project.
func sharedFile(t *testing.T, what string, name ...string) string {
	t.Helper()
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "shared")
	}
	path := filepath.Join(append([]string{root, "data"}, name...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("NOT CHECKED: %s: %v", what, err)
	}
	return path
}

// recorded reads a table beside the project: rows of numbers after its header.
func recorded(t *testing.T, what string, skip, columns int, name ...string) [][]float64 {
	t.Helper()
	f, err := os.Open(sharedFile(t, what, name...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows [][]float64
	lines := bufio.NewScanner(f)
	for n := 0; lines.Scan(); n++ {
		fields := strings.Fields(lines.Text())
		if n < skip || len(fields) < columns {
			continue
		}
		row := make([]float64, columns)
		for i := range row {
			if row[i], err = strconv.ParseFloat(fields[i], 64); err != nil {
				t.Fatalf("%s: line %d: %v", strings.Join(name, "/"), n+1, err)
			}
		}
		rows = append(rows, row)
	}
	if len(rows) < 20 {
		t.Fatalf("%s: %d rows", what, len(rows))
	}
	return rows
}

func label(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// The glucose table as a public repository has it, with one cell of 148.30: its
// figures as found by R 4.2.2, and the cell flagged and not dropped. Left out by
// the caller it is named.
func TestGlucoseAsFiled(t *testing.T) {
	var all []Reading
	for _, r := range recorded(t, "glucose as filed", 25, 3, "nist-interlab", "GLUCOSE.DAT") {
		all = append(all, Reading{label(r[1]), "ABCDE"[int(r[2])-1 : int(r[2])], r[0]})
	}
	s, err := Study(all, Left{"4", "C"})
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for i, w := range [][4]float64{
		{41.51833, 0.606127, 1.063224, 1.063224},
		{79.67958, 1.002751, 1.494854, 1.579631},
		{135.14292, 2.655945, 2.748272, 3.476977},
		{194.71708, 2.595005, 2.625065, 3.365713},
		{294.49208, 2.693136, 3.934974, 4.192334},
	} {
		m := s.Materials[i]
		checked++
		within(t, m.Name+" mean", m.Mean, w[0], 5)
		for j, got := range []float64{*m.SDOfMeans, m.Repeatability.SD, m.Reproducibility.SD} {
			if !near.Abs(got, w[1+j], 1e-6) { // s_R of C is given one too low in the last digit
				t.Errorf("%s: %.8f, want %.6f", m.Name, got, w[1+j])
			}
		}
	}
	c := s.Materials[2]
	within(t, "k of lab 4", *c.Cells[3].K, 2.4088, 4)
	found := false
	for _, f := range c.Flags {
		found = found || f.Statistic == "k" && f.Labs[0] == "4" && f.Grade == Outlier
	}
	if !found || checked != 5 || len(c.Cells) != 8 {
		t.Errorf("the cell of 148.30 is not flagged: %+v", c.Flags)
	}
	if w := s.Without; w == nil || len(w.Materials[2].Cells) != 7 || w.LeftOut[0].String() != "4 on C" || !near.Abs(w.Materials[2].Repeatability.SD, 1.69, 0.2) {
		t.Errorf("without it: %+v", w)
	}
}

// A load cell read three times at each of eleven loads: the replication standard
// deviation and its degrees of freedom by R 4.2.2, the loads taken as the labs.
func TestLoadCell(t *testing.T) {
	var all []Reading
	for _, r := range recorded(t, "load cell", 25, 2, "nist-loadcell-beam", "LOADCELL.DAT") {
		all = append(all, Reading{label(r[0]), "", r[1]})
	}
	s, err := Study(all)
	if err != nil || len(all) != 33 {
		t.Fatalf("%d readings, %v", len(all), err)
	}
	r := s.Materials[0].Repeatability
	if near.Digits(r.SD, 4.1414388e-5) < 6.5 || r.DF != 22 {
		t.Errorf("replication %g on %g", r.SD, r.DF)
	}
}

func TestStudyRefusals(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		readings []Reading
		leave    []Left
		kind     problem.Kind
		text     string
	}{
		"none":         {nil, nil, problem.TooFew, "0 readings, and no material was read twice"},
		"once":         {[]Reading{{"a", "x", 1}, {"b", "y", 2}}, nil, problem.TooFew, "2 readings, and no material was read twice"},
		"not a number": {[]Reading{{"a", "x", 1}, {"a", "x", nan}, {"", "x", 1}}, nil, problem.Invalid, "reading 2: the value is NaN, which is no reading\nreading 3: it has no lab"},
		"not there":    {[]Reading{{"a", "x", 1}, {"b", "x", 2}}, []Left{{"c", ""}}, problem.NotFound, "c: there are no such readings to leave out"},
	} {
		_, err := Study(c.readings, c.leave...)
		if err == nil || problem.KindOf(err) != c.kind || err.Error() != c.text {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What can be said of little: one lab, one reading a cell, two labs, no spread,
// a missing cell. Exact algebra on whole numbers.
func TestStudyOfLittle(t *testing.T) {
	s, err := Study([]Reading{{"a", "", 1}, {"a", "", 3}})
	if err != nil {
		t.Fatal(err)
	}
	m := s.Materials[0]
	if m.Repeatability.SD != math.Sqrt2 || m.Reproducibility != nil || m.Between != nil || len(s.Notes) != 1 {
		t.Errorf("one lab: %+v, %q", m, s.Notes)
	}
	s, err = Study([]Reading{{"a", "x", 1}, {"b", "x", 2}, {"c", "x", 3}, {"a", "y", 5}})
	if err != nil {
		t.Fatal(err)
	}
	m = s.Materials[0]
	if m.Repeatability != nil || m.Reproducibility.SD != 1 || m.Reproducibility.DF != 2 || *m.Cells[0].H != -1 || m.Cells[0].K != nil {
		t.Errorf("one reading a cell: %+v", m)
	}
	if all := strings.Join(s.Notes, "\n"); !strings.Contains(all, "x: one reading in each cell") || !strings.Contains(all, "y: no readings by b and c") {
		t.Errorf("notes %q", s.Notes)
	}
	s, err = Study([]Reading{{"a", "", 4}, {"a", "", 4}, {"b", "", 4}, {"b", "", 4}, {"c", "", 4}, {"c", "", 4}})
	if err != nil {
		t.Fatal(err)
	}
	m = s.Materials[0]
	if m.Repeatability.SD != 0 || m.Repeatability.Interval != nil || m.Reproducibility.SD != 0 || m.Cells[0].H != nil || m.Cells[0].K != nil || len(m.Flags) != 0 {
		t.Errorf("all alike: %+v", m)
	}
	if !strings.Contains(strings.Join(s.Notes, "\n"), "all alike") {
		t.Errorf("notes %q", s.Notes)
	}
}

// Labs that differ less than repeats do: s_L is zero, s_R is s_r, and its interval
// holds it although the estimate before that was set to zero lies far below.
func TestIntervalHoldsFigure(t *testing.T) {
	var r []Reading
	for i := range 60 {
		r = append(r, Reading{label(float64(i)), "", -1 - float64(i%3)/1e3}, Reading{label(float64(i)), "", 1})
	}
	s, err := Study(r)
	if err != nil {
		t.Fatal(err)
	}
	R := s.Materials[0].Reproducibility
	if *s.Materials[0].Between != 0 || R.SD != s.Materials[0].Repeatability.SD || !(R.Interval.Lower < R.SD && R.SD < R.Interval.Upper) {
		t.Errorf("s_R %g, interval %+v", R.SD, R.Interval)
	}
}

// Two labs that lie together far from six others: neither is an outlier alone,
// the pair is.
func TestPairFlagged(t *testing.T) {
	var r []Reading
	for i, mean := range []float64{10, 10.1, 9.9, 10.05, 9.95, 10.02, 14, 14.1} {
		lab := label(float64(i + 1))
		r = append(r, Reading{lab, "", mean - 0.1}, Reading{lab, "", mean + 0.1})
	}
	s, err := Study(r)
	if err != nil {
		t.Fatal(err)
	}
	flags := map[string]Grade{}
	for _, f := range s.Materials[0].Flags {
		flags[f.Statistic] = f.Grade
	}
	if flags["Grubbs, two highest"] != Outlier || flags["Grubbs, highest"] != "" || flags["Grubbs, two lowest"] != "" {
		t.Errorf("flags %v", flags)
	}
}

func BenchmarkStudy(b *testing.B) {
	c, err := refdata.Precision("glucose")
	if err != nil {
		b.Fatal(err)
	}
	v, _ := c.Numbers("value")
	all := make([]Reading, len(v))
	for i := range v {
		all[i] = Reading{c.Text("lab")[i], c.Text("material")[i], v[i]}
	}
	for b.Loop() {
		if _, err := Study(all); err != nil {
			b.Fatal(err)
		}
	}
}
