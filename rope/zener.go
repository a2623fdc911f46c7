package rope

// Zener is the standard linear solid, a spring beside a Maxwell branch:
//
//	T = E₁·ε + q,   q̇ = E₂·ε̇ - q/τ
//
// Its modulus is E₁+E₂ against a sudden strain and E₁ at rest. There is no jump
// of force at contact, and the friction comes late, as it does in ropes.
//
// One set of moduli does not fit hard falls and hanging weights together.
//
// Source: [Leuthaeusser2016] for friction that must be delayed; the equations
// are the textbook ones.
type Zener struct {
	Equilibrium float64 // E₁, N
	Branch      float64 // E₂, N
	Relaxation  float64 // τ, s
}

func (l Zener) branch() maxwell { return maxwell{l.Branch, l.Relaxation} }

// Check refuses parameters that are not above zero.
func (l Zener) Check() error {
	return first(above("equilibrium modulus", l.Equilibrium, "N"),
		above("branch modulus", l.Branch, "N"), above("relaxation time", l.Relaxation, "s"))
}

// States is 1: q.
func (l Zener) States() int { return 1 }

// Tension is E₁·ε + q.
func (l Zener) Tension(strain, _ float64, state []float64) float64 {
	return l.Equilibrium*strain + state[0]
}

// Rates writes q̇.
func (l Zener) Rates(_, rate float64, state, out []float64) {
	out[0] = l.branch().growth(rate, state[0])
}

// Recoil is q/(τ·(E₁+E₂)); q is negative in a slack rope.
func (l Zener) Recoil(_ float64, state []float64) float64 {
	return l.branch().recoil(l.Equilibrium, state[0])
}

// Stored is E₁·ε²/2 + q²/(2·E₂).
func (l Zener) Stored(strain float64, state []float64) float64 {
	return l.Equilibrium*strain*strain/2 + l.branch().stored(state[0])
}

// Lost is q²/(E₂·τ).
func (l Zener) Lost(_, _ float64, state []float64) float64 { return l.branch().lost(state[0]) }

// Quickest is τ, the relaxation at a strain held; the recoil is slower.
func (l Zener) Quickest() float64 { return l.Relaxation }
