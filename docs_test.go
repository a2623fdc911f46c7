package fallwright

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A key is a name and a year in square brackets, or a standard's short name.
var (
	keyUsed   = regexp.MustCompile(`\[([A-Z][A-Za-z]*[0-9]{2,5}[a-z]?)\]`)
	keyListed = regexp.MustCompile(`(?m)^- \[([A-Z][A-Za-z]*[0-9]{2,5}[a-z]?)\] `)
	link      = regexp.MustCompile(`\]\(([^)#:]+)(#[^)]*)?\)`)
)

// text returns the project's own files with one of the endings.
func text(t *testing.T, endings ...string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || strings.HasPrefix(d.Name(), ".") && path != ".") {
			return fs.SkipDir
		}
		if slices.Contains(endings, filepath.Ext(path)) {
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			out[filepath.ToSlash(path)] = string(data)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestReferences(t *testing.T) {
	files := text(t, ".go", ".md")
	list := files["docs/REFERENCES.md"]
	listed := map[string]bool{}
	for _, m := range keyListed.FindAllStringSubmatch(list, -1) {
		listed[m[1]] = true
	}
	if len(listed) < 5 {
		t.Fatalf("%d keys are listed in docs/REFERENCES.md", len(listed))
	}
	used := map[string]bool{}
	for name, content := range files {
		if name == "docs/REFERENCES.md" {
			continue
		}
		for _, m := range keyUsed.FindAllStringSubmatch(content, -1) {
			used[m[1]] = true
			if !listed[m[1]] {
				t.Errorf("%s cites [%s], which docs/REFERENCES.md does not list", name, m[1])
			}
		}
	}
	for key := range listed {
		if !used[key] {
			t.Errorf("docs/REFERENCES.md lists [%s], which nothing cites", key)
		}
	}
}

// Links between documents lead somewhere.
func TestLinks(t *testing.T) {
	checked := 0
	for name, content := range text(t, ".md") {
		for _, m := range link.FindAllStringSubmatch(content, -1) {
			checked++
			if _, err := os.Stat(filepath.Join(filepath.Dir(name), m[1])); err != nil {
				t.Errorf("%s links to %s, which is not there", name, m[1])
			}
		}
	}
	if checked < 5 {
		t.Fatalf("%d links checked", checked)
	}
}
