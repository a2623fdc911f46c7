package uff

import (
	"math"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// units is what set 164 says: SI = value / factor.
type units struct {
	line          int
	code          int
	force, length float64 // factors
}

// codes are newtons in the unit of force of each units code [UFF164]; 9 is the
// user's own. The poundal is a pound times a foot a second squared, 0.45359237
// times 0.3048 (both exact).
var codes = map[int]float64{
	1: 1, 2: 4.4482216152605, 3: 9.80665, 4: 0.138254954376, 5: 1e-3, 6: 1e-2, 7: 4.4482216152605, 8: 9.80665, 10: 1,
}

// near is how far a factor may be from the unit that it stands for: programs
// write them with as few as four digits, 0.2248 for the pound (4e-5 off).
const near = 1e-4

func alike(a, b float64) bool { return math.Abs(a/b-1) <= near }

// readUnits reads a set 164. A second one has to agree with the first.
func (s *source) readUnits(of set) error {
	h := &head{source: s, lines: lines{rest: of.body, no: of.line}}
	u := &units{line: of.line}
	u.code = h.whole(h.record(), 0, 10)
	r := h.record()
	if h.err != nil {
		return h.err
	}
	u.length, u.force = h.real(r, 0, 25), h.real(r, 25, 50)
	if h.err != nil {
		return h.err
	}
	if !(u.force > 0) || !(u.length > 0) {
		return s.refuse(problem.Unreadable, h.no, "set 164 says factors of %g for length and %g for force, which have to be above zero", u.length, u.force).
			Hint("export the recording again with its units")
	}
	newtons, known := codes[u.code]
	if known && !alike(newtons*u.force, 1) && s.ask.Unit == "" {
		return s.refuse(problem.Conflict, h.no, "set 164 says units code %d, in which a force of 1 is %g N, and a factor by which it is %g N", u.code, newtons, 1/u.force).
			Hint("say what the forces are in: --unit N")
	}
	if s.units != nil && !alike(s.units.force, u.force) && s.ask.Unit == "" {
		return s.refuse(problem.Conflict, of.line, "a second set 164 says that a force of 1 is %g N, the first, at line %d, says %g N", 1/u.force, s.units.line, 1/s.units.force).
			Hint("say what the forces are in: --unit N")
	}
	if s.units == nil {
		s.units = u
	}
	return nil
}

// unitFrom gives a column without a unit of its own the one that set 164 says.
// It returns by what its values are to be divided where that is a unit of no
// name here, and the column is then in SI.
func (s *source) unitFrom(a axis, col *pick.Column) (by float64) {
	if col.Unit != "" || s.units == nil {
		return 1
	}
	switch {
	case a.isForce():
		return named(col, s.units.force, "N", []string{"N", "mN", "daN", "kN", "lbf", "kgf"}, traceio.ForceUnit)
	case a.kind == displacement:
		return named(col, s.units.length, "m", []string{"m", "mm", "cm", "um", "in"}, traceio.LengthUnit)
	}
	return 1
}

// named finds the unit of a factor.
func named(col *pick.Column, factor float64, si string, names []string, unit func(string) (traceio.Unit, bool)) (by float64) {
	for _, name := range names {
		if u, ok := unit(name); ok && alike(u.SI(1)*factor, 1) {
			col.Unit = name
			return 1
		}
	}
	col.Unit = si
	return factor
}

// agrees refuses a label and a set 164 that say different units of one axis.
func (s *source) agrees(a axis, stated traceio.Unit, flag string) error {
	if s.units == nil || a.unit == "" {
		return nil
	}
	factor := s.units.force
	if a.kind == displacement {
		factor = s.units.length
	} else if !a.isForce() {
		return nil
	}
	if alike(stated.SI(1)*factor, 1) {
		return nil
	}
	return s.refuse(problem.Conflict, a.line, "the axis says that it is in %s, and set 164 at line %d that 1 stands for %s in SI", a.unit, s.units.line, strconv.FormatFloat(1/factor, 'g', 6, 64)).
		Hint("%s", flag)
}
