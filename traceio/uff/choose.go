package uff

import (
	"fmt"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// group is the sets that are one channel: of one drop, or of several.
type group struct {
	sets []*channel
	by   float64 // what the values are divided by beside the column's unit
}

// chosen is what is read of the file.
type chosen struct {
	*pick.Choice
	columns []pick.Column
	groups  []group
}

func (c *chosen) of(col pick.Column) *group { return &c.groups[col.No-1] }

// mostChannels is our own limit on different channels.
const mostChannels = 4096

// choose puts sets together that are one channel and settles which is the
// force, and which the stretch and the gate.
func (s *source) choose(all []*channel) (*chosen, error) {
	c := &chosen{}
	at := map[string]int{}
	for _, one := range all {
		k := one.key()
		if _, seen := at[k]; !seen {
			if len(c.groups) == mostChannels {
				return nil, s.refuse(problem.Unreadable, one.line, "the file has more than %d channels, which is our limit", mostChannels).
					Hint("export the force alone")
			}
			at[k] = len(c.groups)
			c.groups = append(c.groups, group{})
		}
		c.groups[at[k]].sets = append(c.groups[at[k]].sets, one)
	}
	columns := make([]pick.Column, len(c.groups))
	drops := s.dropsIn(c.groups)
	for i, g := range c.groups {
		first := g.sets[0]
		columns[i] = first.column(i+1, len(g.sets) == 1)
		columns[i].Gaps = len(g.sets) != drops
		columns[i].Cells = s.shown(first)
		c.groups[i].by = s.unitFrom(first.ordinate, &columns[i])
	}
	if s.ask.Time != "" {
		return nil, problem.New(problem.Invalid, "--time", "a function of a universal file has its time as its abscissa").
			Hint("leave --time out, or override it by a rate: --rate HZ").In("nothing was read from " + s.name)
	}
	var err error
	from := pick.Source{Name: s.name, Where: fmt.Sprintf("%s:%d", s.name, all[0].line), Header: true, Stated: clock(all[0], s.ask), StatedBy: "the abscissa says so", Clock: true}
	c.Choice, err = pick.Choose(from, columns, s.ask)
	if err != nil {
		s.layout.Columns = pick.Columns(columns, nil)
		return nil, err
	}
	c.columns = columns
	s.layout.Columns = pick.Columns(columns, c.Choice)
	return c, s.agree(c)
}

// agree holds the units of what was chosen against set 164, where no flag says
// them.
func (s *source) agree(c *chosen) error {
	if s.ask.Unit == "" && !c.PerMass {
		if err := s.agrees(c.of(c.Force).sets[0].ordinate, c.ForceUnit, "say what the forces are in: --unit "+c.ForceUnit.Symbol); err != nil {
			return err
		}
	}
	if c.Stretch.No > 0 {
		return s.agrees(c.of(c.Stretch).sets[0].ordinate, c.StretchUnit, "leave the stretch out: --stretch none")
	}
	return nil
}

// clock is the rate of an even abscissa; of an uneven one the rate that was
// asked for, so that nothing is said of it.
func clock(c *channel, ask trace.Ask) float64 {
	if c.even && c.step > 0 {
		return 1 / c.step
	}
	return ask.Rate
}

// reasons keeps what is true of a universal file of the shared rules' facts: its
// time is an abscissa, and its units may be from set 164.
func (s *source) reasons(facts []trace.Fact) []trace.Fact {
	var out []trace.Fact
	for _, f := range facts {
		if f.What == "rate" && s.ask.Rate == 0 {
			continue
		}
		if f.What == "unit" && f.Why == "the file says so" {
			f.Why = "the axis or set 164 says so"
		}
		out = append(out, f)
	}
	return out
}

// dropsIn is how many drops the file holds: the most sets that a channel of
// force has, or any.
func (s *source) dropsIn(groups []group) int {
	force, any := 0, 1
	for _, g := range groups {
		any = max(any, len(g.sets))
		if g.sets[0].ordinate.isForce() {
			force = max(force, len(g.sets))
		}
	}
	if force > 0 {
		return force
	}
	return any
}

// shown are the first values of a channel, to know it by.
func (s *source) shown(c *channel) []string {
	const most = 5
	if c.complex {
		return nil
	}
	l := lines{rest: c.values}
	if !l.next() {
		return nil
	}
	want := min(c.n, most)
	if !c.even {
		want = min(2*c.n, len(c.widths()))
	}
	widths := c.widths()
	row, bad := inColumns(nil, l.text, widths[:max(0, min(want, len(widths)))])
	if bad != "" {
		return nil
	}
	var out []string
	for i := 0; i < len(row); i++ {
		if c.even || i%2 == 1 {
			out = append(out, fmt.Sprintf("%g", row[i]))
		}
	}
	return out
}

// partNames tell the drops of a file apart: by the first of their ID lines that
// differs for all of them, or by number.
func partNames(sets []*channel) []string {
	for _, line := range []int{0, 1, 3, 4, 2} {
		names, seen := make([]string, len(sets)), map[string]bool{"": true}
		for i, c := range sets {
			names[i] = c.ids[line]
			if seen[names[i]] {
				names = nil
				break
			}
			seen[names[i]] = true
		}
		if names != nil {
			return names
		}
	}
	names := make([]string, len(sets))
	for i := range names {
		names[i] = fmt.Sprintf("drop %d", i+1)
	}
	return names
}

// timeUnit is the unit of an abscissa: what it says, or the second.
func (s *source) timeUnit(c *channel) (traceio.Unit, error) {
	if c.abscissa.unit == "" {
		return traceio.Second(), nil
	}
	u, ok := traceio.TimeUnit(c.abscissa.unit)
	if !ok {
		return u, s.refuse(problem.Invalid, c.abscissa.line, "the abscissa is in %q, which is no unit of time that is read (s, ms, us, min)", traceio.Shorten(c.abscissa.unit)).
			Hint("give the logger's sample rate: --rate HZ")
	}
	return u, nil
}
