package uff_test

import (
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/readertest"
	"fallwright.example/traceio/uff"
)

var plain = set(one{label: "Cell", unit: "N", n: 3, values: three})

// readings are files that are read, as 1, 2.5 and -0.5 times newt newtons.
var readings = []struct {
	name  string
	data  string
	ask   trace.Ask
	unit  string
	newt  float64
	drops int
	notes []string
}{
	{"plain", plain, trace.Ask{}, "N", 1, 1, nil},
	{"CR LF and blanks at the ends", strings.ReplaceAll(plain, "\n", "   \r\n"), trace.Ask{}, "N", 1, 1, nil},
	{"other sets about it", "    -1\n   151\nmodel\n    -1\n" + plain + "    -1\n  2411\n   1 2 3\n    -1\n", trace.Ask{}, "N", 1, 1, nil},
	{"a word between sets", units164(1, 1, 1) + "made at Skerry Head\n" + plain, trace.Ask{}, "N", 1, 1, nil},
	{"label in kN, set 164 in kN", units164(9, 1, 1e-3) + set(one{label: "Cell", unit: "kN", n: 3, values: three}), trace.Ask{}, "kN", 1000, 1, nil},
	{"set 164 alone, pounds with four digits", units164(7, 39.37, 0.2248) + set(one{n: 3, values: three}), trace.Ask{}, "lbf", 4.4482216152605, 1, nil},
	{"set 164 alone, poundals", units164(4, 3.28084, 1/0.138254954376) + set(one{n: 3, values: three}), trace.Ask{}, "N", 0.138254954376, 1, nil},
	{"set 164 alone, newtons with mm", units164(10, 1000, 1) + set(one{n: 3, values: three}), trace.Ask{}, "N", 1, 1, nil},
	{"no unit at all", set(one{label: "Cell", n: 3, values: three}), trace.Ask{}, "N", 1, 1, []string{"read as N"}},
	{"flag over set 164", units164(5, 1000, 1000) + set(one{label: "Cell", unit: "N", n: 3, values: three}), trace.Ask{Unit: "kN"}, "kN", 1000, 1, []string{"because of --unit"}},
	{"excitation force", set(one{axis: 13, n: 3, unit: "N", values: three}), trace.Ask{}, "N", 1, 1, nil},
	{"general axis in newtons", set(one{axis: 1, label: "Ch 1", unit: "N", n: 3, values: three}), trace.Ask{}, "N", 1, 1, nil},
	{"general function against time", set(one{function: -1, unit: "N", n: 3, values: three}), trace.Ask{}, "N", 1, 1, nil},
	{"force beside acceleration", set(one{axis: 12, label: "Mass", unit: "m/s2", n: 3, values: three}) + plain, trace.Ask{}, "N", 1, 1, nil},
	{"two cells, one asked for", set(one{node: 1, label: "Top", unit: "N", n: 3, values: "  9.0  9.0  9.0\n"}) + set(one{node: 2, label: "Anchor", unit: "N", n: 3, values: three}), trace.Ask{Force: "Anchor"}, "N", 1, 1, nil},
	{"parted by blanks", set(one{unit: "N", n: 3, values: "1 2.5 -0.5\n"}), trace.Ask{}, "N", 1, 1, nil},
	{"two drops", plain + plain, trace.Ask{}, "N", 1, 2, nil},
	{"one of two drops", set(one{id: "other", label: "Cell", unit: "N", n: 2, values: "  7.00000E+00  7.00000E+00\n"}) + plain, trace.Ask{Part: "2"}, "N", 1, 1, nil},
	{"rate asked for", plain, trace.Ask{Rate: 500}, "N", 1, 1, []string{"--rate 500 Hz"}},
	{"Latin-1 label", set(one{label: "Pr\xfcfkraft", unit: "N", n: 3, values: three}), trace.Ask{}, "N", 1, 1, nil},
	{"double, even", set(one{kind: 4, unit: "N", n: 3, values: "  1.000000000000E+00  2.500000000000D+00 -5.000000000000d-01\n"}), trace.Ask{}, "N", 1, 1, nil},
	{"blank line after the values", set(one{unit: "N", n: 3, values: three + "\n"}), trace.Ask{}, "N", 1, 1, nil},
}

func TestReadings(t *testing.T) {
	for _, c := range readings {
		file, err := uff.Format{}.Read("a.uff", []byte(c.data), c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		rec := file.Parts[0]
		if len(file.Parts) != c.drops || rec.Unit != c.unit || len(rec.Force) != 3 {
			t.Errorf("%s: %d drops, %d values in %s", c.name, len(file.Parts), len(rec.Force), rec.Unit)
			continue
		}
		for i, want := range []float64{1, 2.5, -0.5} {
			// Poundals go by a factor of the file, which is a rounded quotient.
			if got := rec.Force[i]; got != want*c.newt && !(strings.Contains(c.name, "poundals") && got/(want*c.newt)-1 < 1e-15) {
				t.Errorf("%s: force %d is %v, want %v", c.name, i+1, got, want*c.newt)
			}
		}
		if len(rec.Notes) != len(c.notes) {
			t.Errorf("%s: notes %v, want %q", c.name, rec.Notes, c.notes)
			continue
		}
		for i, want := range c.notes {
			if !strings.Contains(rec.Notes[i].Text, want) {
				t.Errorf("%s: note %q does not say %q", c.name, rec.Notes[i].Text, want)
			}
		}
	}
}

func TestTimes(t *testing.T) {
	for _, c := range []struct {
		name, data string
		ask        trace.Ask
		want       []float64
	}{
		{"even from a start", set(one{unit: "N", n: 3, start: 2, step: 0.5, values: three}), trace.Ask{}, []float64{2, 2.5, 3}},
		{"even in ms", set(one{unit: "N", xUnit: "ms", n: 3, start: -1, step: 0.5, values: three}), trace.Ask{}, []float64{-0.001, -0.0005, 0}},
		{"uneven", set(one{unit: "N", n: 3, spacing: 2, values: "  1.00000E+00  1.00000E+00  1.50000E+00  2.50000E+00  4.00000E+00 -5.00000E-01\n"}), trace.Ask{}, []float64{1, 1.5, 4}},
		{"rate over uneven", set(one{unit: "N", n: 3, spacing: 2, values: "1 1 1 2.5 1 -0.5\n"}), trace.Ask{Rate: 4}, []float64{0, 0.25, 0.5}},
	} {
		rec := read(t, c.data, c.ask).Parts[0]
		for i, want := range c.want {
			if rec.Time[i] != want {
				t.Errorf("%s: time %d is %v, want %v", c.name, i+1, rec.Time[i], want)
			}
		}
		if rec.Force[1] != 2.5 {
			t.Errorf("%s: force 2 is %v", c.name, rec.Force[1])
		}
	}
}

// Drops are named by the first ID line that tells all of them apart, else by
// number; a title in Latin-1 comes out as it was meant.
func TestNames(t *testing.T) {
	drop := func(id, run string) string {
		return set(one{id: id, run: run, label: "Pr\xfcfkraft", unit: "N", n: 3, values: three})
	}
	for _, c := range []struct{ data, first, second string }{
		{drop("M-01", "") + drop("M-02", ""), "M-01", "M-02"},
		{drop("M-01", "fall 1") + drop("M-01", "fall 2"), "fall 1", "fall 2"},
		{drop("M-01", "fall 1") + drop("M-01", "fall 1"), "drop 1", "drop 2"},
		{drop("", "") + drop("M-01", ""), "drop 1", "drop 2"},
	} {
		parts := read(t, c.data, trace.Ask{}).Parts
		if len(parts) != 2 || parts[0].Part != c.first || parts[1].Part != c.second || parts[0].ForceColumn != "Pr\u00fcfkraft" {
			t.Errorf("%d drops, %q and %q of %q, want %q and %q", len(parts), parts[0].Part, parts[1].Part, parts[0].ForceColumn, c.first, c.second)
		}
	}
}

// What stands beside the force: a displacement with the same times is the
// stretch; with other times it is left out, or refused when it was asked for.
func TestBesideTheForce(t *testing.T) {
	same := set(one{axis: 8, label: "Mass", unit: "mm", n: 3, values: three})
	other := set(one{axis: 8, label: "Mass", unit: "mm", n: 3, step: 0.5, values: three})
	if rec := read(t, plain+same, trace.Ask{}).Parts[0]; len(rec.Stretch) != 3 || rec.Stretch[1] != 0.0025 {
		t.Errorf("stretch %v", rec.Stretch)
	}
	if rec := read(t, plain+same, trace.Ask{Stretch: "none", Gate: "2"}).Parts[0]; rec.Stretch != nil || len(rec.Gate) != 3 || rec.Gate[1] != 2.5 {
		t.Errorf("stretch %v, gate %v", rec.Stretch, rec.Gate)
	}
	if rec := read(t, plain+other, trace.Ask{}).Parts[0]; rec.Stretch != nil || !strings.Contains(rec.Notes[len(rec.Notes)-1].Text, "other times") {
		t.Errorf("stretch %v, notes %v", rec.Stretch, rec.Notes)
	}
	if _, err := (uff.Format{}).Read("a.uff", []byte(plain+other), trace.Ask{Stretch: "2"}); err == nil {
		t.Error("a stretch with other times passes when it is asked for")
	}
	acc := set(one{axis: 12, label: "Mass", unit: "m/s^2", n: 3, values: three})
	if rec := read(t, acc, trace.Ask{Force: "1"}).Parts[0]; !rec.PerMass || rec.Unit != "m/s2" {
		t.Errorf("sensor in the mass: %v, %s", rec.PerMass, rec.Unit)
	}
}

var refusals = []struct {
	name string
	data string
	ask  trace.Ask
	line int
	what string
}{
	{"binary", "    -1\n    58b     1     2          11        4096     0     0           0           0\nNONE\n", trace.Ask{}, 2, "58b is the binary kind"},
	{"no set 58", "    -1\n   151\nmodel\n    -1\n", trace.Ask{}, 1, "no set 58"},
	{"no number of a set", "    -1\nfifty-eight\n    -1\n", trace.Ask{}, 2, "\"fifty-eight\" stands where"},
	{"cut off", plain[:len(plain)-8], trace.Ask{}, 14, "ends within set 58"},
	{"head cut off", "    -1\n    58\nNONE\nNONE\n    -1\n", trace.Ask{}, 4, "ends within its head"},
	{"word in the head", strings.Replace(plain, "         2         3         1", "         2     three         1", 1), trace.Ask{}, 9, "columns 11 to 20"},
	{"type of values", set(one{kind: 3, n: 3, values: three}), trace.Ask{}, 9, "values of type 3"},
	{"spacing", set(one{spacing: 7, n: 3, values: three}), trace.Ask{}, 9, "abscissa of type 7"},
	{"complex", set(one{kind: 5, unit: "N", n: 3, values: three}), trace.Ask{}, 2, "complex"},
	{"spectrum", set(one{function: 4, n: 3, values: three}), trace.Ask{}, 2, "frequency response functions"},
	{"against frequency", set(one{xAxis: 18, n: 3, values: three}), trace.Ask{}, 2, "time responses against frequency"},
	{"no force", set(one{axis: 12, label: "Mass", unit: "m/s2", n: 3, values: three}), trace.Ask{}, 2, "no column says that it is a force"},
	{"two cells", set(one{node: 1, label: "Top", unit: "N", n: 3, values: three}) + set(one{node: 2, label: "Anchor", unit: "N", n: 3, values: three}), trace.Ask{}, 2, "2 columns could be the force: 1 \"Top\" [N], 2 \"Anchor\" [N]"},
	{"label and set 164 differ", units164(1, 1, 1) + set(one{label: "Cell", unit: "kN", n: 3, values: three}), trace.Ask{}, 17, "in kN, and set 164 at line 2"},
	{"code and factor differ", units164(5, 1000, 1) + plain, trace.Ask{}, 4, "units code 5"},
	{"two sets 164", units164(1, 1, 1) + units164(5, 1000, 1000) + plain, trace.Ask{}, 8, "a second set 164"},
	{"set 164 with a factor of 0", units164(1, 1, 0) + plain, trace.Ask{}, 4, "factors"},
	{"unit of no force", set(one{label: "Cell", unit: "V", n: 3, values: three}), trace.Ask{}, 2, "in \"V\""},
	{"abscissa in hours", set(one{unit: "N", xUnit: "h", n: 3, values: three}), trace.Ask{}, 10, "\"h\""},
	{"too few numbers", set(one{unit: "N", n: 4, values: three}), trace.Ask{}, 14, "number 4 of the line is missing"},
	{"a line too few", set(one{unit: "N", n: 9, values: "1 2 3 4 5 6\n"}), trace.Ask{}, 14, "after 6 of its 9"},
	{"too many numbers", set(one{unit: "N", n: 2, values: three}), trace.Ask{}, 14, "follows the last number"},
	{"a line too many", set(one{unit: "N", n: 3, values: three + three}), trace.Ask{}, 15, "more follow"},
	{"blank number", set(one{unit: "N", n: 3, values: "  1.00000E+00              -5.00000E-01\n"}), trace.Ask{}, 14, "number 2 of the line is missing"},
	{"not a number", set(one{unit: "N", n: 3, values: "  1.00000E+00          NaN -5.00000E-01\n"}), trace.Ask{}, 14, "NaN"},
	{"over the edge", set(one{unit: "N", n: 3, values: " 11.123456789123456789012345E+0\n"}), trace.Ask{}, 14, "over the edge"},
	{"one value", set(one{unit: "N", n: 1, values: "  1.00000E+00\n"}), trace.Ask{}, 2, "1 value;"},
	{"a number of values below zero", set(one{unit: "N", n: -5, values: three}), trace.Ask{}, 2, "0 values"},
	{"more values than the file can have", set(one{unit: "N", n: 2000000000, values: three}), trace.Ask{}, 14, "number 4 of the line is missing"},
	{"time stands", set(one{unit: "N", n: 3, step: 1e-30, start: 5, values: three}), trace.Ask{}, 9, "does not rise at value 2"},
	{"time goes back", set(one{unit: "N", n: 3, spacing: 2, values: "1 1 3 1 2 1\n"}), trace.Ask{}, 14, "does not rise at value 3"},
	{"time asked for", plain, trace.Ask{Time: "1"}, 0, "its time as its abscissa"},
	{"no such drop", plain + plain, trace.Ask{Part: "3"}, 2, "--part \"3\": the file holds 2 drops: 1 \"drop 1\", 2 \"drop 2\""},
	{"no such channel", plain, trace.Ask{Force: "9"}, 2, "--force 9"},
}

func TestRefusals(t *testing.T) {
	for _, c := range refusals {
		_, err := uff.Format{}.Read("a.uff", []byte(c.data), c.ask)
		all := problem.All(err)
		if len(all) != 1 || !strings.Contains(all[0].What, c.what) {
			t.Errorf("%s: %v, want %q", c.name, err, c.what)
		}
	}
}

func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, c := range readings {
		cases = append(cases, readertest.Case{Name: "a.uff", Data: []byte(c.data), Ask: c.ask, Rows: 3, Drops: c.drops})
	}
	for _, c := range refusals {
		if !(uff.Format{}).Claims("a.uff", []byte(c.data)) {
			continue // without a set 58 it is nobody's; checked above
		}
		cases = append(cases, readertest.Case{Name: "a.uff", Data: []byte(c.data), Ask: c.ask, Line: c.line})
	}
	for _, name := range []string{"single-even.uff", "double-even-pounds.uff", "single-uneven.uff", "double-uneven.uff"} {
		cases = append(cases, readertest.Case{Name: name, Data: testdata(t, name), Rows: 14})
	}
	return append(cases, readertest.Case{Name: "two-drops.uff", Data: testdata(t, "two-drops.uff"), Rows: 14, Drops: 2})
}

func TestExam(t *testing.T) {
	readertest.Exercise(t, uff.Format{}, examCases(t))
}
