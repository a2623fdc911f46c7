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
