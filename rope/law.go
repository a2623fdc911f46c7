// Package rope holds the laws by which a rope answers to being stretched.
//
// A law is of the material: it speaks of strain, not of stretch, and its moduli
// are in newtons per unit strain, so that one law serves every length. A Piece
// is a law with a length.
//
//	ε    strain: stretch over unstretched length
//	E    N, modulus: force per unit strain; stiffness of a piece is E/L
//	η    N·s, viscosity: force per unit strain rate
//	τ    s, relaxation time of a Maxwell branch (spring and dashpot in a row)
//	q    N, force in a Maxwell branch: the law's internal state
//	L    m, unstretched length
//
// The rope has no mass here, and its knots are part of its law.
package rope

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/problem"
)

// Law is how a rope answers to strain. A new law is done when it passes
// ropetest.Exercise. Methods take the state they are given and keep nothing.
type Law interface {
	// Check refuses parameters outside the law's range.
	Check() error

	// States is the number of internal states, all zero in a rope at ease.
	States() int

	// Tension is the force in newtons at a strain, a strain rate (1/s) and an
	// internal state. It is negative where the law would have the rope push;
	// a rope cannot, so what it exerts is Force, and the change of sign is
	// where it goes slack.
	Tension(strain, rate float64, state []float64) float64

	// Rates writes the time derivative of the internal state.
	Rates(strain, rate float64, state, out []float64)

	// Recoil is the strain rate of a slack rope: the rate at which it goes on
	// shortening with no force on it, so that Tension(strain, Recoil, state)
	// stays zero. A rope that has just let go is still longer than it was,
	// and the next catch begins at the length it has by then.
	Recoil(strain float64, state []float64) float64

	// Stored is the recoverable energy, in joules per metre of rope.
	Stored(strain float64, state []float64) float64

	// Lost is the power turned to heat, in watts per metre; never negative.
	Lost(strain, rate float64, state []float64) float64

	// Quickest is the shortest time constant, in seconds, of anything the law
	// does by itself; +Inf for a law that does nothing by itself. Steps of an
	// integration have to be short beside it.
	Quickest() float64
}

// Answerer is a law that can give its tension and write the rates of its states
// at once, in less time than both apart take. An integration asks for both at
// every stage.
type Answerer interface {
	Tension(strain, rate float64, state []float64) float64
	Answer(strain, rate float64, state, out []float64) (tension float64)
}

// StateSizes writes by how much each internal state has to differ for the tension
// to differ by a given force in newtons, at a strain of 0.1: some states are
// forces, others strains, and an integration has to know what is little of each.
// State is scratch of the same length, zero before and after.
func StateSizes(law Law, force float64, state, out []float64) {
	const strain, by = 0.1, 1e-3
	at := law.Tension(strain, 0, state)
	for i := range state {
		state[i] = by
		out[i] = force * by / math.Abs(law.Tension(strain, 0, state)-at)
		state[i] = 0
	}
}

// AsAnswerer is the law itself where it is an Answerer, or one that asks it for
// both in turn; for the laws that integrations are mostly about, one that is
// quicker.
func AsAnswerer(law Law) Answerer {
	switch l := law.(type) {
	case Stiffening:
		return l.ready()
	case Sliding:
		return l.ready()
	case Answerer:
		return l
	}
	return apart{law}
}

type apart struct{ Law }

func (l apart) Answer(strain, rate float64, state, out []float64) float64 {
	l.Rates(strain, rate, state, out)
	return l.Tension(strain, rate, state)
}

// Force is what a rope of this law exerts: its tension, or nothing.
func Force(law Law, strain, rate float64, state []float64) float64 {
	return max(0, law.Tension(strain, rate, state))
}

// Piece is a length of rope of one law. Its methods are those of the law, in
// metres of stretch, newtons and joules.
type Piece struct {
	Law    Law
	Length float64 // m, unstretched
}

// Check refuses a piece without a law or a positive length, and whatever its
// law refuses.
func (p Piece) Check() error {
	if p.Law == nil {
		return problem.New(problem.Invalid, "rope", "has no law").
			Hint("name one of the laws of rope")
	}
	if err := above("length", p.Length, "m"); err != nil {
		return err
	}
	return p.Law.Check()
}

// Tension is the force in newtons at a stretch (m) and a stretch rate (m/s).
func (p Piece) Tension(stretch, rate float64, state []float64) float64 {
	return p.Law.Tension(stretch/p.Length, rate/p.Length, state)
}

// Rates writes the time derivative of the internal state.
func (p Piece) Rates(stretch, rate float64, state, out []float64) {
	p.Law.Rates(stretch/p.Length, rate/p.Length, state, out)
}

// Recoil is the stretch rate, in m/s, of the slack piece.
func (p Piece) Recoil(stretch float64, state []float64) float64 {
	return p.Length * p.Law.Recoil(stretch/p.Length, state)
}

// Stored is the recoverable energy in joules.
func (p Piece) Stored(stretch float64, state []float64) float64 {
	return p.Length * p.Law.Stored(stretch/p.Length, state)
}

// Lost is the power turned to heat, in watts.
func (p Piece) Lost(stretch, rate float64, state []float64) float64 {
	return p.Length * p.Law.Lost(stretch/p.Length, rate/p.Length, state)
}

// above refuses a parameter that is not a finite number above zero.
func above(name string, value float64, unit string) error {
	if value > 0 && !math.IsInf(value, 1) {
		return nil
	}
	return problem.New(problem.Invalid, name, "%s, the law needs a number above %s", amount(value, unit), amount(0, unit))
}

// notBelow refuses a parameter that is not a finite number of zero or more.
func notBelow(name string, value float64, unit string) error {
	if value >= 0 && !math.IsInf(value, 1) {
		return nil
	}
	return problem.New(problem.Invalid, name, "%s, the law needs %s or more", amount(value, unit), amount(0, unit))
}

// amount writes a value with its unit; a bare number has none.
func amount(value float64, unit string) string {
	return strings.TrimSpace(fmt.Sprintf("%g %s", value, unit))
}

// first returns the first refusal among several.
func first(refusals ...error) error {
	for _, err := range refusals {
		if err != nil {
			return err
		}
	}
	return nil
}

// below refuses a parameter that is not below a limit.
func below(name string, value, limit float64) error {
	if value < limit {
		return nil
	}
	return problem.New(problem.Invalid, name, "%g, the law needs less than %g", value, limit)
}
