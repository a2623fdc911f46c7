package xlsx_test

import (
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/readertest"
	"fallwright.example/traceio/xlsx"
)

const titles = "'Time (s)|'Force (N)"

func fall(lines ...string) leaf { return leaf{"Fall", rows(1, append([]string{titles}, lines...)...)} }

// readings are workbooks that are read, as 1, 2.5 and -0.5 N at 0, 0.5 and 2 s.
func readings(t testing.TB) []struct {
	name  string
	data  []byte
	ask   trace.Ask
	drops int
	notes []string
} {
	plain := fall("0|1", "0.5|2.5", "2|-0.5")
	one := func(s leaf) []byte { return workbook(t, nil, s) }
	return []struct {
		name  string
		data  []byte
		ask   trace.Ask
		drops int
		notes []string
	}{
		{"plain", one(plain), trace.Ask{}, 1, nil},
		{"shared texts with entities", workbook(t, []string{"Time (s)", "Kraft &lt;links&gt; (N)"}, leaf{"Fall", rows(1, `<c t="s"><v>0</v></c>|<c t="s"><v>1</v></c>`, "0|1", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, nil},
		{"CDATA and a comment", one(leaf{"Fall", "<!-- > -->" + rows(1, titles, "0|1", "0.5|<c><v><![CDATA[2.5]]></v></c>", "2|-0.5")}), trace.Ask{}, 1, nil},
		{"addresses left out", one(leaf{"Fall", `<row><c t="str"><v>Time (s)</v></c><c t="str"><v>Force (N)</v></c></row><row><c><v>0</v></c><c><v>1</v></c></row><row><c><v>.5</v></c><c><v>2.5</v></c></row><row><c><v>2</v></c><c><v>-0.5</v></c></row>`}), trace.Ask{}, 1, nil},
		{"fonts and how it is spoken", one(leaf{"Fall", rows(1, "'Time (s)|<c t=\"inlineStr\"><is><r><t>For</t></r><r><t>ce (N)</t></r><rPh><t>kN</t></rPh></is></c>", "0|1", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, nil},
		{"units in a row of their own", one(leaf{"Fall", rows(1, "'t|'F", "'ms|'N", "0|1", "500|2.5", "2000|-0.5")}), trace.Ask{}, 1, nil},
		{"empty rows in between", one(leaf{"Fall", rows(1, titles, "0|1", "", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, nil},
		{"force ends early", one(fall("0|1", "0.5|2.5", "2|-0.5", "3|", "4|")), trace.Ask{}, 1, []string{"ends at row 4"}},
		{"words below", one(fall("0|1", "0.5|2.5", "2|-0.5", "'mean|'of all")), trace.Ask{}, 1, []string{"row 5"}},
		{"an error in another column", one(leaf{"Fall", rows(1, titles+"|'x", `0|1|<c t="e"><v>#N/A</v></c>`, "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, nil},
		{"no header", one(leaf{"Fall", rows(1, "0|1", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, []string{"no header", "no header", "read as N"}},
		{"dates", one(fall(`<c s="1"><v>46351</v></c>|1`, `<c s="1"><v>46351.000005787037</v></c>|2.5`, `<c s="1"><v>46351.00002314815</v></c>|-0.5`)), trace.Ask{}, 1, nil},
		{"elapsed time", one(fall(`<c s="3"><v>0</v></c>|1`, `<c s="3"><v>5.787037037037037E-6</v></c>|2.5`, `<c s="3"><v>2.3148148148148147E-5</v></c>|-0.5`)), trace.Ask{}, 1, nil},
		{"a number format with words", one(fall(`<c s="2"><v>0</v></c>|1`, `<c s="2"><v>0.5</v></c>|2.5`, `<c s="2"><v>2</v></c>|-0.5`)), trace.Ask{}, 1, nil},
		{"text with points", one(fall("'0|'1.0", "'0.5|'2.5", "'2.0|'-0.5")), trace.Ask{}, 1, nil},
		{"three decimals, by a point", one(fall("0|'1", "0.5|'2.500", "2|'-0.500")), trace.Ask{}, 1, nil},
		{"text with commas", one(fall("'0|'1,000", "'0,5|'2,5", "'2,0|'-0,5")), trace.Ask{}, 1, nil},
		{"three decimals, by a flag", one(fall("0|'1,000", "0.5|'2,500", "2|'-0,500")), trace.Ask{Decimal: "comma"}, 1, nil},
		{"three decimals below one", one(fall("0|'1,000", "0.5|'2,500", "2|'-0,500")), trace.Ask{}, 1, nil},
		{"points between thousands, by a flag", one(leaf{"Fall", rows(1, "'Time (us)|'Force (mN)", "'0|'1.000", "'500.000|'2.500,0", "'2.000.000|'-500")}), trace.Ask{Decimal: "comma"}, 1, nil},
		{"commas between thousands, by a flag", one(leaf{"Fall", rows(1, "'Time (ms)|'Force (mN)", "'0|'1,000.0", "'500.0|'2,500", "'2,000|'-500")}), trace.Ask{Decimal: "point"}, 1, nil},
		{"one of three sheets", workbook(t, nil, leaf{"Notes", rows(1, "'two|'falls")}, plain, leaf{"Water", rows(1, "'Time (s)|'Mass (g)", "0|1", "1|2")}), trace.Ask{}, 1, nil},
		{"two sheets alike", workbook(t, nil, plain, leaf{"Next", plain.data}), trace.Ask{}, 2, nil},
		{"one of two, by number", workbook(t, nil, leaf{"Other", rows(1, "'Time (s)|'Load (N)", "0|9", "1|9")}, plain), trace.Ask{Sheet: "2"}, 1, nil},
		{"one of two, by name", workbook(t, nil, leaf{"Other", rows(1, "'Time (s)|'Load (N)", "0|9", "1|9")}, plain), trace.Ask{Sheet: "FALL"}, 1, nil},
		{"another table of forces above", one(leaf{"Fall", rows(1, "'Drop|'Force (N)", "1|7", "2|8") + rows(5, titles, "0|1", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, []string{"begins at row 1 and was left out"}},
		{"a longer table of settings above", one(leaf{"Fall", rows(1, "'a|1", "'b|2", "'c|3", "'d|4", "'e|5") + rows(7, titles, "0|1", "0.5|2.5", "2|-0.5")}), trace.Ask{}, 1, nil},
	}
}

func TestReadings(t *testing.T) {
	for _, c := range readings(t) {
		file, err := xlsx.Format{}.Read("a.xlsx", c.data, c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		rec := file.Parts[0]
		if len(file.Parts) != c.drops || len(rec.Force) != 3 {
			t.Errorf("%s: %d drops of %d rows", c.name, len(file.Parts), len(rec.Force))
			continue
		}
		for i, want := range []float64{1, 2.5, -0.5} {
			// A day is 86400 s, and 46351 of them are told apart by 6e-7 s.
			if at := []float64{0, 0.5, 2}[i]; rec.Force[i] != want || rec.Time[i]-at > 7e-7 || at-rec.Time[i] > 7e-7 {
				t.Errorf("%s: %v N at %v s, want %v at %v", c.name, rec.Force[i], rec.Time[i], want, at)
			}
		}
		same(t, c.name, rec.Notes, c.notes)
	}
}

func refusals(t testing.TB) []struct {
	name  string
	data  []byte
	ask   trace.Ask
	where string // behind the file's name
	what  string
} {
	one := func(s leaf) []byte { return workbook(t, nil, s) }
	plain := fall("0|1", "0.5|2.5", "2|-0.5")
	return []struct {
		name  string
		data  []byte
		ask   trace.Ask
		where string
		what  string
	}{
		{"error", one(fall("0|1", `0.5|<c t="e"><v>#DIV/0!</v></c>`, "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "\"#DIV/0!\" there, an error"},
		{"formula never worked out", one(fall("0|1", "0.5|<c><f>A3*2</f></c>", "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "never stored"},
		{"gap in the force", one(fall("0|1", "0.5|", "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "goes on at row 4"},
		{"gap in the time", one(fall("0|1", "|2.5", "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell A3`, "no value there"},
		{"word in the force", one(fall("0|1", "0.5|'lost", "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "\"lost\" there, which is no number"},
		{"true and false", one(fall(`0|<c t="b"><v>1</v></c>`, `1|<c t="b"><v>0</v></c>`)), trace.Ask{}, `, sheet "Fall", cell B2`, "TRUE"},
		{"words in the middle", one(fall("0|1", "0.5|2.5", "'the|'rope", "0.7|3", "1|4")), trace.Ask{}, `, sheet "Fall", row 4`, "goes on at row 5"},
		{"time goes back", one(fall("0|1", "0.5|2.5", "0.25|-0.5")), trace.Ask{}, `, sheet "Fall", row 4`, "0.25 after 0.5"},
		{"points between thousands", one(fall("0|'997", "0.5|'1.002", "2|'998")), trace.Ask{}, `, sheet "Fall", cell B3`, "or as 1002, with a point between thousands"},
		{"over range", one(fall("0|1", "0.5|'OVL", "2|3")), trace.Ask{}, `, sheet "Fall", cell B3`, "over range: the peak is lost"},
		{"code of a missing sample", one(fall("0|1", "0.5|-9999", "1|-9999", "2|3")), trace.Ask{}, `, sheet "Fall", row 2`, "-9999 again and again"},
		{"date in the force", one(fall("0|1", `0.5|<c s="1"><v>46351</v></c>`, "2|-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "a date or a time"},
		{"commas that may be thousands", one(fall("0|'1,000", "0.5|'2,500", "2|'-1,500")), trace.Ask{}, `, sheet "Fall", cell B2`, "\"1,000\" may be 1.000 or 1000"},
		{"commas and points", one(fall("0|'1.5", "0.5|'2,5", "2|'-0.5")), trace.Ask{}, `, sheet "Fall", cell B3`, "read in two ways"},
		{"thousands and decimals", one(fall("0|'1,000.5", "0.5|'2.5", "2|'-0.5")), trace.Ask{}, `, sheet "Fall", cell B2`, "read in two ways"},
		{"no force", one(leaf{"Water", rows(3, "'Time (s)|'Mass (g)", "0|1", "1|2")}), trace.Ask{}, `, sheet "Water", row 3`, `1 "Time (s)", 2 "Mass (g)"`},
		{"no such column", one(plain), trace.Ask{Force: "load"}, `, sheet "Fall", row 1`, "--force \"load\""},
		{"two forces", one(leaf{"Fall", rows(1, titles+"|'Load (kN)", "0|1|2", "1|2|3")}), trace.Ask{}, `, sheet "Fall", row 1`, "2 columns could be the force"},
		{"no such sheet", one(plain), trace.Ask{Sheet: "Run 9"}, "", "--sheet \"Run 9\""},
		{"sheet 0", one(plain), trace.Ask{Sheet: "0"}, "", "no such sheet"},
		{"sheets that differ", workbook(t, nil, plain, leaf{"Other", rows(1, "'Time (s)|'Load (N)", "0|1", "1|2")}), trace.Ask{}, "", `"Fall" (column 2 "Force (N)"), "Other" (column 2 "Load (N)")`},
		{"words alone", one(leaf{"Notes", rows(1, "'two|'falls")}), trace.Ask{}, "", "no table of numbers"},
		{"one row", one(fall("0|1")), trace.Ask{}, `, sheet "Fall", row 2`, "1 value"},
		{"text that is not there", one(fall(`0|<c t="s"><v>5</v></c>`, "1|2")), trace.Ask{}, `, sheet "Fall", cell B2`, "text \"5\""},
		{"number that is none", one(fall("0|<c><v>NaN</v></c>", "1|2")), trace.Ask{}, `, sheet "Fall", cell B2`, "\"NaN\" is stored as a number"},
		{"rows out of order", one(leaf{"Fall", rows(5, titles, "0|1") + rows(2, "1|2")}), trace.Ask{}, `, sheet "Fall", row 6`, "count upward"},
		{"too many rows", one(leaf{"Fall", rows(1, titles, "0|1", "1|2") + `<row r="1048577"><c><v>1</v></c></row>`}), trace.Ask{}, `, sheet "Fall", row 1048576`, "rows below it"},
		{"too many columns", one(leaf{"Fall", `<row r="1"><c r="XFE1"><v>1</v></c></row>`}), trace.Ask{}, `, sheet "Fall", row 1`, "16384 columns"},
		{"cells out of order", one(leaf{"Fall", `<row r="1"><c r="C1"><v>1</v></c><c r="B1"><v>1</v></c></row>`}), trace.Ask{}, `, sheet "Fall", row 1`, "column B follows one of column C"},
		{"document type", one(leaf{"Fall", `<!DOCTYPE a [<!ENTITY b "c">]>` + plain.data}), trace.Ask{}, "", "document type"},
		{"a cell of two megabytes", one(fall("0|1", "1|<c><v>"+strings.Repeat("1", 2<<20)+"</v></c>")), trace.Ask{}, "", "1 MiB stands between two tags"},
		{"binary workbook", packed(t, map[string]string{"[Content_Types].xml": "<Types/>", "xl/workbook.bin": "x"}), trace.Ask{}, "", "xlsb"},
		{"no workbook", packed(t, map[string]string{"[Content_Types].xml": "<Types/>", "xl/styles.xml": "<a/>"}), trace.Ask{}, "", "without a workbook"},
		{"no sheets", workbook(t, nil), trace.Ask{}, "", "no sheet with cells"},
		{"cut off", one(plain)[:700], trace.Ask{}, "", "no whole zip"},
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range refusals(t) {
		_, err := xlsx.Format{}.Read("a.xlsx", c.data, c.ask)
		all := problem.All(err)
		if len(all) != 1 || all[0].Where != "a.xlsx"+c.where || !strings.Contains(all[0].What, c.what) {
			t.Errorf("%s: %v, want %q: %q", c.name, err, "a.xlsx"+c.where, c.what)
		}
	}
}

// Where time falls, a rate would read the drop backwards.
func TestNoRateForDropsInDisorder(t *testing.T) {
	for want, data := range map[string][]byte{
		"sort them": workbook(t, nil, fall("3|1", "2|1", "1|1")),
	} {
		_, err := xlsx.Format{}.Read("a.xlsx", data, trace.Ask{})
		all := problem.All(err)
		if len(all) != 1 || !strings.Contains(strings.Join(all[0].Hints, " "), want) || strings.Contains(strings.Join(all[0].Hints, " "), "--rate") {
			t.Errorf("%v, want a hint with %q and without --rate", err, want)
		}
	}
}

func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, c := range readings(t) {
		cases = append(cases, readertest.Case{Name: "a.xlsx", Data: c.data, Ask: c.ask, Rows: 3, Drops: c.drops})
	}
	for _, c := range refusals(t) {
		if len(c.data) < 1<<19 {
			cases = append(cases, readertest.Case{Name: "a.xlsx", Data: c.data, Ask: c.ask})
		}
	}
	cases = append(cases, severalCases(t)...)
	for name, want := range map[string]int{"simple.xlsx": n, "below-metadata.xlsx": n, "formulas.xlsx": n} {
		cases = append(cases, readertest.Case{Name: name, Data: testdata(t, name), Rows: want})
	}
	return cases
}

func TestExam(t *testing.T) {
	readertest.Exercise(t, xlsx.Format{}, examCases(t))
}
