package parquet_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/parquet"
)

func testdata(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// catch is the series of testdata/make/main.go, in newtons.
func catch(i int) float64 { return float64(i*7919%4001-500) / 7 }

func counts(i int) float64 { return float64(i*7919%4001 - 500) }

func seconds(i int) float64 { return float64(i) * 0.001 }

// The files were written by arrow-go 18.8.0, which shares no code with ours. A
// Parquet file keeps each number as it is in memory, so the agreement has to be
// to the bit.
func TestFilesOfArrow(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		file       string
		unit       string
		first, row int // the first row that is read, and how many
		time       func(i int) float64
		force      func(i int) float64
		notes      []string
	}{
		{"plain.parquet", "N", 0, 100, seconds, catch, nil},
		{"snappy-dictionary.parquet", "N", 0, 100, seconds, catch, nil},
		{"gzip-v2.parquet", "N", 0, 100, seconds, catch, nil},
		{"zstd-split.parquet", "N", 0, 100, seconds, catch, nil},
		{"brotli.parquet", "N", 0, 100, seconds, catch, nil},
		{"lz4.parquet", "N", 0, 100, seconds, catch, nil},
		{"delta.parquet", "mN", 0, 100, func(i int) float64 { return float64(250*i) / 1e6 }, func(i int) float64 { return counts(i) / 1000 }, nil},
		{"nulls.parquet", "N", 3, 92, seconds, func(i int) float64 { return counts(i) / 8 }, []string{"begins at row 4; the 3 rows before", "ends at row 95; the 5 rows after"}},
		{"decimal.parquet", "kN", 0, 100, seconds, func(i int) float64 { return counts(i) * 1001 / 1e6 * 1000 }, []string{"recorded stretch"}},
	} {
		file, err := parquet.Format{}.Read(c.file, testdata(t, c.file), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		rec := file.Parts[0]
		if len(rec.Force) != c.row || rec.Unit != c.unit {
			t.Fatalf("%s: %d rows in %s", c.file, len(rec.Force), rec.Unit)
		}
		for i := range rec.Force {
			checked++
			if want := c.force(c.first + i); rec.Force[i] != want {
				t.Errorf("%s: force %d is %v N, want %v", c.file, i, rec.Force[i], want)
			}
			if want := c.time(c.first + i); rec.Time[i] != want {
				t.Errorf("%s: time %d is %v s, want %v", c.file, i, rec.Time[i], want)
			}
			if c.file == "decimal.parquet" && rec.Stretch[i] != float64(i)/1000 {
				t.Errorf("%s: stretch %d is %v m", c.file, i, rec.Stretch[i])
			}
		}
		same(t, c.file, rec.Notes, c.notes)
	}
	if checked != 8*100+92 {
		t.Errorf("%d rows checked, want 892", checked)
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
