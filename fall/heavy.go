package fall

import (
	"math"

	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Where the mass of a rope is put: a share in its middle, a share at the end on
// the mass, which moves with it, and the rest at the cell, which does not move.
// Two conditions give the two shares. With the end on a far heavier mass the
// middle between two halves of stiffness 2·k has to swing as the rope's own
// longitudinal wave, at π·√(k/m_r), so that 4·k/(middle·m_r) = π²·k/m_r; and the
// mass has to swing as if a third of the rope's mass were on it, end + middle/4.
//
// Source: the longitudinal vibration of a bar with a mass at its end, and the
// third by Rayleigh's method, are in every handbook of vibration (from memory);
// TestHeavyRopeAgainstTheWave derives both.
const (
	middleShare = 4 / (math.Pi * math.Pi)
	endShare    = 1./3 - 1/(math.Pi*math.Pi)
)

// heavy is a rope with mass, as a law of its own: two halves of the law of the
// rope, and the mass in the middle between them. Its tension is that of the half
// at the mass. Beside the states of both halves it has the strain ν of the half
// at the cell, which says where the middle is, and its rate ω:
//
//	ε₂ = 2·ε − ν    (middle·m_r)·ω̇·L/2 = T₂ − T₁ + middle·m_r·g
//
// The half at the cell may push a little where a real one would go slack: it is
// the half at the mass that says whether the rope is taut.
type heavy struct {
	law     rope.Law
	n       int     // states of the law
	length  float64 // m
	middle  float64 // kg
	gravity float64 // m/s²
}

// withMass is the rope of the tower as the motion sees it, and the mass that
// moves with the falling one.
func (w Tower) withMass() (rope.Law, float64) {
	law := w.Rope.Law
	if w.RopeMass == 0 {
		return law, 0
	}
	return heavy{law, law.States(), w.Rope.Length, middleShare * w.RopeMass, w.Gravity}, endShare * w.RopeMass
}

// checkMass refuses a rope that is none, and one that two modes do not follow.
func (w Tower) checkMass() error {
	if err := zeroOrMore("mass of the rope", w.RopeMass, "kg"); err != nil {
		return err
	}
	if w.RopeMass > w.Mass {
		return problem.New(problem.Invalid, "mass of the rope", "%g kg is above the falling mass, %g kg: two modes are too few for that", w.RopeMass, w.Mass).
			Hint("leave the rope's mass out, or check whether it was weighed in grams")
	}
	return nil
}

func (l heavy) Check() error { return l.law.Check() }

// States are those of both halves, ν and ω.
func (l heavy) States() int { return 2*l.n + 2 }

// upper and lower are strain, rate and states of the halves at cell and mass.
func (l heavy) upper(state []float64) (strain, rate float64, own []float64) {
	return state[2*l.n], state[2*l.n+1], state[:l.n]
}

func (l heavy) lower(strain, rate float64, state []float64) (ofIt, rateOfIt float64, own []float64) {
	return 2*strain - state[2*l.n], 2*rate - state[2*l.n+1], state[l.n : 2*l.n]
}

// Tension is that of the half at the mass.
func (l heavy) Tension(strain, rate float64, state []float64) float64 {
	return l.law.Tension(l.lower(strain, rate, state))
}

// atCell is the tension of the half at the cell.
func (l heavy) atCell(state []float64) float64 { return l.law.Tension(l.upper(state)) }

// Rates writes those of both halves, ν̇ and ω̇.
func (l heavy) Rates(strain, rate float64, state, out []float64) {
	nu, omega, own := l.upper(state)
	l.law.Rates(nu, omega, own, out[:l.n])
	half, halfRate, own := l.lower(strain, rate, state)
	l.law.Rates(half, halfRate, own, out[l.n:2*l.n])
	out[2*l.n] = omega
	out[2*l.n+1] = 2 / l.length * ((l.Tension(strain, rate, state)-l.atCell(state))/l.middle + l.gravity)
}

// Recoil is that of the half at the mass, and the middle's own motion.
func (l heavy) Recoil(strain float64, state []float64) float64 {
	half, _, own := l.lower(strain, 0, state)
	return (l.law.Recoil(half, own) + state[2*l.n+1]) / 2
}

// Stored is that of both halves, and what the middle has by speed and height.
func (l heavy) Stored(strain float64, state []float64) float64 {
	nu, omega, upper := l.upper(state)
	half, _, lower := l.lower(strain, 0, state)
	v := omega * l.length / 2
	moving := l.middle * (v*v/2 - l.gravity*nu*l.length/2)
	return (l.law.Stored(nu, upper)+l.law.Stored(half, lower))/2 + moving/l.length
}

// Lost is that of both halves.
func (l heavy) Lost(strain, rate float64, state []float64) float64 {
	return (l.law.Lost(l.upper(state)) + l.law.Lost(l.lower(strain, rate, state))) / 2
}

// Quickest is the law's.
func (l heavy) Quickest() float64 { return l.law.Quickest() }

// pullAlong sets the middle of a heavy rope moving at the first contact: a rope
// that has been paid out evenly moves there half as fast as its end. The energy
// that it brings is new to the books.
func (m *motion) pullAlong() {
	l, ok := m.law.(heavy)
	if !ok {
		return
	}
	before := m.held(m.now)
	m.now[inner+2*l.n+1] = m.now[speed] / l.length
	if m.ledger {
		m.energy += m.held(m.now) - before
	}
}

// reads is the force in state y at the cell's end of the taut rope.
func (m *motion) reads(y []float64) float64 {
	if l, ok := m.law.(heavy); ok {
		return l.atCell(y[inner:m.own])
	}
	return m.tension(y)
}
