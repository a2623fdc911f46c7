package tableio

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/problem"
)

// flat writes problems in one line each: what, then each hint.
func flat(err error) string {
	var out []string
	for _, p := range problem.All(err) {
		line := p.Error()
		for _, h := range p.Hints {
			line += " -> " + h
		}
		out = append(out, line)
	}
	if len(out) == 0 {
		return err.Error()
	}
	return strings.Join(out, "\n")
}

// workbook writes a workbook of sheets, given as the XML of their rows.
func workbook(t *testing.T, sheets ...string) []byte {
	t.Helper()
	var list, rels strings.Builder
	parts := [][2]string{{"[Content_Types].xml", "<Types/>"}}
	for i, data := range sheets {
		fmt.Fprintf(&list, `<sheet name="S%d" sheetId="%d" r:id="rId%d"/>`, i+1, i+1, i+1)
		fmt.Fprintf(&rels, `<Relationship Id="rId%d" Type="x/worksheet" Target="worksheets/sheet%d.xml"/>`, i+1, i+1)
		parts = append(parts, [2]string{fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1), "<worksheet><sheetData>" + data + "</sheetData></worksheet>"})
	}
	parts = append(parts, [2]string{"xl/workbook.xml", `<workbook><sheets>` + list.String() + `</sheets></workbook>`},
		[2]string{"xl/_rels/workbook.xml.rels", `<Relationships>` + rels.String() + `</Relationships>`},
		[2]string{"xl/styles.xml", `<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>`})
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range parts {
		w, err := z.Create(p[0])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(p[1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func words(at, s string) string {
	return fmt.Sprintf(`<c r="%s" t="inlineStr"><is><t>%s</t></is></c>`, at, s)
}

// A table that begins at B3, under a title, with a date, a number stored as text
// with a decimal comma, a blank cell at an end, and an error that says missing.
var sheetRows = `<row r="1">` + words("B1", "Peaks of May") + `</row>` +
	`<row r="3">` + words("B3", "specimen") + words("C3", "fall") + words("D3", "day") + words("E3", "peak (kN)") + `</row>` +
	`<row r="4">` + words("B4", "M-01") + `<c r="C4"><v>1</v></c><c r="D4" s="1"><v>46146</v></c><c r="E4"><v>3.1000000000000001</v></c></row>` +
	`<row r="5">` + words("B5", "M-01") + `<c r="C5"><v>2</v></c><c r="D5" s="1"><v>46146.5</v></c>` + words("E5", "3,25") + `</row>` +
	`<row r="6">` + words("B6", "M-02") + `<c r="C6"><v>1</v></c></row>` +
	`<row r="7">` + words("B7", "M-02") + `<c r="C7"><v>2</v></c><c r="D7"/><c r="E7" t="e"><v>#N/A</v></c></row>`

func TestSheet(t *testing.T) {
	for name, data := range map[string][]byte{"alone": workbook(t, sheetRows), "first of two": workbook(t, sheetRows, "<row><c><v>1</v></c></row>")} {
		table, err := ReadFrom("b.xlsx", data, Ask{})
		if err != nil {
			t.Fatal(name, err)
		}
		peaks, err := table.Numbers("peak")
		if err != nil {
			t.Fatal(name, err)
		}
		days, _ := table.Text("day")
		falls, _ := table.Text("fall")
		// 46146 is 4 May 2026: 25569 is 1 January 1970, and 20577 days later it is that.
		if line(peaks, days, falls, table.Row(1)) != "[3.1 3.25 NaN NaN] [2026-05-04 2026-05-04 12:00:00  ] [1 2 1 2] row 5" {
			t.Error(name, peaks, days, falls, table.Row(1))
		}
	}
}

func TestSheetByName(t *testing.T) {
	data := workbook(t, "<row><c><v>1</v></c></row>", sheetRows)
	path := filepath.Join(t.TempDir(), "b.xlsx")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path string
		ask  Ask
	}{{path, Ask{Sheet: "S2"}}, {path, Ask{Sheet: "2"}}, {path + "#s2", Ask{}}} {
		table, err := Read(c.path, c.ask)
		if err != nil || table.Rows != 4 || table.Name != `b.xlsx, sheet "S2"` {
			t.Error(c, table, err)
		}
	}
	if _, err := Read(path+"#S9", Ask{}); err == nil || flat(err) != `b.xlsx: --sheet "S9": the workbook has no such sheet -> choose one of them: 1 "S1", 2 "S2"` {
		t.Error(flat(err))
	}
	if _, err := Read(filepath.Join(t.TempDir(), "x#y"), Ask{}); problem.KindOf(err) != problem.NotFound {
		t.Error(err)
	}
	if _, err := Read(t.TempDir(), Ask{}); err == nil || !strings.Contains(err.Error(), "this is a folder") {
		t.Error(err)
	}
}

func TestSheetRefusals(t *testing.T) {
	head := `<row r="1">` + words("A1", "a") + words("B1", "v") + `</row>`
	for rows, want := range map[string]string{
		head + `<row r="2">` + words("A2", "x") + `<c r="B2" t="e"><v>#DIV/0!</v></c></row>`: "b.xlsx, row 2, column v: #DIV/0!, and no number -> correct the cell in the workbook and save it again, or write NA where the value is missing",
		head + `<row r="2">` + words("A2", "x") + `<c r="B2"><f>A1</f></c></row>`:            "b.xlsx, row 2, column v: a formula without a stored result, and no number -> correct the cell in the workbook and save it again, or write NA where the value is missing",
		head + `<row r="2">` + words("A2", "x") + words("B2", "high") + `</row>`:             `b.xlsx, row 2, column v: "high" is no number -> leave the cell empty, or write NA, where the value is missing`,
		head + `<row r="2">` + words("A2", "x") + `<c r="C2"><v>4</v></c></row>`:             "b.xlsx, row 2: the row has 3 cells, and the header 2 -> give every column a title; put quotes round a cell that has the delimiter in it",
	} {
		table, err := ReadFrom("b.xlsx", workbook(t, rows), Ask{})
		if err == nil {
			_, err = table.Numbers("v")
		}
		if got := said(err); got != want {
			t.Errorf("got %s\nwant %s", got, want)
		}
	}
}
