package xlsx_test

import (
	"slices"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/readertest"
	"fallwright.example/traceio/xlsx"
)

// severals are sheets with several drops, a line a row, with the names of the
// drops; "'" is before text.
var severals = []struct {
	name  string
	lines []string
	drops []string
}{
	{"time starts over", []string{titles, "0|1", "1|2", "2|3", "3|1", "4|0", "0|5", "1|6", "2|7", "3|8", "4|9"}, []string{"1", "2"}},
	{"the header once more", []string{titles, "0|1", "0.5|2.5", titles, "0|3", "1|4"}, []string{"1", "2"}},
	{"rows that name a run", []string{titles, "'Run A", "0|1", "1|2", "2|3", "'Run B", "0|4", "1|5", "2|6"}, []string{"Run A", "Run B"}},
	{"a header under remarks", []string{"'Tower|'north", titles, "0|1", "1|2", "2|3", "", "'Run 2", titles, "0|4", "1|5", "2|6"}, []string{"1", "Run 2"}},
	{"a column", []string{"'Drop|" + titles, "1|0|1", "1|1|1", "1|2|1", "1|3|1", "2|4|1", "2|5|1", "2|6|1", "2|7|1"}, []string{"1", "2"}},
	{"side by side", []string{"'Run 1: Time (s)|'Run 1: Force (N)|'Run 2: Time (s)|'Run 2: Force (N)", "0|1|0|5", "1|2|1|6", "2|3|2|7"}, []string{"Run 1", "Run 2"}},
	{"under one time", []string{"'Time (s)|'Drop 1|'Drop 2", "0|1|5", "1|2|6", "2|3|7"}, []string{"Drop 1", "Drop 2"}},
	{"numbers that are text, with commas", []string{titles, "'0,5|'1,5", "1|2", "2|'3,25", titles, "0|'5,5", "1|6"}, []string{"1", "2"}},
}

// Several drops on a sheet are those that the same rows give as text.
func TestSeveralDropsOnASheet(t *testing.T) {
	checked := 0
	for _, c := range severals {
		file, err := xlsx.Format{}.Read("a.xlsx", workbook(t, nil, leaf{"Fall", rows(1, c.lines...)}), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		text := strings.NewReplacer("|", "\t", "'", "", ",", ".").Replace(strings.Join(c.lines, "\n"))
		want, err := delimited.Format{}.Read("a.txt", []byte(text), trace.Ask{})
		if err != nil || len(want.Parts) != len(file.Parts) {
			t.Errorf("%s: %d drops, as text %d, %v", c.name, len(file.Parts), len(want.Parts), err)
			continue
		}
		for i, rec := range file.Parts {
			checked++
			if w := want.Parts[i]; !slices.Equal(rec.Force, w.Force) || !slices.Equal(rec.Time, w.Time) || rec.Part != w.Part || rec.Part != c.drops[i] {
				t.Errorf("%s: drop %d is %q, %v at %v, as text %q, %v at %v", c.name, i+1, rec.Part, rec.Force, rec.Time, w.Part, w.Force, w.Time)
			}
		}
		for _, f := range file.Layout.Facts {
			if f.What == "delimiter" || strings.Contains(f.Is+f.Why, "line 1") {
				t.Errorf("%s: %+v speaks of text", c.name, f)
			}
		}
		one, err := xlsx.Format{}.Read("a.xlsx", workbook(t, nil, leaf{"Fall", rows(1, c.lines...)}), trace.Ask{Part: c.drops[1]})
		if err != nil || len(one.Parts) != 1 || !slices.Equal(one.Parts[0].Force, file.Parts[1].Force) {
			t.Errorf("%s: --part %s: %v", c.name, c.drops[1], err)
		}
	}
	if checked != 2*len(severals) {
		t.Errorf("%d drops were compared", checked)
	}
}

// Drops of several sheets are called by sheet and drop; dates count from the
// first of each drop.
func TestSeveralDropsOfSeveralSheets(t *testing.T) {
	two := rows(1, titles, "0|1", "1|2", titles, "0|3", "1|4")
	file, err := xlsx.Format{}.Read("a.xlsx", workbook(t, nil, leaf{"North", two}, fall("0|1", "1|2"), leaf{"South", two}), trace.Ask{})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, rec := range file.Parts {
		names = append(names, rec.Part)
	}
	if want := []string{"North 1", "North 2", "Fall", "South 1", "South 2"}; !slices.Equal(names, want) {
		t.Errorf("%q, want %q", names, want)
	}
	day := func(v string) string { return `<c s="1"><v>` + v + `</v></c>` }
	dated := rows(1, titles, day("46351")+"|1", day("46351.000005787037")+"|2", titles, day("46351.5")+"|3", day("46351.500005787037")+"|4")
	if file, err = (xlsx.Format{}).Read("a.xlsx", workbook(t, nil, leaf{"Fall", dated}), trace.Ask{}); err != nil || len(file.Parts) != 2 {
		t.Fatalf("%+v, %v", file, err)
	}
	for i, rec := range file.Parts {
		if step := rec.Time[1] - 0.5; rec.Time[0] != 0 || step < -2e-6 || step > 2e-6 {
			t.Errorf("drop %d at %v s", i+1, rec.Time)
		}
	}
}

// The decimal mark that is asked for holds for several drops as for one.
func TestSeveralDropsWithADecimalComma(t *testing.T) {
	data := workbook(t, nil, leaf{"Fall", rows(1, titles, "0|'1.000", "1|'1.234,5", titles, "0|'3,250", "1|4")})
	if _, err := (xlsx.Format{}).Read("a.xlsx", data, trace.Ask{}); err == nil {
		t.Error("read without a word on the mark")
	}
	file, err := xlsx.Format{}.Read("a.xlsx", data, trace.Ask{Decimal: "comma"})
	if err != nil || len(file.Parts) != 2 || !slices.Equal(file.Parts[0].Force, []float64{1000, 1234.5}) || !slices.Equal(file.Parts[1].Force, []float64{3.25, 4}) {
		t.Errorf("%+v, %v", file, err)
	}
}

// What leaves open whether it is several drops, or what the numbers are, stays
// refused in the words of a sheet.
func TestNotSeveral(t *testing.T) {
	for want, lines := range map[string][]string{
		"seems to name the drop":   {"'Drop|" + titles, "1|0|1", "1|1|1", "1|2|1", "1|3|1", "2|4|1", "2|5|1", "2|6|1", "2|7|1", "1|8|1", "1|9|1", "1|10|1", "1|11|1", "3|12|1", "3|13|1", "3|14|1", "3|15|1"},
		"an error":                 {titles, "0|1", `1|<c t="e"><v>#DIV/0!</v></c>`, titles, "0|1", "1|2"},
		"may be 1.000 or 1000":     {titles, "0|'1,000", "1|'2,500", titles, "0|'1,000", "1|'2,500"},
		"time does not rise":       {titles, "5|1", "4|2", "3|3", "2|2", "1|1"},
		"no value there, and goes": {titles, "0|1", "1|", "2|3", "0|1", "1|2"},
	} {
		_, err := xlsx.Format{}.Read("a.xlsx", workbook(t, nil, leaf{"Fall", rows(1, lines...)}), trace.Ask{})
		all := problem.All(err)
		if len(all) != 1 || !strings.Contains(all[0].What, want) && !strings.Contains(all[0].What, "goes on at row") || !strings.HasPrefix(all[0].Where, `a.xlsx, sheet "Fall"`) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func severalCases(t testing.TB) []readertest.Case {
	var out []readertest.Case
	for _, c := range severals {
		data := workbook(t, nil, leaf{"Fall", rows(1, c.lines...)})
		file, err := xlsx.Format{}.Read("a.xlsx", data, trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, readertest.Case{Name: "a.xlsx", Data: data, Rows: len(file.Parts[0].Force), Drops: len(c.drops)})
	}
	return out
}
