package pick

import (
	"fmt"
	"strings"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Holds is what the cells of a column are, as far as a format has looked.
type Holds int

// What cells can be.
const (
	Blank   Holds = iota // nothing in any
	Numbers              // all that are not blank
	Stamps               // dates or times of day, which the format brings to seconds
	Words                // anything else
)

// Column is one column or channel of a table, as a format found it. NewColumn
// makes it; the format fills in what it knows of the cells.
type Column struct {
	No    int    // from 1
	Title string // as the file has it; "" when it has none
	Name  string // the title without its unit
	Unit  string // as the file has it; "" when it has none

	Holds  Holds
	Gaps   bool        // some cells are blank
	Cells  []string    // the first few that are not blank, as the file has them
	Rises  func() bool // the numbers grow from row to row; nil when they do not, or nobody looked
	Counts func() bool // the numbers go up 1 by 1; likewise
}

// longestTitle is where a title is cut: prose on one line is no name.
const longestTitle = 200

// NewColumn reads a title, and the unit that the file states apart from it, as
// in a row of units or a field of a header.
func NewColumn(no int, title, unit string) Column {
	if r := []rune(title); len(r) > longestTitle {
		title = string(r[:longestTitle])
	}
	title = traceio.Clean(title)
	c := Column{No: no, Title: title}
	c.Name, c.Unit = NameAndUnit(narrow(title))
	if c.Unit == "" {
		c.Unit = Unbracket(narrow(unit))
		if u, _, mixed := unitAndRemark(c.Unit); mixed {
			c.Unit = u
		}
	}
	return c
}

// narrow brings the full-width letters, digits and brackets of East Asian type to
// their common forms.
func narrow(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= '\uff01' && r <= '\uff5e':
			return r - 0xfee0
		case r == '\u3000':
			return ' '
		case r == '\u3010' || r == '\u3014':
			return '['
		case r == '\u3011' || r == '\u3015':
			return ']'
		}
		return r
	}, s)
}

// String is the column as refusals and notes name it.
func (c Column) String() string {
	if c.Title == "" {
		return fmt.Sprintf("column %d", c.No)
	}
	return fmt.Sprintf("column %d %q", c.No, traceio.Shorten(c.Title))
}

// Own is the column's own name, as a Recording keeps it.
func (c Column) Own() string {
	if c.Title == "" {
		return fmt.Sprintf("column %d", c.No)
	}
	return c.Title
}

// quantity is what a column's unit says that it holds.
type quantity byte

const (
	unsaid quantity = iota
	ofForce
	ofTime
	ofLength
	ofAcceleration // perhaps: a g may be a gram
	ofOther        // a unit, but of none of them
)

func (c Column) quantity() quantity {
	if c.Unit == "" {
		return unsaid
	}
	for i, is := range []func(string) (traceio.Unit, bool){traceio.ForceUnit, traceio.TimeUnit, traceio.LengthUnit, traceio.AccelUnit} {
		if _, ok := is(c.Unit); ok {
			return ofForce + quantity(i)
		}
	}
	return ofOther
}

func (c Column) saysForce() bool   { return saysForce(c.Name) }
func (c Column) saysCounter() bool { return c.quantity() != ofTime && saysCounter(c.Name) }

// saysMass reports whether the unit is a unit of mass to go by the name: a load
// in g is in grams.
func (c Column) saysMass() bool { return c.Unit == "g" && !saysAcceleration(c.Name) }

// accelerates reports whether the column is an acceleration without doubt.
func (c Column) accelerates() bool { return c.quantity() == ofAcceleration && !c.saysMass() }

// timely reports whether the column says that it is time, by unit, by name or
// by its cells.
func (c Column) timely() bool {
	switch c.quantity() {
	case ofTime:
		return !c.saysForce()
	case ofOther:
		return c.Holds == Stamps && saysTime(c.Name) // "Time (hh:mm:ss)"
	case unsaid:
		return (saysTime(c.Name) || c.Holds == Stamps) && !c.saysForce()
	}
	return false
}

// stretches reports whether the column says that it is a stretch: in a unit of
// length, and by name.
func (c Column) stretches() bool { return c.quantity() == ofLength && saysStretch(c.Name) }

func (c Column) rises() bool  { return c.Rises != nil && c.Rises() }
func (c Column) counts() bool { return c.Counts != nil && c.Counts() }

// freeOfMeaning reports whether a column of numbers says nothing of what it
// holds.
func freeOfMeaning(c Column) bool {
	return c.Holds == Numbers && c.quantity() == unsaid && !c.timely() && !c.saysCounter() && !saysOther(c.Name)
}

// such returns the columns for which fits holds.
func such(columns []Column, fits func(Column) bool) []Column {
	var out []Column
	for _, c := range columns {
		if fits(c) {
			out = append(out, c)
		}
	}
	return out
}

// Telling reports whether one of the titles says force or time, by name or by
// unit: a header, then, and no remark.
func Telling(titles []string) bool {
	for i, s := range titles {
		c := NewColumn(i+1, s, "")
		if c.quantity() == ofForce || c.saysForce() || c.timely() {
			return true
		}
	}
	return false
}

// Heads reports whether titles alone, without a row under them, are those of a
// trace: one says force and one says time.
func Heads(titles []string) bool {
	force, time := false, false
	for i, s := range titles {
		c := NewColumn(i+1, s, "")
		force = force || c.quantity() == ofForce || c.saysForce()
		time = time || c.timely()
	}
	return force && time
}

// Times are the places, from 0, of the columns that say that they are time.
func Times(columns []Column) []int {
	var out []int
	for i, c := range columns {
		if c.timely() {
			out = append(out, i)
		}
	}
	return out
}

// Columns are the columns of a table for its layout, with what each is used
// for; c is nil when no choice could be made.
func Columns(columns []Column, c *Choice) []trace.Column {
	out := make([]trace.Column, len(columns))
	for i, col := range columns {
		out[i] = trace.Column{No: col.No, Title: col.Title, Name: col.Name, Unit: col.Unit, Cells: col.Cells}
		if c == nil {
			continue
		}
		switch col.No {
		case c.Force.No:
			out[i].Use = "force"
		case c.Time.No:
			out[i].Use = "time"
		case c.Stretch.No:
			out[i].Use = "stretch"
		case c.Gate.No:
			out[i].Use = "gate"
		}
	}
	return out
}
