package study

import (
	"math"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// LawFall is a fall to which a law of rope is fitted.
type LawFall struct {
	Name    string // under which it is refused: a file, or "M-01 fall 3"
	Number  int    // of the fall, from 1
	Reading *trace.Reading
	fit.Fall
}

// lawGap is by how much of the usual one the samples of a trace may be apart.
const lawGap = 0.02

// NewLawFall makes a recording ready: its force without a filter, which would make
// noise look smaller than it is, and its reading as the settings say. It refuses
// what the reading refuses, settings without mass, drop and length, a trace without
// a fall in it, and samples that are not evenly apart.
func NewLawFall(name string, number int, rec *trace.Recording, set trace.Settings) (LawFall, error) {
	f := LawFall{Name: name, Number: number}
	var missing problem.List
	for _, s := range []struct {
		what, flag string
		v          float64
	}{{"mass", "--mass KG", set.Mass}, {"drop", "--drop M", set.Drop}, {"length", "--length M", set.Length}} {
		if !(s.v > 0) {
			missing = append(missing, problem.New(problem.Invalid, s.what, "it is not known, and a law is fitted to a fall of known mass, drop and length of rope").
				Hint("give it: %s, or as the setting of the study", s.flag))
		}
	}
	if err := missing.Err(); err != nil {
		return f, located(err, name)
	}
	set.Trials = 0
	r, signal, err := trace.Take(rec, set)
	if err == nil && set.Class != 0 {
		bare := set
		bare.Class = 0
		_, signal, err = trace.Take(rec, bare)
	}
	switch {
	case err != nil:
		return f, located(err, name)
	case len(r.Contacts) == 0:
		return f, problem.New(problem.TooFew, name, "there is no drop in the trace: the force never leaves its noise").
			Hint("look at it: fallwright read %s --preview", name)
	case !even(signal.Time):
		return f, problem.New(problem.Invalid, name, "its samples are not evenly apart, and a law is fitted to even ones").
			Hint("record at a fixed rate; where the times alone are poor, state the rate: --rate HZ")
	}
	f.Reading = r
	f.Rate = float64(len(signal.Time)-1) / (signal.Time[len(signal.Time)-1] - signal.Time[0])
	f.Setting = fit.Setting{
		Mass: set.Mass, Drop: set.Drop, Length: set.Length, Gravity: set.Gravity,
		Edge: fall.Edge{Friction: set.Edge.Friction, Angle: set.Edge.Angle},
	}
	if f.Setting.Gravity == 0 {
		f.Setting.Gravity = fall.StandardGravity
	}
	ratio := f.Setting.Edge.Ratio() // the signal is the rope's force, a fit wants the cell's
	for _, v := range signal.Force {
		f.Samples = append(f.Samples, v/ratio)
	}
	return f, nil
}

func even(time []float64) bool {
	n := len(time)
	usual := (time[n-1] - time[0]) / float64(n-1)
	for i := 1; i < n; i++ {
		if math.Abs(time[i]-time[i-1]-usual) > lawGap*usual {
			return false
		}
	}
	return true
}
