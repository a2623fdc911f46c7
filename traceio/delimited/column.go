package delimited

import (
	"fmt"
	"strings"

	"fallwright.example/traceio"
)

// quantity is what a column's unit says that it holds.
type quantity byte

const (
	unsaid quantity = iota
	ofForce
	ofTime
	ofOther // a unit, but of neither
)

// column is one column of the table.
type column struct {
	no    int    // from 1
	title string // as the file has it; "" when it has none
	name  string // the title without its unit
	unit  string // as the file has it; "" when it has none
	kind  kind   // of its cells in the head
}

// longestTitle is where a title is cut: prose on one line is no name.
const longestTitle = 200

// newColumn reads a title and what a unit row says under it.
func newColumn(no int, title, under string, k kind) column {
	if r := []rune(title); len(r) > longestTitle {
		title = string(r[:longestTitle])
	}
	title = clean(title)
	c := column{no: no, title: title, kind: k}
	c.name, c.unit = nameAndUnit(title)
	if c.unit == "" {
		c.unit = unbracket(under)
	}
	return c
}

// String is the column as refusals and notes name it.
func (c column) String() string {
	if c.title == "" {
		return fmt.Sprintf("column %d", c.no)
	}
	return fmt.Sprintf("column %d %q", c.no, shorten(c.title))
}

// own is the column's own name, as a Recording keeps it.
func (c column) own() string {
	if c.title == "" {
		return fmt.Sprintf("column %d", c.no)
	}
	return c.title
}

func (c column) quantity() quantity {
	if c.unit == "" {
		return unsaid
	}
	if _, ok := traceio.ForceUnit(c.unit); ok {
		return ofForce
	}
	if _, ok := traceio.TimeUnit(c.unit); ok {
		return ofTime
	}
	return ofOther
}

func (c column) saysForce() bool   { return saysForce(c.name) }
func (c column) saysCounter() bool { return c.quantity() != ofTime && saysCounter(c.name) }

// timely reports whether the column says that it is time, by unit or by name.
func (c column) timely() bool {
	switch c.quantity() {
	case ofTime:
		return !c.saysForce()
	case unsaid:
		return saysTime(c.name) && !c.saysForce()
	}
	return false
}

// nameAndUnit takes a title apart: "Force (kN)", "Force [kN]", "Force, kN",
// "force_kN", "Force kN", "F/kN", and "kN" alone.
func nameAndUnit(title string) (name, unit string) {
	if before, inside, ok := bracketed(title); ok {
		if remark(inside) || leastOf(before, inside) {
			return title, ""
		}
		return before, inside
	}
	if known(title) {
		return title, title
	}
	for _, sep := range []string{",", "_"} {
		if i := strings.LastIndex(title, sep); i > 0 {
			if u := strings.TrimSpace(title[i+1:]); (known(u) || apart[u]) && !leastOf(title[:i], u) {
				return strings.TrimSpace(title[:i]), u
			}
		}
	}
	// After a space or a stroke a letter may be anything, so that the name has
	// to say the same as the unit.
	if i := strings.LastIndexAny(title, " /"); i > 0 {
		name := strings.TrimSuffix(strings.TrimRight(title[:i], " /"), " in")
		u := title[i+1:]
		if _, ok := traceio.ForceUnit(u); ok && saysForce(name) {
			return name, u
		}
		if _, ok := traceio.TimeUnit(u); ok && saysTime(name) {
			return name, u
		}
	}
	return title, ""
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

// unbracket is what a cell of a unit row states: "(N)" and "N" alike.
func unbracket(s string) string {
	if before, inside, ok := bracketed(s); ok && before == "" {
		return inside
	}
	return strings.TrimSpace(s)
}

// known reports whether u is a unit of force or of time.
func known(u string) bool {
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
var apart = set("V", "mV", "g", "kg", "lb", "lbs", "mm", "cm", "mL", "ml", "J", "%", "m/s", "m/s^2", "m/s\u00b2", "m/s2", "daN", "MN")

// remark reports whether what stands in brackets is a word about the column
// and no unit: "(filtered)", "(left foot)".
func remark(inside string) bool {
	if known(inside) || others[inside] {
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

// unitRow reports whether cells are the row of units under a header.
func unitRow(cells []string) bool {
	telling := 0
	for _, c := range cells {
		u := unbracket(c)
		switch {
		case known(u):
			telling++
		case c == "" || u != c || others[u]:
		default:
			return false
		}
	}
	return telling > 0
}

// shorten makes text of the file fit to stand in a sentence.
func shorten(s string) string {
	const most = 48
	s = clean(strings.TrimSpace(s))
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "\u2026"
	}
	return s
}
