package pick

import (
	"regexp"
	"strings"

	"fallwright.example/traceio"
)

// NameAndUnit takes a title apart: "Force (kN)", "Force [kN] raw", "Force, kN",
// "force_kN", "Force kN", "Force:kN", "F/kN", "Force (N, tared)", and "kN" alone.
func NameAndUnit(title string) (name, unit string) {
	if m := numberedTitle(title); m != nil {
		if name, unit = NameAndUnit(m[1]); unit != "" {
			return name + " " + m[2], unit
		}
	}
	if name, unit, ok := inBrackets(title); ok {
		return name, unit
	}
	if IsUnit(title) {
		return title, title
	}
	for _, sep := range []string{",", "_", ":", "."} {
		if i := strings.LastIndex(title, sep); i > 0 {
			name, u := strings.TrimSpace(title[:i]), strings.TrimSpace(title[i+1:])
			if (sep == ":" || sep == ".") && !suits(name, u) {
				continue
			}
			if (IsUnit(u) || apart[u] || suits(name, u)) && !leastOf(name, u) {
				return name, u
			}
		}
	}
	// After a space or a stroke a letter may be anything, so that the name has
	// to say the same as the unit.
	if i := strings.LastIndexAny(title, " /"); i > 0 {
		name := strings.TrimSuffix(strings.TrimRight(title[:i], " /"), " in")
		if u := title[i+1:]; suits(name, u) || unread(name, u) {
			return name, u
		}
	}
	return title, ""
}

// numbered is a title with its unit and a number behind: "Force (N) 2", and
// "Force (N).1" of a program that numbers titles it has had before.
var numbered = regexp.MustCompile(`^(.*[)\]}])[ ._#-]*([0-9]{1,4})$`)

// numberedTitle is numbered's match; most titles end in no digit.
func numberedTitle(title string) []string {
	if title == "" || title[len(title)-1]-'0' > 9 {
		return nil
	}
	return numbered.FindStringSubmatch(title)
}

// suits reports whether a unit is of the quantity that a name says.
func suits(name, unit string) bool {
	for _, q := range []struct {
		is   func(string) (traceio.Unit, bool)
		says func(string) bool
	}{
		{traceio.ForceUnit, saysForce},
		{traceio.TimeUnit, saysTime},
		{traceio.LengthUnit, saysStretch},
		{traceio.AccelUnit, saysAcceleration},
	} {
		if _, ok := q.is(unit); ok && q.says(name) {
			return true
		}
	}
	return false
}

// bracketed cuts "name (inside)" or "name [inside]" in two.
func bracketed(s string) (before, inside string, ok bool) {
	s = strings.TrimSpace(s)
	for _, b := range []string{"()", "[]", "{}"} {
		if !strings.HasSuffix(s, b[1:]) {
			continue
		}
		if i := strings.LastIndex(s, b[:1]); i >= 0 {
			return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i+1 : len(s)-1]), true
		}
	}
	return s, "", false
}

// Unbracket is what a cell of a unit row states: "(N)" and "N" alike.
func Unbracket(s string) string {
	if before, inside, ok := bracketed(s); ok && before == "" {
		return inside
	}
	return strings.TrimSpace(s)
}

// IsUnit reports whether u is a unit of force or of time.
func IsUnit(u string) bool {
	if _, ok := traceio.ForceUnit(u); ok {
		return true
	}
	_, ok := traceio.TimeUnit(u)
	return ok
}

// others are units of other things, so that a row of them is known as units.
var others = set("kg", "g", "lb", "lbs", "t", "m", "mm", "cm", "um", "\u00b5m", "in", "ft",
	"Nmm", "Nm", "N\u00b7m", "N\u00b7mm", "kNm", "J", "mJ", "kJ", "W", "V", "mV", "A", "mA",
	"m/s", "mm/s", "mm/min", "m/s^2", "m/s\u00b2", "m/s2", "g0", "%", "\u00b0", "deg", "rad", "\u00b0C", "C", "K",
	"Pa", "kPa", "MPa", "bar", "Hz", "kHz", "-", "1", "N/s", "kN/s", "N\u00b7s", "Ns", "mL", "ml", "L", "tons", "ounces")

// apart are those of them that are units also after a comma or an underscore.
var apart = set("V", "mV", "g", "kg", "lb", "lbs", "mm", "cm", "um", "mL", "ml", "J", "%", "m/s", "m/s^2", "m/s\u00b2", "m/s2", "daN", "MN")

// inBrackets finds the unit in the brackets of a title: a known one in any of
// them, else what the last of them has at the end of the title. ok is false when
// there are no brackets that settle it.
func inBrackets(title string) (name, unit string, ok bool) {
	for _, at := range brackets.FindAllStringSubmatchIndex(title, -1) {
		before, inside, after := strings.TrimSpace(title[:at[0]]), strings.TrimSpace(title[at[0]+1:at[1]-1]), strings.TrimSpace(title[at[1]:])
		_, length := traceio.LengthUnit(inside)
		if u, said, mixed := unitAndRemark(inside); mixed && after != "" && !leastOf(before, u) {
			return strings.TrimSpace(before + " (" + said + ") " + after), u, true
		}
		if (!IsUnit(inside) && !others[inside] && !length) || leastOf(before, inside) || after == "" {
			continue
		}
		return strings.TrimSpace(before + " " + after), inside, true
	}
	before, inside, found := bracketed(title)
	if u, said, mixed := unitAndRemark(inside); found && mixed && !leastOf(before, u) {
		return strings.TrimSpace(before + " (" + said + ")"), u, true
	}
	switch {
	case !found:
		return title, "", false
	case remark(before, inside) || leastOf(before, inside):
		if name, unit = NameAndUnit(before); unit != "" && !IsUnit(before) {
			return name, unit, true // "Force kN (filtered)"
		}
		return title, "", true
	}
	return before, inside, true
}

var brackets = regexp.MustCompile(`\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}`)

// unread reports whether a word behind a name is a unit of mass or of time that
// is not read, "Load kg", "Time hrs", so that it is not passed over.
func unread(name, unit string) bool {
	return saysForce(name) && unreadForce[unit] || saysTime(name) && unreadTime[unit]
}

var (
	unreadForce = set("kg", "g", "lb", "lbs", "kip", "kips", "klbf", "klb", "klbs", "ozf", "oz", "pounds", "pound", "tons", "tonnes", "tonf", "tf", "pdl", "dyn", "MN", "GN", "V", "mV", "mV/V", "kilopond")
	unreadTime  = set("h", "hr", "hrs", "hour", "hours", "d", "day", "days", "ns", "Std", "Stunden", "Tage")
)

// plainRemarks are words in brackets that say something about a force or a time
// and are no unit; our own list, common usage.
var plainRemarks = set("filtered", "unfiltered", "raw", "tared", "untared", "zeroed", "left", "right", "foot", "hand", "top", "bottom",
	"upper", "lower", "cell", "load", "sensor", "channel", "vertical", "horizontal", "measured", "calculated", "computed", "corrected", "net", "gross", "total", "sum",
	"anchor", "climber", "belay", "belayer", "rope", "side", "end", "static", "dynamic", "smoothed", "primary", "secondary", "main", "abs", "absolute", "relative",
	"resultant", "compensated", "scaled", "calibrated", "digital", "analog", "analogue", "input", "output", "test", "force", "tension", "compression", "pull", "peak", "mean", "average", "max", "maximum", "minimum",
	"elapsed", "from", "since", "after", "trigger", "start", "of", "the", "and", "not", "new", "old", "front", "back", "rear", "inner", "outer", "master", "slave", "axis", "axial", "signal", "value", "values", "time",
	"gefiltert", "ungefiltert", "roh", "tariert", "links", "rechts", "oben", "unten", "gemessen", "relativ", "absolut",
	"filtre", "brut", "gauche", "droite", "haut", "bas", "filtrado", "crudo", "bruto", "izquierda", "derecha", "esquerda", "direita", "filtrato", "grezzo", "sinistra", "destra")

// remark reports whether what stands in brackets behind a name is a word about
// the column and no unit: "(filtered)", "(left foot)". Behind a force or a time
// it has to be a known one, as "(kips)" is a word too.
func remark(name, inside string) bool {
	if saysForce(name) || saysTime(name) {
		for _, w := range words(fold(inside)) {
			if !plainRemarks[w] && len(w) > 1 {
				return false
			}
		}
	}
	_, length := traceio.LengthUnit(inside)
	if IsUnit(inside) || others[inside] || length {
		return false
	}
	letters := 0
	for _, r := range inside {
		if r != ' ' && (r < 'a' || r > 'z') {
			return false
		}
		letters++
	}
	return letters == 0 || letters >= 3
}

// leastOf reports whether "min" is meant as the least force, not as minutes.
func leastOf(name, unit string) bool { return strings.EqualFold(unit, "min") && saysForce(name) }

// unitAndRemark parts what stands in brackets together: "N, tared", "kN raw",
// "filtered, kN". Behind a comma or a semicolon any words of three letters and
// more are a remark, behind a blank only plain ones, as "N m" is a unit too.
func unitAndRemark(inside string) (unit, said string, ok bool) {
	at := parting.FindAllStringIndex(inside, -1)
	if len(at) == 0 {
		return "", "", false
	}
	first, last := at[0], at[len(at)-1]
	for _, way := range [][3]string{
		{inside[:first[0]], inside[first[0]:first[1]], inside[first[1]:]},
		{inside[last[1]:], inside[last[0]:last[1]], inside[:last[0]]},
	} {
		if known(way[0]) && plain(way[2], strings.ContainsAny(way[1], ",;")) {
			return way[0], way[2], true
		}
	}
	return "", "", false
}

// parting is what stands between a unit and a remark.
var parting = regexp.MustCompile(` *[,;] *| +`)

// known reports whether u is a unit of any quantity that is known here.
func known(u string) bool {
	_, length := traceio.LengthUnit(u)
	_, accel := traceio.AccelUnit(u)
	return IsUnit(u) || length || accel || others[u] && u != "1" && u != "-"
}

// plain reports whether words say something about a column: all of them plain
// remarks, or, where a comma parts them from the unit, words that are no units.
func plain(said string, apart bool) bool {
	all := words(fold(said))
	for _, w := range all {
		if !plainRemarks[w] && !(apart && len(w) >= 3 && !known(w)) {
			return false
		}
	}
	return len(all) > 0 && strings.Trim(fold(said), "abcdefghijklmnopqrstuvwxyz ,;-0123456789") == ""
}

// UnitRow reports whether cells are the row of units under a header.
func UnitRow(cells []string) bool {
	telling := 0
	for _, c := range cells {
		u := Unbracket(c)
		if own, _, mixed := unitAndRemark(u); mixed {
			u = own
		}
		switch {
		case IsUnit(u):
			telling++
		case c == "" || u != c || others[u]:
		default:
			return false
		}
	}
	return telling > 0
}
