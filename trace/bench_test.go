package trace

import "testing"

// A million samples of a fall with bounces at 100 kHz, filtered. Figure and
// peer: docs/METHODS.md, "Speed".
func BenchmarkTakeMillion(b *testing.B) {
	clean := fallTrace(kelvinVoigt(20e3, 0.1), 100e3, 0.5, 9.5)
	rec := spoil(clean, 8, -35, 1, 5)
	set := Settings{Class: 60, Mass: refMass, Drop: refDrop}
	b.SetBytes(int64(16 * len(rec.Force)))
	for b.Loop() {
		if _, _, err := Take(rec, set); err != nil {
			b.Fatal(err)
		}
	}
}

// The same without a Signal, and a trace of 20,000 samples, as one of many in a
// folder: what does not grow with the samples shows there.
func BenchmarkRead(b *testing.B) {
	for _, c := range []struct {
		name string
		rate float64
	}{{"20Thousand", 2e3}, {"Million", 100e3}} {
		b.Run(c.name, func(b *testing.B) {
			rec := spoil(fallTrace(kelvinVoigt(20e3, 0.1), c.rate, 0.5, 9.5), 8, -35, 1, 5)
			set := Settings{Class: 60, Mass: refMass, Drop: refDrop}
			b.SetBytes(int64(16 * len(rec.Force)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(rec, set); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
