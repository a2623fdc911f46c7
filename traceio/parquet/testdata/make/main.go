// Command make writes the samples of the folder above it with arrow-go, Apache's
// own Go implementation of Parquet, which shares no code with our reader.
//
//	cd traceio/parquet/testdata/make && go run .
//
// It is a module of its own, so that the program does not depend on arrow-go. The
// numbers are invented: catch, which files_test.go has again.
package main

import (
	"log"
	"os"
	"path/filepath"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/decimal128"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/compress"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
)

const n = 100

func catch(i int) float64 { return float64(i*7919%4001-500) / 7 }

// column is a column to write: its values and which of them are there.
type column struct {
	field arrow.Field
	add   func(b array.Builder, i int)
}

func doubles(name string, of func(i int) float64) column {
	return column{arrow.Field{Name: name, Type: arrow.PrimitiveTypes.Float64}, func(b array.Builder, i int) {
		b.(*array.Float64Builder).Append(of(i))
	}}
}

func seconds(i int) float64 { return float64(i) * 0.001 }

func write(name string, codec compress.Compression, more []parquet.WriterProperty, columns ...column) {
	fields := make([]arrow.Field, len(columns))
	for i, c := range columns {
		fields[i] = c.field
	}
	words := arrow.NewMetadata([]string{"made for"}, []string{"Skerry Head, invented"})
	schema := arrow.NewSchema(fields, &words)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	for i := range n {
		for c := range columns {
			columns[c].add(b.Field(c), i)
		}
	}
	rec := b.NewRecordBatch()
	defer rec.Release()
	f, err := os.Create(filepath.Join("..", name))
	if err != nil {
		log.Fatal(err)
	}
	props := parquet.NewWriterProperties(append([]parquet.WriterProperty{parquet.WithCompression(codec), parquet.WithDataPageSize(256), parquet.WithBatchSize(16)}, more...)...)
	w, err := pqarrow.NewFileWriter(schema, f, props, pqarrow.DefaultWriterProps())
	if err != nil {
		log.Fatal(err)
	}
	for from := 0; from < n; from += 40 { // three row groups
		if err := w.Write(rec.NewSlice(int64(from), int64(min(n, from+40)))); err != nil {
			log.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		log.Fatal(err)
	}
}

func main() {
	plain := []parquet.WriterProperty{parquet.WithDictionaryDefault(false)}
	time, force := doubles("Time (s)", seconds), doubles("Force (N)", catch)
	write("plain.parquet", compress.Codecs.Uncompressed, plain, time, force)
	write("snappy-dictionary.parquet", compress.Codecs.Snappy, nil, time, force)
	write("gzip-v2.parquet", compress.Codecs.Gzip, []parquet.WriterProperty{parquet.WithDataPageVersion(parquet.DataPageV2)}, time, force)
	write("zstd-split.parquet", compress.Codecs.Zstd, append(plain, parquet.WithEncoding(parquet.Encodings.ByteStreamSplit)), time, force)
	write("brotli.parquet", compress.Codecs.Brotli, plain, time, force)
	write("lz4.parquet", compress.Codecs.Lz4Raw, plain, time, force)

	// Counts of a converter, as differences; a moment in microseconds; a force
	// that begins late and ends early.
	counts := column{arrow.Field{Name: "Force (mN)", Type: arrow.PrimitiveTypes.Int32}, func(b array.Builder, i int) {
		b.(*array.Int32Builder).Append(int32(i*7919%4001 - 500))
	}}
	moment := column{arrow.Field{Name: "when", Type: arrow.FixedWidthTypes.Timestamp_us}, func(b array.Builder, i int) {
		b.(*array.TimestampBuilder).Append(arrow.Timestamp(1_795_608_000_000_000 + int64(i)*250))
	}}
	write("delta.parquet", compress.Codecs.Zstd, append(plain, parquet.WithEncoding(parquet.Encodings.DeltaBinaryPacked)), moment, counts)

	late := column{arrow.Field{Name: "Force (N)", Type: arrow.PrimitiveTypes.Float32, Nullable: true}, func(b array.Builder, i int) {
		if i < 3 || i >= n-5 {
			b.AppendNull()
			return
		}
		b.(*array.Float32Builder).Append(float32(i*7919%4001-500) / 8)
	}}
	write("nulls.parquet", compress.Codecs.Snappy, nil, time, late)

	decimal := column{arrow.Field{Name: "Force (kN)", Type: &arrow.Decimal128Type{Precision: 20, Scale: 6}}, func(b array.Builder, i int) {
		b.(*array.Decimal128Builder).Append(decimal128.FromI64(int64(i*7919%4001-500) * 1001))
	}}
	stretch := column{arrow.Field{Name: "Stretch (mm)", Type: arrow.PrimitiveTypes.Uint16}, func(b array.Builder, i int) {
		b.(*array.Uint16Builder).Append(uint16(i))
	}}
	words := column{arrow.Field{Name: "Remark", Type: arrow.BinaryTypes.String, Nullable: true}, func(b array.Builder, i int) {
		b.(*array.StringBuilder).Append("invented")
	}}
	write("decimal.parquet", compress.Codecs.Zstd, nil, words, time, stretch, decimal)
}
