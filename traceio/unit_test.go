package traceio_test

import (
	"math/big"
	"testing"

	"fallwright.example/traceio"
)

// Source: the definitions themselves, worked in whole numbers. 1 lbf is
// 0.45359237 kg times 9.80665 m/s2; 1 kgf is 1 kg times that. The float64 has
// to be the one nearest to the exact product.
func TestFactorsAreTheDefinitions(t *testing.T) {
	exact := func(a, b string) float64 {
		x, _ := new(big.Rat).SetString(a)
		y, _ := new(big.Rat).SetString(b)
		f, _ := new(big.Rat).Mul(x, y).Float64()
		return f
	}
	checked := 0
	for _, c := range []struct {
		text, symbol string
		time         bool
		want         float64 // of 1 unit, in SI
	}{
		{"N", "N", false, 1},
		{"Newton", "N", false, 1},
		{" N ", "N", false, 1},
		{"kN", "kN", false, 1000},
		{"KN", "kN", false, 1000},
		{"kilonewtons", "kN", false, 1000},
		{"mN", "mN", false, exact("1", "0.001")},
		{"lbf", "lbf", false, exact("0.45359237", "9.80665")},
		{"LBF", "lbf", false, exact("0.45359237", "9.80665")},
		{"kgf", "kgf", false, exact("1", "9.80665")},
		{"kp", "kgf", false, exact("1", "9.80665")},
		{"s", "s", true, 1},
		{"sec", "s", true, 1},
		{"Sec.", "s", true, 1},
		{"Seconds", "s", true, 1},
		{"ms", "ms", true, exact("1", "0.001")},
		{"us", "us", true, exact("1", "0.000001")},
		{"\u00b5s", "us", true, exact("1", "0.000001")},
		{"\u03bcs", "us", true, exact("1", "0.000001")},
		{"min", "min", true, 60},
	} {
		of, not := traceio.ForceUnit, traceio.TimeUnit
		if c.time {
			of, not = not, of
		}
		u, ok := of(c.text)
		if !ok || u.Symbol != c.symbol || u.SI(1) != c.want {
			t.Errorf("%q: %q, %v, 1 is %v; want %q, %v", c.text, u.Symbol, ok, u.SI(1), c.symbol, c.want)
		}
		if _, ok := not(c.text); ok {
			t.Errorf("%q is both a force and a time", c.text)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// Source: the definitions: standard gravity as above, the inch 25.4 mm
// (international agreement, 1959). 0.0254 has no exact float64, and is compared
// with the nearest.
func TestAccelerationsAndLengths(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		text, symbol string
		length       bool
		one          float64
	}{
		{"g", "g", false, 9.80665},
		{"m/s2", "m/s2", false, 1},
		{"m/s^2", "m/s2", false, 1},
		{"m/s\u00b2", "m/s2", false, 1},
		{"m s\u207b\u00b2", "m/s2", false, 1},
		{"m", "m", true, 1},
		{"mm", "mm", true, 1e-3},
		{"cm", "cm", true, 1e-2},
		{"um", "um", true, 1e-6},
		{"\u00b5m", "um", true, 1e-6},
		{"in", "in", true, 0.0254},
		{"Millimetres", "mm", true, 1e-3},
	} {
		of, not := traceio.AccelUnit, traceio.LengthUnit
		if c.length {
			of, not = not, of
		}
		u, ok := of(c.text)
		if !ok || u.Symbol != c.symbol || u.SI(1) != c.one {
			t.Errorf("%q: %q, %v, 1 is %v; want %q, %v", c.text, u.Symbol, ok, u.SI(1), c.symbol, c.one)
		}
		for _, other := range []func(string) (traceio.Unit, bool){not, traceio.ForceUnit, traceio.TimeUnit} {
			if _, ok := other(c.text); ok {
				t.Errorf("%q is two quantities", c.text)
			}
		}
		checked++
	}
	if checked != 12 {
		t.Fatalf("%d units were checked", checked)
	}
}

func TestNoUnits(t *testing.T) {
	for _, text := range []string{"", "lb", "kg", "g", "MN", "mn", "V", "m/s^2", "h", "Nm"} {
		if u, ok := traceio.ForceUnit(text); ok {
			t.Errorf("%q is a force, %s", text, u.Symbol)
		}
		if u, ok := traceio.TimeUnit(text); ok {
			t.Errorf("%q is a time, %s", text, u.Symbol)
		}
	}
}

// A value is rounded once: 8.2 kN is the float64 nearest to 8200 N, and 0.9 ms
// the one nearest to 0.0009 s, which 0.9*0.001 is not.
func TestConvertRoundsOnce(t *testing.T) {
	kN, _ := traceio.ForceUnit("kN")
	ms, _ := traceio.TimeUnit("ms")
	v := []float64{8.2, -0.012}
	if kN.Convert(v); v[0] != 8200 || v[1] != -12 {
		t.Errorf("got %v", v)
	}
	v = []float64{0.9, 3}
	if ms.Convert(v); v[0] != 0.0009 || v[1] != 0.003 {
		t.Errorf("got %v", v)
	}
	if x := 0.9; x*0.001 == 0.0009 {
		t.Error("the case shows nothing")
	}
	v = []float64{5}
	if traceio.Newton().Convert(v); v[0] != 5 || !traceio.Second().Plain() || kN.Plain() {
		t.Errorf("got %v", v)
	}
}
