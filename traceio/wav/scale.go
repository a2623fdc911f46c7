package wav

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// scale is what a sample of 1 stands for.
type scale struct {
	full    float64 // in unit
	unit    traceio.Unit
	perMass bool // the unit is one of acceleration
}

const unitsRead = traceio.ForceUnits + ", " + traceio.AccelUnits

func unitOf(text string) (u traceio.Unit, perMass, ok bool) {
	if u, ok := traceio.ForceUnit(text); ok {
		return u, false, true
	}
	u, ok = traceio.AccelUnit(text)
	return u, true, ok
}

func readable(text string) bool { _, _, ok := unitOf(text); return ok }

// claim is a full scale and a unit as one source has them; zero where it is
// silent.
type claim struct {
	full float64
	unit string
	from string
}

// scale settles the full scale and the unit: from the flags, else from the
// side-car or a remark in the file, which have to agree.
func (s *source) scale(p *parts, car *sideCar) (scale, error) {
	if f := s.ask.FullScale; f != 0 && !sensible(f) {
		return scale{}, problem.New(problem.Invalid, "--full-scale", "%g is no full scale: it has to be above zero", f).
			Hint("write the force at a sample of 1, as --full-scale 20 --unit kN").In("nothing was read from " + s.name)
	}
	own := claim{unit: car.Unit, from: "the side-car"}
	if car.FullScale != nil {
		own.full = *car.FullScale
	}
	for _, r := range p.remarks {
		said, err := s.remarked(r)
		if err != nil {
			return scale{}, err
		}
		if own, err = s.agree(own, said); err != nil {
			return scale{}, err
		}
	}
	full, unit := s.ask.FullScale, s.ask.Unit
	if full == 0 {
		full = own.full
	}
	if unit == "" {
		unit = own.unit
	}
	if full == 0 || unit == "" {
		return scale{}, s.noScale(full, unit)
	}
	u, perMass, ok := unitOf(unit)
	if !ok {
		return scale{}, problem.New(problem.Invalid, "--unit", "%q is none of the units that are read: %s", unit, unitsRead).
			Hint("write one of them, as --unit kN").In("nothing was read from " + s.name)
	}
	s.stated(own, full, u)
	return scale{full: full, unit: u, perMass: perMass}, nil
}

// stated writes down where full scale and unit come from.
func (s *source) stated(own claim, full float64, u traceio.Unit) {
	from := own.from + " says so"
	switch {
	case s.ask.FullScale != 0 && s.ask.Unit != "":
		from = "--full-scale and --unit say so"
	case s.ask.FullScale != 0:
		from = "--full-scale says so; the unit is from " + own.from
	case s.ask.Unit != "":
		from = "--unit says so; the number is from " + own.from
	}
	s.fact("full scale", fmt.Sprintf("%g %s at a sample of 1", full, u.Symbol), from, "--full-scale")
	s.fact("unit", u.Symbol, from, "--unit")
	if s.ask.FullScale != 0 && own.full != 0 && own.full != full {
		s.note(trace.Doubtful, fmt.Sprintf("read with a full scale of %g because of --full-scale, though %s says %g", full, own.from, own.full))
	}
	if s.ask.Unit != "" && own.unit != "" && own.unit != s.ask.Unit {
		s.note(trace.Doubtful, fmt.Sprintf("read in %s because of --unit, though %s says that it is in %s", u.Symbol, own.from, own.unit))
	}
}

// noScale refuses samples that nothing brings to newtons.
func (s *source) noScale(full float64, unit string) error {
	p := s.refuse(problem.Invalid, "", "a WAV file has samples without a unit, and nothing says what force a sample of 1 stands for")
	switch {
	case full != 0:
		p.What = fmt.Sprintf("the full scale is %g, but nothing says in what unit", full)
	case unit != "":
		p.What = fmt.Sprintf("the unit is %s, but nothing says how much of it a sample of 1 stands for", unit)
	}
	return p.Hint("say so: --full-scale 20 --unit kN").
		Hint("or write a side-car %s.toml beside it, with the lines full_scale = 20.0 and unit = %q", s.name, "kN")
}

// agree puts two claims together, or refuses them when they differ and no flag
// settles it.
func (s *source) agree(a, b claim) (claim, error) {
	if a.full == 0 && a.unit == "" {
		return b, nil
	}
	if a.full != 0 && b.full != 0 && a.full != b.full && s.ask.FullScale == 0 {
		return a, s.refuse(problem.Conflict, "", "%s says a full scale of %g, %s says %g", a.from, a.full, b.from, b.full).
			Hint("say which holds: --full-scale %g or --full-scale %g", a.full, b.full)
	}
	if a.unit != "" && b.unit != "" && a.unit != b.unit && s.ask.Unit == "" {
		return a, s.refuse(problem.Conflict, "", "%s says the unit is %s, %s says %s", a.from, a.unit, b.from, b.unit).
			Hint("say which holds: --unit %s or --unit %s", a.unit, b.unit)
	}
	if a.full == 0 && b.full != 0 {
		a.full, a.from = b.full, a.from+" with "+b.from
	}
	if a.unit == "" {
		a.unit = b.unit
	}
	return a, nil
}

// remarked finds full_scale=20 and unit=kN in a remark of the file; other words
// of it are let be.
func (s *source) remarked(r remark) (claim, error) {
	out := claim{from: r.where}
	for _, word := range strings.FieldsFunc(r.text, func(c rune) bool { return strings.ContainsRune(" \t\r\n;", c) }) {
		key, value, ok := strings.Cut(word, "=")
		if !ok {
			continue
		}
		switch strings.ToLower(key) {
		case "full_scale":
			v, err := strconv.ParseFloat(value, 64)
			if err != nil || !sensible(v) {
				return out, s.refuse(problem.Invalid, "", "%s says full_scale=%.20q, which is no full scale", r.where, value).
					Hint("say it yourself: --full-scale 20 --unit kN")
			}
			out.full = v
		case "unit":
			if !readable(value) {
				return out, s.refuse(problem.Invalid, "", "%s says unit=%.20q, which is none of the units that are read: %s", r.where, value, unitsRead).
					Hint("say it yourself: --full-scale 20 --unit kN")
			}
			out.unit = value
		}
	}
	return out, nil
}
