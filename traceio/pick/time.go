package pick

import (
	"fmt"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// timeColumn finds the time column: none when the rate is asked for or is the
// format's own clock; the one asked for; the nearest that says it is time, to
// the left of the force before the right of it; in a table without header the
// first, when it rises; none when the file states a rate.
func (p *picker) timeColumn() error {
	if p.ask.Rate > 0 {
		p.askedRate()
		return nil
	}
	if p.ask.Time != "" {
		found, err := p.named("--time", p.ask.Time)
		if err != nil {
			return err
		}
		if found.No == p.Force.No {
			return p.refuse(problem.Invalid, "%s cannot be both the force and the time", found).
				Hint("choose two columns: %s", Catalogue(p.columns))
		}
		return p.takeTime(found, "--time says so")
	}
	if p.Clock {
		p.Rate = p.Stated
		p.fact("rate", Hertz(p.Rate), p.StatedBy, "--rate")
		return nil
	}
	if timely, ok := p.timeFor(p.Force); ok {
		return p.takeTime(timely, "it says so, and is the nearest to the force")
	}
	if first := p.columns[0]; !p.Header && p.Unnamed == "" && p.Force.No != first.No && first.rises() && (p.Stated == 0 || !first.counts()) {
		if first.counts() {
			return p.refuse(problem.Invalid, "column 1 counts 1 by 1, so it may number the samples or be time in seconds; nothing in the file tells which").
				Hint("if it numbers the samples, give the rate: --rate HZ").
				Hint("if it is time in seconds: --time 1 --force %d", p.Force.No)
		}
		p.Time = first
		p.note(trace.Doubtful, "the file has no header: column 1, which rises from row to row, was taken as time in seconds; if it is not, give --rate")
		p.fact("time", "column 1, in s", "it rises from row to row, and nothing names it", "--time")
		return nil
	}
	if p.Stated > 0 {
		p.Rate = p.Stated
		p.note(trace.Doubtful, "no column is time: it counts from the rate that the file states, "+Hertz(p.Rate)+" ("+p.StatedBy+"); if it is another, give --rate")
		p.fact("rate", Hertz(p.Rate), p.StatedBy+" states it, and no column is time", "--rate")
		return nil
	}
	return p.noTime()
}

// askedRate takes the rate that was asked for, and says what it overrides.
func (p *picker) askedRate() {
	p.Rate = p.ask.Rate
	p.fact("rate", Hertz(p.Rate), "--rate says so", "--rate")
	if p.Clock && p.Stated != p.Rate {
		p.note(trace.Said, "time counts from --rate "+Hertz(p.Rate)+"; the file's own rate, "+Hertz(p.Stated)+", was not used")
	} else if timely, ok := p.timeFor(p.Force); ok {
		p.note(trace.Said, "time counts from --rate "+Hertz(p.Rate)+"; the file's own time, "+timely.String()+", was not used")
	}
}

// timeFor returns the column of time that belongs to a force. Time stamps that
// are no numbers come after those that are.
func (p *picker) timeFor(force Column) (Column, bool) {
	best, distance := Column{}, 0
	for _, c := range p.columns {
		if c.No == force.No || !c.timely() {
			continue
		}
		d := force.No - c.No
		if d < 0 {
			d = len(p.columns) - d // to the right: after all on the left
		}
		switch c.Holds {
		case Stamps:
			d += 2 * len(p.columns)
		case Words:
			d += 4 * len(p.columns)
		}
		if best.No == 0 || d < distance {
			best, distance = c, d
		}
	}
	return best, best.No > 0
}

// takeTime takes a column as the time and settles its unit.
func (p *picker) takeTime(c Column, why string) error {
	p.Time = c
	p.fact("time", c.String(), why, "--time")
	switch q := c.quantity(); {
	case c.Holds == Stamps:
		p.fact("unit of time", "times of day", "its cells are such", "--rate")
	case q == ofTime:
		p.TimeUnit, _ = traceio.TimeUnit(c.Unit)
		p.fact("unit of time", p.TimeUnit.Symbol, "the file says so", "--rate")
	case q == unsaid:
		p.note(trace.Doubtful, "nothing in the file states the unit of "+c.String()+": read as seconds; if it is another, give --rate")
		p.fact("unit of time", "s", "nothing in the file states it, so s is assumed", "--rate")
	default:
		return p.noUnitOfTime(c)
	}
	return nil
}

// noTime refuses a table without time.
func (p *picker) noTime() error {
	odd := func(o Column) bool {
		return o.quantity() != unsaid && o.quantity() != ofTime && saysTime(o.Name)
	}
	if found := such(p.columns, odd); len(found) > 0 {
		return p.noUnitOfTime(found[0])
	}
	refusal := p.refuse(problem.Invalid, "no column is known to be time, and a trace needs time or a rate")
	if counters := such(p.columns, Column.saysCounter); len(counters) > 0 {
		refusal.What = fmt.Sprintf("no column is known to be time (%s numbers the samples), and a trace needs time or a rate", counters[0])
	}
	refusal.Hint("give the logger's sample rate: --rate HZ")
	rest := such(p.columns, func(o Column) bool {
		return o.No != p.Force.No && o.Holds == Numbers && o.quantity() == unsaid && !o.saysCounter() && !o.NamesDrops()
	})
	if len(rest) > 0 {
		refusal.Hint("or say which column is time in seconds: --time COLUMN, one of %s", Catalogue(rest))
	}
	return refusal
}

// noUnitOfTime refuses a time column in hours, say.
func (p *picker) noUnitOfTime(c Column) error {
	return p.refuse(problem.Invalid, "%s is in %q, which is no unit of time that is read (s, ms, us, min)", c, traceio.Shorten(c.Unit)).
		Hint("write the times in seconds, or give the logger's sample rate: --rate HZ")
}
