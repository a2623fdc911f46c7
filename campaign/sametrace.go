package campaign

import (
	"strings"

	"fallwright.example/problem"
)

// sameTrace refuses a fall whose trace is another fall's already: the same
// bytes and the same drop in them cannot be two falls. A void fall claims
// nothing, and nothing is claimed for it.
func (s *Study) sameTrace(where string, d Drop) *problem.Problem {
	if d.Trace == nil || d.Void != nil {
		return nil
	}
	for _, o := range s.Drops {
		if o.Kind != Fall || o.Void != nil || o.Trace == nil || o.ID == d.ID {
			continue
		}
		if o.Trace.SHA256 == d.Trace.SHA256 && strings.EqualFold(o.Part, d.Part) {
			return problem.New(problem.Conflict, where, "%s is the trace of %s already", traceName(d), o.name()).
				Hint("choose the trace that was recorded at this fall").
				Hint("if it is %s that has the wrong trace, void that fall first", o.name())
		}
	}
	return nil
}

// traceName is a drop's trace in words: "run.csv", "drop 2 of run.csv".
func traceName(d Drop) string {
	name := d.Trace.Name
	if name == "" {
		name = "this file"
	}
	if d.Part == "" {
		return name
	}
	return "drop " + d.Part + " of " + name
}
