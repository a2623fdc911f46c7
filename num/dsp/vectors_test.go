package dsp

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/refdata"
)

func vectors(t *testing.T) refdata.DSP {
	t.Helper()
	d, err := refdata.DSPVectors()
	if err != nil {
		t.Fatal(err)
	}
	t.Log(d.MadeWith)
	return d
}

func span(x []float64) float64 {
	low, high := x[0], x[0]
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return max(high-low, high, -low)
}

// Source: scipy.signal.filtfilt, refdata/dsp/make_vectors.py. Tolerance: 1e-12
// of the signal's span; SciPy itself is within 4e-13 of extended precision on
// these signals, which is checked too.
func TestPhaselessIsSciPys(t *testing.T) {
	cases, values, worst := 0, 0, 0.0
	for _, c := range vectors(t).Filters {
		f, err := NewCFC(c.Class, c.Rate)
		if err != nil {
			t.Fatal(err)
		}
		if got := min(f.Padding(), len(c.X)-1); got != c.Padding {
			t.Errorf("CFC %d at %g Hz, %s: padding %d, the vectors have %d", c.Class, c.Rate, c.Name, got, c.Padding)
		}
		if !(c.SciPyOff < 4e-13) {
			t.Errorf("CFC %d at %g Hz, %s: SciPy is off by %g", c.Class, c.Rate, c.Name, c.SciPyOff)
		}
		y := f.Phaseless(c.X, f.Padding())
		for i, want := range c.Y {
			got := y[i*c.Stride]
			worst = max(worst, math.Abs(got-want)/span(c.X))
			if !near.Abs(got, want, 1e-12*span(c.X)) {
				t.Fatalf("CFC %d at %g Hz, %s: sample %d is %.17g, SciPy has %.17g", c.Class, c.Rate, c.Name, i*c.Stride, got, want)
			}
			values++
		}
		cases++
	}
	t.Logf("%d signals, %d values, largest difference %.2g of the span", cases, values, worst)
	if cases < 100 || values < 8000 {
		t.Fatalf("%d signals and %d values compared", cases, values)
	}
}

// Source: scipy.signal.welch and periodogram. Tolerance: 1e-12 of the largest
// value; both are a transform of some 100 values.
func TestSpectrumIsSciPys(t *testing.T) {
	compared := 0
	for _, c := range vectors(t).Spectra {
		s, err := Welch(c.X, c.Rate, c.Segment)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(s.Step, c.Step, 1e-14) || len(s.Density) != len(c.Density) || len(s.Amplitude) != len(c.Amplitude) {
			t.Fatalf("%d of %d: %d lines of %g Hz, SciPy has %d of %g", c.Segment, len(c.X), len(s.Density), s.Step, len(c.Density), c.Step)
		}
		for k := range c.Density {
			if !near.Abs(s.Density[k], c.Density[k], 1e-12*span(c.Density)) {
				t.Errorf("%d of %d: density %d is %.15g, want %.15g", c.Segment, len(c.X), k, s.Density[k], c.Density[k])
			}
			// Where the mean is taken off twice the power is rounding, and its
			// root is not a figure to compare.
			if !near.Abs(s.Amplitude[k], c.Amplitude[k], 1e-12*span(c.Amplitude)) && c.Amplitude[k] > 1e-6 {
				t.Errorf("%d of %d: amplitude %d is %.15g, want %.15g", c.Segment, len(c.X), k, s.Amplitude[k], c.Amplitude[k])
			}
			compared++
		}
	}
	if compared < 250 {
		t.Fatalf("%d lines compared", compared)
	}
}

// Source: scipy.signal.savgol_filter, mode interp. Tolerance: 1e-10 of the
// largest slope; SciPy solves for the weights by least squares, which costs
// digits at order 6.
func TestDerivativeIsSciPys(t *testing.T) {
	compared := 0
	for _, c := range vectors(t).Derivatives {
		y, err := Derivative(c.X, c.Rate, c.Half, c.Order)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range c.Y {
			if !near.Abs(y[i], want, 1e-10*span(c.Y)) {
				t.Errorf("half %d order %d: sample %d is %.15g, want %.15g", c.Half, c.Order, i, y[i], want)
			}
			compared++
		}
	}
	if compared != 8*60 {
		t.Fatalf("%d slopes compared", compared)
	}
}

// Source: numpy.linalg.lstsq. Tolerance: ten digits; both solve a system of
// condition below 100 on values of three decimals.
func TestLineAndTopAreNumPys(t *testing.T) {
	compared := 0
	digits := func(what string, got, want float64) {
		t.Helper()
		compared++
		if near.Digits(got, want) < 10 {
			t.Errorf("%s is %.14g, want %.14g", what, got, want)
		}
	}
	d := vectors(t)
	for _, c := range d.Lines {
		l, err := LineAmplitude(c.X, c.Rate, c.Frequency)
		if err != nil {
			t.Fatal(err)
		}
		digits("amplitude", l.Amplitude, c.Amplitude)
		digits("standard uncertainty", l.Standard, c.Standard)
		digits("noise", l.Noise, c.Noise)
	}
	for _, c := range d.Tops {
		top, err := LocalPeak(c.X, c.At, c.Half)
		if err != nil {
			t.Fatal(err)
		}
		digits("place", top.Place, c.Place)
		digits("value", top.Value, c.Value)
		digits("factor", top.Factor, c.Factor)
	}
	if compared != 24 {
		t.Fatalf("%d figures compared", compared)
	}
}

func refused(t *testing.T, what string, err, kind error) {
	t.Helper()
	if !errors.Is(err, kind) {
		t.Errorf("%s: got %v, want %v", what, err, kind)
	}
}
