package delimited_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// The layout says what was understood, why, and what corrects it. This is the
// whole of it for a file with something of everything.
func TestLayout(t *testing.T) {
	data := "Pr\xfcfstand 3\r\n\r\nZeit;Weg;Kraft;Schranke\r\n(ms);(mm);(kN);(V)\r\n0;0,0;0,5;5\r\n1;1,5;1,25;5\r\n2;3,0;2,5;0\r\n"
	file, err := delimited.Format{}.Read("a.csv", []byte(data), trace.Ask{Gate: "schranke"})
	if err != nil {
		t.Fatal(err)
	}
	want := []trace.Fact{
		{What: "encoding", Is: "Latin-1", Why: "its beginning is no UTF-8"},
		{What: "delimiter", Is: "semicolon", Why: "rows have 4 cells parted by it", Flag: "--delimiter"},
		{What: "header", Is: "line 3", Why: "it names the columns, and line 4 their units"},
		{What: "first row", Is: "line 5", Why: "numbers begin there"},
		{What: "force", Is: `column 3 "Kraft"`, Why: "it is the only one in a unit of force", Flag: "--force"},
		{What: "time", Is: `column 1 "Zeit"`, Why: "it says so, and is the nearest to the force", Flag: "--time"},
		{What: "unit of time", Is: "ms", Why: "the file says so", Flag: "--rate"},
		{What: "unit", Is: "kN", Why: "the file says so", Flag: "--unit"},
		{What: "stretch", Is: `column 2 "Weg", in mm`, Why: "it says so, in a unit of length", Flag: "--stretch"},
		{What: "gate", Is: `column 4 "Schranke"`, Why: "--gate says so", Flag: "--gate"},
		{What: "decimal mark", Is: "comma", Why: `"0,5" on line 5 has it`, Flag: "--decimal"},
		{What: "rate", Is: "1000 Hz", Why: "the usual interval of 3 stamps is 0.001 s; all are the same", Flag: "--rate"},
		{What: "drops", Is: "1", Why: "nothing parts the rows"},
	}
	for i := range max(len(want), len(file.Layout.Facts)) {
		if i >= len(want) || i >= len(file.Layout.Facts) || want[i] != file.Layout.Facts[i] {
			t.Fatalf("fact %d:\n got %+v\nwant %+v", i, file.Layout.Facts, want)
		}
	}
	columns := []trace.Column{
		{No: 1, Title: "Zeit", Name: "Zeit", Unit: "ms", Use: "time", Cells: []string{"0", "1", "2"}},
		{No: 2, Title: "Weg", Name: "Weg", Unit: "mm", Use: "stretch", Cells: []string{"0,0", "1,5", "3,0"}},
		{No: 3, Title: "Kraft", Name: "Kraft", Unit: "kN", Use: "force", Cells: []string{"0,5", "1,25", "2,5"}},
		{No: 4, Title: "Schranke", Name: "Schranke", Unit: "V", Use: "gate", Cells: []string{"5", "5", "0"}},
	}
	if !reflect.DeepEqual(file.Layout.Columns, columns) || file.Layout.Format != "Delimited text" {
		t.Errorf("columns %+v", file.Layout.Columns)
	}
	rec := file.Parts[0]
	equal(t, "stretch", rec.Stretch, []float64{0, 0.0015, 0.003})
	equal(t, "gate", rec.Gate, []float64{5, 5, 0})
}

// A refusal has the layout as far as it was understood.
func TestLayoutBesideARefusal(t *testing.T) {
	for _, c := range []struct {
		data    string
		ask     trace.Ask
		facts   string
		columns int
	}{
		{"no table\n", trace.Ask{}, "encoding", 0},
		{"t (s);F (N)\n0;1\n1;2\n", trace.Ask{Rate: -1}, "", 0},
		{"t;a;b\n0;1;2\n1;2;3\n", trace.Ask{}, "encoding, delimiter, header, first row", 3},
		{"t (s);F (h)\n0;1\n1;2\n", trace.Ask{Force: "2"}, "encoding, delimiter, header, first row, force, time, unit of time", 2},
		{"t (s);F (N)\n0;1,234\n1;2,345\n", trace.Ask{}, "encoding, delimiter, header, first row, force, time, unit of time, unit", 2},
		{"t (s);F (N)\n0;1,5\n1;x\n2;1,5\n", trace.Ask{}, "encoding, delimiter, header, first row, force, time, unit of time, unit, decimal mark", 2},
	} {
		file, err := delimited.Format{}.Read("a.csv", []byte(c.data), c.ask)
		if err == nil {
			t.Errorf("%q: read", c.data)
			continue
		}
		var facts []string
		for _, f := range file.Layout.Facts {
			facts = append(facts, f.What)
		}
		if got := strings.Join(facts, ", "); got != c.facts || len(file.Layout.Columns) != c.columns {
			t.Errorf("%q: facts %s, %d columns; want %s, %d", c.data, got, len(file.Layout.Columns), c.facts, c.columns)
		}
	}
}

// A stretch that is taken by itself and not whole is left out; one that was
// asked for is refused there.
func TestStretchThatIsNotWhole(t *testing.T) {
	var b strings.Builder
	b.WriteString("t (ms),Weg (mm),F (N)\n")
	for i := range 20_000 {
		weg := "1.5"
		if i == 15_000 {
			weg = ""
		}
		b.WriteString(fmt.Sprintf("%d,%s,5\n", i, weg))
	}
	file, err := delimited.Format{}.Read("a.csv", []byte(b.String()), trace.Ask{})
	if err != nil {
		t.Fatal(err)
	}
	rec := file.Parts[0]
	if rec.Stretch != nil || len(rec.Force) != 20_000 || factOf(file, "stretch").Is != "none" {
		t.Errorf("%d values of stretch, fact %+v", len(rec.Stretch), factOf(file, "stretch"))
	}
	doubts(t, rec.Notes, []string{"is blank on line 15002"})
	for _, c := range file.Layout.Columns {
		if c.Use == "stretch" {
			t.Errorf("the layout has column %d as the stretch", c.No)
		}
	}
	_, err = readOne("a.csv", []byte(b.String()), trace.Ask{Stretch: "weg"})
	refusedWith(t, "asked for", err, "a.csv:15002", `column 2 "Weg (mm)" is blank beside a force`, "leave it out")
	_, err = readOne("a.csv", []byte(strings.Replace(b.String(), ",,5", ",lost,5", 1)), trace.Ask{Stretch: "weg"})
	refusedWith(t, "a word", err, "a.csv:15002", `"lost" in column 2 "Weg (mm)" is no number`, "correct")
}
