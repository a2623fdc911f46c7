package delimited_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/trace"
)

// dialect is a file of testdata with what reading it has to give. The numbers
// are those written in the file, brought to SI by the factors' definitions
// (traceio/unit.go), so that they are compared exactly.
type dialect struct {
	file          string
	ask           trace.Ask
	unit          string
	force, time   string // columns
	forces, times []float64
	doubts        []string // the columns that a doubtful note is about, and what
}

var dialects = []dialect{
	{
		file: "comma.csv", unit: "kN", force: "Force (kN)", time: "Time (s)",
		times: []float64{0, 0.001, 0.002, 0.003}, forces: []float64{12, 15, 2500, 8200},
	},
	{
		file: "comma.csv", ask: trace.Ask{Rate: 50}, unit: "kN", force: "Force (kN)",
		times: []float64{0, 0.02, 0.04, 0.06}, forces: []float64{12, 15, 2500, 8200},
	},
	{
		file: "comma.csv", ask: trace.Ask{Unit: "N"}, unit: "N", force: "Force (kN)", time: "Time (s)",
		times: []float64{0, 0.001, 0.002, 0.003}, forces: []float64{0.012, 0.015, 2.5, 8.2}, doubts: []string{"the file says"},
	},
	{
		file: "semicolon-latin1.csv", unit: "N", force: "Carga", time: "Tempo",
		times: []float64{0, 0.05, 0.1}, forces: []float64{-1.25, 12.5, 812.5},
	},
	{
		file: "tab-german.txt", unit: "kN", force: "Prüfkraft [kN]", time: "Zeit [ms]",
		times: []float64{0, 0.0005, 0.001}, forces: []float64{50, 1250, 3500},
	},
	{
		file: "spaces-comment.txt", unit: "N", force: "force(N)", time: "time(s)",
		times: []float64{0, 2e-5, 4e-5}, forces: []float64{6.28, 7.25, 8.5},
	},
	{
		file: "percent-header.txt", unit: "N", force: "F (N)", time: "t (s)",
		times: []float64{0, 0.1}, forces: []float64{1, 2},
	},
	{
		file: "no-header.csv", unit: "N", force: "column 2", time: "column 1",
		times: []float64{0, 0.001, 0.002}, forces: []float64{12.5, 13.5, 14},
		doubts: []string{"taken as the force", "time in seconds", "read as N"},
	},
	{
		file: "one-column.txt", ask: trace.Ask{Rate: 600}, unit: "N", force: "column 1",
		times: []float64{0, 1. / 600, 2. / 600, 3. / 600}, forces: []float64{633.21, 628.46, 640.51, -0.5},
		doubts: []string{"the only one", "read as N"},
	},
	{
		file: "counter.txt", ask: trace.Ask{Rate: 10}, unit: "N", force: "GRFv",
		times: []float64{0, 0.1, 0.2}, forces: []float64{0, 10, -20}, doubts: []string{"read as N"},
	},
	{
		file: "underscore.csv", unit: "lbf", force: "load_lbf", time: "time_ms",
		times: []float64{0, 0.001, 0.002}, forces: []float64{4.4482216152605, 2 * 4.4482216152605, 4 * 4.4482216152605},
	},
	{
		file: "comma-unit.csv", unit: "kgf", force: "Force, kgf", time: "Time, s",
		times: []float64{0, 0.1}, forces: []float64{9.80665, 2 * 9.80665},
	},
	{
		file: "comma-unit-unquoted.csv", unit: "kN", force: "Force, kN", time: "Time, s",
		times: []float64{0, 0.1}, forces: []float64{1000, 2000},
	},
	{
		file: "quoted-decimal-comma.csv", unit: "N", force: "Kraft (N)", time: "Zeit (s)",
		times: []float64{0, 0.1}, forces: []float64{1.5, 2.5},
	},
	{
		file: "unit-row.csv", unit: "mN", force: "Standard force", time: "Test time",
		times: []float64{0, 0.1, 0.2}, forces: []float64{-0.0005, 2.9995, 3.00025},
	},
	{
		file: "bom.csv", unit: "N", force: "Force (N)", time: "Time (s)",
		times: []float64{0, 0.1, 0.2}, forces: []float64{1, 2, 3},
	},
	{
		file: "side-by-side.csv", ask: trace.Ask{Force: "run 1: force"}, unit: "N", force: "Run 1: Force (N)", time: "Run 1: Time (s)",
		times: []float64{0.01, 0.02, 0.03}, forces: []float64{-0.5, -0.6, -0.7},
	},
	{
		file: "side-by-side.csv", ask: trace.Ask{Force: "5"}, unit: "N", force: "Run 2: Force (N)", time: "Run 2: Time (s)",
		times: []float64{0.02, 0.04, 0.06, 0.08, 0.1}, forces: []float64{-1.5, -1.6, -1.7, -1.8, -1.9},
	},
	{
		file: "side-by-side.csv", ask: trace.Ask{Force: "RUN 1: FORCE (n)", Time: "4"}, unit: "N", force: "Run 1: Force (N)", time: "Run 2: Time (s)",
		times: []float64{0.02, 0.04, 0.06}, forces: []float64{-0.5, -0.6, -0.7},
	},
	{
		file: "time-of-day.csv", unit: "N", force: "Force (N)", time: "Elapsed (s)",
		times: []float64{0, 0.5, 1}, forces: []float64{1, 2, 3},
	},
	{
		file: "aligned.txt", unit: "N", force: "Force (N)", time: "Time (s)",
		times: []float64{0, 0.01, 0.02}, forces: []float64{12.5, 13.25, -1},
	},
	{
		file: "micro.csv", unit: "mN", force: "F [mN]", time: "t [µs]",
		times: []float64{0, 5e-5, 1e-4}, forces: []float64{1, 2, 2.5},
	},
	{
		file: "minutes.csv", unit: "N", force: "tension (N)", time: "elapsed (min)",
		times: []float64{0, 30, 60}, forces: []float64{5, 6, 7},
	},
	{
		file: "stroke.csv", unit: "kN", force: "F/kN", time: "t/s",
		times: []float64{0, 0.1}, forces: []float64{500, 1500},
	},
	{
		file: "words.csv", unit: "kN", force: "Kraft in kN", time: "Zeit in s",
		times: []float64{0, 0.1}, forces: []float64{500, 1500},
	},
	{
		file: "no-newline.csv", unit: "N", force: "force", time: "time",
		times: []float64{0, 1}, forces: []float64{1, 2}, doubts: []string{"read as seconds", "read as N"},
	},
	{
		file: "long-digits.txt", unit: "N", force: "GRF[N]", time: "Time[s]",
		times: []float64{0, 0.0022222222222222222, 0.004444444444444445}, forces: []float64{negativeZero(), negativeZero(), 4696.7512345678901234},
	},
}

func negativeZero() float64 { z := 0.0; return -z }

func testdata(t testing.TB, file string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestDialects(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range dialects {
		t.Run(fmt.Sprint(d.file, d.ask), func(t *testing.T) {
			seen[d.file] = true
			rec, err := readOne(d.file, testdata(t, d.file), d.ask)
			if err != nil {
				t.Fatal(err)
			}
			if rec.Unit != d.unit || rec.ForceColumn != d.force || rec.TimeColumn != d.time {
				t.Errorf("unit %q, force %q, time %q; want %q, %q, %q", rec.Unit, rec.ForceColumn, rec.TimeColumn, d.unit, d.force, d.time)
			}
			equal(t, "time", rec.Time, d.times)
			equal(t, "force", rec.Force, d.forces)
			doubts(t, rec.Notes, d.doubts)
		})
	}
	files, err := filepath.Glob("testdata/*.[ct][sx][vt]")
	if err != nil || len(files) == 0 {
		t.Fatal("no files in testdata", err)
	}
	for _, f := range files {
		if !seen[filepath.Base(f)] {
			t.Errorf("%s is read by no case", f)
		}
	}
}

// equal compares to the bit: a conversion is rounded once, and -0 stays -0.
func equal(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) || len(want) == 0 {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range want {
		if fmt.Sprintf("%b", got[i]) != fmt.Sprintf("%b", want[i]) {
			t.Errorf("%s %d: %v, want %v", what, i, got[i], want[i])
		}
	}
}

// doubts holds that the doubtful notes are about the given things, and that
// there are no others.
func doubts(t *testing.T, notes []trace.Note, want []string) {
	t.Helper()
	got := doubtsOf(&trace.Recording{Notes: notes})
	if len(got) != len(want) {
		t.Fatalf("doubtful notes %q, want %d", got, len(want))
	}
	for i, w := range want {
		if !strings.Contains(got[i], w) {
			t.Errorf("note %q, want it to say %q", got[i], w)
		}
	}
}

func doubtsOf(rec *trace.Recording) []string {
	var got []string
	for _, n := range rec.Notes {
		if n.Grade != trace.Said {
			got = append(got, n.Text)
		}
	}
	return got
}

// What the reader took for granted without doubt is said all the same.
func TestSaidNotes(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		file string
		ask  trace.Ask
		want string
	}{
		{"comma.csv", trace.Ask{Rate: 50}, `time counts from --rate 50 Hz; the file's own time, column 1 "Time (s)", was not used`},
		{"side-by-side.csv", trace.Ask{Force: "2"}, `column 2 "Run 1: Force (N)" ends at line 4; the 2 rows after it have no value there`},
	} {
		rec, err := readOne(c.file, testdata(t, c.file), c.ask)
		if err != nil {
			t.Fatal(err)
		}
		if len(rec.Notes) != 1 || rec.Notes[0] != (trace.Note{Grade: trace.Said, Text: c.want}) {
			t.Errorf("%s: notes %q, want %q", c.file, rec.Notes, c.want)
		}
		checked++
	}
	if checked != 2 {
		t.Fatal("too few notes were looked at")
	}
}
