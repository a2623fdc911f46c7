package web

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	rowPattern  = regexp.MustCompile(`(?s)<tr class="[^"]*"><th scope="row">.*?</tr>`)
	cellPattern = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
	anyTag      = regexp.MustCompile(`<[^>]*>`)
)

// table reads the cells of the drops as words.
func table(t *testing.T, query string) [][]string {
	t.Helper()
	w := ask(app(t), "/study/sea-water/traces"+query)
	if w.Code != 200 {
		t.Fatalf("%s: status %d", query, w.Code)
	}
	var rows [][]string
	for _, r := range rowPattern.FindAllString(w.Body.String(), -1) {
		var cells []string
		for _, c := range cellPattern.FindAllStringSubmatch(r, -1) {
			cells = append(cells, strings.TrimSpace(anyTag.ReplaceAllString(c[1], "")))
		}
		rows = append(rows, cells)
	}
	return rows
}

func TestTracesFilter(t *testing.T) {
	for query, want := range map[string]int{
		"":                                    94,
		"?condition=Marram+soaked":            16, // 15 and a void one
		"?specimen=M-05":                      6,
		"?fall=2":                             20,
		"?kind=trial":                         1,
		"?kind=fall&fall=2":                   20,
		"?grade=void":                         2,
		"?grade=doubtful":                     1,
		"?grade=incomplete":                   0,
		"?condition=Marram+dry&fall=5":        3,
		"?condition=none+such":                0,
		"?specimen=M-05&grade=void&sort=time": 1,
	} {
		if got := len(table(t, query)); got != want {
			t.Errorf("%s: %d drops, want %d", query, got, want)
		}
	}
}

func TestTracesSort(t *testing.T) {
	const peak, released, specimen = 3, 11, 0
	numbers := func(query string, column int) []float64 {
		var out []float64
		for _, r := range table(t, query) {
			v, err := strconv.ParseFloat(r[column], 64)
			if err != nil {
				t.Fatalf("%q in %q", r[column], r)
			}
			out = append(out, v)
		}
		return out
	}
	up := numbers("?sort=peak", peak)
	if len(up) != 94 || !slices.IsSorted(up) {
		t.Errorf("by peak: %v", up)
	}
	down := numbers("?sort=peak&order=down", peak)
	slices.Reverse(down)
	if !slices.Equal(up, down) {
		t.Errorf("by peak downward is not the other way round")
	}
	for _, query := range []string{"?sort=fall", "?sort=fall&order=down"} {
		last := map[string]string{} // ties stay in the order released
		for _, r := range table(t, query) {
			if clock := r[released]; clock < last[r[1]] {
				t.Fatalf("%s: fall %s at %s after %s", query, r[1], clock, last[r[1]])
			}
			last[r[1]] = r[released]
		}
	}
	rows := table(t, "?sort=specimen&condition=Marram+dry")
	var labels []string
	for _, r := range rows {
		labels = append(labels, r[specimen]+" "+r[1])
	}
	if want := []string{"M-01 1", "M-01 2"}; !slices.Equal(labels[:2], want) || labels[14] != "M-03 5" {
		t.Errorf("by specimen: %v", labels)
	}
	if w := ask(app(t), "/study/sea-water/traces?sort=beauty"); w.Code != 400 || !strings.Contains(w.Body.String(), "is not a column") {
		t.Errorf("by beauty: status %d", w.Code)
	}
	text := ask(app(t), "/study/sea-water/traces?sort=peak&fall=2").Body.String()
	for _, words := range []string{`aria-sort="ascending"`, "fall=2&amp;order=down&amp;sort=peak", `type="hidden" name="sort" value="peak"`} {
		if !strings.Contains(text, words) {
			t.Errorf("the sorted table lacks %s", words)
		}
	}
}

func TestNatural(t *testing.T) {
	words := []string{"S-2", "M-10", "M-9", "trial", "M-9b", "10", "9"}
	slices.SortFunc(words, natural)
	if want := []string{"9", "10", "M-9", "M-10", "M-9b", "S-2", "trial"}; !slices.Equal(words, want) {
		t.Errorf("%v, want %v", words, want)
	}
}

func BenchmarkTraces(b *testing.B) {
	h := app(b)
	for b.Loop() {
		if w := ask(h, "/study/sea-water/traces"); w.Code != 200 {
			b.Fatal(w.Code)
		}
	}
}
