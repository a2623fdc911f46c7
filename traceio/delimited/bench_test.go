package delimited_test

import (
	"bytes"
	"strconv"
	"testing"

	"fallwright.example/trace"
)

const million = 1_000_000

// millionRows is a trace as a logger at 10 kHz writes it: time to the
// microsecond, force to the millinewton; about 20 bytes a row.
func millionRows() []byte {
	b := make([]byte, 0, 22*million)
	b = append(b, "Time (s),Force (N)\n"...)
	for i := range million {
		b = strconv.AppendFloat(b, float64(i)/10_000, 'f', 6, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, float64(i%7919)*0.523+float64(i%13)*0.001, 'f', 3, 64)
		b = append(b, '\n')
	}
	return b
}

// BenchmarkReadMillionRows is the goal: well under 0.1 s on one core. Figures and
// the peer below: docs/METHODS.md, "Speed".
func BenchmarkReadMillionRows(b *testing.B) {
	data := millionRows()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		rec, err := readOne("million.csv", data, trace.Ask{})
		if err != nil || len(rec.Force) != million {
			b.Fatal(err)
		}
	}
}

// BenchmarkPeerSplitAndParseFloat is the plain way to read the same bytes: cut
// at line ends and commas, strconv for each cell; it checks nothing.
func BenchmarkPeerSplitAndParseFloat(b *testing.B) {
	data := millionRows()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		_, rows, _ := bytes.Cut(data, []byte("\n"))
		var times, forces []float64
		for line := range bytes.Lines(rows) {
			t, f, _ := bytes.Cut(bytes.TrimRight(line, "\n"), []byte(","))
			time, err := strconv.ParseFloat(string(t), 64)
			if err != nil {
				b.Fatal(err)
			}
			force, err := strconv.ParseFloat(string(f), 64)
			if err != nil {
				b.Fatal(err)
			}
			times, forces = append(times, time), append(forces, force)
		}
		if len(times) != million || len(forces) != million {
			b.Fatal("rows were lost")
		}
	}
}
