package sheets

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/study"
)

// Every page says what the results are not, and that the numbers are invented; what
// is to be done is in the text, and each label twice with its warning.
func TestSheetsInWords(t *testing.T) {
	p := planned(t, 3, 1, nil)
	text := string(poppler(t, "pdftotext", printed(t, p), "-layout", "FILE", "-"))
	pages := strings.Split(strings.TrimRight(text, "\f"), "\f")
	if len(pages) != 9 {
		t.Errorf("%d pages", len(pages))
	}
	for i, page := range pages {
		if !strings.Contains(page, caution) || !strings.Contains(page, invented) {
			t.Errorf("page %d lacks the caution or says not that it is invented", i+1)
		}
	}
	for _, want := range []string{
		"Cut list", "Order of drops", "Before the first drop, Saturday 5 December 2026", "Timetable, Saturday 5 December 2026", "After use: destroy",
		"Remote release", "Exclusion zone", "Mass blocked", "Mass and cell retained", "Catch bed", "Wet floor and electricity", "Eyes and ears", "confirmed by (name)",
		"cut at the mark", "hot cutter", "sea-water bath", "Does it catch harder when it is wet?", "figure of eight",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no sheet says %q", want)
		}
	}
	labels := pages[4]
	for _, w := range warning {
		if n := strings.Count(labels, w); n != 16 {
			t.Errorf("%q stands on %d of 16 labels", w, n)
		}
	}
	for _, s := range p.Plan.Specimens {
		if n := strings.Count(labels, s.Label); n != 2 {
			t.Errorf("%s has %d labels", s.Label, n)
		}
		if !strings.Contains(labels, fmt.Sprintf("%.2f to %.2f m", s.From, s.To)) {
			t.Errorf("%s: the label lacks its place", s.Label)
		}
	}
}

// Where labels hide the condition no sheet names one.
func TestBlindSheets(t *testing.T) {
	for _, p := range []*study.Planned{
		planned(t, 3, 1, func(p *campaign.Plan) { p.Order.Blind = true }),
		planned(t, 3, 1, func(p *campaign.Plan) { listed(p, "M-", "none"); p.Order.Blind = true }),
	} {
		blindSheets(t, p)
	}
}

func blindSheets(t *testing.T, p *study.Planned) {
	t.Helper()
	text := string(poppler(t, "pdftotext", printed(t, p), "-layout", "FILE", "-"))
	if len(text) < 1000 || !strings.Contains(text, p.Plan.Specimens[0].Label) {
		t.Fatal("nothing to look at")
	}
	for _, c := range p.Plan.Conditions {
		if strings.Contains(text, c.Name) {
			t.Errorf("a sheet names %q", c.Name)
		}
	}
	for _, l := range labels(p) {
		if got := strings.Join(l.Lines, "|"); got != "Marram 9.6|"+strings.Join(warning, "|") {
			t.Errorf("a label says %q", got)
		}
	}
	if strings.Contains(text, "spare,") || strings.Contains(text, "condition  ") {
		t.Error("a sheet tells spares or conditions")
	}
}

// The same plan gives the same bytes.
func TestSameBytes(t *testing.T) {
	p := planned(t, 3, 1, nil)
	if !bytes.Equal(printed(t, p), printed(t, p)) {
		t.Error("two PDFs differ")
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := Workbook(w, p); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two workbooks differ")
	}
}

var word = regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>`)

// No word lies on another or beyond the paper, whatever names are like: the words
// and their places are those that poppler finds.
func TestNothingCollides(t *testing.T) {
	long := strings.Repeat("a long name that goes on and on ", 4)
	unbroken := strings.Repeat("unbroken", 12)
	for name, p := range map[string]*study.Planned{
		"two days": planned(t, 12, 2, nil),
		"200 specimens": planned(t, 99, 0, func(p *campaign.Plan) {
			p.Preparations = nil
		}),
		"long names": planned(t, 2, 1, func(p *campaign.Plan) {
			p.Title, p.Purpose = long+long, long+long+long+unbroken
			p.Conditions[0].Name = strings.TrimSpace(long)
			p.Ropes[0].Lot = unbroken
			p.Cutting.Knots = strings.Repeat(long, 40)
			p.Questions[0].Baseline = p.Conditions[0].Name
		}),
		"long labels": planned(t, 2, 0, func(p *campaign.Plan) { listed(p, unbroken+" ", long) }),
	} {
		pages := strings.Split(string(poppler(t, "pdftotext", printed(t, p), "-bbox", "FILE", "-")), "<page ")[1:]
		words := 0
		for n, page := range pages {
			var all [][4]float64
			for _, m := range word.FindAllStringSubmatch(page, -1) {
				var at [4]float64
				for i := range at {
					at[i], _ = strconv.ParseFloat(m[i+1], 64)
				}
				if at[0] < 10 || at[2] > 585 || at[1] < 10 || at[3] > 832 {
					t.Errorf("%s, page %d: %q lies beyond the paper", name, n+1, m[5])
				}
				// The box of a word is that of its type, ascender to descender: what
				// is drawn is within its middle.
				high := at[3] - at[1]
				at[1], at[3] = at[1]+0.25*high, at[3]-0.25*high
				for _, o := range all {
					if at[0] < o[2]-0.3 && o[0] < at[2]-0.3 && at[1] < o[3] && o[1] < at[3] {
						t.Errorf("%s, page %d: %q lies on another word", name, n+1, m[5])
					}
				}
				all, words = append(all, at), words+1
			}
		}
		if words < 200 {
			t.Errorf("%s: %d words looked at", name, words)
		}
	}
}

// listed makes a plan one that lists its specimens.
func listed(p *campaign.Plan, prefix, knots string) {
	p.Cutting, p.Order = campaign.Cutting{}, campaign.Order{}
	for i := range p.Conditions {
		p.Conditions[i].Specimens = 0
		for k := range 2 {
			p.Specimens = append(p.Specimens, campaign.Specimen{
				Label: fmt.Sprintf("%s%d%d", prefix, i, k), Lot: "Marram 9.6", Condition: p.Conditions[i].Name, Knots: strings.TrimSpace(knots),
				From: float64(2*i+k) * 3, To: float64(2*i+k)*3 + 3,
			})
		}
	}
}

// The code is drawn as its modules are, upright and not mirrored, on every label.
func TestCodesAreDrawn(t *testing.T) {
	const dpi = 300
	p := planned(t, 3, 0, nil)
	pgm := poppler(t, "pdftoppm", printed(t, p), "-gray", "-r", fmt.Sprint(dpi), "-f", "5", "-l", "5", "FILE")
	var wide, high, most int
	if _, err := fmt.Sscanf(string(pgm[:20]), "P5\n%d %d\n%d", &wide, &high, &most); err != nil {
		t.Fatal(err)
	}
	gray := pgm[len(pgm)-wide*high:]
	looked := 0
	for i, l := range labels(p) {
		want, err := modules(l.Title)
		if err != nil {
			t.Fatal(err)
		}
		one := codeWide / float64(len(want)+2*quiet)
		for end := range 2 {
			n := 2*i + end
			x := labelLeft + float64(n%across)*labelWide + labelPad/2
			y := labelTop + float64(n/across)*labelHigh + (labelHigh-codeWide)/2
			for row := -quiet; row < len(want)+quiet; row++ {
				for col := -quiet; col < len(want)+quiet; col++ {
					px := int((x + one*(float64(quiet+col)+0.5)) / 25.4 * dpi)
					py := int((y + one*(float64(quiet+row)+0.5)) / 25.4 * dpi)
					dark := row >= 0 && col >= 0 && row < len(want) && col < len(want) && want[row][col]
					if (gray[py*wide+px] < 128) != dark {
						t.Fatalf("%s, label %d: module %d, %d is drawn wrongly", l.Title, end+1, row, col)
					}
					looked++
				}
			}
		}
	}
	if looked < 10000 {
		t.Errorf("%d modules looked at", looked)
	}
}

// Letters of other scripts are printed, and what cannot be stops nothing.
func TestOddCharacters(t *testing.T) {
	p := planned(t, 2, 0, func(p *campaign.Plan) {
		p.Title = "Œuvre Ω Ж ½ 🧗 end"
		listed(p, "🧗é", "eight")
	})
	text := string(poppler(t, "pdftotext", printed(t, p), "FILE", "-"))
	for _, want := range []string{"Œuvre Ω Ж ½", "end", "é00"} {
		if !strings.Contains(text, want) {
			t.Errorf("no sheet says %q", want)
		}
	}
}

func BenchmarkPDF(b *testing.B) {
	p := planned(b, 99, 0, func(p *campaign.Plan) { p.Preparations = nil })
	for b.Loop() {
		if err := PDF(&bytes.Buffer{}, p); err != nil {
			b.Fatal(err)
		}
	}
}
