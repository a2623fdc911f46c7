package dsp

import (
	"math"
	"slices"
	"testing"
)

// Coefficients and two-pass gains of the published formula with 2.0775, worked
// out independently of this code in double precision and printed to twelve
// digits. Tolerance: half a unit of the last digit printed.
var published = []struct {
	rate              float64
	class             int
	a0, a1, b1, b2    float64
	atCorner, atClass float64 // gain at CFC/0.6 and at CFC
}{
	{10e3, 60, 0.00145236747355, 0.00290473494711, 1.88934322422, -0.895152694116, 0.707255, 0.949128},
	{10e3, 180, 0.0117962710998, 0.0235925421996, 1.67011746327, -0.717302547667, 0.708467, 0.949734},
	{10e3, 600, 0.0971846252794, 0.194369250559, 0.945574009062, -0.334312510179, 0.722874, 0.956437},
	{10e3, 1000, 0.219231417219, 0.438462834438, 0.311896544996, -0.188822213872, 0.754484, 0.968390},
	{20e3, 60, 0.000373000630963, 0.000746001261926, 1.94463304553, -0.94612504805, 0.707141, 0.949071},
	{20e3, 180, 0.00318263624927, 0.00636527249855, 1.83419642188, -0.846926966875, 0.707444, 0.949223},
	{20e3, 600, 0.0298060720398, 0.0596121440796, 1.45572821391, -0.574952502066, 0.710918, 0.950938},
	{20e3, 1000, 0.0718930970684, 0.143786194137, 1.11158617616, -0.39915856443, 0.717909, 0.954227},
	{2e3, 60, 0.0298060720398, 0.0596121440796, 1.45572821391, -0.574952502066, 0.710918, 0.950938},
	{2e3, 180, 0.185874043305, 0.37174808661, 0.466875270547, -0.210371443767, 0.744599, 0.965012},
}

// half returns half a unit of the twelfth significant digit of v.
func half(v float64) float64 {
	return 0.5001 * math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-11)
}

func TestCoefficientsAndGains(t *testing.T) {
	for _, p := range published {
		f, err := NewCFC(p.class, p.rate)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			what           string
			got, want, tol float64
		}{
			{"a0", f.A0, p.a0, half(p.a0)},
			{"a1", f.A1, p.a1, half(p.a1)},
			{"a2", f.A2, p.a0, half(p.a0)},
			{"b1", f.B1, p.b1, half(p.b1)},
			{"b2", f.B2, p.b2, half(p.b2)},
			{"gain at the corner", f.Gain(float64(p.class) / 0.6), p.atCorner, 0.6e-6},
			{"gain at the class", f.Gain(float64(p.class)), p.atClass, 0.6e-6},
			{"gain of a constant", f.Gain(0), 1, 1e-10}, // cancellation of the near-unit poles
		} {
			if !(math.Abs(c.got-c.want) <= c.tol) {
				t.Errorf("CFC %d at %g Hz: %s = %.13g, want %.13g", p.class, p.rate, c.what, c.got, c.want)
			}
		}
	}
	if len(published) != 10 {
		t.Fatalf("%d filters checked, want 10", len(published))
	}
}

// Laws of the formula: the coefficients depend on class and rate only through
// their ratio, and sum to one.
func TestDesignLaws(t *testing.T) {
	for _, class := range Classes() {
		for _, rate := range []float64{10, 14.3, 50, 833} {
			f := design(class, rate*float64(class))
			g := design(class*2, rate*float64(class)*2)
			if f.A0 != g.A0 || f.B1 != g.B1 || f.B2 != g.B2 {
				t.Errorf("class and rate doubled: %v, then %v", f, g)
			}
			if sum := f.A0 + f.A1 + f.A2 + f.B1 + f.B2; math.Abs(sum-1) > 4e-15 {
				t.Errorf("CFC %d at %g·CFC: coefficients sum to %.17g", class, rate, sum)
			}
		}
	}
}

// What filtering does to a half-sine pulse: share of the peak kept. Values
// from the same formula applied by an independent program, printed to five
// digits; the continuous pulse's peak falls between samples by less than 1e-6.
func TestPeakKept(t *testing.T) {
	for _, c := range []struct {
		class    int
		duration float64
		want     float64
	}{
		{60, 0.020, 0.99918}, {60, 0.050, 0.99996}, {180, 0.020, 0.99998},
	} {
		const rate = 20e3
		f, err := NewCFC(c.class, rate)
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, 10000)
		for i := range x {
			if s := (float64(i) - 4000) / rate; s >= 0 && s <= c.duration {
				x[i] = math.Sin(math.Pi * s / c.duration)
			}
		}
		got := slices.Max(f.Phaseless(x, f.Padding()))
		if math.Abs(got-c.want) > 1e-5 {
			t.Errorf("CFC %d keeps %.6f of a %g s half-sine, want %.5f", c.class, got, c.duration, c.want)
		}
	}
}

// The gain seen on a long sine is the gain computed from the coefficients.
func TestGainOfASine(t *testing.T) {
	f, err := NewCFC(180, 10e3)
	if err != nil {
		t.Fatal(err)
	}
	for _, hz := range []float64{30, 180, 300, 900} {
		x := make([]float64, 40000)
		for i := range x {
			x[i] = math.Sin(2 * math.Pi * hz * float64(i) / 10e3)
		}
		y := f.Phaseless(x, f.Padding())
		var xy, xx float64
		for i := 10000; i < 30000; i++ { // whole periods, far from the ends
			xy += x[i] * y[i]
			xx += x[i] * x[i]
		}
		if got, want := xy/xx, f.Gain(hz); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g Hz: gain %.12f on a sine, %.12f from the coefficients", hz, got, want)
		}
	}
}

// Constants and straight lines pass, time can be reversed, the input stays.
func TestPhaselessLaws(t *testing.T) {
	f, err := NewCFC(60, 2000)
	if err != nil {
		t.Fatal(err)
	}
	const n = 1200
	line, bump := make([]float64, n), make([]float64, n)
	for i := range line {
		line[i] = 700 - 0.3*float64(i)
		bump[i] = 3000*math.Exp(-math.Pow((float64(i)-400)/60, 2)) + 5*math.Sin(float64(i*i))
	}
	before := slices.Clone(bump)
	got := f.Phaseless(line, f.Padding())
	for i := range got {
		// The start as if the first value had always been there bends a line
		// in the padding only; what is left of it after 20 samples of padding.
		if math.Abs(got[i]-line[i]) > 0.02 {
			t.Fatalf("a straight line moved by %g at sample %d", got[i]-line[i], i)
		}
	}
	for i, v := range f.Phaseless(slices.Repeat([]float64{812.5}, 50), 20) {
		if math.Abs(v-812.5) > 1e-9 {
			t.Fatalf("a constant moved to %g at sample %d", v, i)
		}
	}
	forth := f.Phaseless(bump, 200)
	slices.Reverse(bump)
	back := f.Phaseless(bump, 200)
	slices.Reverse(back)
	slices.Reverse(bump)
	for i := 200; i < n-200; i++ {
		if math.Abs(forth[i]-back[i]) > 1e-7 {
			t.Fatalf("reversed in time the result differs by %g at %d", forth[i]-back[i], i)
		}
	}
	if !slices.Equal(before, bump) {
		t.Error("the input was changed")
	}
}

func TestNewCFCRefuses(t *testing.T) {
	for _, c := range []struct {
		class int
		rate  float64
	}{{61, 1e4}, {0, 1e4}, {60, 599}, {1000, 9999}, {60, math.NaN()}, {60, math.Inf(1)}, {180, -5}} {
		if _, err := NewCFC(c.class, c.rate); err == nil {
			t.Errorf("CFC %d at %g Hz was designed", c.class, c.rate)
		}
	}
	if got := (CFC{}).Phaseless(nil, 5); got != nil {
		t.Error("no samples became some")
	}
}

// Figure and peer: docs/METHODS.md, "Speed".
func BenchmarkPhaselessMillion(b *testing.B) {
	f, err := NewCFC(60, 10e3)
	if err != nil {
		b.Fatal(err)
	}
	x := make([]float64, 1_000_000)
	for i := range x {
		x[i] = math.Sin(float64(i) / 700)
	}
	b.SetBytes(8e6)
	for b.Loop() {
		f.Phaseless(x, f.Padding())
	}
}
