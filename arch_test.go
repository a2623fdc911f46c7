package fallwright

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "fallwright.example"

// A layer says which folders are in it and what those may import: of ours, and
// of everything else. Folders are matched by their first parts; the longest
// match wins. Arrows go down this list only, and never sideways between
// adapters.
type layer struct {
	name    string
	folders []string
	ours    []string // layers below that may be imported; the own layer where listed
	std     []string // of the standard library; nil means all of it
	foreign []string // modules; nil means none, "*" any
}

// pure is the standard library without files, clock, network or chance.
var pure = []string{
	"bytes", "cmp", "embed", "encoding/json", "encoding/xml", "errors", "fmt", "html", "io", "iter", "maps", "math", "math/big", "math/bits",
	"math/cmplx", "slices", "sort", "strconv", "strings", "unicode", "unicode/utf8", "math/rand/v2",
}

var layers = []layer{
	{"refusal", []string{"problem"}, nil, pure, nil},
	{"proof", []string{"refdata", "internal/near"}, []string{"proof"}, nil, nil},
	{"mathematics", []string{"num"}, []string{"mathematics"}, pure, []string{"gonum.org/v1/gonum"}},
	{"domain", []string{"rope", "fall", "field", "dial", "trace", "campaign", "compare", "precision", "uptake", "power", "timetable", "figure", "demo", "cutlist", "draw"}, []string{"domain", "mathematics", "refusal"}, append([]string{"context", "sync", "time"}, pure...), nil},
	{"use cases", []string{"study"}, []string{"domain", "mathematics", "refusal"}, append([]string{"container/list", "context", "crypto/sha256", "encoding/hex", "sync", "time"}, pure...), nil},
	{"adapter store", []string{"store"}, []string{"adapter store", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter traceio", []string{"traceio", "tableio"}, []string{"adapter traceio", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter planfile", []string{"planfile"}, []string{"domain", "mathematics", "refusal"}, nil, []string{"*"}},
	{"adapter report", []string{"report"}, []string{"adapter report", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter web", []string{"web"}, []string{"adapter web", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"command", []string{"cmd"}, []string{"command", "adapter store", "adapter traceio", "adapter planfile", "adapter report", "adapter web", "use cases", "domain", "mathematics", "refusal"}, nil, []string{"*"}},
}

func layerOf(folder string) *layer {
	var best *layer
	longest := -1
	for i := range layers {
		for _, f := range layers[i].folders {
			if (folder == f || strings.HasPrefix(folder, f+"/")) && len(f) > longest {
				best, longest = &layers[i], len(f)
			}
		}
	}
	return best
}

// violations reads the imports of the non-test Go files of one folder.
func violations(t *testing.T, folder string, as *layer) (found []string, imports int) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range parsed.Imports {
			imports++
			path, _ := strconv.Unquote(spec.Path.Value)
			if why := as.refuses(path); why != "" {
				found = append(found, file+": "+why)
			}
		}
	}
	return found, imports
}

func (l *layer) refuses(path string) string {
	if rest, ours := strings.CutPrefix(path, module+"/"); ours {
		to := layerOf(rest)
		if to == nil {
			return path + " is in no layer"
		}
		if slices.Contains(l.ours, to.name) {
			return ""
		}
		return "the layer " + l.name + " may not import " + path + " of the layer " + to.name
	}
	if first, _, _ := strings.Cut(path, "/"); strings.Contains(first, ".") {
		for _, f := range l.foreign {
			if f == "*" || strings.HasPrefix(path, f) {
				return ""
			}
		}
		return "the layer " + l.name + " may not import the module " + path
	}
	if l.std == nil || slices.Contains(l.std, path) {
		return ""
	}
	return "the layer " + l.name + " computes and does no I/O: move the use of " + path + " to an adapter and pass the value in"
}

// folders lists every folder with Go code, as slash paths.
func folders(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && (name == "testdata" || name == "node_modules" || name == "tools" || strings.HasPrefix(name, ".") && path != ".") {
			return fs.SkipDir
		}
		folder := filepath.ToSlash(filepath.Dir(path))
		if strings.HasSuffix(name, ".go") && folder != "." && !slices.Contains(out, folder) {
			out = append(out, folder)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestArrowsGoDown(t *testing.T) {
	planted, _ := violations(t, "testdata/badcore", layerOf("num"))
	if len(planted) != 3 {
		t.Fatalf("planted fault: the rule is blind, it saw %d of 3 offences: %q", len(planted), planted)
	}
	total := 0
	for _, folder := range folders(t) {
		l := layerOf(folder)
		if l == nil {
			t.Errorf("%s is in no layer: add it to arch_test.go and to docs/ARCHITECTURE.md", folder)
			continue
		}
		found, n := violations(t, folder, l)
		total += n
		for _, f := range found {
			t.Error(f)
		}
	}
	if total < 100 {
		t.Fatalf("%d imports looked at: the walk missed the code", total)
	}
}

// offences are what each layer must not import, and allowed what it may: written
// out, so that a slip in the table of layers is seen.
var offences = map[string]struct{ offences, allowed []string }{
	"refusal":          {[]string{"os", "time", "fallwright.example/num/quantity", "github.com/google/uuid"}, []string{"fmt"}},
	"proof":            {[]string{"fallwright.example/trace", "fallwright.example/num/lsq", "github.com/google/uuid"}, []string{"os"}},
	"mathematics":      {[]string{"os", "time", "fallwright.example/problem", "fallwright.example/rope", "github.com/google/uuid"}, []string{"math", "gonum.org/v1/gonum/stat", "fallwright.example/num/ode"}},
	"domain":           {[]string{"os", "net/http", "fallwright.example/study", "fallwright.example/store/book", "fallwright.example/planfile", "gonum.org/v1/gonum/stat"}, []string{"time", "fallwright.example/num/dsp", "fallwright.example/problem"}},
	"use cases":        {[]string{"os", "net/http", "database/sql", "fallwright.example/store/sqlite", "fallwright.example/traceio", "fallwright.example/web", "github.com/google/uuid"}, []string{"context", "fallwright.example/trace"}},
	"adapter store":    {[]string{"fallwright.example/web", "fallwright.example/traceio", "fallwright.example/report/html", "fallwright.example/num/dsp"}, []string{"os", "fallwright.example/study", "modernc.org/sqlite"}},
	"adapter traceio":  {[]string{"fallwright.example/study", "fallwright.example/store/book", "fallwright.example/planfile"}, []string{"os", "fallwright.example/trace", "fallwright.example/traceio/pick"}},
	"adapter planfile": {[]string{"fallwright.example/study", "fallwright.example/traceio", "fallwright.example/web"}, []string{"fallwright.example/campaign", "fallwright.example/num/quantity"}},
	"adapter report":   {[]string{"fallwright.example/web", "fallwright.example/store/book", "fallwright.example/traceio"}, []string{"fallwright.example/study"}},
	"adapter web":      {[]string{"fallwright.example/report/html", "fallwright.example/store/sqlite", "fallwright.example/traceio", "fallwright.example/planfile"}, []string{"fallwright.example/study", "net/http"}},
	"command":          {[]string{"fallwright.example/nowhere", "fallwright.example/refdata"}, []string{"fallwright.example/web", "fallwright.example/store/sqlite", "fallwright.example/num/quantity"}},
}

// Each layer's own offender is written to a folder and looked at as the real
// code is.
func TestArrowsOfEveryLayer(t *testing.T) {
	for i := range layers {
		l := &layers[i]
		planted, known := offences[l.name]
		if !known {
			t.Errorf("the layer %s has no planted offender: add one", l.name)
			continue
		}
		var source strings.Builder
		source.WriteString("package offender\n\nimport (\n")
		for _, path := range append(slices.Clone(planted.allowed), planted.offences...) {
			source.WriteString("\t_ " + strconv.Quote(path) + "\n")
		}
		source.WriteString(")\n")
		folder := t.TempDir()
		if err := os.WriteFile(filepath.Join(folder, "offender.go"), []byte(source.String()), 0o600); err != nil {
			t.Fatal(err)
		}
		found, imports := violations(t, folder, l)
		if imports != len(planted.offences)+len(planted.allowed) {
			t.Errorf("%s: %d imports looked at", l.name, imports)
		}
		if len(found) != len(planted.offences) {
			t.Errorf("%s: saw %d of %d offences: %q", l.name, len(found), len(planted.offences), found)
		}
		for _, path := range planted.offences {
			if !slices.ContainsFunc(found, func(f string) bool { return strings.Contains(f, path) }) {
				t.Errorf("%s may import %s, and should not", l.name, path)
			}
		}
	}
	if len(offences) != len(layers) {
		t.Errorf("%d offenders for %d layers", len(offences), len(layers))
	}
}
