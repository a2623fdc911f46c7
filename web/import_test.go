package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"log/slog"
	"math"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fallwright.example/problem"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// realDesk is a desk on a new book with the invented study of the fake one,
// frozen and without drops: files are read by the program's own reader.
func realDesk(t testing.TB) *study.Desk {
	t.Helper()
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	n := 0
	d := &study.Desk{
		Store: store, Read: traceio.New(delimited.Format{}).Read, Zone: time.UTC, Program: "fallwright test",
		Now:   func() time.Time { return time.Date(2026, time.May, 4, 9, 0, 0, 0, time.UTC) },
		NewID: func() string { n++; return fmt.Sprintf("id-%04d", n) },
	}
	if _, err := d.PutPlan(t.Context(), fakePlan(), "skerry-head.toml", []byte("# invented\n"), "the club"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Freeze(t.Context(), "sea-water", "the club"); err != nil {
		t.Fatal(err)
	}
	return d
}

// csv is the fake trace as a logger might write it: semicolons, decimal commas
// and the force in kN.
func csv(peak float64, seed int) []byte {
	rec := fakeTrace(peak, seed)
	var b bytes.Buffer
	b.WriteString("logger of the boathouse\nt [s];F [kN]\n")
	for i := range rec.Time {
		fmt.Fprintf(&b, "%s;%s\n", comma(rec.Time[i], 4), comma(rec.Force[i]/1000, 5))
	}
	return b.Bytes()
}

func comma(v float64, decimals int) string {
	return strings.Replace(fmt.Sprintf("%.*f", decimals, v), ".", ",", 1)
}

// send posts a form with a file.
func sendFile(h http.Handler, path, name string, data []byte, header ...string) *httptest.ResponseRecorder {
	return sendFiles(h, path, [][3]string{{"file", name, string(data)}}, header...)
}

// sendFiles sends several, each with the name of its field and its own.
func sendFiles(h http.Handler, path string, files [][3]string, header ...string) *httptest.ResponseRecorder {
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	for _, f := range files {
		part, _ := form.CreateFormFile(f[0], f[1])
		io.WriteString(part, f[2])
	}
	form.Close()
	r := httptest.NewRequest(http.MethodPost, path, &b)
	r.Header.Set("Content-Type", form.FormDataContentType())
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return record(h, r)
}

func post(h http.Handler, path string, form url.Values, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return record(h, r)
}

const importing = "/study/sea-water/import"

// TestImport takes a file in, corrects it, keeps a recipe and records a fall, as
// somebody at a tower would.
func TestImport(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	data := csv(3600, 1)
	sum := sha256.Sum256(data)
	w := sendFile(h, importing, `C:\logs\drop 7.csv`, data)
	at := w.Header().Get("Location")
	if want := importing + "/" + hex.EncodeToString(sum[:]); w.Code != http.StatusSeeOther || at != want {
		t.Fatalf("status %d, leads to %s, want %s:\n%s", w.Code, at, want, w.Body)
	}
	text := ask(h, at).Body.String()
	for _, words := range []string{"<h1>drop 7.csv</h1>", "semicolon", "3.60", "What was read", "nothing is recorded yet", "Record it as a drop"} {
		if !strings.Contains(text, words) {
			t.Errorf("the preview does not say %q", words)
		}
	}
	if _, faults := elements(text); len(faults) > 0 {
		t.Errorf("faults %q", faults)
	}
	if o, _ := d.Overview(t.Context(), "sea-water"); len(o.Study.Drops) != 0 {
		t.Fatal("a preview recorded a drop")
	}

	// A correction that is wrong is seen before anything is kept.
	if text := ask(h, at+"?unit=N").Body.String(); !strings.Contains(text, `value="N" selected`) {
		t.Error("the correction asked is not in the form")
	}
	if w := ask(h, at+"?rate=fast"); w.Code != 400 || !strings.Contains(w.Body.String(), "not a number above zero") {
		t.Errorf("a rate of words: status %d", w.Code)
	}
	if text := ask(h, at+"?force=nosuch").Body.String(); !strings.Contains(text, "It cannot be read like this") || !strings.Contains(text, "Correct it") || strings.Contains(text, "Record it as a drop") {
		t.Error("a column that is not there is not refused on the page")
	}

	w = post(h, at+"/recipe", url.Values{"recipe-name": {"tower logger"}, "recipe-by": {"the club"}, "force": {"F"}, "pull": {"positive"}})
	if to := w.Header().Get("Location"); w.Code != http.StatusSeeOther || to != at+"?recipe=tower+logger" {
		t.Fatalf("keeping a recipe: status %d, %s\n%s", w.Code, to, w.Body)
	}
	kept, err := d.Recipes(t.Context(), "Boathouse tower")
	if err != nil || len(kept) != 1 || kept[0].Ask.Force != "F" || kept[0].By != "the club" {
		t.Fatalf("recipes %+v, %v", kept, err)
	}
	if text := ask(h, at+"?recipe=tower+logger").Body.String(); !strings.Contains(text, "as set: positive") {
		t.Error("the recipe is not in the form")
	}

	form := url.Values{
		"recipe": {"tower logger"}, "kind": {"fall"}, "specimen": {"M-05"}, "drop-setting": {"standard"}, "at": {"2026-05-04T10:15:00"}, "by": {"the club"}, "note": {"calm"},
	}
	w = post(h, at+"/drop", form)
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), "/study/sea-water/trace/") {
		t.Fatalf("recording: status %d\n%s", w.Code, w.Body)
	}
	if text := ask(h, w.Header().Get("Location")).Body.String(); !strings.Contains(text, "M-05, fall 1") || !strings.Contains(text, "calm") {
		t.Error("the drop's trace is not shown")
	}
	o, err := d.Overview(t.Context(), "sea-water")
	if err != nil || len(o.Drops) != 1 || o.Drops[0].Reading == nil || math.Abs(float64(o.Drops[0].Reading.PeakForce)-3600) > 40 {
		t.Fatalf("drops %+v, %v", o.Drops, err)
	}
	if w := ask(h, at); w.Code != 404 || !strings.Contains(w.Body.String(), "not waiting here any more") {
		t.Errorf("the file still waits: status %d", w.Code)
	}

	// The same file for another fall is refused, and says whose it is.
	sendFile(h, importing, "again.csv", data)
	if text := ask(h, at).Body.String(); !strings.Contains(text, "that of M-05 fall 1 already") {
		t.Error("the preview does not say whose trace it is")
	}
	form.Set("specimen", "M-06")
	if w := post(h, at+"/drop", form); w.Code != 409 || !strings.Contains(w.Body.String(), "M-05 fall 1") {
		t.Errorf("one trace for two falls: status %d", w.Code)
	}
	form.Set("void", "released before the gate was shut")
	if w := post(h, at+"/drop", form); w.Code != http.StatusSeeOther {
		t.Errorf("as a void drop: status %d\n%s", w.Code, w.Body)
	}
}

func TestImportRefuses(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	if w := sendFile(h, importing, "a.csv", csv(3600, 1), "Sec-Fetch-Site", "cross-site"); w.Code != http.StatusForbidden {
		t.Errorf("a file from another site: status %d", w.Code)
	}
	if w := sendFile(h, importing, "empty.csv", nil); w.Code != 400 || !strings.Contains(w.Body.String(), "nothing was taken in") {
		t.Errorf("an empty file: status %d", w.Code)
	}
	if w := post(h, importing, url.Values{"file": {"x"}}); w.Code != 400 {
		t.Errorf("a form without a file: status %d", w.Code)
	}
	if w := sendFile(h, "/study/nowhere/import", "a.csv", csv(3600, 1)); w.Code != 404 {
		t.Errorf("no such study: status %d", w.Code)
	}
	w := sendFile(h, importing, "letter.txt", []byte("Dear all,\nno numbers here.\n"))
	if text := ask(h, w.Header().Get("Location")).Body.String(); !strings.Contains(text, "It cannot be read like this") {
		t.Error("a letter is not refused")
	}
	for what, form := range map[string]url.Values{
		"without a name":     {"kind": {"trial"}, "at": {"2026-05-04T10:15"}},
		"at no time":         {"kind": {"trial"}, "by": {"x"}, "at": {"noon"}},
		"no number":          {"kind": {"fall"}, "by": {"x"}, "at": {"2026-05-04T10:15"}, "specimen": {"M-05"}, "fall": {"first"}},
		"an unknown kind":    {"kind": {"jump"}, "by": {"x"}, "at": {"2026-05-04T10:15"}},
		"an unreadable file": {"kind": {"trial"}, "by": {"x"}, "at": {"2026-05-04T10:15"}},
	} {
		if w := post(h, w.Header().Get("Location")+"/drop", form); w.Code < 400 || w.Code >= 500 {
			t.Errorf("a drop %s: status %d", what, w.Code)
		}
	}
	if o, _ := d.Overview(t.Context(), "sea-water"); len(o.Study.Drops) != 0 {
		t.Errorf("%d drops were recorded", len(o.Study.Drops))
	}
}

// TestRereading shows another filter beside the stored reading, and stores it.
func TestRereading(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	at := sendFile(h, importing, "a.csv", csv(3600, 1)).Header().Get("Location")
	w := post(h, at+"/drop", url.Values{"kind": {"fall"}, "specimen": {"M-05"}, "at": {"2026-05-04T10:15:00"}, "by": {"x"}})
	trace := w.Header().Get("Location")
	text := ask(h, trace+"?cfc=180").Body.String()
	for _, words := range []string{"CFC 180", `data-second="180"`, "difference", "Store the reading with CFC 180", "listed as a departure"} {
		if !strings.Contains(text, words) {
			t.Errorf("the page with two readings does not say %q", words)
		}
	}
	if points := ask(h, trace+"/points?cfc=none").Body.String(); !strings.Contains(points, `"second":{"time_s":[`) {
		t.Errorf("no second line: %.300s", points)
	}
	if w := ask(h, trace+"?cfc=12"); w.Code != 400 {
		t.Errorf("class 12: status %d", w.Code)
	}
	if w := post(h, trace+"/reading", url.Values{"cfc": {"180"}}); w.Code != 400 {
		t.Errorf("stored by nobody: status %d", w.Code)
	}
	if w := post(h, trace+"/reading", url.Values{"cfc": {"180"}, "by": {"x"}}, "Sec-Fetch-Site", "cross-site"); w.Code != 403 {
		t.Errorf("stored from another site: status %d", w.Code)
	}
	if w := post(h, trace+"/reading", url.Values{"cfc": {"180"}, "by": {"the checker"}}); w.Code != http.StatusSeeOther {
		t.Fatalf("storing: status %d\n%s", w.Code, w.Body)
	}
	text = ask(h, trace).Body.String()
	if !strings.Contains(text, "1 earlier reading") || !regexp.MustCompile(`<th scope="col">CFC 180</th>`).MatchString(text) {
		t.Error("the new reading is not the one shown, or the old one is gone")
	}
	o, err := d.Overview(t.Context(), "sea-water")
	if err != nil || len(o.Departures) == 0 || !strings.Contains(fmt.Sprint(o.Departures), "read with CFC 180, the plan says CFC 60") {
		t.Errorf("departures %v, %v", o.Departures, err)
	}
}

func TestPending(t *testing.T) {
	now := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	p := &pending{now: func() time.Time { return now }, most: 10}
	has := func(want ...string) {
		t.Helper()
		var got []string
		total := 0
		for _, f := range p.files {
			got = append(got, f.sha256)
			total += len(f.data)
		}
		if fmt.Sprint(got) != fmt.Sprint(want) || total != p.bytes {
			t.Errorf("waiting are %v with %d bytes counted of %d, want %v", got, p.bytes, total, want)
		}
	}
	p.put(pendingFile{sha256: "a", name: "a.csv", data: []byte("1234")})
	p.put(pendingFile{sha256: "b", name: "b.csv", data: []byte("1234")})
	p.put(pendingFile{sha256: "a", name: "other.csv", data: []byte("1234")})
	has("b", "a")
	p.put(pendingFile{sha256: "c", name: "c.csv", data: []byte("1234")}) // b has waited longest
	has("a", "c")
	if f, err := p.get("a"); err != nil || f.name != "other.csv" {
		t.Errorf("%+v, %v", f, err)
	}
	now = now.Add(pendingFor - time.Minute)
	if _, err := p.get("c"); err != nil {
		t.Error(err)
	}
	now = now.Add(2 * time.Minute) // a was not asked for since
	if _, err := p.get("a"); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a still waits: %v", err)
	}
	has("c")
	p.put(pendingFile{sha256: "d", name: "d.csv", data: []byte("12345678901234")}) // larger than all: it waits alone
	has("d")
	p.forget("d")
	has()
}

// A file that is too large is refused whatever its form says, and nothing of it
// is kept.
func TestLargestUpload(t *testing.T) {
	for _, c := range []struct {
		size int
		fits bool
	}{{1000, true}, {1001, false}, {200_000, false}} {
		p := &pending{now: time.Now, largest: 1000, most: 2000}
		s := &server{desk: realDesk(t), pending: p, assets: mustAssets(), log: slog.New(slog.DiscardHandler)}
		mux := http.NewServeMux()
		mux.Handle("POST /study/{name}/import", s.answer(s.upload))
		w := sendFile(mux, importing, "long.csv", bytes.Repeat([]byte("1"), c.size))
		if fits := w.Code == http.StatusSeeOther; fits != c.fits || fits != (len(p.files) == 1) {
			t.Errorf("%d bytes: status %d, %d files wait", c.size, w.Code, len(p.files))
		}
		if !c.fits && !strings.Contains(w.Body.String(), "larger than the") {
			t.Errorf("%d bytes are refused with\n%s", c.size, w.Body)
		}
	}
}
