package fallwright

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// A key is a name and a year in square brackets, or a standard's short name.
var (
	keyUsed   = regexp.MustCompile(`\[([A-Z][A-Za-z]*[0-9]{2,5}[a-z]?)\]`)
	keyListed = regexp.MustCompile(`(?m)^- \[([A-Z][A-Za-z]*[0-9]{2,5}[a-z]?)\] `)
	link      = regexp.MustCompile(`\]\(([^)#:\s]*)(?:#([^)\s]*))?\)`)
	heading   = regexp.MustCompile(`(?m)^#{1,6} +(.+)$`)
	fence     = regexp.MustCompile("(?ms)^```.*?^```")
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

// slugs are the anchors that a document's headings have, as the sites that show
// Markdown make them: lower case, without punctuation, hyphens for spaces.
func slugs(document string) []string {
	var out []string
	for _, m := range heading.FindAllStringSubmatch(fence.ReplaceAllString(document, ""), -1) {
		slug := strings.Map(func(r rune) rune {
			switch {
			case r == ' ':
				return '-'
			case r == '-' || r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r):
				return unicode.ToLower(r)
			}
			return -1
		}, strings.TrimSpace(m[1]))
		if again := strings.Count("\n"+strings.Join(out, "\n")+"\n", "\n"+slug+"\n"); again > 0 {
			slug += "-" + strconv.Itoa(again)
		}
		out = append(out, slug)
	}
	return out
}

// deadLinks lists the links of a document that lead nowhere, and how many links
// it has to files and to headings.
func deadLinks(name, content string, documents map[string]string) (dead []string, files, anchors int) {
	for _, m := range link.FindAllStringSubmatch(content, -1) {
		to := name
		if m[1] != "" {
			files++
			to = path.Join(path.Dir(name), m[1])
			if _, err := os.Stat(filepath.FromSlash(to)); err != nil {
				dead = append(dead, m[1]+", which is not there")
				continue
			}
		}
		if m[2] != "" {
			anchors++
			if !slices.Contains(slugs(documents[to]), m[2]) {
				dead = append(dead, m[1]+"#"+m[2]+", and "+to+" has no such heading")
			}
		}
	}
	return dead, files, anchors
}

// Links between documents lead somewhere, to the heading.
func TestLinks(t *testing.T) {
	documents := text(t, ".md")
	files, anchors := 0, 0
	for name, content := range documents {
		dead, f, a := deadLinks(name, content, documents)
		files, anchors = files+f, anchors+a
		for _, l := range dead {
			t.Errorf("%s links to %s", name, l)
		}
	}
	if files < 5 || anchors < 5 {
		t.Fatalf("%d links to files and %d to headings checked", files, anchors)
	}
}

// The planted document has three dead links and three that lead somewhere.
func TestDeadLinksAreSeen(t *testing.T) {
	const planted = "# Top, with `code`\n\n## [rig]\n\n## Rest\n## Rest\n```sh\n# fenced\n```\n" +
		"[a](#top-with-code) [b](#rig) [c](#rest-1) [d](#fenced) [e](nowhere.md) [f](README.md#nowhere)"
	dead, files, anchors := deadLinks("planted.md", planted, map[string]string{"planted.md": planted, "README.md": "# fallwright"})
	if len(dead) != 3 || files != 2 || anchors != 5 {
		t.Errorf("%d links to files, %d to headings, dead: %q", files, anchors, dead)
	}
}
