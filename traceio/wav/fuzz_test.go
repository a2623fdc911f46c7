package wav_test

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/wav"
)

// FuzzRead holds that any bytes and any side-car give either a sound recording
// or a whole refusal.
func FuzzRead(f *testing.F) {
	for _, c := range examCases(f) {
		f.Add(c.Data, c.Ask.SideCar, c.Ask.FullScale, c.Ask.Rate, c.Ask.Force, c.Ask.Unit)
	}
	f.Fuzz(func(t *testing.T, data []byte, car string, full, rate float64, force, unit string) {
		before := bytes.Clone(data)
		format := wav.Format{}
		format.Claims("a.wav", data)
		file, err := format.Read("a.wav", data, trace.Ask{SideCar: car, FullScale: full, Rate: rate, Force: force, Unit: unit})
		if !bytes.Equal(before, data) {
			t.Fatal("Read alters the bytes")
		}
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || len(file.Parts) > 0 {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		rec := file.Parts[0]
		if len(rec.Time) != len(rec.Force) || len(rec.Time) < 2 || len(rec.Time) > len(data) {
			t.Fatalf("%d times, %d forces of %d bytes", len(rec.Time), len(rec.Force), len(data))
		}
		for i := range rec.Time {
			if math.IsNaN(rec.Time[i]-rec.Time[i]) || math.IsNaN(rec.Force[i]-rec.Force[i]) {
				t.Fatalf("sample %d is not finite", i)
			}
			if i > 0 && rec.Time[i] <= rec.Time[i-1] {
				t.Fatalf("time does not rise at sample %d", i)
			}
		}
	})
}

// What is written is read back to the bit, whatever the kind of sample, the
// channel and the chunks around it.
func TestReadsBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := riff{
			tag: 1, rate: rapid.IntRange(1, 200_000).Draw(t, "rate"),
			channels:   rapid.IntRange(1, 4).Draw(t, "channels"),
			bits:       8 * rapid.IntRange(1, 4).Draw(t, "bytes"),
			extensible: rapid.Bool().Draw(t, "extensible"),
		}
		if rapid.Bool().Draw(t, "junk") {
			r.before = []chunk{{"junk", rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(t, "junk bytes")}}
		}
		frames := rapid.IntRange(2, 50).Draw(t, "frames")
		use := rapid.IntRange(0, r.channels-1).Draw(t, "channel")
		full := rapid.Float64Range(0.1, 1000).Draw(t, "full scale")
		half := int64(1) << (r.bits - 1)
		var want []float64
		for range frames {
			for c := range r.channels {
				v := rapid.Int64Range(-half, half-1).Draw(t, "sample")
				stored := v
				if r.bits == 8 {
					stored += 128 // 8 bits are counted from 128
				}
				for b := range r.bits / 8 {
					r.data = append(r.data, byte(stored>>(8*b)))
				}
				if c == use {
					want = append(want, float64(v)/float64(half)*full)
				}
			}
		}
		got, err := wav.Format{}.Read("a.wav", file(r), trace.Ask{FullScale: full, Unit: "N", Force: string(rune('1' + use))})
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range want {
			if got.Parts[0].Force[i] != w {
				t.Fatalf("sample %d: %v, want %v", i, got.Parts[0].Force[i], w)
			}
			if got.Parts[0].Time[i] != float64(i)/float64(r.rate) {
				t.Fatalf("time %d: %v", i, got.Parts[0].Time[i])
			}
		}
	})
}
