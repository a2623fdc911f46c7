package dial

import (
	"fmt"
	"math"

	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// Limits of what is asked; beyond them is a slip of the pen.
const (
	mostFactor = 2.0 // a mass hangs at most a rope's length above the anchor
	mostPairs  = 60
	mostTrials = 40
	mostFalls  = 50
	mostDrops  = 2000
)

// check refuses a question that cannot be asked; all that is wrong at once.
func (q *Question) check() error {
	var l problem.List
	add := func(p *problem.Problem) {
		if p != nil {
			l = append(l, p)
		}
	}
	within := func(where string, v, low, high float64, d quantity.Dimension) bool {
		if v >= low && v <= high {
			return true
		}
		add(problem.New(problem.Invalid, where, "%s is outside %s to %s", quantity.Format(v, d), quantity.Format(low, d), quantity.Format(high, d)))
		return false
	}
	setting := func(where string, s Setting) {
		ok := within(where+", mass", s.Mass, 1, 1000, quantity.Mass)
		ok = within(where+", drop", s.Drop, 0.001, 50, quantity.Length) && ok
		if ok = within(where+", free length", s.FreeLength, 0.1, 100, quantity.Length) && ok; ok && s.Drop > mostFactor*s.FreeLength {
			add(problem.New(problem.Invalid, where+", drop", "%s is more than twice the free length of %s: no mass can be lifted so high above the anchor", metre(s.Drop), metre(s.FreeLength)).
				Hint("the drop is the free fall before the rope goes tight"))
		}
	}
	if w := q.Window; within("window, low", w.Low, 100, 50000, quantity.Force) && within("window, high", w.High, 100, 50000, quantity.Force) && w.High < 1.02*w.Low {
		add(problem.New(problem.Invalid, "window", "%s to %s has no width to land in", newton(w.Low), newton(w.High)).Hint("give a high end at least 2 %% above the low one"))
	}
	q.Rig.check(within, add)
	if f := q.Published; f != nil {
		setting("published", Setting{f.Mass, f.Drop, f.FreeLength})
		within("published, force", f.Force, 500, 50000, quantity.Force)
	}
	if len(q.Trials) > mostTrials {
		add(problem.New(problem.Invalid, "trials", "%d, at most %d are taken", len(q.Trials), mostTrials))
	}
	for i, t := range q.Trials {
		where := fmt.Sprintf("trial %d", i+1)
		setting(where, t.Setting)
		within(where+", peak", t.Peak, 50, 100000, quantity.Force)
		if t.Fall < 0 || t.Fall > mostFalls {
			add(problem.New(problem.Invalid, where+", fall", "%d is no number of a fall, which is 1 to %d", t.Fall, mostFalls))
		}
	}
	if q.Falls < 1 || q.Falls > mostFalls {
		add(problem.New(problem.Invalid, "falls", "a series of %d falls, it has 1 to %d", q.Falls, mostFalls))
	}
	if !(q.Enough >= 0.5 && q.Enough < 1) {
		add(problem.New(problem.Invalid, "enough", "a chance of %g, it lies from 0.5 to below 1", q.Enough))
	}
	if !(q.Level >= 0.5 && q.Level < 1) {
		add(problem.New(problem.Invalid, "level", "%g, an interval holds the peak with a chance from 0.5 to below 1", q.Level))
	}
	return l.Err()
}

func (r *Rig) check(within func(string, float64, float64, float64, quantity.Dimension) bool, add func(*problem.Problem)) {
	if len(r.Masses) == 0 {
		add(problem.New(problem.Invalid, "masses", "there is none at hand").Hint("name one or more, such as 80 kg"))
	}
	if len(r.FreeLengths) == 0 {
		add(problem.New(problem.Invalid, "free lengths", "there is none").Hint("name one or more, such as 2.6 m"))
	}
	if n := len(r.Masses) * len(r.FreeLengths); n > mostPairs {
		add(problem.New(problem.Invalid, "masses", "%d masses and %d free lengths are %d pairs, at most %d are looked through", len(r.Masses), len(r.FreeLengths), n, mostPairs).
			Hint("take wider steps"))
	}
	for _, m := range r.Masses {
		within("masses", m, 1, 1000, quantity.Mass)
	}
	for _, l := range r.FreeLengths {
		within("free lengths", l, 0.1, 100, quantity.Length)
	}
	within("gravity", r.Gravity, 9.7, 9.9, quantity.Acceleration)
	if r.Room != 0 {
		within("room", r.Room, 0.1, 200, quantity.Length)
	}
	ok := within("lowest drop", r.LowestDrop, 0.01, 50, quantity.Length)
	ok = within("highest drop", r.HighestDrop, 0.01, 50, quantity.Length) && ok
	if ok && r.HighestDrop < r.LowestDrop {
		add(problem.New(problem.Invalid, "highest drop", "%s is below the lowest of %s", metre(r.HighestDrop), metre(r.LowestDrop)))
		ok = false
	}
	if within("drop step", r.DropStep, 0.001, 1, quantity.Length) && ok {
		if n := (r.HighestDrop - r.LowestDrop) / r.DropStep; n > mostDrops || math.IsNaN(n) {
			add(problem.New(problem.Invalid, "drop step", "%s from %s to %s are %.0f heights, at most %d are looked through",
				quantity.Format(r.DropStep, quantity.Length), metre(r.LowestDrop), metre(r.HighestDrop), n, mostDrops))
		}
	}
}
