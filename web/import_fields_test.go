package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fallwright.example/problem"
)

var seenField = regexp.MustCompile(`name="seen" value="([^"]*)"`)

// What is recorded and what is kept is what the fields say, and nothing is
// recorded that was not seen.
func TestFieldsAreRecorded(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	at := sendFile(h, importing, "a.csv", csv(3600, 1)).Header().Get("Location")
	text := ask(h, at).Body.String()
	seen := seenField.FindStringSubmatch(text)
	if seen == nil {
		t.Fatal("the page does not say what it shows")
	}
	if n := strings.Count(text, "<form"); strings.Count(text, `name="unit"`) != 1 || n != strings.Count(ask(h, importing).Body.String(), "<form") {
		t.Errorf("the corrections are on the page more than once, in %d forms", n)
	}
	form := url.Values{
		"seen": {seen[1]}, "unit": {"N"}, "kind": {"trial"}, "specimen": {"M-05"}, "at": {"2026-05-04T10:15:00"}, "by": {"Ann Other"}, "note": {"calm & dry"},
	}
	w := post(h, at+"/drop", form)
	to := w.Header().Get("Location")
	if w.Code != http.StatusSeeOther || !strings.HasPrefix(to, at+"?") {
		t.Fatalf("unseen corrections: status %d, leads to %s\n%s", w.Code, to, w.Body)
	}
	if o, _ := d.Overview(t.Context(), "sea-water"); len(o.Study.Drops) != 0 {
		t.Fatal("a drop was recorded that nobody saw")
	}
	text = ask(h, to).Body.String()
	for _, words := range []string{"Nothing was recorded: this is the file with them", `value="N" selected`, `value="calm &amp; dry"`, `value="Ann Other"`, `<option value="trial" selected`, `<option value="M-05" selected`} {
		if !strings.Contains(text, words) {
			t.Errorf("the page to look again at lacks %q", words)
		}
	}
	seen = seenField.FindStringSubmatch(text)
	form.Set("seen", strings.ReplaceAll(seen[1], "&amp;", "&"))
	w = post(h, at+"/drop", form)
	if w.Code != http.StatusSeeOther || !strings.Contains(w.Header().Get("Location"), "/trace/") {
		t.Fatalf("once seen: status %d, %s\n%s", w.Code, w.Header().Get("Location"), w.Body)
	}
	o, err := d.Overview(t.Context(), "sea-water")
	if err != nil || len(o.Drops) != 1 || o.Drops[0].Reading.Unit != "N" || o.Drops[0].Reading.PeakForce > 4 {
		t.Errorf("not read in N as the field says: %+v, %v", o.Drops, err)
	}
}

// A file recorded already says so, whatever it was recorded as, and is no
// second trial.
func TestRecordedAlready(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	tried := 0
	for i, kind := range []string{"trial", "check"} {
		data := csv(3600, 10+i)
		at := sendFile(h, importing, "a.csv", data).Header().Get("Location")
		form := url.Values{"kind": {kind}, "at": {"2026-05-04T10:15:00"}, "by": {"x"}}
		if w := post(h, at+"/drop", form); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: status %d\n%s", kind, w.Code, w.Body)
		}
		sendFile(h, importing, "again.csv", data)
		text := ask(h, at).Body.String()
		as := kind + " of 2026-05-04 10:15:00"
		if !strings.Contains(text, "recorded already as "+as) || !strings.Contains(text, "that of "+as+" already") || strings.Contains(text, "nothing is recorded yet") {
			t.Errorf("the page does not say that the file is recorded as %s", as)
		}
		for _, second := range []string{"trial", "check"} {
			form.Set("kind", second)
			form.Set("at", "2026-05-04T10:40:00")
			if w := post(h, at+"/drop", form); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), as) {
				t.Errorf("a %s of the trace of a %s: status %d", second, kind, w.Code)
			}
			tried++
		}
	}
	if tried != 4 {
		t.Fatalf("%d tried", tried)
	}
	if o, _ := d.Overview(t.Context(), "sea-water"); len(o.Study.Drops) != 2 {
		t.Errorf("%d drops", len(o.Study.Drops))
	}
}

// Recipes that correct nothing or do not read the file are not kept, nor is a
// drop of the day after tomorrow.
func TestImportSense(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	at := sendFile(h, importing, "a.csv", csv(3600, 1)).Header().Get("Location")
	for _, c := range []struct{ name, field, value, says string }{
		{"empty", "", "", "it corrects nothing"},
		{"only a part", "part", "1", "it corrects nothing"},
		{"refused", "force", "nosuch", "the file is refused with these corrections"},
	} {
		form := url.Values{"recipe-name": {"r"}, "recipe-by": {"x"}}
		form.Set(c.field, c.value)
		if w := post(h, at+"/recipe", form); w.Code < 400 || w.Code > 409 || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%s: status %d without %q", c.name, w.Code, c.says)
		}
	}
	if kept, err := d.Recipes(t.Context(), ""); err != nil || len(kept) != 0 {
		t.Errorf("kept %+v, %v", kept, err)
	}
	for when, status := range map[string]int{"2026-05-05T08:59:59": http.StatusSeeOther, "2026-05-05T09:00:01": 400, "2062-05-04T10:15:00": 400} {
		data := csv(3600, len(when)+status)
		at := sendFile(h, importing, "a.csv", data).Header().Get("Location")
		if w := post(h, at+"/drop", url.Values{"kind": {"trial"}, "at": {when}, "by": {"x"}}); w.Code != status {
			t.Errorf("released at %s, now 2026-05-04 09:00: status %d, want %d", when, w.Code, status)
		}
	}
}

// A trace that the plan's class does not fit is shown unfiltered, with why.
func TestClassThatDoesNotFit(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	at := sendFile(h, importing, "slow.csv", csv(3600, 1)).Header().Get("Location")
	text := ask(h, at+"?rate=500").Body.String() // CFC 60 takes 600 Hz
	for _, words := range []string{"filter does not fit this trace", "CFC 60 on 500 samples", "What was read", "so the plan refuses it"} {
		if !strings.Contains(text, words) {
			t.Errorf("the preview does not say %q", words)
		}
	}
	if strings.Contains(text, "Record the drop") || strings.Contains(text, "cannot be read like this") {
		t.Error("it can be recorded, or is refused whole")
	}
	w := post(h, at+"/drop", url.Values{"rate": {"500"}, "kind": {"trial"}, "at": {"2026-05-04T10:15"}, "by": {"x"}})
	if w.Code != 400 || !strings.Contains(w.Body.String(), "CFC 60 on 500") {
		t.Errorf("recording follows the plan's rule: status %d", w.Code)
	}
}

// Refusals speak of the page's fields, and quote the line at fault.
func TestRefusalsOnThePage(t *testing.T) {
	d := realDesk(t)
	h := New(d, Options{})
	data := strings.Replace(string(csv(3600, 1)), "\n0,0100;", "\n0,0100;oops", 1)
	if data == string(csv(3600, 1)) {
		t.Fatal("nothing was spoilt")
	}
	at := sendFile(h, importing, "bad.csv", []byte(data)).Header().Get("Location")
	text := ask(h, at).Body.String()
	if !strings.Contains(text, "cannot be read like this") || !regexp.MustCompile(`<pre class="quoted"[^>]*>0,0100;oops`).MatchString(text) {
		t.Errorf("the row at fault is not shown")
	}
	if strings.Contains(text, "--") && regexp.MustCompile(`--(force|time|rate|unit|decimal|delimiter|part|full-scale)`).MatchString(regexp.MustCompile(`(?s)<(style|script).*?</`).ReplaceAllString(text, "")) {
		t.Error("the page speaks of flags")
	}
	if _, faults := elements(text); len(faults) > 0 {
		t.Errorf("faults %q", faults)
	}
}

func TestQuoted(t *testing.T) {
	p := func(where string) []*problem.Problem { return []*problem.Problem{{Where: where}} }
	long := strings.Repeat("7", 1000)
	for _, c := range []struct{ where, packed, data, want string }{
		{"a.csv: a.csv:2", "", "one\r\ntwo\r\n", "two"},
		{"a.csv:1:4", "", "one\ntwo", "one"},
		{"a.csv:2", "", "one\rtwo\rthree", "two"},
		{"a.csv:4", "", "one\ntwo\n", ""},
		{"a.csv:0", "", "one\n", ""},
		{"a.csv", "", "one\n", ""},
		{"a.csv:1", "gzip", "one\n", ""},
		{"a.csv:1", "", "o\x00n\x00e\x00", ""},
		{"a.csv:1", "", "gr\xf6\xdfe", "größe"},
		{"a.csv:1", "", long, long[:mostQuoted] + "…"},
	} {
		if got := quoted(p(c.where), c.packed, pendingFile{data: []byte(c.data)})[0].Quote; got != c.want {
			t.Errorf("%s of %.20q: %q, want %q", c.where, c.data, got, c.want)
		}
	}
}

// Placeholders say what holds: no unit for a rate, no number of drops for the
// one shown.
func TestPlaceholders(t *testing.T) {
	h := New(realDesk(t), Options{})
	one := strings.ReplaceAll(string(csv(3600, 1)), "logger of the boathouse\n", "")
	at := sendFile(h, importing, "two.csv", []byte(one+"\n"+one)).Header().Get("Location")
	text := ask(h, at).Body.String()
	if !strings.Contains(text, "2 drops in this file") {
		t.Fatalf("not two drops")
	}
	field := func(name string) string {
		return regexp.MustCompile(`(?s)<input name="` + name + `".*?>`).FindString(text)
	}
	if got := field("part"); !strings.Contains(got, `placeholder="1"`) {
		t.Errorf("drop 1 is shown, the field is %s", got)
	}
	at = sendFile(h, importing, "bad.csv", []byte(strings.Replace(one, "\n0,0100;", "\n0,0100;oops", 1))).Header().Get("Location")
	text = ask(h, at).Body.String()
	if !strings.Contains(text, "unit of time") || !strings.Contains(text, "cannot be read") {
		t.Fatal("the file is not refused after its unit of time was found")
	}
	if got := field("rate"); got == "" || strings.Contains(got, `placeholder="s"`) {
		t.Errorf("the rate of a refused file is %s", got)
	}
}
