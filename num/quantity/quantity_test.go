package quantity

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Each value in SI follows from the definition of its unit by hand; the right
// side is the decimal number itself, so the comparison is exact, except where a
// factor is multiplied (lb, lbf, kgf, ft, in, km/h, deg): one rounding, 2^-52.
func TestParse(t *testing.T) {
	cases := []struct {
		text string
		d    Dimension
		want float64
	}{
		{"80 kg", Mass, 80},
		{"80kg", Mass, 80},
		{" 80  kg ", Mass, 80},
		{"80\u00a0kg", Mass, 80},
		{"212.4 g", Mass, 0.2124},
		{"1 lb", Mass, 0.45359237},
		{"-5 kg", Mass, -5},
		{"0 kg", Mass, 0},
		{"1.42 m", Length, 1.42},
		{"9.6 mm", Length, 0.0096},
		{"34 cm", Length, 0.34},
		{".5 m", Length, 0.5},
		{"1 in", Length, 0.0254},
		{"200 ft", Length, 60.96},
		{"5 mm", Length, 0.005},
		{"62 g/m", MassPerLength, 0.062},
		{"0.062 kg/m", MassPerLength, 0.062},
		{"3 min", Time, 180},
		{"15 s", Time, 15},
		{"3 min 30 s", Time, 210},
		{"1 h 2 min 3.5 s", Time, 3723.5},
		{"250 ms", Time, 0.25},
		{"-3 min 30 s", Time, -210},
		{"1 h", Time, 3600},
		{"24 h", Time, 86400},
		{"12 kN", Force, 12000},
		{"0.2 kN", Force, 200},
		{"8.2 kN", Force, 8200},
		{"1 N", Force, 1},
		{"1 lbf", Force, 4.4482216152605},
		{"1 kgf", Force, 9.80665},
		{"1450 lbf", Force, 6449.921342127725},
		{"4.5 m/s", Speed, 4.5},
		{"36 km/h", Speed, 10},
		{"10 ft/s", Speed, 3.048},
		{"900 J", Energy, 900},
		{"1.8 kJ", Energy, 1800},
		{"9.81 m/s2", Acceleration, 9.81},
		{"9.81 m/s²", Acceleration, 9.81},
		{"5 %", Share, 0.05},
		{"5%", Share, 0.05},
		{"2.5 %", Share, 0.025},
		{"2000 Hz", Frequency, 2000},
		{"1.2 kHz", Frequency, 1200},
		{"180 deg", Angle, math.Pi},
		{"90°", Angle, math.Pi / 2},
		{"1.5 rad", Angle, 1.5},
	}
	for _, c := range cases {
		got, err := Parse(c.text, c.d)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		slack := 0.0
		for _, unit := range []string{"lb", "kgf", "ft", "in", "km/h", "deg", "°"} {
			if strings.Contains(c.text, unit) && !strings.Contains(c.text, "min") {
				slack = math.Abs(c.want) * 0x1p-52
			}
		}
		if !(math.Abs(got-c.want) <= slack) {
			t.Errorf("%q = %.17g, want %.17g", c.text, got, c.want)
		}
	}
	if len(cases) < 40 {
		t.Errorf("read %d values", len(cases))
	}
}

// Factors against the published table, from memory: NIST SP 811 appendix B.8
// gives seven digits, so the tolerance is half a unit of the last.
//
// And against each other: a pound-force is a pound times a kilogram-force over
// a kilogram, an inch is a twelfth of a foot.
func TestFactors(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		text      string
		d         Dimension
		want, tol float64
	}{
		{"1 lbf", Force, 4.448222, 5e-7},
		{"1 kgf", Force, 9.806650, 5e-7},
		{"1 lb", Mass, 0.4535924, 5e-8},
		{"1 ft", Length, 0.3048, 0},
		{"1 in", Length, 0.0254, 0},
		{"1 km/h", Speed, 0.2777778, 5e-8},
		{"1 ft/s", Speed, 0.3048, 0},
	} {
		got, err := Parse(c.text, c.d)
		if err != nil || !(math.Abs(got-c.want) <= c.tol) {
			t.Errorf("%s = %.10g (%v), the table has %.7g", c.text, got, err, c.want)
		}
		checked++
	}
	size := func(d Dimension, name string) float64 {
		u, ok := d.unit(name)
		if !ok {
			t.Fatalf("no unit %s", name)
		}
		return u.size()
	}
	if got, want := size(Force, "lbf"), size(Mass, "lb")*size(Force, "kgf"); math.Abs(got-want) > 1e-15 {
		t.Errorf("lbf = %.16g, lb times standard gravity = %.16g", got, want)
	}
	if got, want := 12*size(Length, "in"), size(Length, "ft"); math.Abs(got-want) > 1e-16 {
		t.Errorf("12 in = %.16g, 1 ft = %.16g", got, want)
	}
	if checked != 7 {
		t.Errorf("checked %d factors", checked)
	}
}

func TestRefusals(t *testing.T) {
	const times = "a time is given in s, min, h or ms"
	const lengths = "a length is given in m, cm, mm, ft or in"
	cases := []struct {
		text  string
		among []Dimension
		want  string // "what | hint"
	}{
		{"80 m", []Dimension{Mass}, `"80 m" is a length, not a mass | a mass is given in kg, g or lb: write "80 kg"`},
		{"80", []Dimension{Mass}, `"80" has no unit | a mass is given in kg, g or lb: write "80 kg"`},
		{"80 KG", []Dimension{Mass}, `"KG" is not a unit known here | a mass is given in kg, g or lb: write "80 kg"`},
		{"12 lbs", []Dimension{Mass}, `"lbs" is not a unit known here | a mass is given in kg, g or lb: write "12 lb"`},
		{"80 kg extra", []Dimension{Mass}, `"kg extra" is not a unit known here | a mass is given in kg, g or lb: write "80 kg"`},
		{"80 kg 5 kg", []Dimension{Mass}, `"kg 5 kg" is not a unit known here | a mass is given in kg, g or lb: write "80 kg"`},
		{"1,42 m", []Dimension{Length}, `"1,42 m" has a comma, and numbers here have a decimal point | write "1.42 m"`},
		{"1,420 m", []Dimension{Length}, `"1,420 m" has a comma, and numbers here have a decimal point | write "1.420 m", or "1420 m" if the comma sets thousands apart`},
		{"1,2,3 m", []Dimension{Length}, `"1,2,3 m" has a comma, and numbers here have a decimal point | write the digits, with a point before the decimals`},
		{"1.2.3 m", []Dimension{Length}, `"1.2.3" is not a number | ` + lengths + `, such as "1.42 m"`},
		{". m", []Dimension{Length}, `"." is not a number | ` + lengths + `, such as "1.42 m"`},
		{"", []Dimension{Length}, `the value is empty | ` + lengths + `, such as "1.42 m"`},
		{"long", []Dimension{Length}, `"long" does not begin with a number | ` + lengths + `, such as "1.42 m"`},
		{"-", []Dimension{Length}, `"-" does not begin with a number | ` + lengths + `, such as "1.42 m"`},
		{"--1 m", []Dimension{Length}, `"--1 m" does not begin with a number | ` + lengths + `, such as "1.42 m"`},
		{"1e3 m", []Dimension{Length}, `"1e3 m" is written with a power of ten | write the number out: ` + lengths + `, such as "1.42 m"`},
		{"NaN m", []Dimension{Length}, `"NaN m" does not begin with a number | ` + lengths + `, such as "1.42 m"`},
		{"5 ft 3 in", []Dimension{Length}, `"ft 3 in" is not a unit known here | ` + lengths + `: write "5 ft"`},
		{`60"`, []Dimension{Length}, `"\"" is not a unit known here | ` + lengths + `: write "60 in"`},
		{"3 m", []Dimension{Time}, `"3 m" is a length, not a time | ` + times + `: write "3 min"`},
		{"3 minutes", []Dimension{Time}, `"minutes" is not a unit known here | ` + times + `: write "3 min"`},
		{"3 min 30", []Dimension{Time}, `"3 min 30" has no unit | ` + times + `: write "30 s"`},
		{"30 s 3 min", []Dimension{Time}, `"30 s 3 min" is more than one value | a sum of times goes from long to short, such as "3 min 30 s"`},
		{"3 min 3 min", []Dimension{Time}, `"3 min 3 min" is more than one value | a sum of times goes from long to short, such as "3 min 30 s"`},
		{"2:30", []Dimension{Time}, `"2:30" could be minutes or hours | write "2 min 30 s"`},
		{"80 kg", []Dimension{Force}, `"80 kg" is a mass, not a force | a force is given in kN, N, lbf or kgf: write "80 kgf"`},
		{"8.2 kn", []Dimension{Force}, `"kn" is not a unit known here | a force is given in kN, N, lbf or kgf: write "8.2 kN"`},
		{"62 g", []Dimension{MassPerLength}, `"62 g" is a mass, not a mass per length | a mass per length is given in g/m or kg/m: write "62 g/m"`},
		{"4 m", []Dimension{Speed}, `"4 m" is a length, not a speed | a speed is given in m/s, km/h or ft/s: write "4 m/s"`},
		{"4 Nm", []Dimension{Energy}, `"Nm" is not a unit known here | an energy is given in J or kJ: write "4 J"`},
		{"9.81 m/s^2", []Dimension{Acceleration}, `"m/s^2" is not a unit known here | an acceleration is given in m/s2: write "9.81 m/s2"`},
		{"0.05", []Dimension{Share}, `"0.05" has no unit | a share is given in %: write "5 %" for 0.05 of the whole`},
		{"5", []Dimension{Share}, `"5" has no unit | a share is given in %: write "5 %"`},
		{"5 percent", []Dimension{Share}, `"percent" is not a unit known here | a share is given in %: write "5 %"`},
		{"5 mm", []Dimension{Share, Force}, `"5 mm" is a length, not a share or a force | a share is given in %, a force is given in kN, N, lbf or kgf: write "5 %" or "5 kN"`},
		{"0.05", []Dimension{Force, Share}, `"0.05" has no unit | a force is given in kN, N, lbf or kgf, a share is given in %: write "0.05 kN" or "5 %" for 0.05 of the whole`},
		{"2000", []Dimension{Frequency}, `"2000" has no unit | a frequency is given in Hz or kHz: write "2000 Hz"`},
		{"2 khz", []Dimension{Frequency}, `"khz" is not a unit known here | a frequency is given in Hz or kHz: write "2 kHz"`},
		{"90", []Dimension{Angle}, `"90" has no unit | an angle is given in deg or rad: write "90 deg"`},
		{"90 degrees", []Dimension{Angle}, `"degrees" is not a unit known here | an angle is given in deg or rad: write "90 deg"`},
		{"200 n", []Dimension{Share, Force}, `"n" is not a unit known here | a share is given in %, a force is given in kN, N, lbf or kgf: write "200 N"`},
	}
	for _, c := range cases {
		v, d, err := ParseOneOf(c.text, c.among...)
		var f *Fault
		if !errors.As(err, &f) {
			t.Errorf("%q is taken as %g %v", c.text, v, d)
			continue
		}
		if got := f.What + " | " + f.Hint; got != c.want {
			t.Errorf("%q:\n got %s\nwant %s", c.text, got, c.want)
		}
	}
	if len(cases) < 30 {
		t.Errorf("looked at %d refusals", len(cases))
	}
}

func TestFormat(t *testing.T) {
	cases := []struct {
		v    float64
		d    Dimension
		want string
	}{
		{80, Mass, "80 kg"},
		{0.2124, Mass, "212.4 g"},
		{1.42, Length, "1.42 m"},
		{0.0096, Length, "9.6 mm"},
		{0.34, Length, "0.34 m"},
		{0.062, MassPerLength, "62 g/m"},
		{180, Time, "3 min"},
		{210, Time, "3 min 30 s"},
		{15, Time, "15 s"},
		{0.25, Time, "250 ms"},
		{50607, Time, "14 h 3 min 27 s"},
		{164.9, Time, "2 min 44.9 s"},
		{-70, Time, "-1 min 10 s"},
		{59.9999, Time, "1 min"},
		{61.2345, Time, "1 min 1.235 s"},
		{12000, Force, "12 kN"},
		{8234.6, Force, "8.235 kN"},
		{999.96, Force, "1 kN"},
		{200, Force, "200 N"},
		{0.05, Share, "5 %"},
		{4.512, Speed, "4.512 m/s"},
		{9.80665, Acceleration, "9.807 m/s2"},
		{1812, Energy, "1.812 kJ"},
		{0, Force, "0 kN"},
		{0, Time, "0 s"},
		{-3400, Force, "-3.4 kN"},
		{math.NaN(), Force, "not known"},
		{math.Inf(1), Time, "+Inf s"},
	}
	for _, c := range cases {
		if got := Format(c.v, c.d); got != c.want {
			t.Errorf("Format(%g, %v) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
}

// What Format writes, Parse reads: within half a unit of the fourth digit (half
// a millisecond for a time), and it formats to the same text again.
func TestFormatAndBack(t *testing.T) {
	checked := 0
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(Dimensions()).Draw(t, "dimension")
		v := rapid.Float64Range(0.1, 1).Draw(t, "digits") * math.Pow10(rapid.IntRange(-5, 7).Draw(t, "size"))
		if rapid.Bool().Draw(t, "minus") {
			v = -v
		}
		text := Format(v, d)
		back, err := Parse(text, d)
		if err != nil {
			t.Fatalf("Format(%g, %v) = %q, which is not read: %v", v, d, text, err)
		}
		tol := 5.001e-4 * math.Abs(v)
		if d == Time && math.Abs(v) >= 1 {
			tol = 0.0005001
		}
		if !(math.Abs(back-v) <= tol) {
			t.Fatalf("Format(%.17g, %v) = %q, read as %.17g", v, d, text, back)
		}
		if again := Format(back, d); again != text {
			t.Fatalf("%q is read and written as %q", text, again)
		}
		checked++
	})
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// A decimal number in a decimal unit is read as the nearest float64: the same
// as the number with its point moved, for any digits.
func TestDecimalUnitsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := strconv.Itoa(rapid.IntRange(1, 1<<40).Draw(t, "digits"))
		for text, shifted := range map[string]string{
			digits + " mm": digits + "e-3", digits + " kN": digits + "e3", digits + " g/m": digits + "e-3", digits + " %": digits + "e-2",
		} {
			want, err := strconv.ParseFloat(shifted, 64)
			if err != nil {
				t.Fatal(err)
			}
			if got, _, err := ParseOneOf(text, Length, Force, MassPerLength, Share); err != nil || got != want {
				t.Fatalf("%s = %.17g (%v), want %.17g", text, got, err, want)
			}
		}
	})
}

// A unit belongs to one dimension, so that a margin's unit decides what it is.
func TestUnitsAreDistinct(t *testing.T) {
	owner := map[string]Dimension{}
	for _, d := range Dimensions() {
		if d.String() == "" || len(d.Units()) == 0 || examples[d] == "" {
			t.Errorf("dimension %d lacks its words", d)
		}
		if _, err := Parse(examples[d], d); err != nil {
			t.Errorf("the example %q of %v is not read: %v", examples[d], d, err)
		}
		for _, u := range d.Units() {
			if other, taken := owner[u]; taken {
				t.Errorf("%s is a unit of %v and of %v", u, other, d)
			}
			owner[u] = d
		}
	}
	if len(owner) < 20 {
		t.Errorf("%d units", len(owner))
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"80 kg", "3 min 30 s", "1,42 m", "5%", "1e999 m", "\u00a0", "9e", "- 3 s"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, d := range Dimensions() {
			v, err := Parse(text, d)
			var fault *Fault
			switch {
			case err == nil && (math.IsNaN(v) || math.IsInf(v, 0)):
				t.Errorf("%q = %g", text, v)
			case err != nil && (!errors.As(err, &fault) || fault.What == "" || fault.Hint == ""):
				t.Errorf("%q: %v says not what to do", text, err)
			}
		}
	})
}
