package parquet_test

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/parquet"
	"fallwright.example/traceio/readertest"
)

func bitsOf(v float64) uint64 { return math.Float64bits(v) }

// fall is a sound file with 1, 2.5 and -0.5 at 0, 0.5 and 2.
func fall(change func(f *flat)) []byte {
	f := flat{names: []string{"Time (s)", "Force (N)"}, columns: [][]float64{{0, 0.5, 2}, {1, 2.5, -0.5}}}
	if change != nil {
		change(&f)
	}
	return f.write()
}

func force(v ...float64) func(f *flat) {
	return func(f *flat) {
		f.columns[1] = v
		f.columns[0] = nil
		for i := range v {
			f.columns[0] = append(f.columns[0], float64(i))
		}
	}
}

var nan, inf = math.NaN(), math.Inf(1)

var readings = []struct {
	name  string
	data  []byte
	ask   trace.Ask
	newt  float64
	notes []string
}{
	{"plain", fall(nil), none, 1, nil},
	{"optional", fall(func(f *flat) { f.optional = true }), none, 1, nil},
	{"unit in the metadata", fall(func(f *flat) { f.names[1] = "force"; f.words = [][2]string{{"unit:force", "kN"}} }), none, 1000, nil},
	{"unit in the metadata and in the name", fall(func(f *flat) { f.words = [][2]string{{"unit:Force (N)", "N"}} }), none, 1, nil},
	{"rate in the metadata", fall(func(f *flat) { f.names[0] = "other"; f.words = [][2]string{{"rate_Hz", "2"}} }), none, 1, []string{"the rate that the file states"}},
	{"rate asked for", fall(nil), trace.Ask{Rate: 2}, 1, []string{"--rate 2 Hz"}},
	{"unit asked for", fall(nil), trace.Ask{Unit: "kN"}, 1000, []string{"because of --unit"}},
	{"no unit", fall(func(f *flat) { f.names[1] = "force" }), none, 1, []string{"read as N"}},
	{"stretch with a gap", fall(func(f *flat) {
		f.names = append(f.names, "stretch (mm)")
		f.columns = append(f.columns, []float64{1, nan, 3})
	}), none, 1, []string{"no value at row 2"}},
}

func TestReadings(t *testing.T) {
	for _, c := range readings {
		file, err := parquet.Format{}.Read("a.parquet", c.data, c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		rec := file.Parts[0]
		for i, want := range []float64{1, 2.5, -0.5} {
			if len(rec.Force) != 3 || rec.Force[i] != want*c.newt {
				t.Errorf("%s: %v, want %v", c.name, rec.Force, want*c.newt)
				break
			}
		}
		if at := []float64{0, 0.5, 2}; c.ask.Rate == 0 && !strings.HasPrefix(c.name, "rate") && (rec.Time[1] != at[1] || rec.Time[2] != at[2]) || rec.Time[1] != 0.5 {
			t.Errorf("%s: times %v", c.name, rec.Time)
		}
		if rec.Stretch != nil {
			t.Errorf("%s: stretch %v", c.name, rec.Stretch)
		}
		same(t, c.name, rec.Notes, c.notes)
	}
}

// A gate and a stretch are read beside the force, and cut like it where it
// begins late.
func TestBesideTheForce(t *testing.T) {
	data := fall(func(f *flat) {
		f.names = append(f.names, "travel (mm)", "beam")
		f.columns = [][]float64{{0, 1, 2, 3}, {nan, 1, 2, 3}, {5, 6, 7, 8}, {0, 0, 5, 0}}
	})
	file, err := parquet.Format{}.Read("a.parquet", data, trace.Ask{Gate: "beam", Stretch: "travel"})
	if err != nil {
		t.Fatal(err)
	}
	rec := file.Parts[0]
	if len(rec.Force) != 3 || rec.Time[0] != 1 || rec.Stretch[0] != 0.006 || rec.Gate[1] != 5 || len(rec.Gate) != 3 {
		t.Errorf("%+v", rec)
	}
}

var refusals = []struct {
	name  string
	data  []byte
	ask   trace.Ask
	where string
	what  string
}{
	{"gap in the force", fall(force(1, nan, 2)), none, ", row 2", "no value there"},
	{"infinite force", fall(force(1, inf, 2)), none, ", row 2", "infinite"},
	{"gap in the time", fall(func(f *flat) { f.columns[0][1] = nan }), none, ", row 2", "no value there"},
	{"time goes back", fall(func(f *flat) { f.columns[0][2] = 0.25 }), none, ", row 3", "0.25 s there, after 0.5 s"},
	{"gap in a stretch that is asked for", fall(func(f *flat) {
		f.names = append(f.names, "travel (mm)")
		f.columns = append(f.columns, []float64{1, 2, nan})
	}), trace.Ask{Stretch: "travel"}, ", row 3", "no value there"},
	{"no force", fall(func(f *flat) { f.names[1] = "mass [g]" }), none, "", "1 \"Time (s)\", 2 \"mass [g]\""},
	{"force of words", fall(func(f *flat) { f.physical = 6 }), none, "", "does not hold numbers"},
	{"units that differ", fall(func(f *flat) { f.words = [][2]string{{"unit:Force (N)", "kN"}} }), none, "", "says N in its name, and kN under"},
	{"unit of no force", fall(func(f *flat) { f.names[1] = "force [V]" }), none, "", "\"V\""},
	{"nothing there", fall(force(nan, nan, 1)), none, "", "1 value;"},
	{"nested", fall(func(f *flat) { f.children = 2 }), none, "", "holds columns or lists"},
	{"no such column", fall(nil), trace.Ask{Force: "load"}, "", "--force \"load\""},
	{"a second drop", fall(nil), trace.Ask{Part: "2"}, "", "the file holds 1 drop: 1"},
	{"huge force", fall(func(f *flat) { f.columns[1][1] = 1e308; f.names[1] = "Force (kN)" }), none, ", row 2", "larger there"},
	{"codec", fall(func(f *flat) { f.codec = 3 }), none, "", "compressed with LZO"},
	{"codec of no name", fall(func(f *flat) { f.codec = 99 }), none, "", "compressed with 99"},
	{"encoding", fall(func(f *flat) { f.encoding = 7 }), none, "", "encoding 7"},
	{"bytes that are no LZ4", fall(func(f *flat) { f.codec = 7 }), none, "", "does not unpack to the 24 bytes"},
	{"bytes that are no snappy", fall(func(f *flat) { f.codec = 1 }), none, "", "does not unpack"},
	{"bytes that are no gzip", fall(func(f *flat) { f.codec = 2 }), none, "", "does not unpack"},
	{"bytes that are no brotli", fall(func(f *flat) { f.codec = 4 }), none, "", "does not unpack"},
	{"bytes that are no zstd", fall(func(f *flat) { f.codec = 6 }), none, "", "does not unpack"},
	{"a page that unpacks to more than it says", fall(func(f *flat) {
		f.codec, f.unpacked = 2, 16
		f.body = func(_ int, b []byte) []byte { return gzipped(b) }
	}), none, "", "does not unpack to the 16 bytes"},
	{"a page too short", fall(func(f *flat) { f.body = func(_ int, b []byte) []byte { return b[:20] } }), none, "", "values end too early"},
	{"a page with more values than the column", fall(func(f *flat) { f.values = 4 }), none, "", "more values than its column"},
	{"fewer values than the footer says", fall(func(f *flat) { f.rows = 4 }), none, "", "head of a page"},
	{"many rows in a small file", fall(func(f *flat) { f.rows = 1 << 28 }), none, "", "268435456 rows of 2 columns take more memory than 64 MiB"},
	{"a page that says it is huge", fall(func(f *flat) { f.codec, f.unpacked = 6, 1<<30 }), none, "", "1024 MiB, the limit is 32 MiB"},
	{"a column outside the file", fall(func(f *flat) { f.offset = 1 << 40 }), none, "", "begins or ends outside"},
	{"a column that ends outside the file", fall(func(f *flat) { f.longer = 1 << 40 }), none, "", "begins or ends outside"},
	{"a column with fewer values than its rows", fall(func(f *flat) { f.fewer = 1 }), none, "", "where each column is"},
	{"a list longer than the file", fall(func(f *flat) {
		f.groups = func(t *thriftOut) { t.field(4, 9); t.b = append(t.b, 0xFC); t.unsigned(1 << 30) }
	}), none, "", "footer cannot be read"},
	{"no row groups", fall(func(f *flat) { f.groups = func(*thriftOut) {} }), none, "", "where each column is"},
	{"encrypted", append([]byte("PARE"), fall(nil)[4:]...), none, "", "encrypted"},
	{"cut off", fall(nil)[:100], none, "", "damaged or cut off"},
	{"too short", []byte("PAR1"), none, "", "too short"},
}

func TestRefusals(t *testing.T) {
	for _, c := range refusals {
		_, err := parquet.Format{}.Read("a.parquet", c.data, c.ask)
		all := problem.All(err)
		if len(all) != 1 || all[0].Where != "a.parquet"+c.where || !strings.Contains(all[0].What, c.what) {
			t.Errorf("%s: %v, want %q: %q", c.name, err, "a.parquet"+c.where, c.what)
		}
	}
}

// Structures within structures are followed to a depth that does not take the
// stack; without a limit this ends the whole program.
func TestDeepFooter(t *testing.T) {
	const deep = 32 << 20
	data := append([]byte("PAR1"), bytes.Repeat([]byte{0x1C}, deep)...)
	data = append(binary.LittleEndian.AppendUint32(data, deep), "PAR1"...)
	if _, err := (parquet.Format{}).Read("a.parquet", data, none); err == nil || !strings.Contains(err.Error(), "footer cannot be read") {
		t.Errorf("%v", err)
	}
}

func TestManyColumns(t *testing.T) {
	f := flat{names: make([]string, 5000), columns: [][]float64{{1, 2}}}
	_, err := parquet.Format{}.Read("a.parquet", f.write(), none)
	if err == nil || !strings.Contains(err.Error(), "more than 4096 columns") {
		t.Errorf("%v", err)
	}
}

// Runs and packed numbers in one stream, worked out by hand from the published
// encodings [Parquet2024]: the numbers 0 to 7 in three bits are 0x88 0xC6 0xFA, and
// four times 5 is a run.
func TestDictionaryByHand(t *testing.T) {
	values := []float64{10, 11, 12, 13, 14, 15, 16, 17}
	data := withDictionary(values, []byte{3, 1<<1 | 1, 0x88, 0xC6, 0xFA, 4 << 1, 5}, 12)
	file, err := parquet.Format{}.Read("a.parquet", data, trace.Ask{Rate: 1})
	if err != nil {
		t.Fatal(err)
	}
	want := append(append([]float64{}, values...), 15, 15, 15, 15)
	for i, w := range want {
		if file.Parts[0].Force[i] != w {
			t.Errorf("value %d is %v, want %v", i, file.Parts[0].Force[i], w)
		}
	}
	if _, err := (parquet.Format{}).Read("a.parquet", withDictionary(values, []byte{4, 12 << 1, 9}, 12), trace.Ask{Rate: 1}); err == nil {
		t.Error("a value beyond the dictionary passes")
	}
}

// A reference of more than eight bits in a run takes two bytes; a packed run that
// the page does not hold is refused.
func TestLongDictionaryByHand(t *testing.T) {
	values := make([]float64, 300)
	for i := range values {
		values[i] = float64(i)
	}
	file, err := parquet.Format{}.Read("a.parquet", withDictionary(values, []byte{9, 5 << 1, 258 & 255, 258 >> 8}, 5), trace.Ask{Rate: 1})
	if err != nil || file.Parts[0].Force[4] != 258 {
		t.Errorf("%+v, %v", file.Parts, err)
	}
	_, err = parquet.Format{}.Read("a.parquet", withDictionary(values, []byte{3, 2<<1 | 1, 0x88, 0xC6, 0xFA}, 12), trace.Ask{Rate: 1})
	if err == nil || !strings.Contains(err.Error(), "values end too early") {
		t.Errorf("%v", err)
	}
}

func gzipped(b []byte) []byte {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, _ = w.Write(b)
	_ = w.Close()
	return out.Bytes()
}

// withDictionary is one column of doubles with a dictionary and a page of
// references to it.
func withDictionary(values []float64, refs []byte, rows int) []byte {
	out := []byte("PAR1")
	var body []byte
	for _, v := range values {
		body = binary.LittleEndian.AppendUint64(body, bitsOf(v))
	}
	page := func(kind int64, id int, n int, encoding int64, body []byte) {
		t := &thriftOut{}
		t.number(1, 5, kind)
		t.number(2, 5, int64(len(body)))
		t.number(3, 5, int64(len(body)))
		t.of(id, func(t *thriftOut) { t.number(1, 5, int64(n)); t.number(2, 5, encoding) })
		out = append(append(append(out, t.b...), 0), body...)
	}
	page(2, 7, len(values), 0, body)
	pages := int64(len(out))
	page(0, 5, rows, 8, refs)
	size := int64(len(out)) - 4
	t := &thriftOut{}
	f := flat{names: []string{"Force (N)"}}
	t.list(2, 12, 2, func(t *thriftOut, i int) { t.of(0, func(t *thriftOut) { f.element(t, i) }) })
	t.number(3, 6, int64(rows))
	t.list(4, 12, 1, func(t *thriftOut, _ int) {
		t.of(0, func(t *thriftOut) {
			t.list(1, 12, 1, func(t *thriftOut, _ int) {
				t.of(0, func(t *thriftOut) {
					t.of(3, func(t *thriftOut) {
						t.number(4, 5, 0)
						t.number(5, 6, int64(rows))
						t.number(7, 6, size)
						t.number(9, 6, pages)
						t.number(11, 6, 4)
					})
				})
			})
			t.number(3, 6, int64(rows))
		})
	})
	t.b = append(t.b, 0)
	out = append(out, t.b...)
	return append(binary.LittleEndian.AppendUint32(out, uint32(len(t.b))), "PAR1"...)
}

func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, c := range readings {
		cases = append(cases, readertest.Case{Name: "a.parquet", Data: c.data, Ask: c.ask, Rows: 3})
	}
	for _, c := range refusals {
		if c.name != "too short" { // four letters may be text
			cases = append(cases, readertest.Case{Name: "a.parquet", Data: c.data, Ask: c.ask})
		}
	}
	for _, name := range []string{"plain.parquet", "snappy-dictionary.parquet", "gzip-v2.parquet", "zstd-split.parquet", "brotli.parquet", "lz4.parquet", "delta.parquet", "decimal.parquet"} {
		cases = append(cases, readertest.Case{Name: name, Data: testdata(t, name), Rows: 100})
	}
	return append(cases, readertest.Case{Name: "nulls.parquet", Data: testdata(t, "nulls.parquet"), Rows: 92})
}

func TestExam(t *testing.T) {
	readertest.Exercise(t, parquet.Format{}, examCases(t))
}
