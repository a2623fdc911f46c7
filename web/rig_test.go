package web

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fallwright.example/figure"
	"fallwright.example/study"
)

const rigPath = "/study/sea-water/rig"

// typedIn finds what stands in a field of a page.
func typedIn(t *testing.T, text, id string) string {
	t.Helper()
	m := regexp.MustCompile(`<input id="` + id + `" name="[^"]*" value="([^"]*)"`).FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("the page has no field %q", id)
	}
	return html.UnescapeString(m[1])
}

// faultOf is what is said against a field, empty for nothing.
func faultOf(text, id string) string {
	_, after, found := strings.Cut(text, `id="`+id+`-fault"`)
	if !found {
		return ""
	}
	after, _, _ = strings.Cut(after, "</div>")
	return html.UnescapeString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(after, " "))
}

// The page begins with what the study says, and answers as the use case does.
func TestRigPage(t *testing.T) {
	d := fake(t)
	w := ask(app(t), rigPath)
	text := w.Body.String()
	if w.Code != 200 {
		t.Fatalf("status %d", w.Code)
	}
	r := study.NewRig(d.study, mustOverview(t, d).Drops)
	want, err := r.Told.Ask()
	if err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(html.UnescapeString(text)), " ")
	for _, words := range []string{
		fmt.Sprintf("%.2f <small>m</small>", want.Next.Drop), "80 <small>kg</small>",
		figure.KN(want.Peak.Middle) + "\u202fkN", figure.KN(want.Peak.Low) + " to " + figure.KN(want.Peak.High),
		fmt.Sprintf("%.0f\u202f%%", 100*want.Lands), fmt.Sprintf("after one more trial likely %.0f\u202f%%", 100*want.OneMore),
		study.DialCaution, "Boathouse tower", "two steel wires", "reference rope", "Before the first drop of a day", study.DayChecks()[0], "<title>Peaks against the window (invented)</title>",
		"state the tower's own", "common practice, no source",
	} {
		if !strings.Contains(flat, strings.Join(strings.Fields(words), " ")) {
			t.Errorf("the page does not say %q", words)
		}
	}
	for id, value := range map[string]string{"low": "3 kN", "high": "4 kN", "masses": "80 kg", "free-lengths": "2.6 m", "highest": "1.42 m", "falls": "5", "room": "", "force": "", "t-peak-1": "", "t-peak-2": ""} {
		if got := typedIn(t, text, id); got != value {
			t.Errorf("%s is %q, want %q", id, got, value)
		}
	}
	if !strings.Contains(text, `name="use" value="drop-001" checked`) || strings.Contains(text, `aria-invalid`) {
		t.Error("the recorded trial is not ticked, or something is refused")
	}
}

// An address carries the whole state: what it says wins, an empty field stays
// empty, a trial that is not ticked is left out, a line by hand is taken.
func TestRigAddress(t *testing.T) {
	h := app(t)
	q := url.Values{
		"low": {"3.2 kN"}, "high": {"4.2 kN"}, "masses": {"80 kg"}, "free-lengths": {"2.6 m"}, "lowest": {"5 cm"}, "highest": {"3 m"}, "step": {"1 cm"},
		"room": {""}, "gravity": {""}, "force": {"8.6 kN"}, "force-mass": {"80 kg"}, "force-drop": {"4.8 m"}, "force-length": {"2.8 m"},
		"falls": {"4"}, "enough": {"80 %"}, "level": {"95 %"},
		"t-mass": {"", "80 kg", ""}, "t-drop": {"", "0.45 m", ""}, "t-length": {"", "2.6 m", ""}, "t-peak": {"", "2.86 kN", ""}, "t-fall": {"", "2", ""}, "t-specimen": {"", "T-2", ""},
	}
	text := ask(h, rigPath+"?"+q.Encode()).Body.String()
	for id, value := range map[string]string{"low": "3.2 kN", "highest": "3 m", "force": "8.6 kN", "level": "95 %", "t-peak-1": "2.86 kN", "t-specimen-1": "T-2", "t-peak-2": "", "t-peak-3": ""} {
		if got := typedIn(t, text, id); got != value {
			t.Errorf("%s is %q, want %q", id, got, value)
		}
	}
	want, err := study.Dialling{
		Low: "3.2 kN", High: "4.2 kN", Masses: "80 kg", FreeLengths: "2.6 m", Lowest: "5 cm", Highest: "3 m", Step: "1 cm",
		Force: "8.6 kN", ForceMass: "80 kg", ForceDrop: "4.8 m", ForceLength: "2.8 m", Falls: "4", Enough: "80 %", Level: "95 %",
		Trials: []study.DiallingTrial{{Mass: "80 kg", Drop: "0.45 m", FreeLength: "2.6 m", Peak: "2.86 kN", Fall: "2", Specimen: "T-2"}},
	}.Ask()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text, fmt.Sprintf("%.2f <small>m</small>", want.Next.Drop)) || !strings.Contains(text, "fall 2 of T-2: read 2.86 kN") || strings.Contains(text, `value="drop-001" checked`) {
		t.Errorf("not the answer of %.2f m", want.Next.Drop)
	}
	q.Set("use", "drop-001")
	if text := ask(h, rigPath+"?"+q.Encode()).Body.String(); !strings.Contains(text, `value="drop-001" checked`) || !strings.Contains(text, "trial 2, 0.45") {
		t.Error("the ticked trial is not taken before the one by hand")
	}
}

// What cannot stand is said beside its field, the page stays whole, and what was
// typed stays.
func TestRigRefusals(t *testing.T) {
	h := app(t)
	base := "?low=3+kN&high=4+kN&masses=80+kg&free-lengths=2.6+m&lowest=5+cm&highest=3+m&step=1+cm&falls=5&enough=90+%25&level=90+%25"
	looked := 0
	for _, c := range []struct{ query, id, typed, says string }{
		{"?low=3", "low", "3", `"3" has no unit`},
		{"?low=3+kN&highest=high+up", "highest", "high up", "does not begin with a number"},
		{"?low=%22%3E%3Cscript%3E", "low", `"><script>`, "does not begin with a number"},
		{"?low=3+kN&lowest=", "lowest", "", "it is missing"},
		{base + "&masses=80+kg", "masses", "80 kg", ""},
		{base + "&falls=0", "falls", "5", ""}, // the first of two wins, as in any form
		{strings.Replace(base, "falls=5", "falls=0", 1), "falls", "0", "it has 1 to 50"},
		{strings.Replace(base, "highest=3+m", "highest=1+cm", 1), "highest", "1 cm", "is below the lowest"},
		{base + "&force=8+kN&force-mass=&force-drop=4.8+m&force-length=2.8+m", "force-mass", "", "it is missing"},
		{base + "&use=drop-001&t-mass=80+kg&t-drop=0.4+m&t-length=2.6+m&t-peak=3+m", "t-peak-1", "3 m", "is a length, not a force"},
		{base + "&t-mass=&t-mass=80+kg&t-drop=&t-drop=9+m&t-length=&t-length=2.6+m&t-peak=&t-peak=3+kN", "t-drop-1", "9 m", "more than twice the free length"},
	} {
		w := ask(h, rigPath+c.query)
		text := w.Body.String()
		_, faults := elements(text)
		if w.Code != 200 || len(faults) > 0 {
			t.Errorf("%s: status %d, %q", c.query, w.Code, faults)
			continue
		}
		if got := typedIn(t, text, c.id); got != c.typed {
			t.Errorf("%s: the field has %q", c.query, got)
		}
		said := faultOf(text, c.id)
		if !strings.Contains(said, c.says) || (c.says == "") != (said == "") {
			t.Errorf("%s: said %q, want %q", c.query, said, c.says)
		}
		if refused := strings.Contains(text, "No setting can be given from this."); refused != (c.says != "") {
			t.Errorf("%s: refused %v", c.query, refused)
		}
		if c.says != "" && (!strings.Contains(text, `aria-invalid="true"`) || strings.Contains(text, "peak to expect")) {
			t.Errorf("%s: a refusal that the field does not tell, or an answer beside it", c.query)
		}
		looked++
	}
	if looked != 11 {
		t.Errorf("looked at %d", looked)
	}
	// A window out of reach belongs to no field: it stands above the form.
	text := ask(h, rigPath+"?low=30+kN&high=40+kN").Body.String()
	if !strings.Contains(text, "is not reached on this rig") || !strings.Contains(text, "would bring the middle of the window") {
		t.Error("a window out of reach is not said with what would reach it")
	}
}

func mustOverview(t *testing.T, d *fakeDesk) *study.Overview {
	t.Helper()
	o, err := d.Overview(t.Context(), "sea-water")
	if err != nil {
		t.Fatal(err)
	}
	return o
}
