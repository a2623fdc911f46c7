package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"
)

// Words stand to the left, numbers to the right, a column of nothing is left out,
// and what stands below a number is a line of its own.
func TestGrid(t *testing.T) {
	g := newGrid(1, "condition", "n", "empty", "mean", "+verdict")
	g.row("dry", "3", "–", "9.05\n8.9 to 9.2", "")
	g.row("soaked", "12", "", "10.41", "▲ higher")
	var out bytes.Buffer
	g.lines(&out)
	want := `  condition   n        mean  verdict
  dry         3        9.05
                 8.9 to 9.2
  soaked     12       10.41  ▲ higher
`
	if out.String() != want {
		t.Errorf("%s\nwant\n%s", out.String(), want)
	}
}

// A table wider than the terminal goes on below: every column is there once, the
// keys in each part, and an interval stays with its number.
func TestGridParts(t *testing.T) {
	const name = "in sea water for a night, then dried"
	heads := []string{"condition", "fall"}
	for i := range 6 {
		heads = append(heads, fmt.Sprintf("mean%d", i), fmt.Sprintf("+interval%d", i))
	}
	g := newGrid(2, heads...)
	cells := []string{name, "1"}
	for range 6 {
		cells = append(cells, "3.31", "3.27 to 3.35")
	}
	g.row(cells...)
	var out bytes.Buffer
	g.lines(&out)
	parts := strings.Split(out.String(), "\n\n")
	if len(parts) < 2 {
		t.Fatalf("%d parts:\n%s", len(parts), out.String())
	}
	for _, part := range parts {
		if !strings.Contains(part, name) || !strings.HasPrefix(part, "  condition") {
			t.Errorf("a part without its keys:\n%s", part)
		}
		for line := range strings.Lines(part) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > widestLine {
				t.Errorf("a line of %d", n)
			}
		}
		if strings.Count(part, "mean") != strings.Count(part, "interval") {
			t.Errorf("an interval stands apart from its number:\n%s", part)
		}
	}
	for i := range 6 {
		if strings.Count(out.String(), fmt.Sprintf("mean%d", i)) != 1 {
			t.Errorf("mean%d is not there once", i)
		}
	}
}
