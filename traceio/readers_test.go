package traceio_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// stub claims what begins with its name.
type stub string

func (s stub) Name() string { return string(s) }

func (s stub) Claims(_ string, data []byte) bool { return strings.HasPrefix(string(data), string(s)) }

func (s stub) Read(string, []byte, trace.Ask) (*trace.File, error) {
	return &trace.File{Layout: trace.Layout{Format: string(s)}}, nil
}

func TestReadersAskEveryFormat(t *testing.T) {
	for _, order := range [][]traceio.Format{{stub("oats"), stub("rye")}, {stub("rye"), stub("oats")}} {
		file, err := traceio.New(order...).Read("a", []byte("rye bread"), trace.Ask{})
		if err != nil || file.Layout.Format != "rye" {
			t.Errorf("got %v, %v", file, err)
		}
	}
}

func TestTwoClaimsAreRefusedWithBothNames(t *testing.T) {
	file, err := traceio.New(stub("oats"), stub("oat"), stub("rye")).Read("a.csv", []byte("oats"), trace.Ask{})
	p := asProblem(t, err)
	if file == nil || len(file.Parts) > 0 || p.What != "2 formats claim this file: oats and oat" || p.Where != "a.csv" || len(p.Hints) == 0 || p.State != "nothing was read from a.csv" {
		t.Errorf("got %+v", p)
	}
}

func asProblem(t *testing.T, err error) *problem.Problem {
	t.Helper()
	var p *problem.Problem
	if !errors.As(err, &p) {
		t.Fatalf("no problem but %v", err)
	}
	return p
}

// utf16 writes Latin text as UTF-16, low byte first.
func utf16(s string) string {
	var b strings.Builder
	for i := range len(s) {
		b.WriteByte(s[i])
		b.WriteByte(0)
	}
	return b.String()
}

func TestStrangersAreNamed(t *testing.T) {
	readers := traceio.New(stub("oats"), stub("rye"))
	checked := 0
	for _, c := range []struct{ data, what, hint string }{
		{"\x89PNG\r\n\x1a\n....", "a PNG picture, not a trace", "the file that the logger wrote"},
		{"\xff\xd8\xff\xe0..JFIF", "a JPEG picture, not a trace", "the file that the logger wrote"},
		{"GIF89a....", "a GIF picture, not a trace", "the file that the logger wrote"},
		{"RIFF\x10\x00\x00\x00WEBPVP8 ", "a WebP picture, not a trace", "the file that the logger wrote"},
		{"%PDF-1.7\n", "a PDF document, not a trace", "the file that the logger wrote"},
		{"BZh91AY&SY....", "a file packed with bzip2, not a trace", "unpack it first"},
		{"notes.txt" + strings.Repeat("\x00", 248) + "ustar\x0000", "a tar archive, not a trace", "unpack it first"},
		{"PK\x03\x04\x14\x00\x06\x00........[Content_Types].xml", "a spreadsheet (a zip of XML), not a trace", "save the sheet as CSV"},
		{"PK\x03\x04\x14\x00\x06\x00........notes.txt", "a zip archive, not a trace", "unpack it first"},
		{"    -1\n    58\nCell 1\n", "a universal file (UFF), not a trace", "CSV"},
		{"{\n\"a\": [1, 2]\n}\n", "a JSON file, not a trace", "CSV"},
		{"<html>\n</html>\n", "a web page or XML file, not a trace", "CSV"},
		{"", "an empty file, not a trace", "export the recording again"},
		{strings.Repeat(" \r\n", 3000), "an empty file, not a trace", "export the recording again"},
		{"\x01\x00\x02\x00\x05\x00\x03\x00\x11\x00\x07\x00\x01\x00", "a binary file of a kind not known here, not a trace", "CSV"},
		{"\x01\x02\x00\x04\x05binary", "a binary file of a kind not known here, not a trace", "CSV"},
		{"\x01\x02\x03\x04\x05binary", "a binary file of a kind not known here, not a trace", "CSV"},
		{"wheat", "the file is of no kind that can be read here", "formats that can be read: oats, rye"},
	} {
		file, err := readers.Read("a.bin", []byte(c.data), trace.Ask{})
		p := asProblem(t, err)
		hints := strings.Join(p.Hints, "\n")
		if file == nil || len(file.Parts) > 0 || p.What != c.what || !strings.Contains(hints, c.hint) || !strings.Contains(hints, "oats, rye") ||
			p.Where != "a.bin" || p.State != "nothing was read from a.bin" || p.Kind != problem.Unreadable {
			t.Errorf("%q: got %+v", c.data, p)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// A file above the limit is refused before anybody looks into it: no page of
// this one is ever touched.
func TestTooLargeAFile(t *testing.T) {
	file, err := traceio.New(stub("rye")).Read("a.csv", make([]byte, traceio.MostBytes+1), trace.Ask{})
	if p := asProblem(t, err); len(file.Parts) > 0 || p.What != "the file has 2147483649 bytes; up to 2 GiB are read, which is our own limit" || len(p.Hints) == 0 {
		t.Errorf("%+v", p)
	}
}

func TestTextLooksLikeNothingElse(t *testing.T) {
	for _, s := range []string{
		"Time (s),Force (N)\n0,1\n", "0\t1\r\n", "Pr\xfcfstand;5\n", "Prüfstand;5\n", "\xef\xbb\xbft,F\n0,1\n",
		"[s];[N]\n0;1\n", "<run 3>\n0;1\n", "BMP reading,5\n", "PK,5\n", "PAR1;PAR2\n", "BZh;5\n", "GIF,5\n", "RIFF,0,0,0,0\n",
		"-1\n58\n60\n", "    -1\n   5.8\n", "\xff\xfe" + utf16("t,F"), utf16("Time (s),Force (N)\n0,1\n"), "\x00t\x00,\x00F\x00\n\x000\x00,\x001",
	} {
		if what := traceio.LooksLike([]byte(s)); what != "" {
			t.Errorf("%q looks like %s", s, what)
		}
	}
}

func TestAskCheck(t *testing.T) {
	for _, a := range []trace.Ask{{}, {Rate: 1000}, {Unit: "kN", Rate: 0.5}, {Unit: "mN", Force: "2", Time: "t"}, {Unit: "g", Delimiter: "bar", Decimal: "comma"}, {Unit: "m/s2", FullScale: 20}} {
		if err := traceio.Check("a.csv", a); err != nil {
			t.Errorf("%+v: %v", a, err)
		}
	}
	for _, c := range []struct {
		ask   trace.Ask
		where string
	}{
		{trace.Ask{Rate: -1}, "--rate"},
		{trace.Ask{Rate: math.NaN()}, "--rate"},
		{trace.Ask{Rate: math.Inf(1)}, "--rate"},
		{trace.Ask{FullScale: -1}, "--full-scale"},
		{trace.Ask{FullScale: math.Inf(1)}, "--full-scale"},
		{trace.Ask{Delimiter: ";"}, "--delimiter"},
		{trace.Ask{Decimal: "."}, "--decimal"},
		{trace.Ask{Unit: "lb"}, "--unit"},
		{trace.Ask{Unit: "s"}, "--unit"},
	} {
		p := asProblem(t, traceio.Check("a.csv", c.ask))
		if p.Where != c.where || len(p.Hints) == 0 || p.State != "nothing was read from a.csv" {
			t.Errorf("%+v: %+v", c.ask, p)
		}
	}
}

// A few NULs in a name that a logger did not fill are text; many are not, nor
// are any in one line.
func TestFewNULsAreText(t *testing.T) {
	rows := strings.Repeat("0.001;12.5\n", 40)
	for what, text := range map[string]bool{
		"Pr\xfcfstand\x00\x00\x00\x00\n" + rows:                       true,
		"tower\x00\n" + strings.ReplaceAll(rows, "\n", "\r"):          true,
		"tower\x00" + strings.ReplaceAll(rows, "\n", ";"):             false,
		"tower\x00\x01\n" + rows:                                      false,
		strings.Repeat("tower\x00\n", 20) + rows:                      false,
		"a\x00\n1;2\n":                                                false,
		strings.Repeat("tower\x00\n", 20) + strings.Repeat(rows, 100): true,
	} {
		if got := traceio.LooksLike([]byte(what)); (got == "") != text {
			t.Errorf("%.40q looks like %q", what, got)
		}
	}
}
