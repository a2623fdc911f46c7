package main

import (
	"os"
	"strings"
	"testing"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// fallToml is the fall of the script test of wall.
func fallToml(t *testing.T) string {
	t.Helper()
	script, err := os.ReadFile("testdata/wall.txt")
	if err != nil {
		t.Fatal(err)
	}
	_, text, found := strings.Cut(string(script), "\n-- fall.toml --\n")
	text, _, _ = strings.Cut(text, "\n-- ")
	if !found {
		t.Fatal("testdata/wall.txt has no fall.toml")
	}
	return text
}

// The page computes from a pasted file what the command computes from the same
// file, to every digit that either shows, in every state of the file.
func TestPastedFallAsCommand(t *testing.T) {
	text := fallToml(t)
	told, ropes, err := fallOfText([]byte(text))
	if err != nil || told == nil || len(ropes) < 2 {
		t.Fatalf("%d ropes, %v", len(ropes), err)
	}
	page, err := study.Wall(*told, ropes)
	if err != nil {
		t.Fatal(err)
	}
	file := t.TempDir() + "/fall.toml"
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	looked := 0
	for i, r := range ropes {
		cases, err := (&wallFlags{state: r.Name}).cases(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := cases[0].compute(); err != nil {
			t.Fatal(err)
		}
		rows := page.Cases[i].Bands.Rows(page.Cases[i].Catch)
		for k, want := range cases[0].bands.Rows(cases[0].catch) {
			v, low, high := rows[k].Shown()
			wv, wlow, whigh := want.Shown()
			if rows[k].Key != want.Key || figure.Fixed(v, want.Decimals) != figure.Fixed(wv, want.Decimals) || figure.Range(low, high, want.Decimals) != figure.Range(wlow, whigh, want.Decimals) {
				t.Errorf("%s, %s: the page has %g (%g to %g), the command %g (%g to %g)", r.Name, want.Key, v, low, high, wv, wlow, whigh)
			}
			looked++
		}
	}
	if looked < 20 {
		t.Errorf("looked at %d values", looked)
	}
}

// States alone are ropes without a fall; what cannot be read is said with its
// line.
func TestPastedStates(t *testing.T) {
	_, states, _ := strings.Cut(fallToml(t), "[[state]]")
	told, ropes, err := fallOfText([]byte("[[state]]" + states))
	if err != nil || told != nil || len(ropes) < 2 || ropes[0].Known.Names[0] != "equilibrium" {
		t.Errorf("%v, %d ropes, %v", told, len(ropes), err)
	}
	if _, _, err := fallOfText([]byte("[climber]\nweight = \"75 kg\"\n")); err == nil || !strings.Contains(err.Error(), "line:2: climber.weight") {
		t.Errorf("an odd key: %v", err)
	}
	if _, _, err := fallOfText([]byte("[[state]]\nname = \"x\"\nlaw = \"nylon\"\n")); len(problem.All(err)) == 0 {
		t.Errorf("an odd law: %v", err)
	}
}
