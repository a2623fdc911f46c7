package pick

import (
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// forceColumn finds the force column: the one asked for; or the only one with a
// unit of force; or the only one whose name says force; or the one beside the
// time or the counter in a table of two; or the only one there is. For --unit g
// or m/s2 it is the only acceleration.
func (p *picker) forceColumn() error {
	if p.ask.Force != "" {
		found, err := p.named("--force", p.ask.Force)
		if err != nil {
			return err
		}
		p.takeForce(found, "--force says so")
		return nil
	}
	for _, way := range p.forceWays() {
		switch found := such(p.columns, way.fits); {
		case len(found) == 1:
			p.takeForce(found[0], way.why)
			return nil
		case len(found) > 1:
			return p.refuse(problem.Invalid, "%d columns could be the force: %s", len(found), Catalogue(found)).
				Hint("say which by its number: %s", choices("--force", found))
		}
	}
	c := p.other()
	if c.No == 0 {
		return p.noForce()
	}
	why := "it is the only one"
	switch {
	case len(p.columns) > 1 && p.Header:
		why = "it is the only one beside the time"
		p.note(trace.Doubtful, c.String()+" was taken as the force because it is the only one beside the time; if it is not, say which is with --force")
	case len(p.columns) > 1:
		why = "it stands beside the time"
		p.note(trace.Doubtful, "the file has no header: "+c.String()+" was taken as the force; if it is not, say which is with --force")
	default:
		p.note(trace.Doubtful, c.String()+" was taken as the force because it is the only one")
	}
	p.takeForce(c, why)
	return nil
}

func (p *picker) takeForce(c Column, why string) {
	p.Force = c
	p.fact("force", c.String(), why, "--force")
}

// way is one way to know the force column.
type way struct {
	fits func(Column) bool
	why  string
}

func (p *picker) forceWays() []way {
	if _, ok := traceio.AccelUnit(p.ask.Unit); ok {
		return []way{
			{Column.accelerates, "it is the only acceleration"},
			{func(c Column) bool { return c.quantity() == unsaid && saysAcceleration(c.Name) }, "it is the only acceleration"},
		}
	}
	return []way{
		{func(c Column) bool { return c.quantity() == ofForce }, "it is the only one in a unit of force"},
		{func(c Column) bool { return c.quantity() == unsaid && c.saysForce() && !c.timely() }, "it is the only one that says force"},
		{func(c Column) bool { return c.saysForce() && !c.timely() }, "it is the only one that says force"},
	}
}

// other is the column left when the rest of a small table is known; its No is 0
// when there is none, or when it says that it is something else.
func (p *picker) other() Column {
	switch len(p.columns) {
	case 1:
		if c := p.columns[0]; c.quantity() == unsaid && !saysOther(c.Name) && !c.timely() {
			return c
		}
	case 2:
		asked := Column{}
		if p.ask.Time != "" {
			asked, _ = p.named("--time", p.ask.Time)
		}
		for i, c := range p.columns {
			isTime := c.timely() || c.saysCounter() || asked.No == c.No
			if rest := p.columns[1-i]; isTime && freeOfMeaning(rest) {
				return rest
			}
		}
		if !p.Header && p.Unnamed == "" && p.columns[0].rises() {
			return p.columns[1]
		}
	}
	return Column{}
}

// noForce refuses a table in which no column is known as a force.
func (p *picker) noForce() error {
	if p.Unnamed != "" {
		return p.unnamed()
	}
	what := "no column says that it is a force"
	if !p.Header {
		what = "the file does not name its columns"
	}
	refusal := p.refuse(problem.Invalid, "%s: %s", what, Catalogue(p.columns))
	if free := such(p.columns, freeOfMeaning); len(free) > 0 {
		refusal.Hint("if one of them is the force, say which, and in what unit, as --force %d --unit N", free[0].No)
	} else if len(p.columns) == 1 {
		refusal.Hint("if its numbers are a force all the same, say so, and in what unit: --force 1 --unit N")
	} else {
		refusal.Hint("if the numbers of one of them are a force all the same, say which, and in what unit: --force COLUMN --unit N")
	}
	p.sensorHint(refusal)
	if _, timed := p.timeFor(Column{}); !timed && !p.Clock {
		timeOr := "say which is time, --time COLUMN, or give "
		if len(p.columns) == 1 {
			timeOr = "give "
		}
		refusal.Hint("and %sthe logger's sample rate: --rate HZ", timeOr)
	}
	return refusal
}

// sensorHint tells of sensors in the mass where there are accelerations.
func (p *picker) sensorHint(refusal *problem.Problem) {
	found := such(p.columns, Column.accelerates)
	if len(found) == 0 {
		return
	}
	column := "COLUMN"
	if len(found) == 1 {
		column = fmt.Sprint(found[0].No)
	}
	unit, _ := traceio.AccelUnit(found[0].Unit)
	refusal.Hint("--force %s --unit %s with --mass reads the sensor in the mass", column, unit.Symbol)
}

// unnamed refuses to guess in a table under a line that does not name its
// columns.
func (p *picker) unnamed() error {
	refusal := p.refuse(problem.Invalid, "%q stands above the table and does not name its %s", traceio.Shorten(p.Unnamed), traceio.Count(len(p.columns), "column")).
		Hint("say which column is the force and which is time: --force 2 --time 1").
		Hint("the columns begin with: %s", Catalogue(p.columns))
	refusal.Where = p.UnnamedAt
	return refusal
}

// unitOfForce settles the unit of the force column.
func (p *picker) unitOfForce() error {
	stated, known := p.statedUnit()
	asked, isAsked := forceOrAccel(p.ask.Unit)
	switch {
	case isAsked:
		p.ForceUnit = asked
		why := "--unit says so"
		if p.Force.Unit != "" && stated != asked {
			why += ", the file says " + traceio.Shorten(p.Force.Unit)
			p.note(trace.Doubtful, "read in "+asked.Symbol+" because of --unit, though the file says that "+p.Force.String()+" is in "+traceio.Shorten(p.Force.Unit))
		}
		p.fact("unit", asked.Symbol, why, "--unit")
	case known:
		p.ForceUnit = stated
		p.fact("unit", stated.Symbol, "the file says so", "--unit")
	case p.Force.Unit != "":
		return p.noUnitOfForce()
	case p.OtherUnitBy != "":
		return p.refuse(problem.Invalid, "%s states another unit than %s and nothing says which of them is that of %s", p.OtherUnitBy, p.UnitBy, p.Force).
			Hint("say which holds: --unit UNIT, or name the column in the line, as %q", "unit of "+p.Force.Own()+": "+p.StatedUnit)
	case p.StatedUnit != "":
		if stated, known = traceio.ForceUnit(p.StatedUnit); !known {
			p.Force.Unit = p.StatedUnit
			return p.noUnitOfForce()
		}
		p.ForceUnit = stated
		p.fact("unit", stated.Symbol, p.UnitBy+" says so", "--unit")
	default:
		nothing := "nothing in the file states"
		if strings.ContainsAny(p.Force.Title, "([{") {
			nothing = "no unit that is known in the title states"
		}
		p.fact("unit", "N", nothing+" it, so N is assumed", "--unit")
		p.note(trace.Doubtful, nothing+" the unit of "+p.Force.String()+": read as N; if it is another, say so with --unit")
	}
	if _, p.PerMass = traceio.AccelUnit(p.ForceUnit.Symbol); p.PerMass {
		p.fact("sensor", "in the mass", "its unit is one of acceleration; times the mass it is the rope's force", "--unit")
	}
	return nil
}

// statedUnit is the unit of force, or of acceleration of a column chosen by
// name, that the file states.
func (p *picker) statedUnit() (traceio.Unit, bool) {
	if p.Force.saysMass() {
		return traceio.Unit{}, false
	}
	return forceOrAccel(p.Force.Unit)
}

func forceOrAccel(text string) (traceio.Unit, bool) {
	if u, ok := traceio.ForceUnit(text); ok {
		return u, true
	}
	return traceio.AccelUnit(text)
}

func (p *picker) noUnitOfForce() error {
	refusal := p.refuse(problem.Invalid, "%s is in %q, which is no unit of force that is read (%s)", p.Force, traceio.Shorten(p.Force.Unit), traceio.ForceUnits).
		Hint("if its numbers are a force all the same, say in what: %s", unitFor(p.Force.Unit))
	if p.Force.saysMass() {
		refusal.Hint("if it is a sensor in the mass, and g is standard gravity and no gram: --unit g with --mass")
	}
	if forces := such(p.columns, func(o Column) bool { return o.quantity() == ofForce }); len(forces) > 0 {
		refusal.Hint("or choose a column in a unit of force: %s", Catalogue(forces))
	}
	return refusal
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
