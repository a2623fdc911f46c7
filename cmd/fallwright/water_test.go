package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/figure"
	"fallwright.example/web"
)

// The page Water, soak on the same study and soak on a table of its uptakes say the
// same; and what is typed at the bath side is in the book.
func TestWaterEverywhere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "skerry-head")
	var out, errs bytes.Buffer
	if code := run(t.Context(), []string{"demo", "--out", dir}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("demo: %s", errs.String())
	}
	book := filepath.Join(dir, demoBook)
	out.Reset()
	if code := run(t.Context(), []string{"soak", "--book", book, "--json"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("soak: %s", errs.String())
	}
	var said struct {
		Conditions []struct {
			Condition, Sentence string
			Saturation          struct{ Value, Lower, Upper float64 }
			Weighings           []struct {
				Specimen string
				Time     float64 `json:"time_s"`
				Uptake   float64
			}
		}
		Differences []struct {
			Lower, Upper *float64
			Quantity     string
		}
	}
	if err := json.Unmarshal(out.Bytes(), &said); err != nil {
		t.Fatal(err)
	}
	desk, err := openDesk(t.Context(), book)
	if err != nil {
		t.Fatal(err)
	}
	defer desk.Store.Close()
	app := web.New(desk, web.Options{Program: "test"})
	page := httptest.NewRecorder()
	app.ServeHTTP(page, httptest.NewRequest(http.MethodGet, "/study/sea-water/water", nil))
	text := strings.ReplaceAll(page.Body.String(), "\u202f", " ")
	looked := 0
	for _, c := range said.Conditions {
		for _, words := range []string{c.Sentence[1:], figure.Fixed(100*c.Saturation.Value, 1), figure.Range(100*c.Saturation.Lower, 100*c.Saturation.Upper, 1)} {
			looked++
			if !strings.Contains(text, words) {
				t.Errorf("the page lacks %q, which soak says of %s", words, c.Condition)
			}
		}
	}
	for _, d := range said.Differences {
		if d.Lower == nil || d.Quantity == "rate" {
			continue
		}
		looked++
		if words := figure.Range(100**d.Lower, 100**d.Upper, 1); !strings.Contains(text, words) {
			t.Errorf("the page lacks %q of %s", words, d.Quantity)
		}
	}
	if page.Code != http.StatusOK || looked < 9 {
		t.Fatalf("status %d, %d looked at", page.Code, looked)
	}
	table := filepath.Join(dir, "soak.csv")
	rows := "condition;label;time [s];uptake [kg/kg]\n"
	for _, c := range said.Conditions {
		for _, w := range c.Weighings {
			rows += fmt.Sprintf("%s;%s;%g;%g\n", c.Condition, w.Specimen, w.Time, w.Uptake)
		}
	}
	if err := os.WriteFile(table, []byte(rows), 0o600); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	if code := run(t.Context(), []string{"soak", table, "--minutes", "time", "--uptake", "uptake", "--specimen", "label", "--condition", "condition", "--json"}, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("soak of the table: %s", errs.String())
	}
	for _, c := range said.Conditions {
		if words := fmt.Sprintf("\"sentence\": %q", c.Sentence); !strings.Contains(out.String(), strings.ReplaceAll(words, `\u00a0`, "\u00a0")) {
			t.Errorf("soak of the table lacks %s", words)
		}
	}
	form := url.Values{"specimen": {"M-01"}, "of": {"soaked"}, "soak": {"5"}, "mass": {"290,5"}, "by": {"tester"}}
	post := httptest.NewRequest(http.MethodPost, "/study/sea-water/water/weigh", strings.NewReader(form.Encode()))
	post.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	sent := httptest.NewRecorder()
	app.ServeHTTP(sent, post)
	s, err := desk.Store.Study(context.WithoutCancel(t.Context()), "sea-water")
	if err != nil {
		t.Fatal(err)
	}
	last := s.Weighings[len(s.Weighings)-1]
	if sent.Code != http.StatusSeeOther || last.Specimen != "M-01" || last.Mass != 0.2905 || last.Soak != 300 || last.By != "tester" || last.State != "soaked 5 min" {
		t.Errorf("status %d, and the last weighing is %+v", sent.Code, last)
	}
}
