package pick

import (
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// none is how an ask says that a quantity is not to be read.
const none = "none"

// stretchColumn finds a recorded stretch: the column asked for, or the only one
// that is filled, in a unit of length, and says stretch.
func (p *picker) stretchColumn() error {
	switch {
	case strings.EqualFold(p.ask.Stretch, none):
		p.fact("stretch", none, "--stretch says so", "--stretch")
		return nil
	case p.ask.Stretch != "":
		found, err := p.free("--stretch", p.ask.Stretch)
		if err != nil {
			return err
		}
		return p.askedStretch(found)
	}
	taken := func(c Column) bool { return c.No == p.Force.No || c.No == p.Time.No }
	found := such(p.columns, func(c Column) bool { return c.stretches() && !taken(c) })
	full := such(found, func(c Column) bool { return c.Holds == Numbers && !c.Gaps })
	switch {
	case len(full) == 1:
		c := full[0]
		p.Stretch = c
		p.StretchUnit, _ = traceio.LengthUnit(c.Unit)
		p.fact("stretch", c.String()+", in "+p.StretchUnit.Symbol, "it says so, in a unit of length", "--stretch")
		p.note(trace.Said, stretchTaken(c.String()))
	case len(full) > 1:
		p.fact("stretch", none, "several columns could be it: "+Catalogue(full), "--stretch")
	case len(found) > 0:
		p.fact("stretch", none, "not every row has a value in "+Catalogue(found), "--stretch")
	}
	return nil
}

// WithoutStretch gives up a stretch that was taken without being asked for and
// that turned out not to be whole: why, as "is blank on line 7".
func (c *Choice) WithoutStretch(why string) {
	left := c.Stretch.String()
	c.Stretch = Column{}
	for i := range c.Facts {
		if c.Facts[i].What == "stretch" {
			c.Facts[i].Is, c.Facts[i].Why = none, left+" "+why
		}
	}
	for i := range c.Notes {
		if c.Notes[i].Text == stretchTaken(left) {
			c.Notes[i] = trace.Note{Grade: trace.Doubtful, Text: left + " " + why + ", so that it was not taken as the recorded stretch; name it with --stretch, or --stretch none"}
		}
	}
}

// stretchTaken is the note of a stretch that nobody asked for.
func stretchTaken(column string) string {
	return column + " was taken as the recorded stretch; if it is not, --stretch none leaves it out"
}

// askedStretch takes a column as the stretch, whatever it is called, when its
// unit is one of length.
func (p *picker) askedStretch(c Column) error {
	unit, ok := traceio.LengthUnit(c.Unit)
	if !ok {
		what := "has no unit"
		if c.Unit != "" {
			what = "is in " + traceio.Shorten(c.Unit)
		}
		return p.refuse(problem.Invalid, "--stretch: %s %s, and a stretch has a unit of length (%s)", c, what, traceio.LengthUnits).
			Hint("write the unit into the column's title, as \"Stretch (mm)\"").
			Hint("or leave it out: --stretch none")
	}
	p.Stretch, p.StretchUnit, p.StretchAsked = c, unit, true
	p.fact("stretch", c.String()+", in "+unit.Symbol, "--stretch says so", "--stretch")
	return nil
}

// gateColumn finds a light gate's level: only where one is asked for.
func (p *picker) gateColumn() error {
	if p.ask.Gate == "" || strings.EqualFold(p.ask.Gate, none) {
		return nil
	}
	found, err := p.free("--gate", p.ask.Gate)
	if err != nil {
		return err
	}
	if found.No == p.Stretch.No {
		return p.twice("--gate", found, "stretch")
	}
	p.Gate = found
	p.fact("gate", found.String(), "--gate says so", "--gate")
	return nil
}

// free finds a column by name that is neither the force nor the time.
func (p *picker) free(flag, ask string) (Column, error) {
	c, err := p.named(flag, ask)
	if err != nil {
		return Column{}, err
	}
	switch c.No {
	case p.Force.No:
		return Column{}, p.twice(flag, c, "force")
	case p.Time.No:
		return Column{}, p.twice(flag, c, "time")
	}
	return c, nil
}

func (p *picker) twice(flag string, c Column, use string) error {
	return p.refuse(problem.Invalid, "%s: %s is the %s already", flag, c, use).
		Hint("choose another column: %s", Catalogue(such(p.columns, func(o Column) bool { return o.No != c.No })))
}
