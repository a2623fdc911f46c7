package rope

import "math"

// Sliding is a stiffening rope whose yarns slide on each other: beside the
// spring and the Maxwell branch lies a friction that does not depend on speed,
// builds up over a small strain, and grows with what presses the yarns together,
// the pull of the spring:
//
//	T = e + q + s,        e = E₁·ε·(1 + B·ε²)
//	q̇ = E₂·ε̇ − q/τ
//	ṡ = E_s·(ε̇ − |ε̇|·s/g),   g = g₀ + μ·|e|
//
// s tends to +g while the rope is drawn out and to −g while it comes back; it is
// a spring E_s that gives way, so there is no step of force at contact, at the
// turn or where the rope goes slack. Its power loss is s²·|ε̇|/g, never negative
// whatever g is. Because g grows with the pull the friction is late: small at
// contact, full near the top.
//
// Water that lubricates is a smaller μ and g₀.
//
// Source: [Leuthaeusser2016] for friction that must come late, and for dry
// beside viscous friction; [Dahl1968] for a friction that builds up over a
// displacement. Making its limit follow the pull is a choice of ours.
type Sliding struct {
	Stiffening
	Contact  float64 // E_s, N: stiffness of the contacts between yarns
	Ease     float64 // g₀, N: friction of a rope that is not pulled, above 0
	Friction float64 // μ, of the pull; below 1
}

// Check refuses parameters that are not above zero, and a friction that would
// hold more than the pull.
func (l Sliding) Check() error {
	return first(l.Stiffening.Check(), above("contact modulus", l.Contact, "N"), above("friction at ease", l.Ease, "N"),
		notBelow("friction", l.Friction, ""), below("friction", l.Friction, 1))
}

// States is 2: q and s.
func (l Sliding) States() int { return 2 }

func (l Sliding) spring(strain float64) float64 {
	return l.Equilibrium * strain * (1 + l.Growth*strain*strain)
}

func (l Sliding) limit(strain float64) float64 {
	return l.Ease + l.Friction*math.Abs(l.spring(strain))
}

// Tension is e + q + s.
func (l Sliding) Tension(strain, _ float64, state []float64) float64 {
	return l.spring(strain) + state[0] + state[1]
}

// Rates writes q̇ and ṡ.
func (l Sliding) Rates(strain, rate float64, state, out []float64) {
	out[0] = l.branch().growth(rate, state[0])
	out[1] = l.Contact * (rate - math.Abs(rate)*state[1]/l.limit(strain))
}

// Answer is Tension and Rates at once.
func (l Sliding) Answer(strain, rate float64, state, out []float64) float64 {
	return l.ready().Answer(strain, rate, state, out)
}

// ready is the law with what an integration divides by turned over.
func (l Sliding) ready() *readySliding {
	return &readySliding{*l.Stiffening.ready(), l.Contact, l.Ease, l.Friction}
}

type readySliding struct {
	readyStiffening
	contact, ease, friction float64
}

func (l *readySliding) Tension(strain, _ float64, state []float64) float64 {
	return l.spring(strain) + state[0] + state[1]
}

func (l *readySliding) Answer(strain, rate float64, state, out []float64) float64 {
	spring, q, s := l.spring(strain), state[0], state[1]
	out[1] = l.contact * (rate - math.Abs(rate)*s/(l.ease+l.friction*math.Abs(spring)))
	out[0] = l.branch*rate - q*l.pace
	return spring + q + s
}

// Recoil is the strain rate at which the tension stays zero,
// q/(τ·(E_t + E₂ + E_s·(1 ∓ s/g))), the sign that of the recoil. While the rope
// comes back s lags behind the shrinking −g, by less than μ·g·E_t/E_s, so that
// the sum stays above E₂ + (1 − μ)·E_t; states that no motion leads to are kept
// from dividing by nothing.
func (l Sliding) Recoil(strain float64, state []float64) float64 {
	drive := state[0] / l.Relaxation
	give := math.Copysign(state[1]/l.limit(strain), state[1]*drive)
	tangent := l.Equilibrium * (1 + 3*l.Growth*strain*strain)
	return drive / max(tangent+l.Branch+l.Contact*(1-give), l.Branch+tangent*(1-l.Friction)/2)
}

// Stored is that of Stiffening and s²/(2·E_s).
func (l Sliding) Stored(strain float64, state []float64) float64 {
	return l.Stiffening.Stored(strain, state) + state[1]*state[1]/(2*l.Contact)
}

// Lost is q²/(E₂·τ) + s²·|ε̇|/g.
func (l Sliding) Lost(strain, rate float64, state []float64) float64 {
	return l.branch().lost(state[0]) + state[1]*state[1]*math.Abs(rate)/l.limit(strain)
}
