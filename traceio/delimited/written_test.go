package delimited_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// written is a file that a way of writing makes of three samples, and what of
// the layout has to say so.
type written struct {
	name, data    string
	ask           trace.Ask
	times, forces []float64
	fact, is      string
	doubts        []string
}

// numbers are ways to write numbers. Source of the values: what is written.
var numbers = []written{
	{name: "a comma between thousands, a point", data: "t (s);F (N)\n0;1,234.5\n1;12,345.5\n2;1,234,567\n", times: []float64{0, 1, 2}, forces: []float64{1234.5, 12345.5, 1234567}, fact: "mark between thousands", is: "comma"},
	{name: "a point between thousands, a comma", data: "t (s);F (N)\n0,5;1.234,5\n1,5;-12.345,5\n2,5;1.234\n", times: []float64{0.5, 1.5, 2.5}, forces: []float64{1234.5, -12345.5, 1234}, fact: "mark between thousands", is: "point"},
	{name: "thousands quoted between commas", data: "t (s),F (N)\n0.5,\"1,234.5\"\n1.5,\"2,345\"\n2.5,7\n", times: []float64{0.5, 1.5, 2.5}, forces: []float64{1234.5, 2345, 7}, fact: "decimal mark", is: "point"},
	{name: "thousands twice, no decimals", data: "t (s);F (N)\n0;1,234,567\n1;1,234\n2;7\n", times: []float64{0, 1, 2}, forces: []float64{1234567, 1234, 7}, fact: "mark between thousands", is: "comma"},
	{name: "blanks between thousands", data: "t (s);F (N)\n0;1 234,5\n1;12 345,5\n2;1 234 567\n", times: []float64{0, 1, 2}, forces: []float64{1234.5, 12345.5, 1234567}, fact: "decimal mark", is: "comma"},
	{name: "no-break blanks", data: "t (s);F (N)\n0;1\u00a0234,5\n1;12\u202f345,5\n2;7,5\n", times: []float64{0, 1, 2}, forces: []float64{1234.5, 12345.5, 7.5}, fact: "decimal mark", is: "comma"},
	{name: "no-break blanks in Latin-1", data: "t (s);F (N);\xfc\n0;1\xa0234,5;1\n1;12\xa0345,5;1\n2;7,5;1\n", times: []float64{0, 1, 2}, forces: []float64{1234.5, 12345.5, 7.5}, fact: "encoding", is: "Latin-1"},
	{name: "apostrophes", data: "t (s),F (N)\n0.5,1'234.5\n1.5,12\u2019345.5\n2.5,7\n", times: []float64{0.5, 1.5, 2.5}, forces: []float64{1234.5, 12345.5, 7}, fact: "decimal mark", is: "point"},
	{name: "a comma that is asked for", ask: trace.Ask{Decimal: "comma"}, data: "t (s);F (N)\n0;1,234\n1;2,345\n2;1.234,5\n", times: []float64{0, 1, 2}, forces: []float64{1.234, 2.345, 1234.5}, fact: "decimal mark", is: "comma"},
	{name: "a point that is asked for", ask: trace.Ask{Decimal: "point"}, data: "t (s);F (N)\n0;1,234\n1;2,345\n2;7.5\n", times: []float64{0, 1, 2}, forces: []float64{1234, 2345, 7.5}, fact: "decimal mark", is: "point"},
	{name: "one number a line, a comma asked for", ask: trace.Ask{Decimal: "comma", Rate: 1}, data: "633,21\n628,46\n630,5\n", times: []float64{0, 1, 2}, forces: []float64{633.21, 628.46, 630.5}, fact: "delimiter", is: "none", doubts: []string{"the only one", "read as N"}},
	{name: "two numbers a line, the delimiter asked for", ask: trace.Ask{Delimiter: "comma", Time: "1", Force: "2"}, data: "633,21\n634,46\n635,5\n", times: []float64{633, 634, 635}, forces: []float64{21, 46, 5}, fact: "delimiter", is: "comma", doubts: []string{"as seconds", "read as N"}},
	{name: "a semicolon for one column of commas", ask: trace.Ask{Delimiter: "semicolon", Rate: 1}, data: "633,21\n628,46\n630,5\n", times: []float64{0, 1, 2}, forces: []float64{633.21, 628.46, 630.5}, fact: "delimiter", is: "none", doubts: []string{"the only one", "read as N"}},
}

// cells are ways to part and to align them.
var cells = []written{
	{name: "bars", data: "t (s)|F (N)\n0|1.5\n1|2.5\n2|3.5\n", times: []float64{0, 1, 2}, forces: []float64{1.5, 2.5, 3.5}, fact: "delimiter", is: "bar"},
	{name: "bars all round", data: "| t (s) | F (N) |\n|-------|-------|\n| 0 | 1.5 |\n| 1 | 2.5 |\n| 2 | 3.5 |\n", times: []float64{0, 1, 2}, forces: []float64{1.5, 2.5, 3.5}, fact: "delimiter", is: "bar"},
	{name: "fixed width, blank cells", data: "Time (s)   Flow    Force (N)\n   0.0      1.5       10.5\n   1.0                11.5\n   2.0      1.5       12.5\n", times: []float64{0, 1, 2}, forces: []float64{10.5, 11.5, 12.5}, fact: "delimiter", is: "fixed width"},
	{name: "fixed width, wider later", data: "t (s)   x    F (N)\n  0.0         -1.5\n  1.0          2.5\n  2.0   7.5  130.5\n", times: []float64{0, 1, 2}, forces: []float64{-1.5, 2.5, 130.5}, fact: "delimiter", is: "fixed width"},
	{name: "fixed width, a decimal comma", data: "Zeit (s)   Weg      Kraft (N)\n   0,0      1,5       10,5\n   1,0                11,5\n   2,0                12,5\n", times: []float64{0, 1, 2}, forces: []float64{10.5, 11.5, 12.5}, fact: "decimal mark", is: "comma"},
}

// metadata are rates that are stated above a table.
var metadata = []written{
	{name: "a rate", data: "Sample rate: 2000 Hz\nForce (N)\n1\n2\n3\n", fact: "rate", is: "2000 Hz"},
	{name: "a rate in kHz, a decimal comma", data: "Prüfstand 3\nAbtastrate;2,0 kHz\n\nKraft (N)\n1\n2\n3\n", fact: "rate", is: "2000 Hz"},
	{name: "an interval", data: "Interval 0,5 ms\nKraft (N)\n1,5\n2\n3\n", fact: "rate", is: "2000 Hz"},
	{name: "a rate with the unit in brackets", data: "\"Sampling frequency (kHz)\",2\n\"Force (N)\",\"Flow\"\n1,5\n2,5\n3,5\n", fact: "rate", is: "2000 Hz"},
	{name: "a rate behind a comment sign, thousands", data: "# sample_rate = 1,234,000 Hz\n# F (N)\n1\n2\n3\n", fact: "rate", is: "1.234e+06 Hz"},
	{name: "a rate, and samples that are numbered", data: "Taxa de amostragem;2000;Hz\nNo;Carga (N)\n1;1\n2;2\n3;3\n", fact: "rate", is: "2000 Hz"},
	{name: "a rate alone above", data: "# fs = 10 kHz\n1\n2\n3\n", fact: "rate", is: "10000 Hz"},
	{name: "two that agree", data: "Sample rate: 2000 Hz\ndt = 0.0005 s\nForce (N)\n1\n2\n3\n", fact: "rate", is: "2000 Hz"},
}

func TestNumbersAsTheyAreWritten(t *testing.T) { asWritten(t, numbers) }
func TestCellsAsTheyAreParted(t *testing.T)    { asWritten(t, cells) }

func asWritten(t *testing.T, cases []written) {
	t.Helper()
	checked := 0
	for _, c := range cases {
		file, err := delimited.Format{}.Read("a.csv", []byte(c.data), c.ask)
		if err != nil || len(file.Parts) != 1 {
			t.Errorf("%s: %d drops, %v", c.name, len(file.Parts), err)
			continue
		}
		equal(t, c.name+": time", file.Parts[0].Time, c.times)
		equal(t, c.name+": force", file.Parts[0].Force, c.forces)
		doubts(t, file.Parts[0].Notes, c.doubts)
		if f := factOf(file, c.fact); f.Is != c.is || f.Why == "" {
			t.Errorf("%s: fact %+v, want %q", c.name, f, c.is)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// A rate that the file states is used where it has no time, and said.
func TestStatedRates(t *testing.T) {
	for _, c := range metadata {
		file, err := delimited.Format{}.Read("a.csv", []byte(c.data), c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		rec := file.Parts[0]
		f := factOf(file, "rate")
		d := doubtsOf(rec)
		if c.name == "a rate alone above" {
			d = d[1:2] // between the column and its unit
		}
		if f.Is != c.is || !strings.Contains(f.Why, "states it") || len(d) != 1 || !strings.Contains(d[0], "the rate that the file states, "+c.is) {
			t.Errorf("%s: fact %+v, notes %q", c.name, f, rec.Notes)
		}
		if len(rec.Time) != 3 || rec.TimeColumn != "" || rec.Force[2] != 3 {
			t.Errorf("%s: %+v", c.name, rec)
		}
	}
	for name, data := range map[string]string{
		"a speed":               "Taxa 1;50,00000;mm/min\nForce (N)\n1\n2\n",
		"a rate without a word": "2000 Hz\nForce (N)\n1\n2\n",
		"an interval of what":   "Interval: 5\nForce (N)\n1\n2\n",
		"none":                  "Sample rate: 0 Hz\nForce (N)\n1\n2\n",
	} {
		_, err := readOne("a.csv", []byte(data), trace.Ask{})
		refusedWith(t, name, err, "a.csv:2", "no column is known to be time", "--rate HZ")
	}
	_, err := readOne("a.csv", []byte("Sample rate: 2000 Hz\nInterval: 1 ms\nForce (N)\n1\n2\n"), trace.Ask{})
	refusedWith(t, "two that disagree", err, "a.csv:2", `"Interval: 1 ms" is another rate than "Sample rate: 2000 Hz" on line 1: 1000 Hz and 2000 Hz`, "--rate 2000 or --rate 1000")
	_, err = readOne("a.csv", []byte("Sample rate: 2,000 Hz\nForce (N)\n1\n2\n"), trace.Ask{})
	refusedWith(t, "two readings", err, "a.csv:2", "no column is known to be time", `"Sample rate: 2,000 Hz" on line 1 can be read in two ways`)
	if rec, err := readOne("a.csv", []byte("Sample rate: 2000 Hz\nInterval: 1 ms\nTime (s),Force (N)\n0,1\n1,2\n"), trace.Ask{}); err != nil || rec.Time[1] != 1 || len(rec.Notes) != 0 {
		t.Errorf("two beside a time column: %+v, %v", rec, err)
	}
	for data, notes := range map[string][]string{
		"Sample rate: 1000 Hz\nTime (s),Force (N)\n0,1\n1,2\n2,3\n":          {`"Sample rate: 1000 Hz" on line 1 is another rate than the 1 Hz of column 1 "Time (s)"`},
		"Sample rate: 1000 Hz\nTime (ms),Force (N)\n0,1\n1.01,2\n2,3\n":      {},
		"Sample rate: 1000 Hz\n\nTime (ms),Force (N)\n0,1\n1.07,2\n2.15,3\n": {"is another rate than the 930.233 Hz"},
	} {
		rec, err := readOne("a.csv", []byte(data), trace.Ask{})
		if err != nil {
			t.Errorf("%q: %v", data, err)
			continue
		}
		doubts(t, rec.Notes, notes)
	}
	_, err = readOne("a.csv", []byte("Abtastrate: 2.000 Hz\nKraft (N)\n1,5\n2,5\n"), trace.Ask{})
	refusedWith(t, "a point between thousands", err, "a.csv:1", `"Abtastrate: 2.000 Hz" can be read as 2 Hz`, "--rate 2 or --rate 2000")
}

// The same file in every encoding and with every line end gives the same
// drop. The bytes are made by the standard library.
func TestEncodings(t *testing.T) {
	plain := "Prüfstand µ;1\nZeit (s);Prüfkraft (kN)\n0,0;1,5\n0,5;-2,5\n1,0;8,25\n"
	wide := func(order binary.ByteOrder, mark bool, s string) []byte {
		units := utf16.Encode([]rune(s))
		if mark {
			units = append([]uint16{0xfeff}, units...)
		}
		var b bytes.Buffer
		if err := binary.Write(&b, order, units); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	narrow := func(s string) []byte {
		var b []byte
		for _, r := range s {
			b = append(b, byte(r))
		}
		return b
	}
	checked := 0
	for _, end := range []string{"\n", "\r\n", "\r"} {
		s := strings.ReplaceAll(plain, "\n", end)
		for _, c := range []struct {
			is   string
			data []byte
		}{
			{"UTF-8", []byte(s)},
			{"UTF-8", []byte("\xef\xbb\xbf" + s)},
			{"Latin-1", narrow(s)},
			{"UTF-16", wide(binary.LittleEndian, true, s)},
			{"UTF-16", wide(binary.BigEndian, true, s)},
			{"UTF-16", wide(binary.LittleEndian, false, s)},
			{"UTF-16", wide(binary.BigEndian, false, s)},
		} {
			if !(delimited.Format{}).Claims("a.csv", c.data) {
				t.Errorf("%s with %q: not claimed", c.is, end)
			}
			file, err := delimited.Format{}.Read("a.csv", c.data, trace.Ask{})
			if err != nil {
				t.Errorf("%s with %q: %v", c.is, end, err)
				continue
			}
			if end == "\r" {
				c.is += ", lines ended by CR"
			}
			rec := file.Parts[0]
			if rec.ForceColumn != "Prüfkraft (kN)" || len(rec.Notes) != 0 || factOf(file, "encoding").Is != c.is || factOf(file, "header").Is != "line 2" {
				t.Errorf("%s with %q: %+v, %+v", c.is, end, rec, file.Layout.Facts)
			}
			equal(t, c.is, rec.Time, []float64{0, 0.5, 1})
			equal(t, c.is, rec.Force, []float64{1500, -2500, 8250})
			checked++
		}
	}
	if checked != 21 {
		t.Fatalf("%d ways were checked", checked)
	}
	// A pair of surrogates in a title, and half a character at the end.
	odd := wide(binary.LittleEndian, true, "t (s);F\U0001d453 (N)\n0;1\n1;2\n")
	if rec, err := readOne("a.csv", odd[:len(odd)-1], trace.Ask{}); err != nil || rec.ForceColumn != "F\U0001d453 (N)" {
		t.Errorf("%+v, %v", rec, err)
	}
}

// Times of day against Go's own package time, which reads the same stamps.
func TestTimesOfDay(t *testing.T) {
	start := time.Date(2027, 12, 31, 23, 59, 58, 250e6, time.FixedZone("", 3600))
	checked := 0
	for _, c := range []struct{ name, layout, unit string }{
		{"time", "15:04:05.000", ""},
		{"a decimal comma", "15:04:05,000", ""},
		{"a colon", "15:04:05:000", ""},
		{"ISO with a zone", "2006-01-02T15:04:05.000Z07:00", ""},
		{"ISO without", "2006-01-02 15:04:05.000", ""},
		{"points", "02.01.2006 15:04:05.000", ""},
		{"strokes", "01/02/2006 15:04:05.000", ""},
		{"AM and PM", "3:04:05.000 PM", ""},
	} {
		for _, utc := range []bool{false, true} {
			at := start
			if utc {
				at = at.UTC().Add(time.Hour)
			}
			b := []byte("Stamp;Force (N)\n")
			for i := range 1000 {
				stamp := at.Add(time.Duration(i) * 125 * time.Millisecond).Format(strings.Replace(c.layout, ",000", ".000", 1))
				if strings.Contains(c.layout, ",") {
					stamp = strings.Replace(stamp, ".", ",", 1)
				}
				if c.layout == "15:04:05:000" {
					stamp = strings.Replace(at.Add(time.Duration(i)*125*time.Millisecond).Format("15:04:05.000"), ".", ":", 1)
				}
				b = fmt.Appendf(b, "%s;%d\n", stamp, i)
			}
			file, err := delimited.Format{}.Read("a.csv", b, trace.Ask{})
			if err != nil || len(file.Parts) != 1 {
				t.Errorf("%s: %d drops, %v\n%s", c.name, len(file.Parts), err, b[:60])
				continue
			}
			rec := file.Parts[0]
			if len(rec.Time) != 1000 || len(rec.Notes) != 0 || rec.TimeColumn != "Stamp" || factOf(file, "rate").Is != "8 Hz" {
				t.Errorf("%s: %d samples, notes %q, %+v", c.name, len(rec.Time), rec.Notes, factOf(file, "rate"))
			}
			for i, v := range rec.Time {
				// An eighth of a second is exact, and so are seconds of two days.
				if v-rec.Time[0] != float64(i)/8 {
					t.Fatalf("%s: sample %d %v s after the first, want %v", c.name, i, v-rec.Time[0], float64(i)/8)
				}
			}
			checked++
		}
	}
	if checked != 16 {
		t.Fatalf("%d files were checked", checked)
	}
	// The clocks of a zone are set forward; the samples are a second apart.
	rec, err := readOne("a.csv", []byte("t;F (N)\n2027-03-28T01:59:59+01:00;1\n2027-03-28T03:00:00+02:00;2\n2027-03-28T03:00:01+0200;3\n"), trace.Ask{})
	if err != nil || rec.Time[1]-rec.Time[0] != 1 || rec.Time[2]-rec.Time[1] != 1 {
		t.Errorf("summer time: %v, %v", rec, err)
	}
	for _, bad := range []string{"12:60:00", "12:00:61", "25:00:00", "noon", "12:00", "2027-13:00:00", "12:00:00+", "1:2:3", "13:00:00 XM"} {
		data := "Time;F (N)\n12:00:00;1\n12:00:01;2\n12:00:02;3\n" + bad + ";4\n12:00:04;5\n"
		_, err := readOne("a.csv", []byte(data), trace.Ask{})
		refusedWith(t, bad, err, "a.csv:5", "is no time of day", "--rate HZ")
	}
}

// Dates over leap days, against Go's package time.
func TestDatesAreCounted(t *testing.T) {
	checked := 0
	for year := 1996; year < 2105; year++ {
		for _, md := range [][2]int{{1, 1}, {2, 28}, {3, 1}, {12, 31}} {
			first := time.Date(year, time.Month(md[0]), md[1], 12, 0, 0, 0, time.UTC)
			next := first.AddDate(0, 0, 1)
			data := "Time;F (N)\n" + first.Format("2006-01-02T15:04:05Z;1\n") + next.Format("2006-01-02T15:04:05Z;2\n") + next.AddDate(0, 1, 0).Format("02.01.2006 15:04:05;3\n")
			rec, err := readOne("a.csv", []byte(data), trace.Ask{})
			if err != nil || rec.Time[1]-rec.Time[0] != 86400 || rec.Time[2]-rec.Time[1] != next.AddDate(0, 1, 0).Sub(next).Seconds() {
				t.Fatalf("%s: %v, %v", data, rec, err)
			}
			checked++
		}
	}
	if checked != 436 {
		t.Fatalf("%d dates were checked", checked)
	}
}
