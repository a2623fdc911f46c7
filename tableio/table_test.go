package tableio

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/klauspost/compress/zstd"
)

const plain = `specimen,fall,peak [kN]
M-01,1,3.25
M-01,2,1203.5
M-02,1,
M-02,2,NA
`

// utf16LE is text as some spreadsheets save it: UTF-16 with a byte order mark.
func utf16LE(s string) string {
	var b bytes.Buffer
	b.WriteString("\xff\xfe")
	for _, u := range utf16.Encode([]rune(s)) {
		b.Write([]byte{byte(u), byte(u >> 8)})
	}
	return b.String()
}

func gzipped(t *testing.T, s string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(s)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func zstandard(t *testing.T, s string) string {
	t.Helper()
	w, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	return string(w.EncodeAll([]byte(s), nil))
}

// The same table in every dialect gives the same cells.
func TestDialects(t *testing.T) {
	swap := func(from ...string) string { return strings.NewReplacer(from...).Replace(plain) }
	german := swap(",", ";", ".", ",")
	for name, data := range map[string]string{
		"plain":                plain,
		"CRLF":                 swap("\n", "\r\n"),
		"CR":                   swap("\n", "\r"),
		"no line end":          strings.TrimRight(plain, "\n"),
		"semicolon and comma":  german,
		"thousands":            strings.Replace(german, "1203,5", "1.203,5", 1),
		"apostrophes":          strings.Replace(plain, "1203.5", "1'203.5", 1),
		"tab":                  swap(",", "\t"),
		"bar":                  swap(",", " | "),
		"BOM":                  "\ufeff" + plain,
		"UTF-16":               utf16LE(plain),
		"quotes":               "\"specimen\",\"fall\",\"peak [kN]\"\n\"M-01\",\"1\",\"3.25\"\n\"M-01\",\"2\",\"1,203.5\"\nM-02,1,\"\"\nM-02,2,NaN\n",
		"comments":             "# taken on a Monday; a, b, c, d\n\n" + strings.Replace(plain, "M-02", "# a remark\nM-02", 1),
		"blank lines":          strings.ReplaceAll(plain, "\n", "\n\n"),
		"rows of delimiters":   plain + ",,\n,,\n",
		"a column of nothing":  strings.ReplaceAll(plain, "\n", ",\n"),
		"announced":            "sep=;\n" + german,
		"units under":          strings.Replace(plain, "peak [kN]\n", "peak\n,,[kN]\n", 1),
		"title above":          "Peaks of May\n" + plain,
		"gzip":                 gzipped(t, plain),
		"zstd":                 zstandard(t, plain),
		"runs of blanks":       strings.ReplaceAll(swap(",", "   ", "2,\n", "2,NA\n", " [kN]", "[kN]"), "1   \n", "1   NA\n"),
		"blanks at the end":    swap("\n", "  \n"),
		"Ctrl-Z and NULs":      plain + "\x1a\x00\x00",
		"another case in cell": strings.Replace(plain, "NA", "nan", 1),
	} {
		table, err := ReadFrom("t.csv", []byte(data), Ask{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		peaks, err := table.Numbers("peak")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		text, _ := table.Text("specimen")
		falls, _ := table.Numbers("fall")
		unit, _ := table.Unit("PEAK")
		if table.Rows != 4 || fmt.Sprint(peaks) != "[3.25 1203.5 NaN NaN]" || fmt.Sprint(text) != "[M-01 M-01 M-02 M-02]" || fmt.Sprint(falls) != "[1 2 1 2]" || unit != "kN" {
			t.Errorf("%s: %d rows, %v, %v, %v, unit %q", name, table.Rows, peaks, text, falls, unit)
		}
	}
}

func TestLatin1AndTypeset(t *testing.T) {
	table, err := ReadFrom("t.csv", []byte("gr\xf6\xdfe,v\n\xe9t\xe9,\x2d1\n"), Ask{})
	if err != nil || table.Names[0] != "größe" {
		t.Fatal(err, table)
	}
	if text, _ := table.Text("Größe"); text[0] != "été" {
		t.Errorf("%q", text)
	}
	table, err = ReadFrom("t.csv", []byte("a,v\nx,\u22121.5\n"), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if v, err := table.Numbers("v"); err != nil || v[0] != -1.5 {
		t.Errorf("%v %v: a minus sign of typesetting", v, err)
	}
}

func TestLines(t *testing.T) {
	table, err := ReadFrom("t.csv", []byte("# one\na,b\n\"x\ny\",1\n\nz,2\n"), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if table.Line(0) != 3 || table.Line(1) != 6 || table.Row(1) != "line 6" {
		t.Errorf("lines %d and %d", table.Line(0), table.Line(1))
	}
}

// Refusals name line and column, and what to do.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ data, ask, want string }{
		{"", "", "t.csv: the table is empty -> begin it with a header, one title a column"},
		{" \n\n", "", "t.csv: the table is empty -> begin it with a header, one title a column"},
		{"a,b\n", "", "t.csv: the table has a header and no row -> add a row for each value"},
		{"1,2\n3,4\n", "", `t.csv, line 1: the table has no header: its first row is all numbers, "1 2" -> put a row above it with a title for each column`},
		{"a,a\n1,2\n", "", `t.csv, line 1: columns 1 and 2 have the same title, "a" -> give each column a title of its own`},
		{"a,b\n1,2\n3\n", "", "t.csv, line 3: the row has 1 cell, and the header 2 -> write every cell, also one that is empty; put quotes round one that has the delimiter in it"},
		{"a,b\n1,2\n3,4,5\n", "", "t.csv, line 3: the row has 3 cells, and the header 2 -> give every column a title; put quotes round a cell that has the delimiter in it"},
		{"a,b\n1,\"2\n", "", `t.csv, line 2: a quote stands there that does not close, or not where a cell begins -> write a quote inside a quoted cell twice: ""`},
		{"a,v\nx,n/a\n", "", `t.csv, line 2, column v: "n/a" is no number -> leave the cell empty, or write NA, where the value is missing`},
		{"a,v\nx,3.2 kN\n", "", `t.csv, line 2, column v: "3.2 kN" is no number -> write the number alone, 3.2, and the unit in the title: v [kN] -> leave the cell empty, or write NA, where the value is missing`},
		{"a,v\nx,Inf\n", "", `t.csv, line 2, column v: "Inf" is no number -> leave the cell empty, or write NA, where the value is missing`},
		{"a,v\nx,0x1p3\n", "", `t.csv, line 2, column v: "0x1p3" is no number -> write the number alone, 0, and the unit in the title: v [x1p3] -> leave the cell empty, or write NA, where the value is missing`},
		{"a;v\nx;1,25\ny;1.25\n", "point", `t.csv, line 2, column v: "1,25" is no number -> the column is read with a decimal point: write every number so -> leave the cell empty, or write NA, where the value is missing`},
		{"a;v\nx;1,234\n", "", `t.csv, line 2, column v: "1,234" can be read with a decimal comma, or with a comma between thousands, and nothing in the table tells which -> say which: --decimal comma or --decimal point -> or write the numbers without marks between thousands`},
		{"a;v\nx;1,25\ny;1.25\n", "", `t.csv, line 2, column v: "1,25" can be read with a decimal comma, or with a comma between thousands, and nothing in the table tells which -> say which: --decimal comma or --decimal point -> or write the numbers without marks between thousands`},
		{"a,V1\nx,1\n", "", `t.csv: the table has no column "v" -> its columns are: a, V1`},
		{"V,v [N],a\n1,2,3\n", "", ""},
		{"\x89PNG\r\n\x1a\n", "", "t.csv: a PNG picture, not a table -> save the table as CSV or as xlsx"},
	} {
		got := ""
		table, err := ReadFrom("t.csv", []byte(c.data), Ask{Decimal: c.ask})
		if err == nil {
			_, err = table.Numbers("v")
		}
		got = said(err)
		if got != c.want {
			t.Errorf("%q:\n got %s\nwant %s", c.data, got, c.want)
		}
	}
}

func TestManyFaults(t *testing.T) {
	table, err := ReadFrom("t.csv", []byte("v,a\n"+strings.Repeat("x,1\n", 9)), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = table.Numbers("v")
	if n := strings.Count(err.Error(), "is no number"); n != mostFaults {
		t.Errorf("%d cells refused one by one, want %d", n, mostFaults)
	}
}

// The three ways to name wide columns give the same long table.
func TestLong(t *testing.T) {
	const wide = "specimen;fall 1 [kN];fall 2 [kN];fall 10 [kN];note\nM-01;3,5;3,75;;a\nM-02;4;4,25;4,5;b\n"
	for _, patterns := range [][]string{{"fall *"}, {"fall 1", "fall 2", "Fall 10"}, {"fall ?", "fall 10 [kN]"}} {
		table, err := ReadFrom("w.csv", []byte(wide), Ask{})
		if err != nil {
			t.Fatal(err)
		}
		columns, err := table.Match(patterns)
		if err != nil {
			t.Fatal(err)
		}
		long, err := table.Long(columns, "fall", "peak")
		if err != nil {
			t.Fatal(err)
		}
		peaks, err := long.Numbers("peak")
		if err != nil {
			t.Fatal(err)
		}
		falls, _ := long.Text("fall")
		notes, _ := long.Text("note")
		unit, _ := long.Unit("peak")
		if line(peaks, falls, notes, unit, long.Row(3)) != "[3.5 3.75 NaN 4 4.25 4.5] [1 2 10 1 2 10] [a a a b b b] kN line 3" {
			t.Error(peaks, falls, notes, unit, long.Row(3))
		}
	}
}

func TestLongRefusals(t *testing.T) {
	table, err := ReadFrom("w.csv", []byte("specimen,a [kN],b [N],fall,first,second\nx,1,2,3,4,oh\n"), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = table.Long([]string{"a", "b"}, "n", "v")
	if got := said(err); got != "w.csv: columns a [kN] and b [N] have different units -> bring them to one unit" {
		t.Error(got)
	}
	_, err = table.Long([]string{"first", "second"}, "fall", "v")
	if got := said(err); !strings.Contains(got, `has a column "fall" already`) {
		t.Error(got)
	}
	_, err = table.Match([]string{"peak *"})
	if got := said(err); !strings.HasPrefix(got, `w.csv: no column is like "peak *"`) {
		t.Error(got)
	}
	long, err := table.Long([]string{"first", "second"}, "n", "v")
	if err != nil {
		t.Fatal(err)
	}
	if names, _ := long.Text("n"); !slices.Equal(names, []string{"first", "second"}) {
		t.Error(names)
	}
	_, err = long.Numbers("v")
	if got := said(err); !strings.HasPrefix(got, `w.csv, line 2, column second: "oh" is no number`) {
		t.Error(got)
	}
}

// A number is read to the last bit, as strconv does.
func TestToTheLastBit(t *testing.T) {
	table, err := ReadFrom("t.csv", []byte("v,a\n0.1,1\n9007199254740993,2\n1e-320,3\n1.7976931348623157e308,4\n"), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	v, err := table.Numbers("v")
	want := []float64{0.1, 9007199254740992, 1e-320, math.MaxFloat64}
	if err != nil || !slices.Equal(v, want) {
		t.Errorf("%v, want %v (%v)", v, want, err)
	}
}

func line(values ...any) string { return strings.TrimSpace(fmt.Sprintln(values...)) }

func said(err error) string {
	if err == nil {
		return ""
	}
	return flat(err)
}

// Each column tells its own decimal mark before the table is asked.
func TestEachColumnItsMark(t *testing.T) {
	table, err := ReadFrom("t.csv", []byte("a;v;w\nx;1,25;1.5\ny;2,5;2.5\n"), Ask{})
	if err != nil {
		t.Fatal(err)
	}
	v, errV := table.Numbers("v")
	w, errW := table.Numbers("w")
	if errV != nil || errW != nil || !slices.Equal(v, []float64{1.25, 2.5}) || !slices.Equal(w, []float64{1.5, 2.5}) {
		t.Error(v, w, errV, errW)
	}
}
