package campaign

import (
	"math"

	"fallwright.example/problem"
)

// gateApart is how many times the speed of free fall a flag may seem to have, or
// a part of it, before its time must have been written in another unit. A guide
// takes some of the speed, never nine tenths of it.
const gateApart = 10

// gateTime refuses a light gate's time that no falling flag can have had. It
// says nothing where the rig's flag or the drop's setting is not known.
func (s *Study) gateTime(where string, d Drop) *problem.Problem {
	t := d.GateTime
	if t == 0 {
		return nil
	}
	if !positive(t) {
		return problem.New(problem.Invalid, where, "the flag broke the gate's beam for %g ms", 1e3*t).
			Hint("give a time above zero, or leave it out when none was recorded")
	}
	setting, known := s.Plan.Setting(d.Setting)
	if s.Plan.Rig.GateFlag == 0 || !known {
		return nil
	}
	const standardGravity = 9.80665 // m/s2; what a site differs by does not matter here
	speed, falling := s.Plan.Rig.GateFlag/t, math.Sqrt(2*standardGravity*setting.Drop)
	if speed <= gateApart*falling && speed >= falling/gateApart {
		return nil
	}
	return problem.New(problem.Invalid, where, "a flag of %g mm that breaks the beam for %.4g ms falls at %.3g m/s, and a free fall of %g m gives %.3g m/s",
		1e3*s.Plan.Rig.GateFlag, 1e3*t, speed, setting.Drop, falling).
		Hint("give the time in milliseconds, or leave it out when none was recorded")
}
