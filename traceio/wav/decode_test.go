package wav_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/wav"
)

func testdata(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// pattern is the pattern of testdata/make.py over its full range.
func pattern(i, bits, shift int) float64 {
	half := int64(1) << (bits - 1)
	return float64((int64(i)*2654435761+int64(shift)*40503)%(2*half)-half) / float64(half)
}

// The files were written by scipy 1.10.1 and by Python's module wave, which
// share no code with ours. A sample is a whole number over a power of two, so
// the agreement has to be to the bit.
func TestFilesOfOtherPrograms(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		file  string
		bits  int
		rate  float64
		force string
		shift int
	}{
		{"pcm8.wav", 8, 4800, "", 0},
		{"pcm16.wav", 16, 4800, "", 0},
		{"pcm24.wav", 24, 44100, "", 0},
		{"pcm32.wav", 32, 4800, "", 0},
		{"float32.wav", 24, 4800, "", 0},
		{"float64.wav", 32, 4800, "", 0},
		{"stereo.wav", 16, 48000, "1", 0},
		{"stereo.wav", 16, 48000, "2", 1},
	} {
		file, err := wav.Format{}.Read(c.file, testdata(t, c.file), trace.Ask{FullScale: 20, Unit: "kN", Force: c.force})
		if err != nil {
			t.Errorf("%s: %v", c.file, err)
			continue
		}
		rec := file.Parts[0]
		if len(rec.Force) != 64 || rec.Unit != "kN" {
			t.Fatalf("%s: %d samples in %s, want 64 in kN", c.file, len(rec.Force), rec.Unit)
		}
		for i := range rec.Force {
			checked++
			if want := pattern(i, c.bits, c.shift) * 20 * 1000; rec.Force[i] != want {
				t.Errorf("%s: sample %d is %v N, want %v", c.file, i, rec.Force[i], want)
			}
			if want := float64(i) / c.rate; rec.Time[i] != want {
				t.Errorf("%s: sample %d is at %v s, want %v", c.file, i, rec.Time[i], want)
			}
		}
	}
	if checked != 8*64 {
		t.Errorf("%d samples checked, want %d", checked, 8*64)
	}
}

// The ends of the range, worked out by hand: -1, 0 and the largest below 1.
func TestEndsOfTheRange(t *testing.T) {
	for _, c := range []struct {
		name      string
		tag, bits int
		data      []byte
		want      []float64
	}{
		{"8", 1, 8, []byte{0, 128, 255}, []float64{-1, 0, 127. / 128}},
		{"16", 1, 16, []byte{0, 0x80, 0, 0, 0xff, 0x7f}, []float64{-1, 0, 32767. / 32768}},
		{"24", 1, 24, []byte{0, 0, 0x80, 0, 0, 0, 0xff, 0xff, 0x7f}, []float64{-1, 0, 8388607. / 8388608}},
		{"24, minus one step", 1, 24, []byte{0xff, 0xff, 0xff, 1, 0, 0}, []float64{-1. / 8388608, 1. / 8388608}},
		{"32", 1, 32, []byte{0, 0, 0, 0x80, 0, 0, 0, 0, 0xff, 0xff, 0xff, 0x7f}, []float64{-1, 0, 2147483647. / 2147483648}},
		{"float, above the range", 3, 32, []byte{0, 0, 0, 0x40, 0, 0, 0x80, 0xbf}, []float64{2, -1}},
	} {
		data := file(riff{tag: c.tag, channels: 1, rate: 1000, bits: c.bits, data: c.data})
		got, err := wav.Format{}.Read("a.wav", data, trace.Ask{FullScale: 1, Unit: "N"})
		if err != nil {
			t.Errorf("%s bits: %v", c.name, err)
			continue
		}
		if len(got.Parts[0].Force) != len(c.want) {
			t.Fatalf("%s bits: %d samples", c.name, len(got.Parts[0].Force))
		}
		for i, want := range c.want {
			if v := got.Parts[0].Force[i]; math.Float64bits(v) != math.Float64bits(want) {
				t.Errorf("%s bits: sample %d is %v, want %v", c.name, i, v, want)
			}
		}
	}
}
