package web

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/uptake"
)

// send posts a form to the whole app.
func sendForm(h http.Handler, path string, form url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// The page has the sentences and numbers of the use case, the limit with what it is
// not, the protocol, and a rating nowhere.
func TestWaterPage(t *testing.T) {
	w := ask(app(t), "/study/sea-water/water")
	all, faults := elements(w.Body.String())
	text := strings.NewReplacer("\u202f", " ", "&lt;", "<").Replace(w.Body.String())
	if w.Code != http.StatusOK || len(all) < 100 || len(faults) > 0 {
		t.Fatalf("status %d, %d elements, faults %q", w.Code, len(all), faults)
	}
	of, err := fake(t).Water(t.Context(), "sea-water", study.WaterAsk{})
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	has := func(words string) {
		t.Helper()
		looked++
		if !strings.Contains(text, words) {
			t.Errorf("the page lacks %q", words)
		}
	}
	if len(of.Soaked) != 2 || of.Soaked[0].State != uptake.Saturated || of.Soaked[1].State == uptake.Saturated {
		t.Fatalf("the soaks are %+v", of.Soaked)
	}
	for _, a := range of.Soaked {
		has(a.Sentence()[1:])
		if a.Law.Saturates() {
			has(figure.Fixed(100*a.Saturation.Value, 1))
		}
		for _, t := range a.Times {
			has(t.Span())
		}
	}
	if len(of.Contrasts) != 4 || len(of.Gauged.Swelling) != 2 || len(of.Pulled.Ratios) == 0 {
		t.Errorf("%d contrasts, %d swellings, %d ratios of pulls", len(of.Contrasts), len(of.Gauged.Swelling), len(of.Pulled.Ratios))
	}
	for _, c := range of.Contrasts {
		has(figure.Range(100*c.Lower, 100*c.Upper, 1) + "</td>")
	}
	for _, words := range []string{"so this is no rating", "one turn in a dry towel", "mass gained over dry mass", "limit of the water-repellent test", "p adjusted", "thicker wet than dry", "Holm", "with the least water, kN"} {
		has(words)
	}
	if looked < 15 {
		t.Errorf("looked for %d only", looked)
	}
}

// A weighing is typed, stored and led back from; what is refused keeps what was
// typed, says the numbers and stores nothing.
func TestBathSide(t *testing.T) {
	h, d := app(t), fake(t)
	const path = "/study/sea-water/water/"
	page := ask(h, path+"entry").Body.String()
	if _, faults := elements(page); len(faults) > 0 {
		t.Errorf("faults %q", faults)
	}
	if strings.Count(page, `inputmode="decimal"`) < 10 || strings.Count(page, `type="radio"`) < 22 {
		t.Error("no keys of numbers, or no specimen to tap")
	}
	good := url.Values{"specimen": {"M-07"}, "of": {"soaked"}, "soak": {"5"}, "mass": {"281,9"}, "by": {"R. Teller"}}
	before := len(d.done)
	w := sendForm(h, path+"weigh", good)
	if w.Code != http.StatusSeeOther || !strings.Contains(w.Header().Get("Location"), "stored=weigh+M-07") {
		t.Fatalf("status %d to %q: %s", w.Code, w.Header().Get("Location"), w.Body)
	}
	if len(d.done) != before+1 || d.done[before] != "weigh M-07 soaked 300 s 0 s 0.2819 kg by R. Teller" {
		t.Errorf("stored %q", d.done[before:])
	}
	if next := ask(h, w.Header().Get("Location")); next.Code != http.StatusOK || !strings.Contains(next.Body.String(), `value="R. Teller"`) {
		t.Errorf("the next page: status %d", next.Code)
	}
	refused := 0
	for what, c := range map[string]struct {
		field, value string
		status       int
		says, keeps  string
	}{
		"kilograms as grams": {"mass", "0.2819", 400, "weigh", `value="0.2819"`},
		"grams as kilograms": {"mass", "281.9 kg", 400, "grams were written as kilograms", `value="281.9 kg"`},
		"a thousand?":        {"mass", "1,234", 400, "may be a thousand", `value="1,234"`},
		"no mass":            {"mass", "", 400, "write what the scale shows", `value="R. Teller"`},
		"no number":          {"mass", "wet", 400, "wet", `value="wet"`},
		"nobody":             {"by", " ", 400, "nobody is named", `value="281,9"`},
		"no specimen":        {"specimen", "", 400, "tap the specimen", `value="281,9"`},
		"a strange specimen": {"specimen", "X-1", 404, "the plan has no specimen", `value="281,9"`},
		"wet below dry":      {"specimen", "M-04", 409, "was weighed after 5 min under water already", `value="281,9"`},
	} {
		form := url.Values{}
		for k, v := range good {
			form[k] = v
		}
		form.Set(c.field, c.value)
		w := sendForm(h, path+"weigh", form)
		body := w.Body.String()
		if w.Code != c.status || !strings.Contains(body, c.says) || !strings.Contains(body, c.keeps) || !strings.Contains(body, "was not stored") {
			t.Errorf("%s: status %d, want %d; says it %t, keeps it %t", what, w.Code, c.status, strings.Contains(body, c.says), strings.Contains(body, c.keeps))
		}
		if _, faults := elements(body); len(faults) > 0 {
			t.Errorf("%s: faults %q", what, faults)
		}
		refused++
	}
	if refused != 9 || len(d.done) != before+1 {
		t.Errorf("%d refusals, %d stored", refused, len(d.done)-before)
	}
}

func TestBathSideGaugeAndPull(t *testing.T) {
	h, d := app(t), fake(t)
	const path = "/study/sea-water/water/"
	before := len(d.done)
	w := sendForm(h, path+"gauge", url.Values{"specimen": {"M-07"}, "wet": {"yes"}, "d": {"9,81", "9.84", "9.8", "", "", ""}, "load": {"10"}, "by": {"R. Teller"}})
	if w.Code != http.StatusSeeOther {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	w = sendForm(h, path+"pull", url.Values{"specimen": {"M-07"}, "device": {"tube"}, "force": {"85"}, "by": {"R. Teller"}})
	if w.Code != http.StatusSeeOther {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	want := []string{"gauge M-07 wet true [[0.00981 0.00984] [0.0098]]", "pull M-07 through tube 85 N"}
	if got := d.done[before:]; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("stored %q, want %q", got, want)
	}
	w = sendForm(h, path+"gauge", url.Values{"specimen": {"M-07"}, "d": {"98"}, "load": {"10"}, "by": {"R. Teller"}})
	if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "a diameter of 98 mm") || !strings.Contains(w.Body.String(), `value="98"`) {
		t.Errorf("98 mm: status %d", w.Code)
	}
	w = sendForm(h, path+"pull", url.Values{"specimen": {"M-07"}, "device": {""}, "force": {"85"}, "by": {"R. Teller"}})
	if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "name the device") {
		t.Errorf("no device: status %d", w.Code)
	}
	if len(d.done) != before+2 {
		t.Error("a refused one was stored")
	}
}
