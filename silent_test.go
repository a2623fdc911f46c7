package fallwright

import (
	"bufio"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// noisy reports whether the core may not use a name of a package: the clock,
// chance without a seed, files and the terminal. Of math/rand/v2 only what is
// made from a seed is silent.
func noisy(path, name string) bool {
	switch path {
	case "os", "os/exec", "syscall", "net", "net/http", "math/rand", "crypto/rand", "log", "log/slog":
		return true
	case "time":
		return slices.Contains([]string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker"}, name)
	case "math/rand/v2":
		return !slices.Contains([]string{"New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}, name)
	case "fmt":
		return strings.HasPrefix(name, "Print") || strings.HasPrefix(name, "Scan")
	}
	return false
}

// noises lists what one file uses that is not silent, as "file:line: what". It
// goes by what a name stands for: another name for a package hides nothing, and a
// variable that is called time is not the clock.
func noises(t *testing.T, file string) []string {
	t.Helper()
	set := token.NewFileSet()
	parsed, err := parser.ParseFile(set, file, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	add := func(at token.Pos, what string) {
		out = append(out, fmt.Sprintf("%s:%d: %s", file, set.Position(at).Line, what))
	}
	packages := map[string]string{}
	for _, spec := range parsed.Imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		name := strings.TrimSuffix(path[strings.LastIndex(path, "/")+1:], "/v2")
		if path == "math/rand/v2" {
			name = "rand"
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		if name == "." {
			add(spec.Pos(), "imports "+path+" without its name, which hides what it is used for")
		}
		packages[name] = path
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.SelectorExpr:
			// A package is no object of the file, a variable of its name is.
			if of, ok := n.X.(*ast.Ident); ok && of.Obj == nil && noisy(packages[of.Name], n.Sel.Name) {
				add(n.Pos(), packages[of.Name]+"."+n.Sel.Name)
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.Ident); ok && f.Obj == nil && (f.Name == "print" || f.Name == "println") {
				add(n.Pos(), f.Name)
			}
		}
		return true
	})
	return out
}

// The core has no clock, no chance and no voice of its own.
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
			looked++
			for _, noise := range noises(t, file) {
				t.Errorf("%s: pass the value in", noise)
			}
		}
	}
	if looked < 20 {
		t.Fatalf("%d files looked at", looked)
	}
}

// The planted offender is seen line by line, and nothing else in it.
func TestNoiseIsHeard(t *testing.T) {
	const offender = "testdata/noisycore/offender.go"
	file, err := os.Open(offender)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var want []string
	lines := bufio.NewScanner(file)
	for n := 1; lines.Scan(); n++ {
		if strings.HasSuffix(lines.Text(), "// offence") {
			want = append(want, fmt.Sprintf("%s:%d", offender, n))
		}
	}
	var got []string
	for _, noise := range noises(t, offender) {
		place, _, _ := strings.Cut(noise, ": ")
		got = append(got, place)
	}
	if !slices.Equal(got, want) || len(want) < 14 {
		t.Errorf("heard  %q\nwanted %q", got, want)
	}
}
