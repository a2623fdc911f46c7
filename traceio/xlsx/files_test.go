package xlsx_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/xlsx"
)

func testdata(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// catch is the series of testdata/make.py, in newtons.
func catch(i int) float64 { return float64(i*7919%4001-500) / 7 }

const n = 40

// The files were written by openpyxl 3.0.9 and xlsxwriter 3.0.2, which share no
// code with ours. Both write a number with 16 digits, so the agreement has to be
// to 1e-15 of it (half a unit of the 16th is 5e-16 at most; the factor of kN and
// ms rounds once more). Stamps are days, in which a millisecond is 1.2e-8: openpyxl
// rounds them to its own microsecond.
func TestFilesOfOtherPrograms(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		file    string
		unit    string
		ask     trace.Ask
		rows    int
		time    func(i int) float64
		within  float64 // s
		force   func(i int) float64
		stretch bool
		notes   []string
	}{
		{"simple.xlsx", "kN", trace.Ask{}, n, func(i int) float64 { return float64(i) * 0.001 }, 1e-15, func(i int) float64 { return catch(i) / 1000 * 1000 }, false, nil},
		{"below-metadata.xlsx", "N", trace.Ask{}, n, func(i int) float64 { return float64(i) * 1.5 / 1000 }, 1e-15, catch, true, []string{"recorded stretch", "words below the numbers"}},
		{"stamps.xlsx", "N", trace.Ask{}, n, func(i int) float64 { return float64(i) * 0.005 }, 2e-6, catch, false, nil},
		{"text-numbers.xlsx", "N", trace.Ask{}, n, func(i int) float64 { return float64(i) / 100 }, 0, func(i int) float64 { return math.Round(catch(i)*1000) / 1000 }, false, nil},
		{"formulas.xlsx", "N", trace.Ask{}, n, func(i int) float64 { return float64(i) / 500 }, 1e-15, catch, false, nil},
		{"two-drops.xlsx", "N", trace.Ask{Sheet: "run 1"}, n - 1, func(i int) float64 { return float64(i) * 0.002 }, 1e-15, catch, false, nil},
		{"two-drops.xlsx", "N", trace.Ask{Sheet: "3"}, n - 2, func(i int) float64 { return float64(i) * 0.002 }, 1e-15, func(i int) float64 { return 2 * catch(i) }, false, nil},
	} {
		file, err := xlsx.Format{}.Read(c.file, testdata(t, c.file), c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		rec := file.Parts[0]
		if len(file.Parts) != 1 || len(rec.Force) != c.rows || rec.Unit != c.unit || c.stretch != (len(rec.Stretch) == c.rows) {
			t.Errorf("%s: %d drops, %d rows in %s, %d of stretch", c.file, len(file.Parts), len(rec.Force), rec.Unit, len(rec.Stretch))
			continue
		}
		for i := range rec.Force {
			checked++
			if want := c.force(i); math.Abs(rec.Force[i]-want) > 1e-15*math.Abs(want) {
				t.Errorf("%s: force %d is %v N, want %v", c.file, i, rec.Force[i], want)
			}
			if want := c.time(i); math.Abs(rec.Time[i]-want) > c.within {
				t.Errorf("%s: time %d is %v s, want %v", c.file, i, rec.Time[i], want)
			}
			if want := float64(i) * 0.25 / 1000; c.stretch && rec.Stretch[i] != want {
				t.Errorf("%s: stretch %d is %v m, want %v", c.file, i, rec.Stretch[i], want)
			}
		}
		same(t, c.file, rec.Notes, c.notes)
	}
	if checked != 5*n+2*n-3 {
		t.Errorf("%d rows checked, want %d", checked, 7*n-3)
	}
}

func same(t *testing.T, name string, notes []trace.Note, want []string) {
	t.Helper()
	if len(notes) != len(want) {
		t.Errorf("%s: notes %v, want %q", name, notes, want)
		return
	}
	for i, w := range want {
		if !strings.Contains(notes[i].Text, w) {
			t.Errorf("%s: note %q does not say %q", name, notes[i].Text, w)
		}
	}
}

// Sheets with the same titles are drops of one file; one of words is none.
func TestTwoSheetsAreTwoDrops(t *testing.T) {
	file, err := xlsx.Format{}.Read("two-drops.xlsx", testdata(t, "two-drops.xlsx"), trace.Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if len(file.Parts) != 2 || file.Parts[0].Part != "Run 1" || file.Parts[1].Part != "Run 2" ||
		len(file.Parts[0].Force) != n-1 || len(file.Parts[1].Force) != n-2 || math.Abs(file.Parts[1].Force[3]/catch(3)-2) > 2e-15 {
		t.Errorf("%+v", file)
	}
}

func TestOneDropOfTwo(t *testing.T) {
	for ask, rows := range map[string]int{"run 2": n - 2, "1": n - 1} {
		file, err := xlsx.Format{}.Read("two-drops.xlsx", testdata(t, "two-drops.xlsx"), trace.Ask{Part: ask})
		if err != nil || len(file.Parts) != 1 || len(file.Parts[0].Force) != rows {
			t.Errorf("--part %s: %d drops, %v", ask, len(file.Parts), err)
		}
	}
	_, err := xlsx.Format{}.Read("two-drops.xlsx", testdata(t, "two-drops.xlsx"), trace.Ask{Part: "run 3"})
	if p := problem.All(err); len(p) != 1 || p[0].What != `--part "run 3": the file holds 2 drops: 1 "Run 1", 2 "Run 2"` {
		t.Errorf("%v", err)
	}
}

func TestMistakeIsNamed(t *testing.T) {
	_, err := xlsx.Format{}.Read("mistake.xlsx", testdata(t, "mistake.xlsx"), trace.Ask{})
	p := problem.All(err)
	if len(p) != 1 || p[0].Where != `mistake.xlsx, sheet "Fall", cell B20` || !strings.Contains(p[0].What, "#DIV/0!") {
		t.Errorf("%v", err)
	}
}

// A workbook of another trade, as its instrument wrote it: no force, but a
// header in row 42 below a block of settings on its second sheet. The refusal
// has to list the columns with the sheet and the row.
func TestWorkbookOfAnotherTrade(t *testing.T) {
	shared := os.Getenv("FALLWRIGHT_SHARED")
	if shared == "" {
		shared = filepath.Join("..", "..", "..", "shared")
	}
	data, err := os.ReadFile(filepath.Join(shared, "data", "water-vapour-sorption", "13X water 30c.xlsx"))
	if err != nil {
		t.Skip("no recordings at hand: that a real workbook without a force is refused with its columns is not checked")
	}
	f := xlsx.Format{}
	if !f.Claims("13X.xlsx", data) {
		t.Error("not claimed")
	}
	file, err := f.Read("13X.xlsx", data, trace.Ask{})
	p := problem.All(err)
	if len(p) != 1 || p[0].Where != `13X.xlsx, sheet "DVS Data", row 42` ||
		!strings.Contains(p[0].What, `1 "Time [minutes]", 2 "Mass [mg]", 3 "Delta Mass [%]"`) {
		t.Fatalf("%v", err)
	}
	if len(file.Layout.Columns) != 35 || file.Layout.Columns[0].Unit != "minutes" || file.Layout.Columns[1].Cells[0] != "35.6909" {
		t.Errorf("%d columns, %+v", len(file.Layout.Columns), file.Layout.Columns[:2])
	}
	// A mass that is read as a force, because somebody says so: 9 rows, 0.03
	// minutes apart, and a row of words below.
	file, err = f.Read("13X.xlsx", data, trace.Ask{Force: "mass [mg]", Unit: "mN"})
	if err != nil {
		t.Fatal(err)
	}
	rec := file.Parts[0]
	minutes := 0.03
	if len(rec.Force) != 9 || rec.Force[0] != 35.6909/1000 || rec.Time[1] != minutes*60 {
		t.Errorf("%v at %v", rec.Force, rec.Time)
	}
}
