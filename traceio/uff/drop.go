package uff

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// drops reads one recording for each set of the force's channel.
func (s *source) drops(c *chosen) ([]*trace.Recording, error) {
	sets := c.of(c.Force).sets
	names := partNames(sets)
	var out []*trace.Recording
	for i := range sets {
		rec, err := s.drop(c, i)
		if err != nil {
			return nil, err
		}
		if len(sets) > 1 {
			rec.Part = names[i]
		}
		out = append(out, rec)
	}
	s.understood(c, out)
	return out, nil
}

// understood writes down what was chosen and why, when it has been read: a
// stretch may have turned out to have other times.
func (s *source) understood(c *chosen, out []*trace.Recording) {
	s.layout.Columns = pick.Columns(c.columns, c.Choice)
	s.layout.Facts = append(s.layout.Facts, s.reasons(c.Facts)...)
	if s.ask.Rate == 0 {
		s.layout.Facts = append(s.layout.Facts, pick.Evenness(out[0]))
	}
	if len(out) > 1 {
		s.fact("drops", fmt.Sprint(len(out)), "so many sets have the same channel of force", "--part")
	}
}

// drop reads drop i.
func (s *source) drop(c *chosen, i int) (*trace.Recording, error) {
	set := c.of(c.Force).sets[i]
	x, y, err := s.read58(set)
	if err != nil {
		return nil, err
	}
	rec := &trace.Recording{Unit: c.ForceUnit.Symbol, PerMass: c.PerMass, ForceColumn: c.Force.Own()}
	if rec.Force, err = s.inSI(set, y, c.of(c.Force).by, c.ForceUnit); err != nil {
		return nil, err
	}
	if rec.Time, err = s.times(set, x); err != nil {
		return nil, err
	}
	if s.ask.Rate == 0 {
		rec.TimeColumn = "abscissa"
		if set.abscissa.label != "" {
			rec.TimeColumn = set.abscissa.label
		}
	}
	if err := s.beside(c, i, set, x, rec); err != nil {
		return nil, err
	}
	rec.Notes = slices.Clone(c.Notes)
	return rec, nil
}

// inSI brings values to SI in place: by what set 164 divides them, or by their
// unit, each rounded once.
func (s *source) inSI(c *channel, v []float64, by float64, unit traceio.Unit) ([]float64, error) {
	if by != 1 {
		for i := range v {
			v[i] /= by
		}
	}
	unit.Convert(v)
	for _, x := range v {
		if math.IsInf(x, 0) {
			return nil, s.refuse(problem.Unreadable, c.line, "a value of this set is larger than a number can be in SI").
				Hint("check the unit: --unit N")
		}
	}
	return v, nil
}

// times are the times of a set: from the rate asked for, from its even abscissa,
// or as they stand beside the values.
func (s *source) times(c *channel, x []float64) ([]float64, error) {
	out := make([]float64, c.n)
	switch {
	case s.ask.Rate > 0:
		for i := range out {
			out[i] = float64(i) / s.ask.Rate
		}
	default:
		unit, err := s.timeUnit(c)
		if err != nil {
			return nil, err
		}
		for i := range out {
			if out[i] = c.start + float64(i)*c.step; !c.even {
				out[i] = x[i]
			}
		}
		unit.Convert(out)
	}
	for i, t := range out {
		if math.IsNaN(t-t) || i > 0 && !(t > out[i-1]) {
			return nil, s.standing(c, i, t, out[max(0, i-1)])
		}
	}
	return out, nil
}

// standing refuses a time that does not rise.
func (s *source) standing(c *channel, i int, t, before float64) error {
	if s.ask.Rate > 0 {
		return problem.New(problem.Invalid, "--rate", "at %g Hz the times are too large or too close together to be told apart", s.ask.Rate).
			Hint("give a rate that the logger can have: --rate HZ").In("nothing was read from " + s.name)
	}
	line := c.line + 7 // record 7 has the even abscissa
	if !c.even {
		line = c.valuesLine + 2*i/len(c.widths())
	}
	return s.refuse(problem.Invalid, line, "time does not rise at value %d: %g s after %g s", i+1, t, before).
		Hint("give the logger's sample rate: --rate HZ")
}

// beside reads the stretch and the gate that belong to drop i, which have to have
// the times of its force.
func (s *source) beside(c *chosen, i int, force *channel, x []float64, rec *trace.Recording) error {
	if c.Stretch.No > 0 {
		v, err := s.companion(c, c.of(c.Stretch), i, force, x, "--stretch")
		if err != nil {
			return err
		}
		if v != nil {
			if rec.Stretch, err = s.inSI(c.of(c.Stretch).sets[i], v, c.of(c.Stretch).by, c.StretchUnit); err != nil {
				return err
			}
		} else {
			c.WithoutStretch("has other times than the force")
		}
	}
	if c.Gate.No > 0 {
		v, err := s.companion(c, c.of(c.Gate), i, force, x, "--gate")
		rec.Gate = v
		return err
	}
	return nil
}

// companion reads the values of a channel beside the force; nil when it has other
// times and was not asked for.
func (s *source) companion(c *chosen, g *group, i int, force *channel, x []float64, flag string) ([]float64, error) {
	asked := flag == "--gate" || c.StretchAsked
	if i < len(g.sets) && len(g.sets) == len(c.of(c.Force).sets) {
		set := g.sets[i]
		if set.n == force.n && set.even == force.even && (!set.even || set.start == force.start && set.step == force.step) {
			own, v, err := s.read58(set)
			if err != nil {
				return nil, err
			}
			if slices.Equal(own, x) {
				return v, nil
			}
		}
	}
	if !asked {
		return nil, nil
	}
	return nil, s.refuse(problem.Invalid, g.sets[0].line, "%s: this channel does not have a set with the times of each drop's force", flag).
		Hint("leave it out: %s none", flag)
}
