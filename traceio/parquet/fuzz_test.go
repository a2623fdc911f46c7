package parquet_test

import (
	"bytes"
	"errors"
	"math"
	"testing"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress"
	"github.com/parquet-go/parquet-go/encoding"
	"pgregory.net/rapid"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/parquet"
)

// FuzzRead holds that any bytes, and any footer behind sound pages, give either
// a sound recording or a whole refusal.
func FuzzRead(f *testing.F) {
	for _, c := range examCases(f) {
		f.Add(c.Data, c.Ask.Rate, c.Ask.Force, c.Ask.Unit)
	}
	f.Fuzz(func(t *testing.T, data []byte, rate float64, force, unit string) {
		format := parquet.Format{}
		format.Claims("a.parquet", data)
		file, err := format.Read("a.parquet", data, trace.Ask{Rate: rate, Force: force, Unit: unit})
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || len(file.Parts) > 0 {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		rec := file.Parts[0]
		if len(rec.Time) != len(rec.Force) || len(rec.Time) < 2 || rec.Stretch != nil && len(rec.Stretch) != len(rec.Time) {
			t.Fatalf("%d times, %d forces", len(rec.Time), len(rec.Force))
		}
		for i := range rec.Time {
			if math.IsNaN(rec.Time[i]-rec.Time[i]) || math.IsNaN(rec.Force[i]-rec.Force[i]) {
				t.Fatalf("row %d is not finite", i)
			}
			if i > 0 && rec.Time[i] <= rec.Time[i-1] {
				t.Fatalf("time does not rise at row %d", i)
			}
		}
	})
}

// kind is a type of column that a second program, parquet-go 0.32.0, writes, and
// how its values come out of a whole number.
type kind struct {
	name      string
	node      func() pq.Node
	encodings []encoding.Encoding
	value     func(v int64) pq.Value
	want      func(v int64) float64
	least     int64
	most      int64
}

var kinds = []kind{
	{
		"double", func() pq.Node { return pq.Leaf(pq.DoubleType) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary, &pq.ByteStreamSplit},
		func(v int64) pq.Value { return pq.DoubleValue(float64(v) / 1024) }, func(v int64) float64 { return float64(v) / 1024 }, -1 << 50, 1 << 50,
	},
	{
		"float", func() pq.Node { return pq.Leaf(pq.FloatType) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary, &pq.ByteStreamSplit},
		func(v int64) pq.Value { return pq.FloatValue(float32(v)) }, func(v int64) float64 { return float64(float32(v)) }, -1 << 40, 1 << 40,
	},
	{
		"int32", func() pq.Node { return pq.Int(32) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary, &pq.DeltaBinaryPacked},
		func(v int64) pq.Value { return pq.Int32Value(int32(v)) }, func(v int64) float64 { return float64(v) }, math.MinInt32, math.MaxInt32,
	},
	{
		"uint16", func() pq.Node { return pq.Uint(16) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary, &pq.DeltaBinaryPacked},
		func(v int64) pq.Value { return pq.Int32Value(int32(v)) }, func(v int64) float64 { return float64(v) }, 0, math.MaxUint16,
	},
	{
		"int64", func() pq.Node { return pq.Int(64) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary, &pq.DeltaBinaryPacked},
		func(v int64) pq.Value { return pq.Int64Value(v) }, func(v int64) float64 { return float64(v) }, math.MinInt64, math.MaxInt64,
	},
	{
		"decimal", func() pq.Node { return pq.Decimal(3, 18, pq.Int64Type) },
		[]encoding.Encoding{&pq.Plain, &pq.RLEDictionary},
		func(v int64) pq.Value { return pq.Int64Value(v) }, func(v int64) float64 { return float64(v) / 1000 }, -1 << 52, 1 << 52,
	},
}

var codecs = []compress.Codec{&pq.Uncompressed, &pq.Snappy, &pq.Gzip, &pq.Brotli, &pq.Zstd, &pq.Lz4Raw}

// What parquet-go writes, of any type, encoding, codec and kind of page, with or
// without nulls at the ends, is read back to the bit.
func TestReadsBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom(kinds).Draw(t, "kind")
		node := pq.Encoded(k.node(), rapid.SampledFrom(k.encodings).Draw(t, "encoding"))
		optional := rapid.Bool().Draw(t, "optional")
		if optional {
			node = pq.Optional(node)
		}
		schema := pq.NewSchema("trace", pq.Group{"Force (N)": node, "Time (s)": pq.Encoded(pq.Leaf(pq.DoubleType), &pq.Plain)})
		var out bytes.Buffer
		w := pq.NewWriter(&out, schema,
			pq.Compression(rapid.SampledFrom(codecs).Draw(t, "codec")),
			pq.DataPageVersion(rapid.IntRange(1, 2).Draw(t, "page version")),
			pq.PageBufferSize(rapid.IntRange(64, 4096).Draw(t, "page size")),
			pq.MaxRowsPerRowGroup(int64(rapid.IntRange(3, 200).Draw(t, "rows of a group"))))
		rows := rapid.IntRange(2, 300).Draw(t, "rows")
		from, to := 0, rows
		if optional && rows > 5 {
			from, to = rapid.IntRange(0, 2).Draw(t, "nulls before"), rows-rapid.IntRange(0, 2).Draw(t, "nulls after")
		}
		least, most := k.least, k.most
		if rapid.Bool().Draw(t, "few values") {
			least, most = max(least, 0), min(most, 3)
		}
		var want []float64
		for i := range rows {
			v := rapid.Int64Range(least, most).Draw(t, "value")
			value := pq.NullValue().Level(0, 0, 0)
			if i >= from && i < to {
				want = append(want, k.want(v))
				value = k.value(v).Level(0, 0, 0)
				if optional {
					value = k.value(v).Level(0, 1, 0)
				}
			}
			if _, err := w.WriteRows([]pq.Row{{value, pq.DoubleValue(float64(i)/512).Level(0, 0, 1)}}); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		file, err := parquet.Format{}.Read("a.parquet", out.Bytes(), trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		rec := file.Parts[0]
		if len(rec.Force) != len(want) {
			t.Fatalf("%d rows, want %d", len(rec.Force), len(want))
		}
		for i := range want {
			if rec.Force[i] != want[i] || rec.Time[i] != float64(from+i)/512 {
				t.Fatalf("row %d: %v at %v, want %v at %v", i, rec.Force[i], rec.Time[i], want[i], float64(from+i)/512)
			}
		}
	})
}

// Moments of each unit, of the newer kind and the oldest, are seconds since the
// first, without loss where they are told apart at all.
func TestMoments(t *testing.T) {
	for _, c := range []struct {
		name string
		node pq.Node
		per  float64
	}{
		{"ms", pq.Timestamp(pq.Millisecond), 1e3},
		{"us", pq.Timestamp(pq.Microsecond), 1e6},
		{"ns", pq.Timestamp(pq.Nanosecond), 1e9},
	} {
		schema := pq.NewSchema("trace", pq.Group{"Force (N)": pq.Leaf(pq.DoubleType), "when": c.node})
		var out bytes.Buffer
		w := pq.NewWriter(&out, schema)
		const start = 1_795_608_000 // 2026-11-25
		for i := range 5 {
			v := start*int64(c.per) + int64(7*i)
			if _, err := w.WriteRows([]pq.Row{{pq.DoubleValue(1).Level(0, 0, 0), pq.Int64Value(v).Level(0, 0, 1)}}); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		file, err := parquet.Format{}.Read("a.parquet", out.Bytes(), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for i, got := range file.Parts[0].Time {
			if want := float64(7*i) / c.per; got != want {
				t.Errorf("%s: %v s, want %v", c.name, got, want)
			}
		}
	}
}
