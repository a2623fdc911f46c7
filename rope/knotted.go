package rope

import "math"

// Knotted is a rope of another law with knots that tighten the first time they
// are loaded and stay so. The rope they pay out is a strain k that only grows,
// towards what the tension T asks for, and with a delay of its own:
//
//	T = law(ε − k),   k̇ = max(0, K·(1 − exp(−T/T_k)) − k)/τ_k
//
// The work T·k̇ is lost. k is the first of the internal states, so that a rope
// whose knots were tightened to k by an earlier fall starts there: see Tightened.
// Knots do not grow with the rope: K is metres of slip over metres of rope, of
// this piece.
//
// It takes laws whose tension does not depend on the strain rate; Kelvin-Voigt
// is refused.
//
// Source: the form is ours; that the stiffness changes more by knots that
// tighten than by the rope itself is reported in [BeverlyAttaway] (abstract).
type Knotted struct {
	Law   Law
	Slip  float64 // K, strain paid out by knots that are fully tight
	Force float64 // T_k, N, that tightens them by two thirds
	Delay float64 // τ_k, s
	Tight float64 // k at the start
}

// Check refuses parameters outside the law's range and laws with a rate in
// their tension.
func (l Knotted) Check() error {
	if err := first(above("slip of the knots", l.Slip, ""), above("force that tightens the knots", l.Force, "N"),
		above("delay of the knots", l.Delay, "s"), notBelow("slip at the start", l.Tight, "")); err != nil {
		return err
	}
	if l.Law == nil {
		return Piece{}.Check()
	}
	if err := l.Law.Check(); err != nil {
		return err
	}
	return below("tension that depends on the strain rate", math.Abs(l.Law.Tension(0, 1, make([]float64, l.Law.States()))), 1e-300)
}

// States is one more than those of the law.
func (l Knotted) States() int { return 1 + l.Law.States() }

// Tension is law(ε − k).
func (l Knotted) Tension(strain, _ float64, state []float64) float64 {
	return l.Law.Tension(strain-state[0], 0, state[1:])
}

// slipping is k̇.
func (l Knotted) slipping(strain float64, state []float64) float64 {
	return l.slip(l.Tension(strain, 0, state), state[0])
}

// slip is k̇ at a tension.
func (l Knotted) slip(tension, k float64) float64 {
	return max(0, -l.Slip*math.Expm1(-max(0, tension)/l.Force)-l.Tight-k) / l.Delay
}

// Rates writes k̇ and those of the law.
func (l Knotted) Rates(strain, rate float64, state, out []float64) {
	out[0] = l.slipping(strain, state)
	l.Law.Rates(strain-state[0], rate-out[0], state[1:], out[1:])
}

// Answer is Tension and Rates at once.
func (l Knotted) Answer(strain, rate float64, state, out []float64) float64 {
	strain -= state[0]
	tension := l.Law.Tension(strain, 0, state[1:])
	out[0] = l.slip(tension, state[0])
	l.Law.Rates(strain, rate-out[0], state[1:], out[1:])
	return tension
}

// Recoil is that of the law: a slack rope does not tighten its knots.
func (l Knotted) Recoil(strain float64, state []float64) float64 {
	return l.Law.Recoil(strain-state[0], state[1:])
}

// Stored is that of the law.
func (l Knotted) Stored(strain float64, state []float64) float64 {
	return l.Law.Stored(strain-state[0], state[1:])
}

// Lost is that of the law and T·k̇.
func (l Knotted) Lost(strain, rate float64, state []float64) float64 {
	slip := l.slipping(strain, state)
	return l.Law.Lost(strain-state[0], rate-slip, state[1:]) + max(0, l.Tension(strain, 0, state))*slip
}

// Quickest is the shorter of the law's and of the delay.
func (l Knotted) Quickest() float64 { return min(l.Law.Quickest(), l.Delay) }
