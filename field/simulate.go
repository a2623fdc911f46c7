package field

import (
	"math"

	"fallwright.example/problem"
)

// Options say how a catch is computed.
type Options struct {
	Accuracy float64 // error of a step, as a share; Careful or Quick
	Frames   float64 // pictures a second of Outcome.Frames; 0 for none

	bare bool // no books: for the falls beside the one that is shown
}

// Accuracies. With Careful the energy books close to 1e-8; Shown is for values
// that people read, good to 0.05 %; Quick for sweeps, good to 0.5 %; a rebound's
// height to that share of the fall (TestAccuracies).
const (
	Careful = 1e-11
	Shown   = 1e-5
	Quick   = 1e-4

	coarse = 1e-4 // from here on ode.NewCoarse serves: the ripple of rope between runners keeps the steps of the other short
)

// Simulate lets the climber fall and follows the catch until the top of the
// rebound is past and the wall has been met or missed, or the floor is hit; 12 s
// at the longest.
//
// Rope that runs over a runner has the inertia of half of the rope on both
// sides and the friction of the capstan; it sticks where the tensions beside it
// differ by less than K. The belayer rises along the rope once it pulls more
// than the share of her weight against it. At the wall the speed towards it is
// lost and the rest is kept; there is no rubbing along it.
//
// It refuses what Check refuses, and a run whose books do not close.
func (c Catch) Simulate(o Options) (*Outcome, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	if !(o.Accuracy >= 1e-13 && o.Accuracy <= 1e-3) || !(o.Frames >= 0 && o.Frames <= 1000) {
		return nil, problem.New(problem.Invalid, "accuracy", "%g with %g pictures a second, must lie from 1e-13 to 1e-3, with 0 to 1000", o.Accuracy, o.Frames)
	}
	m := newMotion(c, o)
	if o.Frames > 0 {
		m.log.every = 1 / o.Frames
		m.log.frame(m, nil)
	}
	if err := m.goThrough(); err != nil {
		return nil, problem.New(problem.Invalid, "rope", "the fall cannot be followed beyond %.6g s: %v", m.time, err).
			Hint("look at the parameters of the law: one of them is out of all proportion")
	}
	out := m.log.finish(m)
	if limit := max(1e-8, 1000*o.Accuracy); m.books && !(out.Closing <= limit) || math.IsNaN(out.Climber.Force) {
		return nil, problem.New(problem.Invalid, "rope", "the energy books of the simulated fall are out by %.2g of the fall, limit %.2g of the simulation", out.Closing, limit).
			Hint("look at the parameters of the law: one of them is out of all proportion")
	}
	out.Notes = c.notes(out)
	return out, nil
}
