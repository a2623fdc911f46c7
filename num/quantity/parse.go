package quantity

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Fault is why a text is no value of the dimension, and what to write instead.
type Fault struct {
	What string // `"80 m" is a length, not a mass`
	Hint string // `a mass is given in kg, g or lb: write "80 kg"`
}

// Error is What.
func (f *Fault) Error() string { return f.What }

// Parse reads a value of the dimension and returns it in SI. The number is
// written out with a decimal point; a time may be a sum, "3 min 30 s".
//
// The error is a *Fault that names the dimension's units.
func Parse(text string, d Dimension) (float64, error) {
	v, _, err := ParseOneOf(text, d)
	return v, err
}

// ParseOneOf reads a value that may be of any of the dimensions, which its unit
// decides, and returns it in SI. No two dimensions have a unit in common.
func ParseOneOf(text string, among ...Dimension) (float64, Dimension, error) {
	r := reader{text: strings.TrimSpace(text), among: among}
	v, d, fault := r.sum()
	if fault != nil {
		return 0, 0, fault
	}
	return v, d, nil
}

// reader reads one text.
type reader struct {
	text  string
	among []Dimension
}

func fault(what, hint string, args ...any) *Fault {
	return &Fault{What: what, Hint: fmt.Sprintf(hint, args...)}
}

// sum reads one term, or several of falling units where a time is allowed.
func (r reader) sum() (total float64, dim Dimension, _ *Fault) {
	if r.text == "" {
		return 0, 0, fault("the value is empty", "%s", r.units(true))
	}
	rest, minus := strings.CutPrefix(r.text, "-")
	smaller := 0.0 // the unit of the term before
	for first := true; first || rest != ""; first = false {
		number, name, tail := term(rest, slices.Contains(r.among, Time))
		u, d, f := r.unit(number, name)
		if f != nil {
			return 0, 0, f
		}
		v, err := strconv.ParseFloat(number+"e"+strconv.Itoa(u.shift), 64)
		if err != nil {
			return 0, 0, fault(strconv.Quote(number)+" is not a number", "%s", r.units(true))
		}
		v *= u.factor
		size := u.size()
		if !first && (d != Time || size >= smaller) {
			return 0, 0, fault(strconv.Quote(r.text)+" is more than one value",
				`a sum of times goes from long to short, such as "3 min 30 s"`)
		}
		total, dim, smaller, rest = total+v, d, size, tail
	}
	if minus {
		total = -total
	}
	return total, dim, nil
}

// term splits off a number and its unit. Where sums are allowed the unit ends
// at a blank, otherwise it is all the rest.
func term(s string, sums bool) (number, unit, rest string) {
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) })
	if i < 0 {
		return s, "", ""
	}
	number, unit = s[:i], strings.TrimLeftFunc(s[i:], unicode.IsSpace)
	if j := strings.IndexFunc(unit, unicode.IsSpace); sums && j >= 0 {
		return number, unit[:j], strings.TrimLeftFunc(unit[j:], unicode.IsSpace)
	}
	return number, unit, ""
}

// unit finds the unit of one term and refuses a number that is not plain.
func (r reader) unit(number, name string) (unit, Dimension, *Fault) {
	quoted := strconv.Quote(r.text)
	switch {
	case r.clockTime():
		minutes, seconds, _ := strings.Cut(r.text, ":")
		return unit{}, 0, fault(quoted+" could be minutes or hours", `write "%s min %s s"`, minutes, strings.TrimPrefix(seconds, "0"))
	case number == "":
		return unit{}, 0, fault(quoted+" does not begin with a number", "%s", r.units(true))
	case strings.Contains(number, ","):
		return unit{}, 0, comma(quoted, number, name)
	case strings.Count(number, ".") > 1 || number == ".":
		return unit{}, 0, fault(strconv.Quote(number)+" is not a number", "%s", r.units(true))
	case powerOfTen(name):
		return unit{}, 0, fault(quoted+" is written with a power of ten", "write the number out: %s", r.units(true))
	}
	for _, d := range r.among {
		if u, ok := d.unit(name); ok {
			return u, d, nil
		}
	}
	what := strconv.Quote(name) + " is not a unit known here"
	if other, known := dimensionOf(name); known {
		what = quoted + " is " + dimensions[other].a + ", not " + r.wanted()
	} else if name == "" {
		what = quoted + " has no unit"
	}
	return unit{}, 0, fault(what, "%s: %s", r.units(false), r.instead(number, name))
}

// clockTime reports a text like "2:30" where a time is wanted.
func (r reader) clockTime() bool {
	minutes, seconds, colon := strings.Cut(r.text, ":")
	return colon && slices.Contains(r.among, Time) && digits(minutes) && digits(seconds) && len(seconds) == 2
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// powerOfTen reports whether what follows a number is an exponent: "e3 N".
func powerOfTen(name string) bool {
	if name == "" || name[0] != 'e' && name[0] != 'E' {
		return false
	}
	exponent := strings.TrimLeft(name[1:], "+-")
	return exponent != "" && digits(exponent[:1])
}

// comma refuses a comma: what it means differs from place to place.
func comma(quoted, number, name string) *Fault {
	with := func(number string) string { return strconv.Quote(strings.TrimSpace(number + " " + name)) }
	whole, part, _ := strings.Cut(number, ",")
	what := quoted + " has a comma, and numbers here have a decimal point"
	switch {
	case !digits(whole) || !digits(part):
		return fault(what, "write the digits, with a point before the decimals")
	case len(part) == 3:
		return fault(what, "write %s, or %s if the comma sets thousands apart", with(whole+"."+part), with(whole+part))
	}
	return fault(what, "write %s", with(whole+"."+part))
}

// wanted names the dimensions allowed: "a mass", "a force or a share".
func (r reader) wanted() string {
	var names []string
	for _, d := range r.among {
		names = append(names, dimensions[d].a)
	}
	return or(names)
}

// units says which units the dimensions have, with an example where asked.
func (r reader) units(example bool) string {
	var say []string
	for _, d := range r.among {
		names := d.Units()
		switch d { // a name that is the same, harder to type, is left out
		case Acceleration:
			names = names[:1]
		case Angle:
			names = []string{"deg", "rad"}
		}
		say = append(say, dimensions[d].a+" is given in "+or(names))
	}
	text := strings.Join(say, ", ")
	if example {
		text += ", such as " + strconv.Quote(examples[r.among[0]])
	}
	return text
}

// examples are values as people write them.
var examples = map[Dimension]string{
	Force: "8.2 kN", Mass: "80 kg", Length: "1.42 m", Time: "3 min", MassPerLength: "62 g/m",
	Speed: "4.5 m/s", Energy: "900 J", Acceleration: "9.81 m/s2", Share: "5 %",
	Frequency: "2000 Hz", Angle: "90 deg",
}

// instead says what to write for a number with the wrong unit or none: with the
// unit that was most likely meant, or with the customary one of each dimension.
func (r reader) instead(number, name string) string {
	if u, ok := r.nearest(name); ok {
		return "write " + strconv.Quote(number+" "+u)
	}
	var ways []string
	for _, d := range r.among {
		way := strconv.Quote(number + " " + d.Units()[0])
		if v, err := strconv.ParseFloat(number, 64); d == Share && name == "" && err == nil && v < 1 {
			way = `"5 %" for 0.05 of the whole`
		}
		ways = append(ways, way)
	}
	return "write " + or(ways)
}

// spelled is how people also write units.
var spelled = map[string]string{
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "msec": "ms",
	"kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg", "gram": "g", "grams": "g", "gr": "g",
	"lbs": "lb", "pound": "lb", "pounds": "lb", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m",
	"inch": "in", "inches": "in", `"`: "in", "'": "ft", "foot": "ft", "feet": "ft", "newton": "N", "newtons": "N",
	"kilonewton": "kN", "kilonewtons": "kN", "joule": "J", "joules": "J", "mps": "m/s", "kph": "km/h", "kmh": "km/h",
	"m/s^2": "m/s2", "hertz": "Hz", "degree": "deg", "degrees": "deg", "radians": "rad", "percent": "%", "per cent": "%", "pct": "%",
}

// nearest is the unit allowed that name was most likely meant to be: another
// spelling, another case, or the longest that begins like it ("m" for a time is
// "min", "kg" for a force is "kgf").
func (r reader) nearest(name string) (best string, found bool) {
	if s, ok := spelled[strings.ToLower(name)]; ok {
		name = s
	}
	length := 0
	for _, d := range r.among {
		for _, u := range d.Units() {
			switch {
			case strings.EqualFold(u, name):
				return u, true
			case name != "" && (strings.HasPrefix(u, name) || strings.HasPrefix(name, u)):
				if n := min(len(u), len(name)); n > length {
					best, length = u, n
				}
			}
		}
	}
	return best, length > 0
}

// or joins words: "kg, g or lb".
func or(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
