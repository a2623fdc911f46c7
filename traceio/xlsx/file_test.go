package xlsx_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
)

// leaf is a sheet to write: its name and what stands in sheetData.
type leaf struct{ name, data string }

// workbook writes a workbook of these sheets. Style 1 shows a date, style 2 a
// number of its own format, style 3 elapsed time.
func workbook(t testing.TB, shared []string, sheets ...leaf) []byte {
	t.Helper()
	var list, rels, texts strings.Builder
	parts := map[string]string{}
	for i, s := range sheets {
		fmt.Fprintf(&list, `<sheet name="%s" sheetId="%d" r:id="rId%d"/>`, s.name, i+1, i+1)
		fmt.Fprintf(&rels, `<Relationship Id="rId%d" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet%d.xml"/>`, i+1, i+1)
		parts[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)] = `<worksheet><sheetData>` + s.data + `</sheetData></worksheet>`
	}
	for _, s := range shared {
		texts.WriteString("<si><t>" + s + "</t></si>")
	}
	parts["[Content_Types].xml"] = `<Types/>`
	parts["xl/workbook.xml"] = `<?xml version="1.0"?><workbook><sheets>` + list.String() + `</sheets></workbook>`
	parts["xl/_rels/workbook.xml.rels"] = `<Relationships>` + rels.String() + `</Relationships>`
	parts["xl/sharedStrings.xml"] = `<sst>` + texts.String() + `</sst>`
	parts["xl/styles.xml"] = `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="0.00&quot; days&quot;"/><numFmt numFmtId="165" formatCode="[ss].000"/></numFmts>` +
		`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/><xf numFmtId="164"/><xf numFmtId="165"/></cellXfs></styleSheet>`
	return packed(t, parts)
}

func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range []string{
		"[Content_Types].xml", "xl/workbook.xml", "xl/workbook.bin", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "xl/sharedStrings.xml",
		"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml", "xl/worksheets/sheet3.xml",
	} {
		if _, ok := parts[name]; !ok {
			continue
		}
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(parts[name])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// rows writes rows of cells from row first on. A cell is a number, or text in
// quotes, or an XML cell of its own.
func rows(first int, lines ...string) string {
	var b strings.Builder
	for i, line := range lines {
		fmt.Fprintf(&b, `<row r="%d">`, first+i)
		for c, cell := range strings.Split(line, "|") {
			at := fmt.Sprintf("%c%d", 'A'+c, first+i)
			switch {
			case cell == "":
			case strings.HasPrefix(cell, "<"):
				b.WriteString(strings.Replace(cell, "<c", `<c r="`+at+`"`, 1))
			case strings.HasPrefix(cell, "'"):
				fmt.Fprintf(&b, `<c r="%s" t="inlineStr"><is><t>%s</t></is></c>`, at, cell[1:])
			default:
				fmt.Fprintf(&b, `<c r="%s"><v>%s</v></c>`, at, cell)
			}
		}
		b.WriteString("</row>")
	}
	return b.String()
}
