package traceio

import (
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// The words for what parts cells and what comes before decimals.
var (
	Delimiters = []string{"comma", "semicolon", "tab", "space", "bar"}
	Decimals   = []string{"point", "comma"}
)

// Check refuses an Ask that no file could satisfy: a rate that is not a
// positive number, likewise a full scale, a unit that is neither a force nor an
// acceleration, a delimiter or decimal mark of no known name. name is the file it was asked of.
func Check(name string, ask trace.Ask) error {
	state := "nothing was read from " + name
	if math.IsNaN(ask.Rate) || math.IsInf(ask.Rate, 0) || ask.Rate < 0 {
		return problem.New(problem.Invalid, "--rate", "%g Hz is no sample rate: it has to be above zero", ask.Rate).
			Hint("write the logger's sample rate in hertz, as --rate 1000").In(state)
	}
	if math.IsNaN(ask.FullScale) || math.IsInf(ask.FullScale, 0) || ask.FullScale < 0 {
		return problem.New(problem.Invalid, "--full-scale", "%g is no full scale: it has to be above zero", ask.FullScale).
			Hint("write the force at a sample of 1, as --full-scale 20 --unit kN").In(state)
	}
	_, force := ForceUnit(ask.Unit)
	_, acceleration := AccelUnit(ask.Unit)
	if ask.Unit != "" && !force && !acceleration {
		return problem.New(problem.Invalid, "--unit", "%q is not one of the units of force: %s", ask.Unit, ForceUnits).
			Hint("write one of them, as --unit kN").
			Hint("or, for a sensor in the mass, one of %s, with --mass", AccelUnits).In(state)
	}
	for _, word := range []struct {
		flag, is string
		of       []string
	}{{"--delimiter", ask.Delimiter, Delimiters}, {"--decimal", ask.Decimal, Decimals}} {
		if word.is != "" && !slices.Contains(word.of, word.is) {
			return problem.New(problem.Invalid, word.flag, "%q is none of %s", word.is, strings.Join(word.of, ", ")).
				Hint("write one of them, as %s %s", word.flag, word.of[0]).In(state)
		}
	}
	return nil
}
