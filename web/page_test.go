package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// ask makes one request of the whole app.
func ask(h http.Handler, path string, header ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, path, nil)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func app(t testing.TB) http.Handler {
	return New(fake(t), Options{Program: "fallwright test", Report: writeReport})
}

// studyPages are the pages of a study, one of each kind.
var studyPages = []string{
	"/study/sea-water", "/study/sea-water/traces", "/study/sea-water/trace/drop-040",
	"/study/sea-water/trace/drop-040?from=0.1&to=0.5", "/study/sea-water/trace/drop-040?cfc=180", "/study/sea-water/findings",
	"/study/sea-water/overlay?drop=drop-003&drop=drop-012", "/study/sea-water/series/M-05", "/study/sea-water/import", "/study/sea-water/rig", "/study/sea-water/wall", "/study/sea-water/water", "/study/sea-water/water/entry",
	"/study/sea-water/question", "/study/sea-water/plan", "/study/sea-water/cut-list", "/study/sea-water/cut-list/labels",
}

func TestPages(t *testing.T) {
	h := app(t)
	for _, path := range append([]string{"/", "/study/nowhere"}, studyPages...) {
		w := ask(h, path)
		want := http.StatusOK
		if path == "/study/nowhere" {
			want = http.StatusNotFound
		}
		text := w.Body.String()
		all, faults := elements(text)
		if w.Code != want || len(all) < 20 || len(faults) > 0 {
			t.Errorf("%s: status %d, %d elements, faults %q", path, w.Code, len(all), faults)
		}
		if !strings.Contains(text, "fallwright test") {
			t.Errorf("%s does not name the program", path)
		}
	}
	for _, path := range studyPages {
		text := ask(h, path).Body.String()
		for _, words := range []string{"Invented study.", "No rope was dropped", "not a type test to EN 892 or UIAA 101", "do not show that any rope or", "qualified advice"} {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), words) {
				t.Errorf("%s does not say %q", path, words)
			}
		}
	}
}

// TestNothingInline holds what the content policy promises: no script, style or
// handler inside a page, and nothing fetched from elsewhere.
func TestNothingInline(t *testing.T) {
	h := app(t)
	looked := 0
	for _, path := range append([]string{"/"}, studyPages...) {
		w := ask(h, path)
		policy := w.Header().Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
			t.Errorf("%s: policy %q", path, policy)
		}
		all, _ := elements(w.Body.String())
		for _, e := range all {
			if e.name == "style" || e.name == "script" && !e.close && e.attrs["src"] == "" {
				t.Errorf("%s: an inline <%s>", path, e.name)
			}
			for name, value := range e.attrs {
				if name == "style" || strings.HasPrefix(name, "on") {
					t.Errorf("%s: <%s %s=%q>", path, e.name, name, value)
				}
				if name != "src" && name != "href" && name != "action" {
					continue
				}
				looked++
				if !strings.HasPrefix(value, "/") && !strings.HasPrefix(value, "#") || strings.HasPrefix(value, "//") {
					t.Errorf("%s: <%s %s=%q> leads away", path, e.name, name, value)
				}
			}
		}
	}
	if looked < 300 {
		t.Errorf("looked at %d addresses only", looked)
	}
}

// TestLinks follows every link of the app to its end, anchors included; of the
// traces the first few and the last.
func TestLinks(t *testing.T) {
	many := regexp.MustCompile(`/(trace|series)/|/overlay\?`) // pages of which there are many
	h := app(t)
	ids := map[string][]string{} // by path
	queue := []string{"/"}
	type wanted struct{ from, path, anchor string }
	var anchors []wanted
	seen := map[string]bool{"/": true}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		w := ask(h, path)
		if w.Code != http.StatusOK {
			t.Errorf("%s: status %d", path, w.Code)
			continue
		}
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		all, _ := elements(w.Body.String())
		for _, e := range all {
			if id := e.attrs["id"]; id != "" {
				ids[path] = append(ids[path], id)
			}
			to, ok := e.attrs["href"]
			if src := e.attrs["src"]; src != "" {
				to, ok = src, true
			}
			if !ok {
				continue
			}
			u, err := url.Parse(to)
			if err != nil {
				t.Fatal(err)
			}
			page := u.RequestURI()
			if to[0] == '#' {
				page = path
			}
			if u.Fragment != "" {
				anchors = append(anchors, wanted{path, page, u.Fragment})
			}
			if skip := many.MatchString(page) && !regexp.MustCompile(`drop-0(01|94)|series/M-05`).MatchString(page); !seen[page] && !skip && len(seen) < 120 {
				seen[page] = true
				queue = append(queue, page)
			}
		}
	}
	for _, a := range anchors {
		if !slices.Contains(ids[a.path], a.anchor) {
			t.Errorf("%s links to %s#%s, which is not there", a.from, a.path, a.anchor)
		}
	}
	if len(seen) < 40 || len(anchors) < 20 {
		t.Errorf("followed %d pages and %d anchors only", len(seen), len(anchors))
	}
}

// TestEscaping puts markup into every text of a study and finds it as text.
func TestEscaping(t *testing.T) {
	const evil = `<script>alert("x")</script>&'` + "\x00"
	d := *fake(t)
	st := *d.study
	spoil(reflect.ValueOf(&st.Plan).Elem(), evil)
	st.Plan.Name, st.Plan.Invented = d.study.Plan.Name, true
	st.Plan.Cutting = campaign.Cutting{} // it lists its specimens
	st.Drops = slices.Clone(st.Drops)
	for i := range st.Drops {
		st.Drops[i].Note, st.Drops[i].By = evil, evil
		st.Drops[i].Specimen += evil
	}
	st.Deviations = slices.Clone(st.Deviations)
	st.Deviations[0].Text = evil
	d.study = &st
	h := New(evilDesk{&d, evil}, Options{Program: evil})
	found := 0
	for _, path := range append([]string{"/", "/nowhere/%3Cscript%3E", "/study/sea-water/traces?condition=%3Cscript%3E&sort=peak"}, studyPages...) {
		if strings.Contains(path, "/series/") {
			path += url.PathEscape(evil) // its specimen has that in its name
		}
		w := ask(h, path)
		text := w.Body.String()
		if want := map[bool]int{true: 404, false: 200}[strings.HasPrefix(path, "/nowhere")]; w.Code != want {
			t.Errorf("%s: status %d", path, w.Code)
		}
		if strings.Contains(text, "<script>alert") {
			t.Errorf("%s holds the markup as markup", path)
		}
		found += strings.Count(text, "&lt;script&gt;alert")
		if _, faults := elements(text); len(faults) > 0 {
			t.Errorf("%s: %q", path, faults[:1])
		}
	}
	if found < 100 {
		t.Errorf("the text was found %d times only: the test does not reach the pages", found)
	}
}

// spoil adds a text to every string inside v, names that link things together
// included, so that they still match.
func spoil(v reflect.Value, text string) {
	switch v.Kind() {
	case reflect.String:
		if v.CanSet() && v.String() != "peak force" {
			v.SetString(v.String() + text)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				spoil(v.Field(i), text)
			}
		}
	case reflect.Slice:
		fresh := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(fresh, v)
		v.Set(fresh)
		for i := range v.Len() {
			spoil(v.Index(i), text)
		}
	case reflect.Map:
		fresh := reflect.MakeMap(v.Type())
		for _, k := range v.MapKeys() {
			fresh.SetMapIndex(reflect.ValueOf(k.String()+text).Convert(k.Type()), reflect.ValueOf(v.MapIndex(k).String()+text).Convert(v.Type().Elem()))
		}
		v.Set(fresh)
	}
}

// evilDesk spoils what the desk says besides the study.
type evilDesk struct {
	*fakeDesk
	text string
}

func (d evilDesk) Studies(ctx context.Context) ([]study.Summary, error) {
	all, err := d.fakeDesk.Studies(ctx)
	all[0].Title += d.text
	return all, err
}

func (d evilDesk) Findings(ctx context.Context, name string) (*study.Findings, error) {
	return d.Checked(ctx, name)
}

func (d evilDesk) Checked(ctx context.Context, name string) (*study.Findings, error) {
	plain := *d.fakeDesk
	plain.study = skerryHead().study
	f, err := plain.Checked(ctx, name)
	if err != nil {
		return nil, err
	}
	model := &f.Measures[0].Models[0]
	model.Analysis.Said, model.Analysis.Formula, model.Analysis.Notes = d.text, d.text, []string{d.text}
	model.Checks.Notes, model.Checks.Hidden[0].Said, model.Checks.Specimens[0].Name = []string{d.text}, d.text, d.text
	model.Checks.Residuals[0].Row, model.Checks.Residuals[0].Outlying = d.text, true
	f.Assumptions = []study.Assumption{{Text: d.text, Looked: d.text}}
	f.Study, f.Method, f.Exploratory = d.study, d.text, d.text
	for i := range f.Answers {
		f.Answers[i].Sentence, f.Answers[i].Rule, f.Answers[i].Notes = d.text, d.text, []string{d.text}
		f.Answers[i].Question.Asks, f.Answers[i].Parts = d.text, compare.Parts{Found: d.text, Rests: d.text, Settles: d.text}
	}
	return f, nil
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		kind   problem.Kind
		status int
	}{
		{problem.Invalid, 400},
		{problem.NotFound, 404},
		{problem.Conflict, 409},
		{problem.Unreadable, 422},
		{problem.TooFew, 422},
	} {
		d := *fake(t)
		d.fail = problem.New(c.kind, "falls.csv:12", "force is 31.62 kN, above the 25 kN range of the cell").Hint("record the cell that was fitted").In("nothing was stored")
		h := New(&d, Options{})
		for _, path := range []string{"/", "/study/sea-water", "/study/sea-water/trace/drop-003/points"} {
			w := ask(h, path)
			if w.Code != c.status {
				t.Errorf("kind %d at %s: status %d, want %d", c.kind, path, w.Code, c.status)
			}
			for _, words := range []string{"falls.csv:12", "31.62 kN", "record the cell that was fitted"} {
				if !strings.Contains(w.Body.String(), words) {
					t.Errorf("kind %d at %s does not say %q", c.kind, path, words)
				}
			}
		}
	}
}

func TestNotHere(t *testing.T) {
	h := app(t)
	for _, path := range []string{"/x", "/study/", "/study/sea-water/", "/study/nowhere/traces", "/study/sea-water/trace/none", "/study/nowhere/report", "/asset/app.js", "/asset/manifest.json", "/asset/..%2fmanifest.json"} {
		if w := ask(h, path); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), "<h1>Not here</h1>") {
			t.Errorf("%s: status %d", path, w.Code)
		}
	}
	if w := ask(New(fake(t), Options{}), "/study/sea-water/report"); w.Code != http.StatusNotFound {
		t.Errorf("a report without a writer: status %d", w.Code)
	}
	r := httptest.NewRequest(http.MethodPost, "/study/sea-water", nil)
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST: status %d", w.Code)
	}
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	w = httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusForbidden {
		t.Errorf("POST from another site: status %d", w.Code)
	}
}

// TestTooFew keeps the reader in the study when its findings are not there yet.
func TestTooFew(t *testing.T) {
	h := New(fewDesk{fake(t)}, Options{})
	w := ask(h, "/study/sea-water/findings")
	if text := w.Body.String(); w.Code != 422 || !strings.Contains(text, "two specimens") || !strings.Contains(text, `data-step="tower"`) {
		t.Errorf("status %d", w.Code)
	}
	if w := ask(h, "/study/sea-water"); w.Code != 200 || !strings.Contains(w.Body.String(), "too few falls yet") {
		t.Errorf("the overview without findings: status %d", w.Code)
	}
}

type fewDesk struct{ *fakeDesk }

func (fewDesk) Findings(context.Context, string) (*study.Findings, error) {
	return nil, problem.New(problem.TooFew, "", "there are fewer than two specimens in every condition")
}

// TestFaults shows a reference and nothing of the inside.
func TestFaults(t *testing.T) {
	for _, path := range []string{"/study/sea-water", "/study/sea-water/trace/drop-003/points"} {
		for _, d := range []Desk{brokenDesk{fake(t), errors.New("database /var/secret is locked")}, brokenDesk{fake(t), nil}} {
			h, lines := logged(d)
			w := ask(h, path)
			text := w.Body.String()
			if w.Code != 500 || strings.Contains(text, "secret") || strings.Contains(text, "boom") {
				t.Errorf("%s: status %d, %s", path, w.Code, text)
			}
			reference := regexp.MustCompile(`[A-Z2-7]{8}`).FindString(text[strings.Index(text, "eference"):])
			if reference == "" || !strings.Contains(lines.String(), reference) || !regexp.MustCompile("secret|boom").MatchString(lines.String()) {
				t.Errorf("%s: reference %q, log %q", path, reference, lines)
			}
		}
	}
}

// brokenDesk fails with an error that is no problem, or panics without one.
type brokenDesk struct {
	*fakeDesk
	err error
}

func (d brokenDesk) Overview(context.Context, string) (*study.Overview, error) { return nil, d.fault() }

func (d brokenDesk) Trace(context.Context, string, string) (*study.TraceView, error) {
	return nil, d.fault()
}

func (d brokenDesk) Curves(context.Context, string, string, study.Filter) (*study.Curves, error) {
	return nil, d.fault()
}

func (d brokenDesk) fault() error {
	if d.err == nil {
		panic("boom")
	}
	return d.err
}

func TestReport(t *testing.T) {
	w := ask(app(t), "/study/sea-water/report")
	if w.Code != 200 || !strings.Contains(w.Body.String(), "Sea water and the catch") {
		t.Errorf("status %d", w.Code)
	}
	if policy := w.Header().Get("Content-Security-Policy"); !strings.Contains(policy, "style-src 'unsafe-inline'") || strings.Contains(policy, "script-src") {
		t.Errorf("policy %q", policy)
	}
	failing := New(fake(t), Options{Report: func(w io.Writer, _ study.Report) error {
		fmt.Fprint(w, "half a report")
		return errors.New("disk full")
	}})
	if w := ask(failing, "/study/sea-water/report"); w.Code != 500 || strings.Contains(w.Body.String(), "half a report") {
		t.Errorf("a report that fails on the way: status %d", w.Code)
	}
}

func record(h http.Handler, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}
