package fall_test

import (
	"math"
	"slices"
	"testing"

	"fallwright.example/fall"
)

// Exact algebra: without noise a record is the force plus the offset, to half a
// step of the converter; 20 kN and 16 bits make steps of 40000/65536 N.
func TestRecordWithoutNoise(t *testing.T) {
	l := fall.Logger{PreTrigger: 0.25, Offset: -35, FullScale: 20000, Bits: 16}
	force := []float64{0, 100.3, 4321.9, 12000, 19990, 25000, 1e6}
	got, err := l.Record(force, 2000, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 500+len(force) {
		t.Fatalf("%d samples, want 500 of baseline and %d", len(got), len(force))
	}
	if l.Resolution() != 40000.0/65536 {
		t.Errorf("resolution %g N", l.Resolution())
	}
	for i, v := range got {
		want := -35.0
		if i >= 500 {
			want += force[i-500]
		}
		want = min(want, 20000-l.Resolution()) // clipped
		if !(math.Abs(v-want) <= l.Resolution()/2) {
			t.Errorf("sample %d is %g N, want %g within half a step", i, v, want)
		}
		if code := v / l.Resolution(); code != math.Round(code) {
			t.Errorf("sample %d, %g N, is not a whole number of steps", i, v)
		}
	}
}

// Noise has the spread it was given. Over 200 000 samples the standard error of
// a standard deviation is 0.16 %, and of the mean 0.027 N: four of each.
func TestRecordNoise(t *testing.T) {
	l := fall.Logger{Noise: 12, Offset: -35, FullScale: 20000, Bits: 24}
	got, err := l.Record(make([]float64, 200000), 2000, 7)
	if err != nil {
		t.Fatal(err)
	}
	mean, square := 0.0, 0.0
	for _, v := range got {
		mean += v / float64(len(got))
	}
	for _, v := range got {
		square += (v - mean) * (v - mean) / float64(len(got))
	}
	if !(math.Abs(mean+35) < 0.11 && math.Abs(math.Sqrt(square)-12) < 0.08) {
		t.Errorf("mean %.4f N, sd %.4f N; want -35 and 12", mean, math.Sqrt(square))
	}
}

func TestRecordIsDeterminate(t *testing.T) {
	l := fall.Logger{PreTrigger: 0.1, Noise: 12, FullScale: 20000, Bits: 16}
	force := []float64{0, 500, 1000}
	first, _ := l.Record(force, 1000, 3)
	again, _ := l.Record(force, 1000, 3)
	other, _ := l.Record(force, 1000, 4)
	if !slices.Equal(first, again) || slices.Equal(first, other) {
		t.Error("one seed has to give one record, two seeds two")
	}
	if !slices.Equal(force, []float64{0, 500, 1000}) {
		t.Error("the force given was altered")
	}
}

func TestRecordRefusals(t *testing.T) {
	sound := fall.Logger{FullScale: 20000, Bits: 16}
	for want, l := range map[string]fall.Logger{
		"bits: 0, a converter here has 1 to 32":       {FullScale: 1},
		"full scale: 0 N, must be a number above 0 N": {Bits: 16},
		"noise: -1 N, must be 0 N or more":            {FullScale: 1, Bits: 8, Noise: -1},
		"pre-trigger: +Inf s, must be 0 s or more":    {FullScale: 1, Bits: 8, PreTrigger: math.Inf(1)},
	} {
		if _, err := l.Record(nil, 1000, 1); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
	if _, err := sound.Record(nil, 0, 1); err == nil {
		t.Error("a rate of 0 Hz is accepted")
	}
}

// Exact algebra: two Butterworth poles pass a sine at the corner with 1/√2 and a
// quarter of a turn late, a constant whole, and a half-sine of 0.35 s hardly
// smaller but later by √2/(2π·corner).
func TestLowPass(t *testing.T) {
	const rate, corner = 10000.0, 200.0
	sine := make([]float64, 20000)
	for i := range sine {
		sine[i] = 5 + math.Sin(2*math.Pi*corner*float64(i)/rate)
	}
	if err := fall.LowPass(sine, rate, corner); err != nil {
		t.Fatal(err)
	}
	for i := 19000; i < 20000; i++ { // the start has died away
		want := 5 + math.Sin(2*math.Pi*corner*float64(i)/rate-math.Pi/2)/math.Sqrt2
		if !(math.Abs(sine[i]-want) < 1e-9) {
			t.Fatalf("sample %d is %.12g, want %.12g", i, sine[i], want)
		}
	}
	pulse := make([]float64, 4000)
	for i := range 3500 {
		pulse[i] = 4000 * math.Sin(math.Pi*float64(i)/3500)
	}
	if err := fall.LowPass(pulse, rate, corner); err != nil {
		t.Fatal(err)
	}
	at := slices.Index(pulse, slices.Max(pulse))
	if late := float64(at-1750) / rate; !(math.Abs(late-math.Sqrt2/(2*math.Pi*corner)) < 1e-4 && math.Abs(pulse[at]/4000-1) < 1e-4) {
		t.Errorf("peak of %.2f N, %.5f s late", pulse[at], late)
	}
	for _, bad := range []float64{-1, 5000, math.NaN()} {
		if fall.LowPass(pulse, rate, bad) == nil {
			t.Errorf("a corner of %g Hz is accepted", bad)
		}
	}
	l := fall.Logger{FullScale: 20000, Bits: 24, LowPass: corner}
	got, err := l.Record([]float64{0, 0, 1000, 1000}, rate, 1)
	if err != nil || !(got[2] > 1 && got[2] < 20) {
		t.Errorf("a step is recorded as %v, %v", got, err)
	}
}
