package web

import (
	"regexp"
	"strings"
	"testing"
)

// The key under an overlay names every line, without script; a name that is
// pressed asks for its line over the others.
func TestKeyOfOverlay(t *testing.T) {
	d := fake(t)
	h := New(d, Options{})
	st, err := d.Overview(t.Context(), "sea-water")
	if err != nil {
		t.Fatal(err)
	}
	query, last := "", ""
	for _, drop := range st.Study.Drops {
		query, last = query+"&drop="+drop.ID, drop.ID
	}
	at := "/study/sea-water/overlay?" + query[1:]
	key := func(text string) (form string, names []string) {
		form = regexp.MustCompile(`(?s)<form method="get" class="line-key.*?</form>`).FindString(text)
		for _, m := range regexp.MustCompile(`<span>([^<]*)</span>`).FindAllStringSubmatch(form, -1) {
			names = append(names, m[1])
		}
		return form, names
	}
	text := ask(h, at).Body.String()
	form, names := key(text)
	seen := map[string]bool{}
	for _, n := range names {
		seen[n] = true
	}
	rows := strings.Count(text, `<tr data-picks=`) + strings.Count(text, `<tr class="void" data-picks=`) + strings.Count(text, `<tr class="" data-picks=`)
	if len(names) < 10 || len(seen) != len(names) || len(names) != rows || strings.Count(form, "<svg") != len(names) {
		t.Fatalf("%d names, %d of them different, %d lines in the table, %d samples", len(names), len(seen), rows, strings.Count(form, "<svg"))
	}
	if strings.Count(form, `type="hidden" name="drop"`) != len(st.Study.Drops) || strings.Contains(form, `aria-pressed="true"`) {
		t.Errorf("the key does not ask for the same traces: %s", form)
	}
	text = ask(h, at+"&pick="+last).Body.String()
	form, _ = key(text)
	if strings.Count(form, `aria-pressed="true"`) != 1 || !strings.Contains(text, "is picked out.") || !strings.Contains(text, `stroke-width="2.8"`) {
		t.Error("the line that was pressed is not drawn over the others")
	}
}
