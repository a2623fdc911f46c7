package dsp

import (
	"math"
	"testing"

	"fallwright.example/internal/near"
)

// Coefficients and two-pass gains of the published formula with 2.0775, worked
// out independently of this code in double precision and printed to twelve and
// six digits. Class 30 is in no standard and has no NewCFC; it checks the
// formula at one ratio more. Tolerance: half a unit of the last digit printed.
var published = []struct {
	rate              float64
	class             int
	a0, a1, b1, b2    float64
	atCorner, atClass float64 // gain at CFC/0.6 and at CFC
}{
	{10e3, 30, 0.000373000630963, 0.000746001261926, 1.94463304553, -0.94612504805, 0.707141, 0.949071},
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

// sineGain is the gain seen on a sine of that frequency by running it through
// the filter: the part of the result in phase with it, over whole periods far
// from the ends.
func sineGain(f CFC, hz float64) float64 {
	edge := f.Padding()
	period := f.rate / hz
	length := int(math.Round(period * math.Round(20_000/period)))
	x := make([]float64, length+2*edge)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * hz * float64(i) / f.rate)
	}
	y := f.Phaseless(x, edge)
	var xy, xx float64
	for i := edge; i < edge+length; i++ {
		xy += x[i] * y[i]
		xx += x[i] * x[i]
	}
	return xy / xx
}

func TestCoefficientsAndGains(t *testing.T) {
	checked := 0
	for _, p := range published {
		f := design(p.class, p.rate)
		if p.class != 30 {
			asked, err := NewCFC(p.class, p.rate)
			if err != nil || asked != f {
				t.Fatalf("CFC %d at %g Hz: %+v, %v", p.class, p.rate, asked, err)
			}
		}
		corner, class := float64(p.class)/0.6, float64(p.class)
		for _, c := range []struct {
			what           string
			got, want, tol float64
		}{
			{"a0", f.A0, p.a0, half(p.a0)},
			{"a1", f.A1, p.a1, half(p.a1)},
			{"a2", f.A2, p.a0, half(p.a0)},
			{"b1", f.B1, p.b1, half(p.b1)},
			{"b2", f.B2, p.b2, half(p.b2)},
			{"gain at the corner", f.Gain(corner), p.atCorner, 0.5001e-6},
			{"gain at the class", f.Gain(class), p.atClass, 0.5001e-6},
			// The sine is cut where a sample is, up to half a sample from a
			// whole period: a share of 1/20 000 of a second harmonic.
			{"gain of a sine at the corner", sineGain(f, corner), p.atCorner, 2e-6},
			{"gain of a sine at the class", sineGain(f, class), p.atClass, 2e-6},
			{"gain of a constant", f.Gain(0), 1, 1e-10}, // cancellation of the near-unit poles
		} {
			checked++
			if !near.Abs(c.got, c.want, c.tol) {
				t.Errorf("CFC %d at %g Hz: %s = %.13g, want %.13g", p.class, p.rate, c.what, c.got, c.want)
			}
		}
	}
	if checked != 110 {
		t.Fatalf("%d figures checked, want 110", checked)
	}
}

// The other constant in circulation, 1.25/0.6 in place of 2.0775: what it would
// give for CFC 60 at 10 kHz, from the same independent sums, so that a reader
// who finds these figures knows where they come from. NewCFC never does this.
func TestTheOtherConstant(t *testing.T) {
	f := butterworth(2*math.Pi*60*1.25/0.6, 10e3)
	for _, c := range []struct{ got, want, tol float64 }{
		{f.A0, 0.00146031630553, half(0.00146031630553)},
		{f.B1, 1.88903307939, half(1.88903307939)},
		{f.B2, -0.894874344617, half(-0.894874344617)},
		{f.Gain(100), 0.709574, 0.5001e-6},
		{20 * math.Log10(f.Gain(100)), -2.9800, 0.5001e-4},
	} {
		if !near.Abs(c.got, c.want, c.tol) {
			t.Errorf("%.13g, want %.13g", c.got, c.want)
		}
	}
	if ours, _ := NewCFC(60, 10e3); near.Rel(ours.A0, f.A0, 0.005) {
		t.Error("the two constants give the same filter")
	}
}

// Laws of the formula: the coefficients depend on class and rate only through
// their ratio, and sum to one; 2.0775 puts the −3 dB point of both passes at
// CFC/0.6, since 2.0775·0.6 = (√2−1)^(−1/4).
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
	if got, want := designConstant*0.6, math.Pow(math.Sqrt2-1, -0.25); !near.Rel(got, want, 1e-4) {
		t.Errorf("2.0775·0.6 is %g, (√2−1)^(−1/4) is %g", got, want)
	}
}

// The bilinear transform has order two: against the filter in continuous time,
// gain 1/(1 + (ω/ωd)⁴), the error falls by four for each doubling of the rate.
func TestGainConvergesWithTheRate(t *testing.T) {
	want := 1 / (1 + math.Pow(1/(0.6*designConstant), 4))
	before := 0.0
	for i, rate := range []float64{5e3, 10e3, 20e3, 40e3} {
		off := design(60, rate).Gain(100) - want
		if i > 0 && !near.Abs(before/off, 4, 0.05) {
			t.Errorf("at %g Hz the error fell by %g", rate, before/off)
		}
		before = off
	}
}

func TestNewCFCRefuses(t *testing.T) {
	for _, c := range []struct {
		class int
		rate  float64
	}{{61, 1e4}, {0, 1e4}, {30, 1e4}, {60, 599}, {1000, 9999}, {60, math.NaN()}, {60, math.Inf(1)}, {180, -5}} {
		_, err := NewCFC(c.class, c.rate)
		refused(t, "a filter without standing", err, ErrRange)
	}
	for _, class := range Classes() {
		if _, err := NewCFC(class, 10*float64(class)); err != nil {
			t.Error(err)
		}
	}
}
