// Package campaign holds the nouns of a comparative drop test and their rules:
// study, question, condition, rope, specimen, rig, setting, drop, weighing,
// deviation. It computes nothing and stores nothing; what it refuses, no end
// can do.
//
// Everything is SI: newtons, metres, seconds, kilograms, kilograms a metre.
package campaign

import (
	"strings"
	"time"

	"fallwright.example/problem"
)

// Study is one inquiry: what was asked, planned, and done.
type Study struct {
	ID      string
	Created Stamp
	Plan    Plan
	File    SourceFile // the study file as it was read, to the byte
	Frozen  *Freeze    // nil while the plan may still be altered

	Drops      []Drop // in the order they were released
	Weighings  []Weighing
	Gaugings   []Gauging
	Pulls      []Pull
	Deviations []Deviation
}

// Stamp is who did something, and when.
type Stamp struct {
	At time.Time
	By string
}

// SourceFile is a file kept to the byte.
type SourceFile struct {
	Name   string
	SHA256 string // lower-case hex, of the bytes as they were read
	Size   int64
}

// Freeze is the moment from which the plan can only be deviated from.
type Freeze struct {
	Stamp
	PlanSHA256 string // of the study file
}

// Deviation is anything done that the frozen plan did not say.
type Deviation struct {
	ID string
	Stamp
	Text string // what was done instead, and why
}

// Weighing is one mass of a specimen.
type Weighing struct {
	ID string
	Stamp
	Specimen string    // label
	Of       WeighedAs // empty in older books, where State alone says it
	Soak     float64   // s under water before; 0 for none
	Hung     float64   // s hung to drain or dry before; 0 for the protocol's own
	State    string    // "dry", "soaked and drained 2 min": the declared protocol step
	Mass     float64   // kg
	Replaces string    // ID of a weighing that this one corrects; empty for a new one
}

// Condition returns the plan's condition of a specimen by label, and whether
// the plan has that specimen.
func (s *Study) Condition(specimen string) (string, bool) {
	for _, sp := range s.Plan.Specimens {
		if sp.Label == specimen {
			return sp.Condition, true
		}
	}
	return "", false
}

// Counting returns the falls that count: not void, in the order released.
func (s *Study) Counting() []Drop {
	var out []Drop
	for _, d := range s.Drops {
		if d.Kind == Fall && d.Void == nil {
			out = append(out, d)
		}
	}
	return out
}

// CheckDeviation refuses a deviation without words or time.
func (s *Study) CheckDeviation(d Deviation) error {
	var list problem.List
	if strings.TrimSpace(d.Text) == "" {
		list = append(list, problem.New(problem.Invalid, "deviation", "it says nothing").
			Hint("say what was done otherwise, and why").In("the deviation was not stored"))
	}
	if d.At.IsZero() {
		list = append(list, problem.New(problem.Invalid, "deviation", "it has no time").
			Hint("say when it happened").In("the deviation was not stored"))
	}
	return list.Err()
}
