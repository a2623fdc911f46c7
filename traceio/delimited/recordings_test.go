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

func readFile(t *testing.T, path string, ask trace.Ask) (*trace.Recording, error) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return readOne(filepath.Base(path), data, ask)
}

func mustRead(t *testing.T, path string, ask trace.Ask) *trace.Recording {
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

// The machine wrote its own peak above each table, and the extension there, to
// five decimals: the raw maximum has to be that number in every digit, and the
// stretch beside it the extension. Source: the metadata lines "... Maximum Comp.
// load" of each file.
func TestPunctureMaximaAreTheMachinesOwn(t *testing.T) {
	own := regexp.MustCompile(`(?m)^Carga compressiva[^;\n]*;([0-9]+),([0-9]{5});N\r?$`)
	at := regexp.MustCompile(`(?m)^Extens.o compressiva[^;\n]*;([0-9]+),([0-9]{5});mm\r?$`)
	checked := 0
	for _, path := range glob(t, 28, "geotextile-puncture", "d*", "Specimen_*.csv") {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		force, stretch := own.FindSubmatch(data), at.FindSubmatch([]byte(latin1(data)))
		if force == nil || stretch == nil {
			t.Errorf("%s: no peak of the machine's own", path)
			continue
		}
		rec := mustRead(t, path, trace.Ask{})
		max := slices.Max(rec.Force)
		if got := strconv.FormatFloat(max, 'f', 5, 64); got != string(force[1])+"."+string(force[2]) {
			t.Errorf("%s: maximum %s, the machine says %s,%s", path, got, force[1], force[2])
		}
		if got := strconv.FormatFloat(1000*rec.Stretch[slices.Index(rec.Force, max)], 'f', 5, 64); got != string(stretch[1])+"."+string(stretch[2]) {
			t.Errorf("%s: stretch %s mm at the maximum, the machine says %s,%s", path, got, stretch[1], stretch[2])
		}
		if rec.Unit != "N" || rec.ForceColumn != "Carga compressiva" || rec.TimeColumn != "Tempo" || len(rec.Notes) != 1 || !strings.Contains(rec.Notes[0].Text, "recorded stretch") {
			t.Errorf("%s: %q %q %q %q", path, rec.Unit, rec.ForceColumn, rec.TimeColumn, rec.Notes)
		}
		checked++
	}
	if checked < 28 {
		t.Fatalf("%d files checked, want 28", checked)
	}
}

func latin1(b []byte) string {
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}

// The machine's own Work column, in N mm, is the integral of its force over its
// "Strain", which is in mm: read as N and m, the trapezoid has to give its last
// value. Source: SOURCE.md, "Expected"; ratios within 4e-6 there, hence 4e-6.
func TestYarnWorkIsTheMachinesOwn(t *testing.T) {
	for file, want := range map[string]float64{"cotton-1": 1.10956229, "cotton-2": 1.10495742, "acrylic-1": 1.18322136} {
		rec := mustRead(t, shared(t, "yarn-utm-work", file+".csv"), trace.Ask{})
		work := 0.0
		for i := 1; i < len(rec.Stretch); i++ {
			work += (rec.Force[i] + rec.Force[i-1]) / 2 * (rec.Stretch[i] - rec.Stretch[i-1])
		}
		if work *= 1000; !(math.Abs(work/want-1) <= 4e-6) {
			t.Errorf("%s: work %.8f N mm, the machine says %.8f", file, work, want)
		}
		if none := mustRead(t, shared(t, "yarn-utm-work", file+".csv"), trace.Ask{Stretch: "none"}); none.Stretch != nil || len(none.Notes) != 0 {
			t.Errorf("%s: --stretch none leaves %d values, notes %q", file, len(none.Stretch), none.Notes)
		}
	}
}

// A phone in free fall and on its landing. Source: SOURCE.md, "|a| column equals
// the norm to 6e-8" and "~198.6 Hz": four columns read one by one have to agree
// with each other, sample by sample. Its peaks are of files that are not here.
func TestPhoneIsASensorInTheMass(t *testing.T) {
	checked := 0
	for _, file := range []string{"fall_01", "fall_02", "fall_03"} {
		path := shared(t, "phone-freefall", file+"_raw.csv")
		var axes []*trace.Recording
		for _, ask := range []trace.Ask{{Force: "2", Unit: "m/s2"}, {Force: "3"}, {Force: "acceleration z"}, {Force: "absolute"}} {
			rec := mustRead(t, path, ask)
			if !rec.PerMass || rec.Unit != "m/s2" || len(rec.Notes) != 0 {
				t.Fatalf("%s: in %s, by mass %v, notes %q", file, rec.Unit, rec.PerMass, rec.Notes)
			}
			axes = append(axes, rec)
		}
		for i, a := range axes[3].Force {
			norm := math.Hypot(math.Hypot(axes[0].Force[i], axes[1].Force[i]), axes[2].Force[i])
			if !(math.Abs(norm-a) <= 6e-8*max(1, a)) {
				t.Fatalf("%s: sample %d has |a| %v, its axes give %v", file, i, a, norm)
			}
			checked++
		}
		n := len(axes[3].Time) - 1
		if rate := float64(n) / (axes[3].Time[n] - axes[3].Time[0]); !(math.Abs(rate-198.6) <= 0.1) {
			t.Errorf("%s: %v Hz", file, rate)
		}
		_, err := readFile(t, path, trace.Ask{Unit: "m/s2"})
		refusedWith(t, file, err, filepath.Base(path)+":1", "4 columns could be the force", "--force 2, --force 3, --force 4, --force 5")
	}
	if checked < 3000 {
		t.Fatalf("%d samples were checked", checked)
	}
}

// Shocks in g of standard gravity. Source: SOURCE.md, peaks in g; 9.80665 m/s2.
func TestShocksAreReadInTheMass(t *testing.T) {
	for file, want := range map[string]float64{"acc_base_a0": 485.972074, "acc_base_a10": 490.270553, "acc_base_a20": 496.644722, "acc_base_a30": 518.363964, "acc_base_a40": 509.88867, "acc_pcb_a0": 546.554622} {
		rec := mustRead(t, shared(t, "shock-repeated", file+".txt"), trace.Ask{Force: "2"})
		// Half of the last digit, a millionth.
		if got := slices.Max(rec.Force) / 9.80665; !rec.PerMass || rec.Unit != "g" || !(math.Abs(got-want) <= 5.1e-6) || len(rec.Notes) != 0 {
			t.Errorf("%s: %.7f g in %s, want %v; notes %q", file, got, rec.Unit, want, rec.Notes)
		}
		byUnit := mustRead(t, shared(t, "shock-repeated", file+".txt"), trace.Ask{Unit: "g"})
		if !slices.Equal(byUnit.Force, rec.Force) {
			t.Errorf("%s: --unit g alone reads something else", file)
		}
	}
}

// Source of the numbers: SOURCE.md of each folder, "Expected"; the row counts
// are its own too. Raw values are compared in every digit given there.
func TestRecordings(t *testing.T) {
	for _, c := range []struct {
		path     []string
		ask      trace.Ask
		rows     int
		unit     string
		max      float64 // N, of the raw force; 0 when not given
		digits   float64 // half of the last digit given
		at       float64 // s, time of it; 0 when not given
		doubtful int
	}{
		{path: []string{"jump-force-bmc", "jump1.txt"}, rows: 4500, unit: "N", max: 4696.75, at: 5.700},
		{path: []string{"jump-force-bmc", "jump2.txt"}, rows: 4500, unit: "N", max: 4231.5, at: 5.52889},
		{path: []string{"jump-force-bmc", "GRFZjump.txt"}, ask: trace.Ask{Rate: 600}, rows: 1200, unit: "N", max: 3632.84, at: 1.400, doubtful: 2},
		{path: []string{"jump-force-bmc", "GRFZjump_n.txt"}, ask: trace.Ask{Rate: 600}, rows: 2578, unit: "N", max: 11217.46, doubtful: 1},
		{path: []string{"jump-force-bmc", "GRFZjump_m.txt"}, ask: trace.Ask{Rate: 600}, rows: 2490, unit: "N", doubtful: 1},
		{path: []string{"shock-repeated", "acc_base_a0.txt"}, ask: trace.Ask{Force: "2", Unit: "N"}, rows: 1439, unit: "N", max: 485.972074, doubtful: 1},
		{path: []string{"shock-repeated", "acc_pcb_a0.txt"}, ask: trace.Ask{Force: "2", Unit: "N"}, rows: 5500, unit: "N", max: 546.554622, doubtful: 1},
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
		for _, f := range mustRead(t, shared(t, "jump-force-bmc", file), trace.Ask{}).Force {
			if f == 0 && math.Signbit(f) {
				got++
			}
		}
		if got != want {
			t.Errorf("%s: %d negative zeros, want %d", file, got, want)
		}
	}
}

// Five runs side by side, force negative in compression, each with its own time.
// Source: the authors' peaks, in expected/*_analysis.csv, are with the median of
// the force before the impact taken off; they do not say over how long, and 17
// to 21 samples give all five of the 4 mm pad, so that it was 0.2 s, 20 samples;
// there the tolerance is what float64 leaves of their digits. No one count gives
// all five of the 40 mm pad, so that it is a step of the converter there.
func TestPadRuns(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		file, expected string
		tolerance      float64 // N
		rows           int
		names          []string
	}{
		{"pad-04mm.csv", "pad-04mm_analysis.csv", 1e-11, 500, []string{"Latest", "Run 1", "Run 2", "Run 3", "Run 4"}},
		{"pad - 40mm.csv", "pad-40mm_analysis.csv", 0.03095, 500, []string{"Run 1", "Run 2", "Run 3", "Run 4", "Run 5"}},
		{"many-impacts.csv", "", 0, 1000, []string{"Latest", "Run 1", "Run 2", "Run 3", "Run 4"}},
	} {
		data, err := os.ReadFile(shared(t, "pad-impact-force", c.file))
		if err != nil {
			t.Fatal(err)
		}
		file, err := delimited.Format{}.Read(c.file, data, trace.Ask{})
		if err != nil || len(file.Parts) != len(c.names) {
			t.Errorf("%s: %d drops, %v", c.file, len(file.Parts), err)
			continue
		}
		want := analysed(t, c.expected)
		for i, rec := range file.Parts {
			if rec.Part != c.names[i] || rec.TimeColumn != rec.Part+": Time (s)" || rec.ForceColumn != rec.Part+": Force (N)" || len(rec.Force) != c.rows || rec.Stretch != nil || len(rec.Notes) != 0 {
				t.Errorf("%s: drop %d is %q with %d rows of %q against %q, notes %q", c.file, i+1, rec.Part, len(rec.Force), rec.ForceColumn, rec.TimeColumn, rec.Notes)
			}
			alone, err := readOne(c.file, data, trace.Ask{Force: rec.ForceColumn})
			if err != nil || !slices.Equal(alone.Force, rec.Force) || !slices.Equal(alone.Time, rec.Time) {
				t.Errorf("%s: %s differs when it is asked for by its column: %v", c.file, rec.Part, err)
			}
			if one, err := readOne(c.file, data, trace.Ask{Part: rec.Part}); err != nil || !slices.Equal(one.Force, rec.Force) {
				t.Errorf("%s: %s differs when it is asked for by name: %v", c.file, rec.Part, err)
			}
			quiet := slices.Sorted(slices.Values(rec.Force[:20]))
			median := (quiet[9] + quiet[10]) / 2
			if got := median - slices.Min(rec.Force); want != nil && !(math.Abs(got-want[rec.Part]) <= c.tolerance) {
				t.Errorf("%s: %s: peak %v N below the median, the authors have %v", c.file, rec.Part, got, want[rec.Part])
			}
			checked++
		}
	}
	if checked != 15 {
		t.Fatalf("%d drops were checked", checked)
	}
}

// analysed are the authors' peaks by run.
func analysed(t *testing.T, file string) map[string]float64 {
	t.Helper()
	if file == "" {
		return nil
	}
	data, err := os.ReadFile(shared(t, "pad-impact-force", "expected", file))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n")[1:] {
		cells := strings.Split(line, ",")
		if out[cells[0]], err = strconv.ParseFloat(cells[6], 64); err != nil {
			t.Fatal(err)
		}
	}
	if len(out) != 5 {
		t.Fatalf("%s: %d runs", file, len(out))
	}
	return out
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
		ask         trace.Ask
		where, what string // where is put behind the file's name
		hint        string
	}{
		{[]string{"phone-freefall", "fall_01_raw.csv"}, trace.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"phone-freefall", "fall_02_raw.csv"}, trace.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"phone-freefall", "fall_03_raw.csv"}, trace.Ask{}, ":1", "no column says that it is a force", "--force COLUMN --unit m/s2 with --mass"},
		{[]string{"shock-repeated", "acc_base_a0.txt"}, trace.Ask{}, ":1", "no column says that it is a force", "--force 2 --unit g with --mass reads the sensor in the mass"},
		{[]string{"jump-force-bmc", "GRFZjump.txt"}, trace.Ask{}, ":1", "no column is known to be time", "--rate HZ"},
		{[]string{"jump-force-bmc", "GRFZjump_m.txt"}, trace.Ask{}, ":1", "no column is known to be time", "--rate HZ"},
		{[]string{"jump-force-bmc", "kistler_fp_data.txt"}, trace.Ask{}, ":1", "no column says that it is a force", "--force 2"},
		{[]string{"jump-force-bmc", "balltoss.txt"}, trace.Ask{}, ":2", "no column says that it is a force", "--force COLUMN"},
		{[]string{"jump-force-bmc", "dados.txt"}, trace.Ask{}, ":2", "no column says that it is a force", "--force COLUMN"},
		{[]string{"pad-impact-dose", "data.csv"}, trace.Ask{}, ":1", "no column says that it is a force", "--force"},
		{[]string{"pad-impact-force", "expected", "pad-04mm_analysis.csv"}, trace.Ask{}, ":1", "2 columns could be the force", "--force 6, --force 7"},
		{[]string{"infiltration-sqrt-time", "infiltration.csv"}, trace.Ask{}, ":1", "no column says that it is a force", "--force COLUMN"},
		{[]string{"nist-loadcell-beam", "LEW.DAT"}, trace.Ask{Rate: 1}, ":24", "no column says that it is a force", "--force 1"},
		{[]string{"nist-loadcell-beam", "LOADCELL.DAT"}, trace.Ask{}, ":24", "no column says that it is a force", "--force COLUMN"},
		{[]string{"nist-loadcell-beam", "PONTIUS.DAT"}, trace.Ask{}, ":24", "no column is known to be time", "--rate HZ"},
		{[]string{"nist-strd-nls", "Misra1a.dat"}, trace.Ask{}, ":60", "does not name its 2 columns", "--force 2 --time 1"},
		{[]string{"nist-strd-anova", "SmLs09.dat"}, trace.Ask{}, ":60", "does not name its 2 columns", "--force 2 --time 1"},
		{[]string{"nist-interlab", "GLUCOSE2.DAT"}, trace.Ask{}, ":24", "no column says that it is a force", "--force"},
		{[]string{"README.md"}, trace.Ask{}, ":1", "no table of numbers was found", "one row of numbers for each sample"},
		{[]string{"nist-strd-nls", "LICENSE.upstream"}, trace.Ask{}, ":1", "no table of numbers was found", "one row"},
		{[]string{"water-vapour-sorption", "13X water 30c.xlsx"}, trace.Ask{}, "", "a spreadsheet", "save the sheet as CSV"},
		{[]string{"dyestuff", "dyes.data.json"}, trace.Ask{}, "", "a JSON file", "CSV"},
	} {
		path := shared(t, c.path...)
		_, err := readFile(t, path, c.ask)
		refusedWith(t, strings.Join(c.path, "/"), err, filepath.Base(path)+c.where, c.what, c.hint)
		checked++
	}
	for _, path := range glob(t, 7, "geotextile-puncture", "d*", "*Resultados.csv") {
		_, err := readFile(t, path, trace.Ask{})
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
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		file, err := traceio.New(delimited.Format{}).Read(path, data, trace.Ask{})
		var p *problem.Problem
		switch {
		case err == nil && len(file.Parts) > 0:
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
