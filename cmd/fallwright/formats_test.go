package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every key that compare TABLE prints as JSON, and every one of its rows, is
// described.
func TestCompareKeysDescribed(t *testing.T) {
	book, err := os.ReadFile("../../docs/FORMATS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(book), "\n## JSON of compare\n")
	section, _, _ = strings.Cut(section, "\n## ")
	table := filepath.Join(t.TempDir(), "peaks.csv")
	text := "rope,wet,fall,peak [kN]\n"
	for _, row := range []string{"A,no,1,3.31", "A,no,2,3.5", "B,no,1,3.27", "B,no,2,3.44", "C,yes,1,3.6", "C,yes,2,3.9", "D,yes,1,3.66", "D,yes,2,3.91"} {
		text += row + "\n"
	}
	if err := os.WriteFile(table, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	args := []string{"compare", table, "--value", "peak", "--specimen", "rope", "--condition", "wet", "--fall", "fall", "--margin", "5%", "--checks", "--bootstrap", "200", "--randomise", "--json"}
	if code := run(t.Context(), args, strings.NewReader(""), &out, &errs); code != done {
		t.Fatal(errs.String())
	}
	var got map[string]any
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	looked := 0
	described := func(key string) {
		looked++
		if !strings.Contains(section, "`"+key+"`") && !strings.HasPrefix(key, "percent_") {
			t.Errorf("JSON of compare does not describe %s", key)
		}
	}
	for key, value := range got {
		described(key)
		rows, _ := value.([]any)
		if len(rows) == 0 || key == "randomisation" {
			continue
		}
		if row, ok := rows[0].(map[string]any); ok {
			for inner := range row {
				described(inner)
			}
		}
	}
	if looked < 50 {
		t.Errorf("%d keys only", looked)
	}
}
