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
	"bytes", "cmp", "embed", "encoding/json", "encoding/xml", "errors", "fmt", "html", "io", "iter", "maps", "math", "math/bits",
	"math/cmplx", "slices", "sort", "strconv", "strings", "unicode", "unicode/utf8", "math/rand/v2",
}

var layers = []layer{
	{"refusal", []string{"problem"}, nil, pure, nil},
	{"proof", []string{"refdata", "internal/near"}, []string{"proof"}, nil, nil},
	{"mathematics", []string{"num"}, []string{"mathematics"}, pure, []string{"gonum.org/v1/gonum"}},
	{"domain", []string{"rope", "fall", "trace", "campaign", "compare", "figure", "demo"}, []string{"domain", "mathematics", "refusal"}, append([]string{"time"}, pure...), nil},
	{"use cases", []string{"study"}, []string{"domain", "mathematics", "refusal"}, append([]string{"container/list", "context", "crypto/sha256", "encoding/hex", "sync", "time"}, pure...), nil},
	{"adapter store", []string{"store"}, []string{"adapter store", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter traceio", []string{"traceio"}, []string{"adapter traceio", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter planfile", []string{"planfile"}, []string{"domain", "mathematics", "refusal"}, nil, []string{"*"}},
	{"adapter report", []string{"report"}, []string{"adapter report", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"adapter web", []string{"web"}, []string{"adapter web", "use cases", "domain", "refusal"}, nil, []string{"*"}},
	{"command", []string{"cmd"}, []string{"command", "adapter store", "adapter traceio", "adapter planfile", "adapter report", "adapter web", "use cases", "domain", "mathematics", "refusal"}, nil, []string{"*"}},
}

// forbiddenCalls are looked for in the text: time may be imported for its
// Duration, but nobody in the core asks what time it is.
var forbiddenCalls = []string{"time.Now(", "time.Since(", "fmt.Print", "os.Open", "rand.Int", "rand.Float64("}

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

// The core has no clock, no chance and no voice of its own. An import list
// cannot show a call, so the text is searched.
func TestCoreIsSilent(t *testing.T) {
	looked := 0
	for _, folder := range folders(t) {
		l := layerOf(folder)
		if l == nil || !slices.Contains([]string{"refusal", "mathematics", "domain", "use cases"}, l.name) {
			continue
		}
		files, _ := filepath.Glob(filepath.Join(folder, "*.go"))
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			looked++
			for _, call := range forbiddenCalls {
				if strings.Contains(string(text), call) {
					t.Errorf("%s calls %s…): pass the value in", file, call)
				}
			}
		}
	}
	if looked < 20 {
		t.Fatalf("%d files looked at", looked)
	}
}
