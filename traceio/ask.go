package traceio

import (
	"math"

	"fallwright.example/problem"
)

// Check refuses an Ask that no file could satisfy: a rate that is not a
// positive number, a unit that is no force. name is the file it was asked of.
func (a Ask) Check(name string) error {
	state := "nothing was read from " + name
	if math.IsNaN(a.Rate) || math.IsInf(a.Rate, 0) || a.Rate < 0 {
		return problem.New(problem.Invalid, "--rate", "%g Hz is no sample rate: it has to be above zero", a.Rate).
			Hint("write the logger's sample rate in hertz, as --rate 1000").In(state)
	}
	if _, ok := ForceUnit(a.Unit); a.Unit != "" && !ok {
		return problem.New(problem.Invalid, "--unit", "%q is not one of the units of force: %s", a.Unit, ForceUnits).
			Hint("write one of them, as --unit kN").In(state)
	}
	return nil
}
