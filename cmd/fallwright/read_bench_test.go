package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/trace"
)

// The whole of read on a file of a million rows of time and force: from the
// disk, parsed, filtered, read. One core: GOMAXPROCS=1. Figure: docs/METHODS.md,
// "Speed".
func BenchmarkReadMillionRows(b *testing.B) {
	const rate = 100e3
	rng := rand.New(rand.NewPCG(1, 2))
	var buf bytes.Buffer
	buf.WriteString("time [s],force [N]\n")
	for i := range 1_000_000 {
		f := 5 * rng.NormFloat64()
		if s := float64(i)/rate - 0.5; s > 0 && s < 0.35 {
			f += 4000 * math.Sin(math.Pi*s/0.35)
		}
		fmt.Fprintf(&buf, "%.5f,%.3f\n", float64(i)/rate, f)
	}
	name := filepath.Join(b.TempDir(), "million.csv")
	if err := os.WriteFile(name, buf.Bytes(), 0o644); err != nil {
		b.Fatal(err)
	}
	ask := readAsk{set: trace.Settings{Mass: 80, Drop: 1.42, Class: 60}}
	r := reader{ask: &ask, known: readers()}
	b.SetBytes(int64(buf.Len()))
	for b.Loop() {
		if d := r.drops(name); d.err != nil {
			b.Fatal(d.err)
		}
	}
}
