// Package quantity reads and writes values with their units, as people type
// them: "80 kg", "9.6 mm", "3 min 30 s", "5 %". Inside the program every value
// is SI: newtons, kilograms, metres, seconds, hertz, radians, and shares as
// fractions of one.
//
// Decimal units shift the decimal point of the text, so that "9.6 mm" is the
// float64 nearest to 0.0096; the other factors are exact by definition and cost
// one rounding, except the degree, π/180, which is rounded itself.
package quantity

import "math"

// Dimension is what a value is a value of.
type Dimension int

const (
	Force         Dimension = iota + 1 // N
	Mass                               // kg
	Length                             // m
	Time                               // s
	MassPerLength                      // kg/m
	Speed                              // m/s
	Energy                             // J
	Acceleration                       // m/s2
	Share                              // 1
	Frequency                          // Hz
	Angle                              // rad
)

// unit is one unit of a dimension: what one of it is in SI, which is
// factor·10^shift.
type unit struct {
	name   string
	factor float64
	shift  int
}

// dimension is a Dimension's words and units. The first unit is the one that
// hints suggest.
type dimension struct {
	name  string // "mass"
	a     string // "a mass"
	units []unit
}

// Factors: the pound (0.45359237 kg), the inch (0.0254 m), the foot (0.3048 m)
// and the standard acceleration of free fall (9.80665 m/s2) are exact by
// definition; kilogram-force and pound-force are the products with it
// [NIST811, app. B.8].
var dimensions = map[Dimension]dimension{
	Force: {"force", "a force", []unit{
		{"kN", 1, 3}, {"N", 1, 0}, {"lbf", 4.4482216152605, 0}, {"kgf", 9.80665, 0},
	}},
	Mass: {"mass", "a mass", []unit{
		{"kg", 1, 0}, {"g", 1, -3}, {"lb", 0.45359237, 0},
	}},
	Length: {"length", "a length", []unit{
		{"m", 1, 0}, {"cm", 1, -2}, {"mm", 1, -3}, {"ft", 0.3048, 0}, {"in", 0.0254, 0},
	}},
	Time: {"time", "a time", []unit{
		{"s", 1, 0}, {"min", 60, 0}, {"h", 3600, 0}, {"ms", 1, -3},
	}},
	MassPerLength: {"mass per length", "a mass per length", []unit{
		{"g/m", 1, -3}, {"kg/m", 1, 0},
	}},
	Speed: {"speed", "a speed", []unit{
		{"m/s", 1, 0}, {"km/h", 1 / 3.6, 0}, {"ft/s", 0.3048, 0},
	}},
	Energy: {"energy", "an energy", []unit{
		{"J", 1, 0}, {"kJ", 1, 3},
	}},
	Acceleration: {"acceleration", "an acceleration", []unit{
		{"m/s2", 1, 0}, {"m/s²", 1, 0},
	}},
	Share: {"share", "a share", []unit{
		{"%", 1, -2},
	}},
	Frequency: {"frequency", "a frequency", []unit{
		{"Hz", 1, 0}, {"kHz", 1, 3},
	}},
	Angle: {"angle", "an angle", []unit{
		{"deg", math.Pi / 180, 0}, {"°", math.Pi / 180, 0}, {"rad", 1, 0},
	}},
}

// size is one of the unit in SI.
func (u unit) size() float64 { return u.factor * math.Pow10(u.shift) }

// Dimensions lists every dimension.
func Dimensions() []Dimension {
	return []Dimension{Force, Mass, Length, Time, MassPerLength, Speed, Energy, Acceleration, Share, Frequency, Angle}
}

// String is the dimension's name in words: "mass per length".
func (d Dimension) String() string { return dimensions[d].name }

// Units lists the names of the dimension's units, the customary one first.
func (d Dimension) Units() []string {
	var names []string
	for _, u := range dimensions[d].units {
		names = append(names, u.name)
	}
	return names
}

// unit returns the unit of that name.
func (d Dimension) unit(name string) (unit, bool) {
	for _, u := range dimensions[d].units {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}

// dimensionOf returns the dimension that has a unit of that name.
func dimensionOf(name string) (Dimension, bool) {
	for _, d := range Dimensions() {
		if _, ok := d.unit(name); ok {
			return d, true
		}
	}
	return 0, false
}
