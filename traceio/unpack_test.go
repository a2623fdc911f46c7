package traceio_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

func gzipped(t *testing.T, data []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	return packed(t, w, &b, data)
}

func zstandard(t *testing.T, data []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := zstd.NewWriter(&b)
	if err != nil {
		t.Fatal(err)
	}
	return packed(t, w, &b, data)
}

func packed(t *testing.T, w io.WriteCloser, b *bytes.Buffer, data []byte) []byte {
	t.Helper()
	if _, err := w.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// echo claims everything, and keeps what it was given.
type echo struct {
	name *string
	data *[]byte
}

func (echo) Name() string               { return "Echo" }
func (echo) Claims(string, []byte) bool { return true }
func (e echo) Read(name string, data []byte, _ trace.Ask) (*trace.File, error) {
	*e.name, *e.data = name, data
	return &trace.File{Layout: trace.Layout{Format: "Echo", Facts: []trace.Fact{{What: "unit", Is: "N"}}}}, nil
}

func TestPackedFilesAreUnpacked(t *testing.T) {
	plain := []byte(strings.Repeat("0.001;12.5\n", 1000))
	checked := 0
	for _, c := range []struct {
		name, bare, packing string
		data                []byte
	}{
		{"fall.csv", "fall.csv", "", plain},
		{"fall.csv.gz", "fall.csv", "gzip", gzipped(t, plain)},
		{"FALL.CSV.GZ", "FALL.CSV", "gzip", gzipped(t, plain)},
		{"fall.csv.zst", "fall.csv", "zstd", zstandard(t, plain)},
		{"fall", "fall", "zstd", zstandard(t, plain)},
		{"two.gz", "two", "gzip", append(gzipped(t, plain[:5500]), gzipped(t, plain[5500:])...)},
		{"empty.gz", "empty", "gzip", gzipped(t, nil)},
		{"twice.gz.gz", "twice.gz", "gzip", gzipped(t, gzipped(t, plain))},
	} {
		var name string
		var data []byte
		before := bytes.Clone(c.data)
		file, err := traceio.New(echo{&name, &data}).Read(c.name, c.data, trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		want := plain
		switch c.name {
		case "empty.gz":
			want = nil
		case "twice.gz.gz":
			want = gzipped(t, plain)
		}
		if !bytes.Equal(data, want) || name != c.bare || file.Layout.Packed != c.packing || !bytes.Equal(before, c.data) {
			t.Errorf("%s: %d bytes as %q, packed %q", c.name, len(data), name, file.Layout.Packed)
		}
		if said := file.Layout.Facts[0].What == "packing"; said != (c.packing != "") {
			t.Errorf("%s: facts %+v", c.name, file.Layout.Facts)
		}
		checked++
	}
	if checked != 8 {
		t.Fatalf("%d files were checked", checked)
	}
}

// A file is unpacked once, into room of its own size.
func TestPackedFilesAreUnpackedOnce(t *testing.T) {
	var b strings.Builder
	for i := range 200_000 {
		fmt.Fprintf(&b, "%.4f;%.2f\n", float64(i)/1e4, 1000*math.Sin(float64(i*i%7919)))
	}
	plain := []byte(b.String())
	for packing, whole := range map[string][]byte{"gzip": gzipped(t, plain), "zstd": zstandard(t, plain)} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, out, _, err := traceio.Unpack("fall.csv", whole)
		runtime.ReadMemStats(&after)
		if err != nil || !bytes.Equal(out, plain) {
			t.Fatalf("%s: %d bytes, %v", packing, len(out), err)
		}
		// Twice is what growing room by halves may take where no size is told; zstd's
		// window is 8 MiB at most.
		most := uint64(len(plain)) + 1<<20
		if packing == "zstd" {
			most = 4*uint64(len(plain)) + 16<<20
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > most {
			t.Errorf("%s: %d bytes took %d", packing, len(plain), took)
		}
	}
}

// A bomb is zeros packed a thousandfold; it has to be refused before it is
// unpacked whole. The damaged files are cut at every byte, or have one altered.
func TestPackedFilesAreRefused(t *testing.T) {
	zeros := make([]byte, 65<<20)
	plain := []byte(strings.Repeat("0.001;12.5\n", 1000))
	var before, after runtime.MemStats
	bombed := gzipped(t, zeros)
	runtime.ReadMemStats(&before)
	if _, err := traceio.New(echo{new(string), new([]byte)}).Read("bomb", bombed, trace.Ask{}); err == nil {
		t.Error("a bomb was unpacked")
	}
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > 8<<20 {
		t.Errorf("refusing a bomb took %d MiB", took>>20)
	}
	for packing, bomb := range map[string][]byte{"gzip": gzipped(t, zeros), "zstd": zstandard(t, zeros)} {
		var name string
		var data []byte
		file, err := traceio.New(echo{&name, &data}).Read("bomb", bomb, trace.Ask{})
		p := asProblem(t, err)
		if data != nil || file.Layout.Packed != packing || p.Where != "bomb" || !strings.Contains(p.What, "200 times its packed size") || !strings.Contains(p.What, packing) || p.State != "nothing was read from bomb" {
			t.Errorf("%s: %+v", packing, p)
		}
	}
	cut := 0
	for packing, whole := range map[string][]byte{"gzip": gzipped(t, plain), "zstd": zstandard(t, plain)} {
		for n := 5; n < len(whole); n++ {
			var name string
			var data []byte
			_, err := traceio.New(echo{&name, &data}).Read("cut", whole[:n:n], trace.Ask{})
			if p := asProblem(t, err); data != nil || !strings.Contains(p.What, "packed with "+packing) || len(p.Hints) == 0 {
				t.Fatalf("%s cut to %d of %d bytes: %+v", packing, n, len(whole), p)
			}
			cut++
		}
		odd := bytes.Clone(whole)
		odd[len(odd)-6] ^= 0x10
		var name string
		var data []byte
		if _, err := traceio.New(echo{&name, &data}).Read("odd", odd, trace.Ask{}); data != nil || err == nil {
			t.Errorf("%s: read although a byte is wrong", packing)
		}
	}
	if cut < 50 {
		t.Fatalf("%d cut files were looked at", cut)
	}
}
