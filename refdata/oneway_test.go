package refdata

import (
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// shared is where real recordings lie beside the project.
func shared(t *testing.T, name string) string {
	t.Helper()
	root := os.Getenv("FALLWRIGHT_SHARED")
	if root == "" {
		root = filepath.Join("..", "..", "shared")
	}
	path := filepath.Join(root, "data", name)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("NOT CHECKED: our tables against the original files: %v", err)
	}
	return path
}

// certified reads the header of an original file.
func certified(t *testing.T, lines []string) (set OneWay) {
	t.Helper()
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, line := range lines {
		f := strings.Fields(line)
		switch {
		case strings.HasPrefix(line, "Between"):
			set.SSBetween, set.F = number(f[3]), number(f[5])
		case strings.HasPrefix(line, "Within"):
			set.SSWithin = number(f[3])
		case strings.Contains(line, "R-Squared"):
			set.RSquared = number(f[2])
		case strings.Contains(line, "Standard Deviation"):
			set.ResidualSD = number(f[2])
		}
	}
	return set
}

// The tables, as typed and as generated, are the original files to the last
// bit of every value, and so are the certified results.
func TestNISTOneWayIsTheOriginal(t *testing.T) {
	dir := shared(t, "nist-strd-anova")
	values := 0
	for _, set := range NISTOneWay() {
		text, err := os.ReadFile(filepath.Join(dir, set.Name+".dat"))
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.ReplaceAll(string(text), "\r", ""), "\n")
		want := certified(t, lines[40:60])
		want.Name, want.Groups = set.Name, set.Groups
		if !reflect.DeepEqual(set, want) {
			t.Errorf("%s: certified values differ from the original, %+v", set.Name, want)
		}
		next := make([]int, len(set.Groups))
		for _, line := range lines[60:] {
			f := strings.Fields(line)
			if len(f) == 0 {
				continue
			}
			group, err := strconv.Atoi(f[0])
			if err != nil {
				t.Fatalf("%s: %q: %v", set.Name, line, err)
			}
			want, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				t.Fatalf("%s: %q: %v", set.Name, line, err)
			}
			if i := next[group-1]; i >= len(set.Groups[group-1]) || set.Groups[group-1][i] != want {
				t.Fatalf("%s: value %d of group %d differs from the original %s", set.Name, i+1, group, f[1])
			}
			next[group-1]++
			values++
		}
		for g, n := range next {
			if n != len(set.Groups[g]) {
				t.Errorf("%s: group %d has %d values, the original %d", set.Name, g+1, len(set.Groups[g]), n)
			}
		}
	}
	// 25 + 48 + 3·9·(21 + 201 + 2001)
	if want := 25 + 48 + 27*2223; values != want {
		t.Errorf("%d values compared, want %d", values, want)
	}
}
