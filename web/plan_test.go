package web

import (
	"bufio"
	"context"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/planfile"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// drawnDesk is a desk on a new book with an invented study whose specimens are
// drawn, not frozen; change may change its file first.
func drawnDesk(t *testing.T, change ...string) *study.Desk {
	t.Helper()
	file, err := os.ReadFile(filepath.Join("testdata", "drawn.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(change...).Replace(string(file))
	plan, err := planfile.Parse("drawn.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	store, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	n := 0
	d := &study.Desk{
		Store: store, Zone: time.UTC, Program: "fallwright test",
		Now:   func() time.Time { return time.Date(2026, time.December, 5, 10, 0, 0, 0, time.UTC) },
		NewID: func() string { n++; return fmt.Sprintf("id-%04d", n) },
	}
	if _, err := d.PutPlan(t.Context(), plan, "drawn.toml", []byte(text), "the club"); err != nil {
		t.Fatal(err)
	}
	return d
}

// words are those of a page on one line, without its marks.
func wordsOf(body string) string {
	var b strings.Builder
	inside := false
	for _, r := range body {
		switch {
		case r == '<':
			inside = true
			b.WriteByte(' ')
		case r == '>':
			inside = false
		case !inside:
			b.WriteRune(r)
		}
	}
	text := strings.NewReplacer("\u202f", " ", "\u00a0", " ").Replace(html.UnescapeString(b.String()))
	return strings.Join(strings.Fields(text), " ")
}

// says holds that a page has all of these words.
func says(t *testing.T, page, text string, all ...string) {
	t.Helper()
	for _, words := range all {
		if !strings.Contains(text, words) {
			t.Errorf("%s does not say %q", page, words)
		}
	}
}

const drawnPath = "/study/drawn"

// TestPlanPages goes from a plan that is not counted to the pages with its numbers,
// which are those of the use case that the command prints.
func TestPlanPages(t *testing.T) {
	d := drawnDesk(t)
	h := New(d, Options{Calendar: func(w io.Writer, p *study.Planned) error {
		_, err := fmt.Fprintf(w, "steps %d", len(p.Timetable.Ops))
		return err
	}})
	for _, page := range []string{"/question", "/plan"} {
		text := ask(h, drawnPath+page).Body.String()
		if !strings.Contains(text, `data-counts="/study/drawn/plan/numbers"`) || !strings.Contains(text, `href="/study/drawn`+page+`?numbers=wait"`) {
			t.Errorf("%s does not say that numbers are to come", page)
		}
	}
	far := strings.Fields(ask(h, drawnPath+"/plan/numbers").Body.String())
	if len(far) < 2 || far[len(far)-1] != "ready" {
		t.Fatalf("the numbers end with %q", far)
	}
	last := -1
	for _, line := range far[:len(far)-1] {
		n, err := strconv.Atoi(line)
		if err != nil || n <= last || n > 1000 {
			t.Errorf("progress goes from %d to %q", last, line)
		}
		last = n
	}

	s, err := d.Store.Study(t.Context(), "drawn")
	if err != nil {
		t.Fatal(err)
	}
	want, err := d.Draft(t.Context(), s.Plan, nil)
	if err != nil {
		t.Fatal(err)
	}
	question := wordsOf(ask(h, drawnPath+"/question").Body.String())
	checked := 0
	for _, c := range want.HowMany[0].Result.Chances {
		says(t, "question", question, fmt.Sprintf("chance of “%s” %.0f %% ± %.1f by simulation", c.Calls.Word("peak force"), 100*c.Power.P, 200*c.Power.SE),
			fmt.Sprintf("± %.1f %% on average", c.Half.Mean), "if the difference is 2 margins, 10.0 % upwards")
		checked++
	}
	if checked != 2 {
		t.Errorf("%d chances looked at, want 2", checked)
	}
	says(t, "question", question, "Does it catch harder when it is wet?", "Peak force of wet against dry at fall 2. A difference under 5 % of the baseline does not matter. It is put to show: harder.",
		"Peak force of wet at fall 3 against its own fall 1.", "6 drops answer it: fall 2 of "+strings.Join(want.Questions[0].Sides[0].Specimens, ", ")+" with fall 2 of "+strings.Join(want.Questions[0].Sides[1].Specimens, ", ")+".",
		"dry baseline none 3 1 9", "wet sea 3 1 9")

	plan := wordsOf(ask(h, drawnPath+"/plan").Body.String())
	b, tt := want.HowMany[0].Choice.Best, want.Timetable
	says(t, "plan", plan, "Not frozen", s.File.SHA256, fmt.Sprintf("%d specimens of each condition with %d falls: %d drops, %.1f m of rope", b.Specimens, b.Falls, b.Bill.Drops, b.Bill.Metres),
		"seed 4711", fmt.Sprintf("%d steps with their times", len(tt.Ops)), tt.Days[0].First.Format("15:04")+" to "+tt.Days[0].Last.Format("15:04"),
		want.HowMany[0].Result.Said, "5 December 2026", "30 min ± 5 min in bath, then 10 min ± 5 min to the first fall")
	for _, o := range tt.Ops {
		says(t, "plan", plan, o.Start.Format("15:04:05")+" "+o.End.Format("15:04:05")+" "+o.Specimen)
	}
	for _, m := range want.HowMany[0].Best {
		for _, shown := range m.Shown {
			says(t, "plan", plan, fmt.Sprintf("%s harder from %.1f %% %.1f %%", shown.Question.Name, shown.Difference, shown.Margin))
		}
	}
	if got := ask(h, drawnPath+"/timetable.ics"); got.Body.String() != fmt.Sprintf("steps %d", len(tt.Ops)) || !strings.HasPrefix(got.Header().Get("Content-Type"), "text/calendar") {
		t.Errorf("the calendar is %q", got.Body.String())
	}
}

// TestNumbersGivenUp goes away while numbers are worked out: nothing is kept, and
// whoever comes later has them worked out anew.
func TestNumbersGivenUp(t *testing.T) {
	d := drawnDesk(t)
	server := httptest.NewServer(New(d, Options{}))
	defer server.Close()
	ctx, leave := context.WithCancel(t.Context())
	r, _ := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+drawnPath+"/plan/numbers", nil)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(answer.Body).ReadString('\n'); err != nil || line == "ready\n" {
		t.Fatalf("the first line is %q, %v", line, err)
	}
	leave()
	answer.Body.Close()
	time.Sleep(1500 * time.Millisecond) // longer than the rest would take
	p, err := d.PlanAtOnce(t.Context(), "drawn")
	if err != nil || !p.Pending {
		t.Errorf("pending %v, %v: the count went on with nobody there", p.Pending, err)
	}
}

// TestDrawnCutList holds the page of a drawn plan to its list, and that of a hidden one to
// its silence.
func TestDrawnCutList(t *testing.T) {
	d := drawnDesk(t)
	h := New(d, Options{})
	p, err := d.PlanAtOnce(t.Context(), "drawn")
	if err != nil {
		t.Fatal(err)
	}
	body := ask(h, drawnPath+"/cut-list").Body.String()
	text := wordsOf(body)
	for _, piece := range p.Cut.Pieces {
		s, _ := p.Plan.Specimen(piece.Label)
		row := fmt.Sprintf("%s %.3f %.3f %.3f %s", piece.Label, piece.From, piece.To, piece.To-piece.From, s.Condition)
		if s.Spare {
			row += " spare"
		}
		says(t, "cut list", text, row)
	}
	for _, s := range p.Steps {
		says(t, "cut list", text, s.Do+" "+s.Tool)
	}
	if n := strings.Count(body, `type="checkbox" autocomplete="off"`); n != len(p.Steps)+len(p.Plan.Specimens) {
		t.Errorf("%d boxes to tick, want %d", n, len(p.Steps)+len(p.Plan.Specimens))
	}
	says(t, "cut list", text, "damage from 41 m to 43.5 m", "middle mark at 30 m", "left over to keep: 30.05 m to 41.00 m, 43.50 m to 59.00 m", "After use: destroy", "nobody climbs on it again")
	labels := ask(h, drawnPath+"/cut-list/labels").Body.String()
	if n := strings.Count(labels, `class="code"`); n != 16 {
		t.Errorf("%d codes, want two for each of 8 pieces", n)
	}
	says(t, "labels", wordsOf(labels), "not for climbing", "after use: destroy", p.Cut.Pieces[0].Label)

	hidden := drawnDesk(t, `seed = 4711`, "seed = 4711\nblind = true", `name = "wet"
levels`, `name = "soaked in the sea"
levels`, `"wet"`, `"soaked in the sea"`)
	h = New(hidden, Options{})
	looked := 0
	for _, page := range []string{"/cut-list", "/cut-list/labels"} {
		w := ask(h, drawnPath+page)
		if w.Code != 200 || !strings.Contains(w.Body.String(), "destroy") {
			t.Fatalf("%s: status %d", page, w.Code)
		}
		for _, word := range []string{"soaked in the sea", ">spare", "c1"} {
			if strings.Contains(w.Body.String(), word) {
				t.Errorf("%s of a hidden plan says %q", page, word)
			}
		}
		looked++
	}
	if looked != 2 {
		t.Errorf("%d pages", looked)
	}
	p, err = hidden.PlanAtOnce(t.Context(), "drawn")
	if err != nil {
		t.Fatal(err)
	}
	question := wordsOf(ask(h, drawnPath+"/question").Body.String())
	says(t, "question", question, "fall 2 of 3 specimens with fall 2 of 3 specimens")
	for _, s := range p.Plan.Specimens {
		if strings.Contains(question, s.Label) {
			t.Errorf("the question of a hidden plan says which specimens are of a condition: %s", s.Label)
		}
	}
}

// TestListedCutList is a plan that lists its specimens: they are shown from it.
func TestListedCutList(t *testing.T) {
	text := wordsOf(ask(app(t), "/study/sea-water/cut-list").Body.String())
	says(t, "cut list", text, "As the study file lists the specimens.", "M-01 1.000 4.400 3.400 Marram dry figure of eight dropped 5 times: destroy", "S-09 28.200 31.600 3.400 Samphire dried",
		"9 pieces of 30.60 m in all; 29.40 m of the rope are in none")
	if strings.Contains(text, "To tick") {
		t.Error("a listed plan has a list of steps")
	}
}

// TestFreeze freezes the plan that was seen, by name, once.
func TestFreeze(t *testing.T) {
	d := drawnDesk(t)
	h := New(d, Options{})
	s, _ := d.Store.Study(t.Context(), "drawn")
	for _, c := range []struct {
		form   url.Values
		status int
		words  string
	}{
		{url.Values{"plan": {s.File.SHA256}}, 400, "nobody is named who freezes it"},
		{url.Values{"plan": {s.File.SHA256}, "by": {"  "}}, 400, "nobody is named who freezes it"},
		{url.Values{"plan": {strings.Repeat("0", 64)}, "by": {"Ina"}}, 409, "it is another by now than the page showed"},
		{url.Values{"by": {"Ina"}}, 409, "it is another by now than the page showed"},
	} {
		w := post(h, drawnPath+"/freeze", c.form)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.words) || !strings.Contains(w.Body.String(), "The plan is not frozen.") {
			t.Errorf("%v: status %d, want %d and %q", c.form, w.Code, c.status, c.words)
		}
	}
	if w := post(h, drawnPath+"/freeze", url.Values{"plan": {s.File.SHA256}, "by": {"Ina"}}, "Sec-Fetch-Site", "cross-site"); w.Code != http.StatusForbidden {
		t.Errorf("from another site: status %d", w.Code)
	}
	if s, _ = d.Store.Study(t.Context(), "drawn"); s.Frozen != nil {
		t.Fatal("a refused freeze has frozen the plan")
	}
	w := post(h, drawnPath+"/freeze", url.Values{"plan": {s.File.SHA256}, "by": {" Ina "}})
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != drawnPath+"/plan#frozen" {
		t.Fatalf("status %d to %q", w.Code, w.Header().Get("Location"))
	}
	s, _ = d.Store.Study(t.Context(), "drawn")
	if s.Frozen == nil || s.Frozen.By != "Ina" || s.Frozen.PlanSHA256 != s.File.SHA256 {
		t.Fatalf("frozen as %+v", s.Frozen)
	}
	page := ask(h, drawnPath+"/plan").Body.String()
	says(t, "plan", wordsOf(page), "Frozen on 5 December 2026 at 10:00 by Ina", "No deviation is known.", "Note a deviation")
	if strings.Contains(page, `action="/study/drawn/freeze"`) {
		t.Error("a frozen plan can be frozen again")
	}
	if w := post(h, drawnPath+"/freeze", url.Values{"plan": {s.File.SHA256}, "by": {"Odd"}}); w.Code != http.StatusConflict {
		t.Errorf("a second freeze: status %d", w.Code)
	}
	if w := post(h, "/study/nowhere/freeze", url.Values{"by": {"Ina"}}); w.Code != http.StatusNotFound {
		t.Errorf("no study: status %d", w.Code)
	}
}

// TestDeviation notes what was done otherwise, with its reason.
func TestDeviation(t *testing.T) {
	d := drawnDesk(t)
	h := New(d, Options{})
	if _, err := d.Freeze(t.Context(), "drawn", "Ina"); err != nil {
		t.Fatal(err)
	}
	whole := url.Values{"done": {"bath 2 stood at 14 °C."}, "why": {"its cooler <had> stopped"}, "by": {"Ina"}}
	for missing, words := range map[string]string{"done": "it does not say what was done instead", "why": "no reason is given", "by": "nobody is named who notes it"} {
		form := url.Values{}
		for k, v := range whole {
			if k != missing {
				form[k] = v
			}
		}
		w := post(h, drawnPath+"/deviation", form)
		text := w.Body.String()
		if w.Code != 400 || faultOf(text, missing+"-field") == "" || !strings.Contains(text, words) || missing != "why" && !strings.Contains(text, "its cooler &lt;had&gt; stopped") {
			t.Errorf("without %s: status %d, or what was typed is lost", missing, w.Code)
		}
	}
	if s, _ := d.Store.Study(t.Context(), "drawn"); len(s.Deviations) != 0 {
		t.Fatal("a refused deviation is stored")
	}
	if w := post(h, drawnPath+"/deviation", whole); w.Code != http.StatusSeeOther {
		t.Fatalf("status %d", w.Code)
	}
	s, _ := d.Store.Study(t.Context(), "drawn")
	if len(s.Deviations) != 1 || s.Deviations[0].Text != "bath 2 stood at 14 °C; reason: its cooler <had> stopped" || s.Deviations[0].By != "Ina" {
		t.Fatalf("stored %+v", s.Deviations)
	}
	says(t, "plan", wordsOf(strings.ReplaceAll(ask(h, drawnPath+"/plan").Body.String(), "&lt;had&gt;", "had")), "bath 2 stood at 14 °C; reason: its cooler had stopped (noted 5 Dec 10:00 by Ina)")
}

// TestLeft plans the rest anew from the falls in the book.
func TestLeft(t *testing.T) {
	d := drawnDesk(t)
	h := New(d, Options{})
	if _, err := d.Freeze(t.Context(), "drawn", "Ina"); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(ask(h, drawnPath+"/plan").Body.String(), "What is left") {
		t.Error("something is left of a plan that is not begun")
	}
	p, err := d.Plan(t.Context(), "drawn", nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range p.Timetable.Ops {
		if o.Kind == timetable.Drop && !o.End.After(d.Clock()) {
			drop := campaign.Drop{Stamp: campaign.Stamp{At: o.End, By: "Ina"}, Kind: campaign.Fall, Specimen: o.Specimen, Fall: o.Fall}
			if _, _, err := d.AddDrop(t.Context(), "drawn", study.Release{Drop: drop}); err != nil {
				t.Fatal(err)
			}
		}
	}
	want, err := d.Replan(t.Context(), "drawn", d.Clock())
	if err != nil {
		t.Fatal(err)
	}
	text := wordsOf(ask(h, drawnPath+"/plan").Body.String())
	says(t, "plan", text, "What is left", fmt.Sprintf("%d falls taken by then, %d to come. It ends on %s.", want.Falls, want.Left, want.Table.Finish.Format("2 January at 15:04")),
		"Every rest and soak is within its tolerance, and can be.")
	late := wordsOf(ask(h, drawnPath+"/plan?from=2026-12-05T10:30").Body.String())
	again, err := d.Replan(t.Context(), "drawn", time.Date(2026, 12, 5, 10, 30, 0, 0, time.UTC))
	if err != nil || len(again.Table.Broken) == 0 {
		t.Fatalf("half an hour late breaks nothing: %v", err)
	}
	for _, f := range again.Table.Broken {
		says(t, "plan", late, f.What)
	}
	for query, words := range map[string]string{"from=soon": `"soon" is no date with a time`, "from=2026-12-07T10:30": "is after the last of the plan's days"} {
		says(t, "plan?"+query, wordsOf(ask(h, drawnPath+"/plan?"+query).Body.String()), words)
	}
}
