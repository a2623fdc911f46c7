package delimited_test

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// shared is the folder of real recordings, which are not part of the project.
func shared(t *testing.T, parts ...string) string {
	t.Helper()
	dir := os.Getenv("FALLWRIGHT_SHARED")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared")
	}
	path := filepath.Join(append([]string{dir, "data"}, parts...)...)
	if _, err := os.Stat(filepath.Join(dir, "data")); err != nil {
		t.Skipf("not checked: the real recordings in %s are absent", filepath.Join(dir, "data"))
	}
	return path
}

func readFile(t *testing.T, path string, ask traceio.Ask) (*trace.Recording, error) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return traceio.New(delimited.Format{}).Read(filepath.Base(path), data, ask)
}

func mustRead(t *testing.T, path string, ask traceio.Ask) *trace.Recording {
	t.Helper()
	rec, err := readFile(t, path, ask)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func glob(t *testing.T, least int, parts ...string) []string {
	t.Helper()
	files, err := filepath.Glob(shared(t, parts...))
	if err != nil || len(files) < least {
		t.Fatalf("%v: %d files, want %d at least (%v)", parts, len(files), least, err)
	}
	return files
}

// The machine wrote its own peak above each table, to five decimals: the raw
// maximum has to be that number in every digit. Source: the metadata line
// "Carga compressiva em Maximum Comp. load" of each file.
func TestPunctureMaximaAreTheMachinesOwn(t *testing.T) {
	own := regexp.MustCompile(`(?m)^Carga compressiva[^;\n]*;([0-9]+),([0-9]{5});N\r?$`)
	checked := 0
	for _, path := range glob(t, 28, "geotextile-puncture", "d*", "Specimen_*.csv") {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		m := own.FindSubmatch(data)
		if m == nil {
			t.Errorf("%s: no peak of the machine's own", path)
			continue
		}
		rec := mustRead(t, path, traceio.Ask{})
		if got, want := strconv.FormatFloat(slices.Max(rec.Force), 'f', -1, 64), strings.TrimRight(string(m[1])+"."+string(m[2]), "0"); got != strings.TrimSuffix(want, ".") {
			t.Errorf("%s: maximum %s, the machine says %s", path, got, want)
		}
		if rec.Unit != "N" || rec.ForceColumn != "Carga compressiva" || rec.TimeColumn != "Tempo" || len(rec.Notes) != 0 {
			t.Errorf("%s: %q %q %q %q", path, rec.Unit, rec.ForceColumn, rec.TimeColumn, rec.Notes)
		}
		checked++
	}
	if checked < 28 {
		t.Fatalf("%d files checked, want 28", checked)
	}
}

// Source of the numbers: SOURCE.md of each folder, "Expected"; the row counts
// are its own too. Raw values are compared in every digit given there.
func TestRecordings(t *testing.T) {
	for _, c := range []struct {
		path     []string
		ask      traceio.Ask
		rows     int
		unit     string
		max      float64 // N, of the raw force; 0 when not given
		digits   float64 // half of the last digit given
		at       float64 // s, time of it; 0 when not given
		doubtful int
	}{
		{path: []string{"jump-force-bmc", "jump1.txt"}, rows: 4500, unit: "N", max: 4696.75, at: 5.700},
		{path: []string{"jump-force-bmc", "jump2.txt"}, rows: 4500, unit: "N", max: 4231.5, at: 5.52889},
		{path: []string{"jump-force-bmc", "GRFZjump.txt"}, ask: traceio.Ask{Rate: 600}, rows: 1200, unit: "N", max: 3632.84, at: 1.400, doubtful: 2},
		{path: []string{"jump-force-bmc", "GRFZjump_n.txt"}, ask: traceio.Ask{Rate: 600}, rows: 2578, unit: "N", max: 11217.46, doubtful: 1},
		{path: []string{"jump-force-bmc", "GRFZjump_m.txt"}, ask: traceio.Ask{Rate: 600}, rows: 2490, unit: "N", doubtful: 1},
		{path: []string{"shock-repeated", "acc_base_a0.txt"}, ask: traceio.Ask{Force: "2", Unit: "N"}, rows: 1439, unit: "N", max: 485.972074, doubtful: 1},
		{path: []string{"shock-repeated", "acc_pcb_a0.txt"}, ask: traceio.Ask{Force: "2", Unit: "N"}, rows: 5500, unit: "N", max: 546.554622, doubtful: 1},
		// 2999.8 to 3001.4 mN, the limit the machine was set to.
		{path: []string{"yarn-utm-work", "cotton-1.csv"}, unit: "mN", rows: 872, max: 3.0006, digits: 0.0008},
		{path: []string{"yarn-utm-work", "cotton-2.csv"}, unit: "mN", rows: 484, max: 3.0006, digits: 0.0008},
		{path: []string{"yarn-utm-work", "acrylic-1.csv"}, unit: "mN", rows: 645, max: 3.0006, digits: 0.0008},
	} {
		rec := mustRead(t, shared(t, c.path...), c.ask)
		name := strings.Join(c.path, "/")
		if len(rec.Force) != c.rows || rec.Unit != c.unit {
			t.Errorf("%s: %d rows in %s, want %d in %s", name, len(rec.Force), rec.Unit, c.rows, c.unit)
		}
		max := slices.Max(rec.Force)
		if c.max != 0 && !(math.Abs(max-c.max) <= c.digits) {
			t.Errorf("%s: maximum %v, want %v", name, max, c.max)
		}
		// Half of the last digit of the times in SOURCE.md.
		if at := rec.Time[slices.Index(rec.Force, max)]; c.at != 0 && !(math.Abs(at-c.at) <= 5e-6) {
			t.Errorf("%s: maximum at %v s, want %v", name, at, c.at)
		}
		doubtful := 0
		for _, n := range rec.Notes {
			if n.Grade == trace.Doubtful {
				doubtful++
			}
		}
		if doubtful != c.doubtful {
			t.Errorf("%s: notes %q, want %d doubtful", name, rec.Notes, c.doubtful)
		}
	}
}

// jump1 and jump2 are full of "-0.0": SOURCE.md counts 1097 and 2360. Sign and
// all, they come through.
func TestNegativeZerosStay(t *testing.T) {
	for file, want := range map[string]int{"jump1.txt": 1097, "jump2.txt": 2360} {
		got := 0
		for _, f := range mustRead(t, shared(t, "jump-force-bmc", file), traceio.Ask{}).Force {
			if f == 0 && math.Signbit(f) {
				got++
			}
		}
		if got != want {
			t.Errorf("%s: %d negative zeros, want %d", file, got, want)
		}
	}
}

// Five runs side by side, force negative in compression. Each force goes with
// the time column on its left. Source: the authors' peaks, in SOURCE.md and
// expected/pad-04mm_analysis.csv, are with the median of the force before the
// impact taken off; they do not say over how long, and 17 to 21 samples give
// all five, so that it was 0.2 s, 20 samples.
func TestPadRuns(t *testing.T) {
	path := shared(t, "pad-impact-force", "pad-04mm.csv")
	want := map[string]float64{"Latest": 10.4700190107959, "Run 1": 6.7582202889046, "Run 2": 10.4100576973959, "Run 3": 8.187621, "Run 4": 7.762089}
	for run, peak := range want {
		rec := mustRead(t, path, traceio.Ask{Force: run + ": Force (N)"})
		if rec.TimeColumn != run+": Time (s)" || len(rec.Force) != 500 || rec.Unit != "N" || len(rec.Notes) != 0 {
			t.Errorf("%s: %d rows against %q in %s, notes %q", run, len(rec.Force), rec.TimeColumn, rec.Unit, rec.Notes)
		}
		quiet := slices.Sorted(slices.Values(rec.Force[:20]))
		median := (quiet[9] + quiet[10]) / 2
		// Half of the last digit that SOURCE.md prints.
		if got := median - slices.Min(rec.Force); !(math.Abs(got-peak) <= 5e-7) {
			t.Errorf("%s: peak %v N below the median, the authors have %v", run, got, peak)
		}
	}
	for _, file := range []string{"pad-04mm.csv", "pad - 40mm.csv", "many-impacts.csv"} {
		_, err := readFile(t, shared(t, "pad-impact-force", file), traceio.Ask{})
		refusedWith(t, file, err, file+":1", "5 columns could be the force", "--force 2, --force 7, --force 12, --force 17, --force 22")
	}
}

func refusedWith(t *testing.T, name string, err error, where, what, hint string) {
	t.Helper()
	var p *problem.Problem
	if !errors.As(err, &p) {
		t.Errorf("%s: not refused: %v", name, err)
		return
	}
	if p.Where != where || !strings.Contains(p.What, what) || !strings.Contains(strings.Join(p.Hints, "\n"), hint) {
		t.Errorf("%s: refused with %s: %s %q; want %s: %s %q", name, p.Where, p.What, p.Hints, where, what, hint)
	}
}

// Files without a force, or that are no table, are refused in words that fit.
func TestRecordingsThatAreNoForce(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		path        []string
		ask         traceio.Ask
		where, what string // where is put behind the file's name
		hint        string
	}{
		{[]string{"phone-freefall", "fall_01_raw.csv"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"phone-freefall", "fall_02_raw.csv"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"phone-freefall", "fall_03_raw.csv"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"shock-repeated", "acc_base_a0.txt"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"shock-repeated", "acc_base_a0.txt"}, traceio.Ask{Force: "2"}, ":1", `is in "g"`, "--unit N"},
		{[]string{"jump-force-bmc", "GRFZjump.txt"}, traceio.Ask{}, ":1", "no column is known to be time", "--rate HZ"},
		{[]string{"jump-force-bmc", "GRFZjump_m.txt"}, traceio.Ask{}, ":1", "no column is known to be time", "--rate HZ"},
		{[]string{"jump-force-bmc", "kistler_fp_data.txt"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force 2"},
		{[]string{"jump-force-bmc", "balltoss.txt"}, traceio.Ask{}, ":2", "no column says that it is a force", "--force COLUMN"},
		{[]string{"jump-force-bmc", "dados.txt"}, traceio.Ask{}, ":2", "no column says that it is a force", "--force COLUMN"},
		{[]string{"pad-impact-dose", "data.csv"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force"},
		{[]string{"pad-impact-force", "expected", "pad-04mm_analysis.csv"}, traceio.Ask{}, ":1", "2 columns could be the force", "--force 6, --force 7"},
		{[]string{"infiltration-sqrt-time", "infiltration.csv"}, traceio.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"nist-loadcell-beam", "LEW.DAT"}, traceio.Ask{Rate: 1}, ":24", "no column says that it is a force", "--force 1"},
		{[]string{"nist-loadcell-beam", "LOADCELL.DAT"}, traceio.Ask{}, ":24", "no column says that it is a force", "--force COLUMN"},
		{[]string{"nist-loadcell-beam", "PONTIUS.DAT"}, traceio.Ask{}, ":24", "no column is known to be time", "--rate HZ"},
		{[]string{"nist-strd-nls", "Misra1a.dat"}, traceio.Ask{}, ":60", "does not name its 2 columns", "--force 2 --time 1"},
		{[]string{"nist-strd-anova", "SmLs09.dat"}, traceio.Ask{}, ":60", "does not name its 2 columns", "--force 2 --time 1"},
		{[]string{"nist-interlab", "GLUCOSE2.DAT"}, traceio.Ask{}, ":24", "no column says that it is a force", "--force"},
		{[]string{"README.md"}, traceio.Ask{}, ":1", "no table of numbers was found", "one row of numbers for each sample"},
		{[]string{"nist-strd-nls", "LICENSE.upstream"}, traceio.Ask{}, ":1", "no table of numbers was found", "one row"},
		{[]string{"water-vapour-sorption", "13X water 30c.xlsx"}, traceio.Ask{}, "", "a spreadsheet", "save the sheet as CSV"},
		{[]string{"dyestuff", "dyes.data.json"}, traceio.Ask{}, "", "a JSON file", "CSV"},
	} {
		path := shared(t, c.path...)
		_, err := readFile(t, path, c.ask)
		refusedWith(t, strings.Join(c.path, "/"), err, filepath.Base(path)+c.where, c.what, c.hint)
		checked++
	}
	for _, path := range glob(t, 7, "geotextile-puncture", "d*", "*Resultados.csv") {
		_, err := readFile(t, path, traceio.Ask{})
		refusedWith(t, path, err, filepath.Base(path)+":6", "no column is known to be time", "--rate HZ")
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// Whatever lies in the folder, the answer is a recording or a problem.
func TestEveryRecordingIsAnswered(t *testing.T) {
	read, refused := 0, 0
	err := filepath.WalkDir(shared(t), func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rec, err := readFile(t, path, traceio.Ask{})
		var p *problem.Problem
		switch {
		case err == nil && len(rec.Force) > 1:
			read++
		case errors.As(err, &p) && p.What != "" && len(p.Hints) > 0:
			refused++
		default:
			t.Errorf("%s: %v", path, err)
		}
		return nil
	})
	if err != nil || read < 30 || refused < 30 {
		t.Errorf("%d read, %d refused, %v", read, refused, err)
	}
}
