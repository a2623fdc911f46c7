package fall

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/problem"
)

// refuse returns the first refusal among several, so that the argument named is
// the first at fault.
func refuse(refusals ...error) error {
	for _, err := range refusals {
		if err != nil {
			return err
		}
	}
	return nil
}

// positive refuses an argument that is not a finite number above zero.
func positive(name string, value float64, unit string) error {
	if value > 0 && !math.IsInf(value, 1) {
		return nil
	}
	return problem.New(problem.Invalid, name, "%s, must be a number above %s", amount(value, unit), amount(0, unit))
}

// zeroOrMore refuses an argument that is not a finite number of zero or more.
func zeroOrMore(name string, value float64, unit string) error {
	if value >= 0 && !math.IsInf(value, 1) {
		return nil
	}
	return problem.New(problem.Invalid, name, "%s, must be %s or more", amount(value, unit), amount(0, unit))
}

// amount writes a value with its unit; a bare number has none.
func amount(value float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%g %s", value, unit))
}
