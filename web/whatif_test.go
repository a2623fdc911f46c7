package web

import (
	"net/url"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/study"
)

// What if: the form is filled with the plan's own analysis, an address asks for
// another, and its answers stand beside the plan's, marked, which stay.
func TestWhatIf(t *testing.T) {
	desk := fake(t)
	h := New(desk, Options{})
	const path = "/study/sea-water/findings"
	plain := ask(h, path).Body.String()
	if strings.Contains(plain, "not what the frozen plan said") || !strings.Contains(plain, "Work it out") {
		t.Error("without a question for it the page is exploratory, or has no form")
	}
	before := len(desk.done)
	w := ask(h, path+"?margin=20+%25&adjust=joint&falls=trend&spread=by+condition&df=satterthwaite&scale=&block=day")
	text := w.Body.String()
	if w.Code != 200 || len(desk.done) != before+1 {
		t.Fatalf("status %d, asked %d times", w.Code, len(desk.done)-before)
	}
	for _, words := range []string{
		"not what the frozen plan said", "Report the plan’s own answers.", "by the plan", "what if, exploratory",
		`value="20 %"`, `<option value="joint" selected>`, `<option value="trend" selected>`, `<option value="by condition" selected>`,
		`<option value="satterthwaite" selected>`, `value="day" checked`, "verdicts would be others.",
	} {
		if !strings.Contains(text, words) {
			t.Errorf("the page does not say %q", words)
		}
	}
	// The answers above the form are the plan's own, as without it.
	if a, b := answersOf(t, plain), answersOf(t, text); a != b {
		t.Error("another analysis changed the plan's answers")
	}
	refused := ask(h, path+"?margin=5")
	if text := refused.Body.String(); refused.Code != 200 || !strings.Contains(text, "has no unit") || !strings.Contains(text, "write 20 %") {
		t.Errorf("status %d; a margin without a unit is not refused in the page", refused.Code)
	}
}

// answersOf cuts the answers out of a page.
func answersOf(t *testing.T, page string) string {
	t.Helper()
	_, after, found := strings.Cut(page, `id="answer-1"`)
	answers, _, ends := strings.Cut(after, `id="what-if"`)
	if !found || !ends || len(answers) < 2000 {
		t.Fatalf("no answers in the page: %d bytes", len(answers))
	}
	return answers
}

// An address is read into the words of a study file; what is no such word goes on
// to be refused.
func TestAlternative(t *testing.T) {
	q, err := url.ParseQuery("margin=+3+%25+&adjust=none&falls=levels&df=kenward-roger&spread=equal&scale=log&block=rope&block=moon")
	if err != nil {
		t.Fatal(err)
	}
	a := alternative(q)
	if a.Margin != "3 %" || a.Scale != "log" || a.Rule.Adjust != campaign.NoAdjustment || a.Rule.FallsAs != campaign.FallLevels ||
		a.Rule.DF != campaign.KenwardRoger || a.Rule.SpreadByCondition || len(a.Rule.Blocks) != 2 || a.Rule.Blocks[1] != "moon" {
		t.Errorf("%+v", a)
	}
	for _, f := range whatIfFields(study.Alternative{Rule: campaign.AnalysisRule{Adjust: campaign.Holm, SpreadByCondition: true}}) {
		chosen := len(f.Options) == 0
		for _, o := range f.Options {
			chosen = chosen || o.Value == f.Value
		}
		if !chosen {
			t.Errorf("%s has no option %q", f.Name, f.Value)
		}
	}
}
