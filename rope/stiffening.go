package rope

// Stiffening is a Zener solid whose spring grows harder with strain:
//
//	T = E₁·ε·(1 + B·ε²) + q,   q̇ = E₂·ε̇ - q/τ
//
// The cubic is the first term a spring can have that is the same in pull and
// push; it is a choice of ours, no source.
//
// Source: [Leuthaeusser2016] for stiffness that rises with strain.
type Stiffening struct {
	Equilibrium float64 // E₁, N
	Growth      float64 // B, 1: how much stiffer at unit strain
	Branch      float64 // E₂, N
	Relaxation  float64 // τ, s
}

func (l Stiffening) branch() maxwell { return maxwell{l.Branch, l.Relaxation} }

// Check refuses parameters that are not above zero, B excepted, which may be 0.
func (l Stiffening) Check() error {
	return first(above("equilibrium modulus", l.Equilibrium, "N"), notBelow("growth", l.Growth, ""),
		above("branch modulus", l.Branch, "N"), above("relaxation time", l.Relaxation, "s"))
}

// States is 1: q.
func (l Stiffening) States() int { return 1 }

// Tension is E₁·ε·(1 + B·ε²) + q.
func (l Stiffening) Tension(strain, _ float64, state []float64) float64 {
	return l.Equilibrium*strain*(1+l.Growth*strain*strain) + state[0]
}

// Rates writes q̇.
func (l Stiffening) Rates(_, rate float64, state, out []float64) {
	out[0] = l.branch().growth(rate, state[0])
}

// Answer is Tension and Rates at once.
func (l Stiffening) Answer(strain, rate float64, state, out []float64) float64 {
	return l.ready().Answer(strain, rate, state, out)
}

// ready is the law with what an integration divides by turned over.
func (l Stiffening) ready() *readyStiffening {
	return &readyStiffening{l.Equilibrium, l.Growth, l.Branch, 1 / l.Relaxation}
}

type readyStiffening struct{ equilibrium, growth, branch, pace float64 }

func (l *readyStiffening) spring(strain float64) float64 {
	return l.equilibrium * strain * (1 + l.growth*strain*strain)
}

func (l *readyStiffening) Tension(strain, _ float64, state []float64) float64 {
	return l.spring(strain) + state[0]
}

func (l *readyStiffening) Answer(strain, rate float64, state, out []float64) float64 {
	q := state[0]
	out[0] = l.branch*rate - q*l.pace
	return l.spring(strain) + q
}

// Recoil is q/(τ·(E_t+E₂)) with the tangent E_t = E₁·(1 + 3·B·ε²).
func (l Stiffening) Recoil(strain float64, state []float64) float64 {
	return l.branch().recoil(l.Equilibrium*(1+3*l.Growth*strain*strain), state[0])
}

// Stored is E₁·(ε²/2 + B·ε⁴/4) + q²/(2·E₂).
func (l Stiffening) Stored(strain float64, state []float64) float64 {
	square := strain * strain
	return l.Equilibrium*(square/2+l.Growth*square*square/4) + l.branch().stored(state[0])
}

// Lost is q²/(E₂·τ).
func (l Stiffening) Lost(_, _ float64, state []float64) float64 { return l.branch().lost(state[0]) }

// Quickest is τ, the relaxation at a strain held; the recoil is slower.
func (l Stiffening) Quickest() float64 { return l.Relaxation }
