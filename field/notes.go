package field

import (
	"fmt"
	"math"
)

// notes are the warnings that belong to an outcome.
func (c Catch) notes(o *Outcome) []string {
	var notes []string
	warn := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	f, s := c.Rope.Fitted, o.Seen
	beyond := func(what string, seen, fitted float64, unit string) {
		if fitted > 0 && seen > fitted*1.005 {
			warn("the %s reaches %.3g%s, and the law was fitted on drops up to %.3g%s: beyond that it is a guess", what, seen, unit, fitted, unit)
		}
	}
	beyond("strain of the rope", s.Strain*100, f.Strain*100, " %")
	beyond("strain rate", s.Rate, f.Rate, " 1/s")
	beyond("pull", s.Force/1000, f.Force/1000, " kN")
	if f == (Fitted{}) {
		warn("it is not said on what drops the law was fitted: whether it holds for this fall is open")
	}
	if o.Hit != nil {
		warn("the climber hits the ground or the ledge; what a longer fall would have brought is not computed")
	}
	if o.AtRunner {
		warn("the belayer is drawn up to the lowest runner: what happens to hand and device there is not modelled")
	}
	if n := len(c.Runners); !c.Belayer.Fixed && c.Belayer.Stand > 0.7*c.Runners[n-1].Below {
		warn("the belayer stands far from the wall: footing holds then rather than weight, and the model does not know it")
	}
	if o.Wall != nil && o.Wall.At < o.CatchAt {
		warn("the climber meets the wall before the rope holds; sliding down it is taken to be without rubbing")
	}
	if o.Hit == nil && (math.IsNaN(o.Lowest.Below) || math.IsNaN(o.Rebound.Height)) {
		warn("the fall was followed for %g s and was not over by then", longestWatch)
	}
	return notes
}
