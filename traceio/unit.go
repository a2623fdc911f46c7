package traceio

import "strings"

// Unit is a unit of force, time, length or acceleration and how it is brought to
// SI.
type Unit struct {
	Symbol string // "kN"; "ms"

	// SI = value * times / over. One of the two is 1, so that a value is
	// rounded once: 1/1000 is no binary number, but a division by 1000 is exact
	// to the last bit.
	times, over float64
}

// SI returns a value of the unit in newtons, seconds, metres or m/s2, rounded
// once.
func (u Unit) SI(v float64) float64 { return v * u.times / u.over }

// Plain reports whether the unit is SI itself, so that values stay as they are.
func (u Unit) Plain() bool { return u.times == 1 && u.over == 1 }

// Convert brings values to SI in place, each rounded once.
func (u Unit) Convert(values []float64) {
	if u.Plain() {
		return
	}
	for i, v := range values {
		values[i] = u.SI(v)
	}
}

// ForceUnits are the units of force that are read, as refusals list them.
const ForceUnits = "N, mN, daN, kN, lbf, kgf"

// AccelUnits are the units of acceleration that are read from a sensor in the
// mass, as refusals list them.
const AccelUnits = "g, m/s2"

// LengthUnits are the units of a recorded stretch, as refusals list them.
const LengthUnits = "m, mm, cm, um, in"

// The factors are exact by definition: standard gravity is 9.80665 m/s2 (3rd
// CGPM, 1901) and the pound 0.45359237 kg (international agreement, 1959), so
// that 1 lbf = 0.45359237 * 9.80665 N = 4.4482216152605 N.
var (
	newton      = Unit{"N", 1, 1}
	milliNewton = Unit{"mN", 1, 1000}
	decaNewton  = Unit{"daN", 10, 1}
	kiloNewton  = Unit{"kN", 1000, 1}
	poundForce  = Unit{"lbf", 4.4482216152605, 1}
	kiloForce   = Unit{"kgf", 9.80665, 1}
)

// The second in the forms that loggers write.
var (
	second      = Unit{"s", 1, 1}
	milliSecond = Unit{"ms", 1, 1000}
	microSecond = Unit{"us", 1, 1e6}
	minute      = Unit{"min", 60, 1}
)

// A g is standard gravity, an inch 25.4 mm (both exact, sources above).
var (
	gravity    = Unit{"g", 9.80665, 1}
	metrePerS2 = Unit{"m/s2", 1, 1}

	metre      = Unit{"m", 1, 1}
	centiMetre = Unit{"cm", 1, 100}
	milliMetre = Unit{"mm", 1, 1000}
	microMetre = Unit{"um", 1, 1e6}
	inch       = Unit{"in", 0.0254, 1}
)

// Symbols in which case matters: mN is no MN, S is no unit of time but some
// loggers write all headers in capitals.
var forceSymbols = map[string]Unit{"N": newton, "mN": milliNewton, "daN": decaNewton, "kN": kiloNewton, "KN": kiloNewton}

// Longer words, in any case.
var forceWords = map[string]Unit{
	"newton": newton, "newtons": newton,
	"millinewton": milliNewton, "millinewtons": milliNewton,
	"dan": decaNewton, "decanewton": decaNewton, "decanewtons": decaNewton,
	"kilonewton": kiloNewton, "kilonewtons": kiloNewton,
	"lbf": poundForce, "kgf": kiloForce, "kp": kiloForce,
}

var timeSymbols = map[string]Unit{
	"s": second, "S": second, "ms": milliSecond, "MS": milliSecond,
	"\u79d2": second, "\u30df\u30ea\u79d2": milliSecond, // Japanese
	"us": microSecond, "\u00b5s": microSecond, "\u03bcs": microSecond, // micro sign, Greek mu
}

var timeWords = map[string]Unit{
	"sec": second, "secs": second, "second": second, "seconds": second, "sek": second, "seg": second,
	"msec": milliSecond, "millisecond": milliSecond, "milliseconds": milliSecond,
	"usec": microSecond, "microsecond": microSecond, "microseconds": microSecond,
	"min": minute, "minute": minute, "minutes": minute,
}

// The middle dot and the raised two are how programs write m/s2 beside it.
var accelSymbols = map[string]Unit{
	"g": gravity, "g0": gravity, "gn": gravity, "G": gravity,
	"m/s2": metrePerS2, "m/s^2": metrePerS2, "m/s\u00b2": metrePerS2, "m/s/s": metrePerS2, "m/s**2": metrePerS2,
	"m s-2": metrePerS2, "m\u00b7s-2": metrePerS2, "m\u00b7s\u207b\u00b2": metrePerS2, "m s\u207b\u00b2": metrePerS2, "m.s-2": metrePerS2,
}

var lengthSymbols = map[string]Unit{
	"m": metre, "cm": centiMetre, "mm": milliMetre, "MM": milliMetre, "in": inch, "in.": inch, "inch": inch,
	"um": microMetre, "\u00b5m": microMetre, "\u03bcm": microMetre,
}

var lengthWords = map[string]Unit{
	"metre": metre, "metres": metre, "meter": metre, "meters": metre,
	"millimetre": milliMetre, "millimetres": milliMetre, "millimeter": milliMetre, "millimeters": milliMetre,
	"inches": inch, "micron": microMetre, "microns": microMetre,
}

// ForceUnit returns the unit of force that text names: N, mN, daN, kN, lbf, kgf or
// its English name. A pound or a kilogram alone is a mass, and refused.
func ForceUnit(text string) (Unit, bool) { return lookUp(text, forceSymbols, forceWords) }

// TimeUnit returns the unit of time that text names: s, ms, us, min, or one of
// their usual longer forms.
func TimeUnit(text string) (Unit, bool) { return lookUp(text, timeSymbols, timeWords) }

// AccelUnit returns the unit of acceleration that text names: g or m/s2. That a
// g may be a gram is for the caller to rule out.
func AccelUnit(text string) (Unit, bool) { return lookUp(text, accelSymbols, nil) }

// LengthUnit returns the unit of length that text names: m, cm, mm, um, in, or
// one of their usual longer forms.
func LengthUnit(text string) (Unit, bool) { return lookUp(text, lengthSymbols, lengthWords) }

// Second is the SI unit of time.
func Second() Unit { return second }

// Newton is the SI unit of force.
func Newton() Unit { return newton }

func lookUp(text string, symbols, words map[string]Unit) (Unit, bool) {
	text = strings.TrimSuffix(strings.TrimSpace(text), ".")
	if u, ok := symbols[text]; ok {
		return u, true
	}
	u, ok := words[strings.ToLower(text)]
	return u, ok
}
