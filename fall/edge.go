package fall

import "math"

// Edge is what the rope runs over between the mass and the cell. The zero Edge
// is none: the cell then reads the rope's own force.
type Edge struct {
	Friction float64 // μ between rope and edge
	Angle    float64 // θ, rad, that the rope is turned by
}

// Ratio is the most that the forces on both sides of the edge can differ by,
// e^(μθ): rope on the point of sliding gains dT = μ·T·dθ, the capstan equation.
func (e Edge) Ratio() float64 { return math.Exp(e.Friction * e.Angle) }

// EffectiveLength is the length in metres of a rope without an edge that a
// spring rope, with front metres on the side of the mass and behind metres past
// the edge, stretches like while it is loaded: front + behind·e^(-μθ). It is
// what a Tower's rope is given as Length.
func (e Edge) EffectiveLength(front, behind float64) float64 { return front + behind/e.Ratio() }

// Check refuses a friction or an angle that is not a number of zero or more.
func (e Edge) Check() error {
	return refuse(zeroOrMore("friction of the edge", e.Friction, ""), zeroOrMore("angle of the edge", e.Angle, "rad"))
}

// follow moves the cell's reading with the force of the rope at the mass and
// returns it. Rope slides over the edge towards the mass while the cell reads
// T·e^(-μθ), and back while it reads T·e^(+μθ); between these it sticks, and
// what lies behind the edge keeps its length and force.
func (m *motion) follow(tension float64) float64 {
	tension = max(0, tension)
	m.cell = min(max(m.cell, tension/m.grip), tension*m.grip)
	return m.cell
}
