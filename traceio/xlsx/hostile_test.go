package xlsx_test

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"io"
	"runtime"
	"strings"
	"testing"
	"time"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/xlsx"
)

// bomb is a workbook whose part begins with head and goes on with body, times
// over.
func bomb(t *testing.T, part, head, body string, times int) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	for name, text := range map[string]string{
		"[Content_Types].xml":        "<Types/>",
		"xl/workbook.xml":            `<workbook><sheets><sheet name="Fall" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="rId1" Type="a/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`,
		"xl/worksheets/sheet1.xml":   `<worksheet><sheetData>` + rows(1, titles, "0|1", "1|2") + `</sheetData></worksheet>`,
	} {
		if name == part {
			continue
		}
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write([]byte(text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	w, err := z.Create(part)
	if err != nil {
		t.Fatal(err)
	}
	block := strings.Repeat(body, 1+(1<<20)/len(body))
	_, err = w.Write([]byte(head))
	for left := times * len(body); left > 0 && err == nil; left -= len(block) {
		_, err = w.Write([]byte(block))
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// peak is the most memory that the heap held above where it began.
func peak(do func()) int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	before := int64(m.HeapAlloc)
	most := int64(0)
	stop, done := make(chan bool), make(chan bool)
	go func() {
		defer close(done)
		for {
			runtime.ReadMemStats(&m)
			most = max(most, int64(m.HeapAlloc)-before)
			select {
			case <-stop:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	do()
	close(stop)
	<-done
	return most
}

// A sheet of rows as wide as the format allows is looked at in little time: what
// is done for each cell does not grow with the row.
func TestWideSheet(t *testing.T) {
	var b strings.Builder
	for range 14 {
		b.WriteString("<row>" + strings.Repeat("<c><v>1</v></c>", xlsx.MostColumns) + "</row>")
	}
	data := workbook(t, nil, leaf{"Fall", b.String()})
	begun := time.Now()
	_, err := xlsx.Format{}.Read("a.xlsx", data, trace.Ask{})
	if err == nil {
		t.Error("16384 columns without a name are read")
	}
	// About 0.2 s here; quadratic work would take ten.
	if took := time.Since(begun); took > 5*time.Second {
		t.Errorf("it took %v", took)
	}
}

// Bombs are refused by a stated limit before the heap has grown by twenty times
// the file.
func TestBombs(t *testing.T) {
	if testing.Short() {
		t.Skip("short: that zip bombs are refused in little memory is not checked")
	}
	sheet := "xl/worksheets/sheet1.xml"
	for _, c := range []struct {
		name, part, head, body string
		mega                   int // bytes that it unpacks to, in MiB
		what                   string
	}{
		{"empty rows", sheet, "<worksheet><sheetData>", "<row/>", 8, "rows below it"},
		{"empty elements before the cells", sheet, "<worksheet>", `<col a="` + strings.Repeat("x", 1000) + `"/>`, 70, "unpacks to more than 64 MiB"},
		{"one long text", sheet, "<worksheet><sheetData><row><c><v>", "1", 5, "1 MiB stands between two tags"},
		{"shared texts", "xl/sharedStrings.xml", "<sst>", "<si><t>a</t></si>", 20, "6 times the file"},
		{"shared texts without an end", "xl/sharedStrings.xml", "<sst><si>", "<t>abc</t>", 20, "6 times the file"},
		{"styles", "xl/styles.xml", "<styleSheet><cellXfs>", `<xf a="` + strings.Repeat("x", 1000) + `"/>`, 70, "unpacks to more than 64 MiB"},
		{"sheets", "xl/workbook.xml", "<workbook><sheets>", `<sheet name="a" r:id="rId1"/>`, 2, "more than 1000 sheets"},
		{"one long row", sheet, "<worksheet><sheetData><row>", `<c r="A1"><v>1</v></c>`, 2, "from left to right"},
	} {
		data := bomb(t, c.part, c.head, c.body, c.mega<<20/len(c.body))
		var err error
		grown := peak(func() { _, err = xlsx.Format{}.Read("a.xlsx", data, trace.Ask{}) })
		p := problem.All(err)
		if len(p) != 1 || !strings.Contains(p[0].What, c.what) {
			t.Errorf("%s: %v, want %q", c.name, err, c.what)
		}
		// Beside twenty times the file there is what any reading takes.
		const any = 6 << 20
		if grown > int64(20*len(data)+any) {
			t.Errorf("%s: the heap grew by %d KiB for a file of %d KiB", c.name, grown>>10, len(data)>>10)
		}
		t.Logf("%s: %d KiB, grown by %d KiB", c.name, len(data)>>10, grown>>10)
	}
}
