package delimited

import (
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// choice is the columns to read and what was taken for granted in choosing.
type choice struct {
	force column
	time  column // no is 0 when the rate was asked for

	forceUnit, timeUnit traceio.Unit
	mark                byte // before the decimals
	notes               []trace.Note
}

func (c *choice) note(g trace.Grade, text string) {
	c.notes = append(c.notes, trace.Note{Grade: g, Text: text})
}

// choose settles which columns are read, and in which units.
func (s source) choose(t *table) (*choice, error) {
	c := &choice{timeUnit: traceio.Second()}
	if err := s.forceColumn(t, c); err != nil {
		return nil, err
	}
	if err := s.timeColumn(t, c); err != nil {
		return nil, err
	}
	if err := s.unitOfForce(t, c); err != nil {
		return nil, err
	}
	return c, nil
}

// forceColumn finds the force column: the one asked for; or the only one with a
// unit of force; or the only one whose name says force; or the one beside the
// time or the counter in a table of two; or the only one there is.
func (s source) forceColumn(t *table, c *choice) error {
	if s.ask.Force != "" {
		found, err := s.named(t, "--force", s.ask.Force)
		c.force = found
		return err
	}
	ways := []func(column) bool{
		func(c column) bool { return c.quantity() == ofForce },
		func(c column) bool { return c.quantity() == unsaid && c.saysForce() && !c.timely() },
		func(c column) bool { return c.saysForce() && !c.timely() },
	}
	for _, fits := range ways {
		switch found := t.such(fits); {
		case len(found) == 1:
			c.force = found[0]
			return nil
		case len(found) > 1:
			return s.severalForces(t, found)
		}
	}
	if c.force = s.other(t); c.force.no == 0 {
		return s.noForce(t)
	}
	switch {
	case len(t.columns) > 1 && t.header > 0:
		c.note(trace.Doubtful, c.force.String()+" was taken as the force because it is the only one beside the time; if it is not, say which is with --force")
	case len(t.columns) > 1:
		c.note(trace.Doubtful, "the file has no header: "+c.force.String()+" was taken as the force; if it is not, say which is with --force")
	default:
		c.note(trace.Doubtful, c.force.String()+" was taken as the force because it is the only one")
	}
	return nil
}

// other is the column left when the rest of a small table is known; its no is 0
// when there is none, or when it says that it is something else.
func (s source) other(t *table) column {
	switch len(t.columns) {
	case 1:
		if c := t.columns[0]; c.quantity() == unsaid && !saysOther(c.name) && !c.timely() {
			return c
		}
	case 2:
		asked, err := s.named(t, "--time", s.ask.Time)
		for i, c := range t.columns {
			isTime := c.timely() || c.saysCounter() || s.ask.Time != "" && err == nil && asked.no == c.no
			if rest := t.columns[1-i]; isTime && freeOfMeaning(rest) {
				return rest
			}
		}
		if t.header == 0 && t.unfit < 0 && t.rises(0) {
			return t.columns[1]
		}
	}
	return column{}
}

// timeColumn finds the time column: none when the rate is asked for; the one
// asked for; the nearest that says it is time, to the left of the force before
// the right of it; in a table without header the first, when it rises.
func (s source) timeColumn(t *table, c *choice) error {
	if s.ask.Rate > 0 {
		if timely, ok := t.timeFor(c.force); ok {
			c.note(trace.Said, "time counts from --rate "+hertz(s.ask.Rate)+"; the file's own time, "+timely.String()+", was not used")
		}
		return nil
	}
	if s.ask.Time != "" {
		found, err := s.named(t, "--time", s.ask.Time)
		if err != nil {
			return err
		}
		if found.no == c.force.no {
			return s.refuse(problem.Invalid, t.headLine(), "%s cannot be both the force and the time", found).
				Hint("choose two columns: %s", t.catalogue(t.columns))
		}
		c.time = found
		return s.unitOfTime(t, c)
	}
	if timely, ok := t.timeFor(c.force); ok {
		c.time = timely
		return s.unitOfTime(t, c)
	}
	if t.header == 0 && t.unfit < 0 && c.force.no != 1 && t.rises(0) {
		if t.counts(0) {
			return s.refuse(problem.Invalid, t.headLine(), "column 1 counts 1 by 1, so it may number the samples or be time in seconds; nothing in the file tells which").
				Hint("if it numbers the samples, give the rate: --rate HZ").
				Hint("if it is time in seconds: --time 1 --force %d", c.force.no)
		}
		c.time = t.columns[0]
		c.note(trace.Doubtful, "the file has no header: column 1, which rises from row to row, was taken as time in seconds; if it is not, give --rate")
		return nil
	}
	return s.noTime(t, c)
}

// timeFor returns the column of time that belongs to a force. Time stamps that
// are no numbers come last.
func (t *table) timeFor(force column) (column, bool) {
	best, distance := column{}, 0
	for _, c := range t.columns {
		if c.no == force.no || !c.timely() {
			continue
		}
		d := force.no - c.no
		if d < 0 {
			d = len(t.columns) - d // to the right: after all on the left
		}
		if c.kind == wordy {
			d += 2 * len(t.columns)
		}
		if best.no == 0 || d < distance {
			best, distance = c, d
		}
	}
	return best, best.no > 0
}

// unitOfTime settles the unit of the time column.
func (s source) unitOfTime(t *table, c *choice) error {
	switch c.time.quantity() {
	case ofTime:
		c.timeUnit, _ = traceio.TimeUnit(c.time.unit)
	case unsaid:
		c.note(trace.Doubtful, "nothing in the file states the unit of "+c.time.String()+": read as seconds; if it is another, give --rate")
	default:
		return s.noUnitOfTime(t, c.time)
	}
	return nil
}

// unitOfForce settles the unit of the force column.
func (s source) unitOfForce(t *table, c *choice) error {
	stated, isForce := traceio.ForceUnit(c.force.unit)
	asked, isAsked := traceio.ForceUnit(s.ask.Unit)
	switch {
	case isAsked:
		c.forceUnit = asked
		if c.force.unit != "" && stated != asked {
			c.note(trace.Doubtful, "read in "+asked.Symbol+" because of --unit, though the file says that "+c.force.String()+" is in "+shorten(c.force.unit))
		}
	case isForce:
		c.forceUnit = stated
	case c.force.unit != "":
		p := s.refuse(problem.Invalid, t.headLine(), "%s is in %q, which is no unit of force that is read (%s)", c.force, shorten(c.force.unit), traceio.ForceUnits).
			Hint("if its numbers are a force all the same, say in what: %s", unitFor(c.force.unit))
		if forces := t.such(func(o column) bool { return o.quantity() == ofForce }); len(forces) > 0 {
			p.Hint("or choose a column in a unit of force: %s", t.catalogue(forces))
		}
		return p
	default:
		c.forceUnit = traceio.Newton()
		c.note(trace.Doubtful, "nothing in the file states the unit of "+c.force.String()+": read as N; if it is another, say so with --unit")
	}
	return nil
}

// unitFor is the --unit that comes to mind for a unit of mass.
func unitFor(stated string) string {
	switch stated {
	case "kg":
		return "--unit kgf"
	case "lb", "lbs":
		return "--unit lbf"
	}
	return "--unit N"
}

// such returns the columns for which fits holds.
func (t *table) such(fits func(column) bool) []column {
	var out []column
	for _, c := range t.columns {
		if fits(c) {
			out = append(out, c)
		}
	}
	return out
}

// rises reports whether column c of the head has numbers that grow from row to
// row.
func (t *table) rises(c int) bool { return t.steps(c, func(step float64) bool { return step > 0 }) }

// counts reports whether column c of the head goes up 1 by 1.
func (t *table) counts(c int) bool { return t.steps(c, func(step float64) bool { return step == 1 }) }

func (t *table) steps(c int, fits func(step float64) bool) bool {
	rows, last := 0, 0.0
	for cell := range t.column(c) {
		v, err := strconv.ParseFloat(strings.Replace(string(cell), ",", ".", 1), 64)
		if err != nil || rows > 0 && !fits(v-last) {
			return false
		}
		rows, last = rows+1, v
	}
	return rows >= 2
}

func hertz(rate float64) string { return strconv.FormatFloat(rate, 'g', -1, 64) + " Hz" }
