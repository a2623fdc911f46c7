package traceio_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/parquet"
	"fallwright.example/traceio/readertest"
	"fallwright.example/traceio/uff"
	"fallwright.example/traceio/wav"
	"fallwright.example/traceio/xlsx"
)

// every is every format that the program reads, by its folder.
var every = map[string]traceio.Format{
	"delimited": delimited.Format{},
	"parquet":   parquet.Format{},
	"uff":       uff.Format{},
	"wav":       wav.Format{},
	"xlsx":      xlsx.Format{},
}

// notSamples are files beside the samples.
var notSamples = map[string]bool{".md": true, ".py": true, ".f90": true, ".go": true, ".mod": true, ".sum": true}

// samples are the committed samples of one format.
func samples(t *testing.T, folder string) []readertest.Case {
	t.Helper()
	var out []readertest.Case
	root := filepath.Join(folder, "testdata")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && path != root:
			return fs.SkipDir // scripts, and what fuzzing found
		case d.IsDir() || notSamples[filepath.Ext(path)]:
			return nil
		}
		data, err := os.ReadFile(path)
		out = append(out, readertest.Case{Name: filepath.Base(path), Data: data})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Every format is asked about the samples of every format: its own has to claim
// each, and no other may.
func TestEachSampleHasOneFormat(t *testing.T) {
	var exams []readertest.Exam
	files := 0
	for folder, f := range every {
		cases := samples(t, folder)
		if len(cases) < 5 {
			t.Errorf("%s has %d samples, too few to say anything", folder, len(cases))
		}
		files += len(cases)
		exams = append(exams, readertest.Exam{Format: f, Cases: cases})
	}
	t.Logf("%d files, %d formats", files, len(every))
	readertest.Matrix(t, exams...)
}

// Whatever a file is called, it is read by what is in it: no format goes by the
// name.
func TestNamesDoNotMatter(t *testing.T) {
	asked := 0
	for folder, f := range every {
		for _, c := range samples(t, folder) {
			for _, name := range []string{"a.csv", "a.wav", "a.xlsx", "a.parquet", "a.uff", "a"} {
				asked++
				if !f.Claims(name, c.Data) {
					t.Errorf("%s does not claim %s when it is called %s", f.Name(), c.Name, name)
				}
			}
		}
	}
	if asked == 0 {
		t.Error("nothing was asked")
	}
}

// Files that are cut off are claimed by one format at most, too, so that Readers
// never refuse one because two formats want it.
func TestCutOffFilesAreClaimedOnce(t *testing.T) {
	cuts, claimed := 0, 0
	for folder := range every {
		for _, c := range samples(t, folder) {
			for _, n := range []int{1, 2, 4, 7, 8, 12, 13, 40, 100, len(c.Data) / 2, len(c.Data) - 1} {
				if n >= len(c.Data) {
					continue
				}
				cuts++
				claims := ""
				for _, f := range every {
					if f.Claims(c.Name, c.Data[:n]) {
						claimed++
						if claims != "" {
							t.Errorf("%s, cut off at %d bytes, is claimed by %s and %s", c.Name, n, claims, f.Name())
						}
						claims = f.Name()
					}
				}
			}
		}
	}
	if cuts == 0 || claimed == 0 {
		t.Errorf("%d cuts, %d claims", cuts, claimed)
	}
}

// A sample of each format goes through Readers, which know them all.
func TestReadersKnowThemAll(t *testing.T) {
	var formats []traceio.Format
	for _, f := range every {
		formats = append(formats, f)
	}
	r := traceio.New(formats...)
	for _, c := range []struct {
		path, format string
		ask          trace.Ask
		drops        int
	}{
		{"delimited/testdata/comma.csv", "Delimited text", trace.Ask{}, 1},
		{"xlsx/testdata/simple.xlsx", "Spreadsheet", trace.Ask{}, 1},
		{"xlsx/testdata/two-drops.xlsx", "Spreadsheet", trace.Ask{}, 2},
		{"wav/testdata/pcm16.wav", "WAV", trace.Ask{SideCar: "full_scale = 20\nunit = \"kN\"", SideCarName: "pcm16.wav.toml"}, 1},
		{"parquet/testdata/plain.parquet", "Parquet", trace.Ask{}, 1},
		{"uff/testdata/two-drops.uff", "UFF 58", trace.Ask{}, 2},
	} {
		data, err := os.ReadFile(c.path)
		if err != nil {
			t.Fatal(err)
		}
		file, err := r.Read(filepath.Base(c.path), data, c.ask)
		if err != nil || file.Layout.Format != c.format || len(file.Parts) != c.drops {
			t.Errorf("%s: %v, %+v", c.path, err, file.Layout)
		}
	}
}
