package rope

// KelvinVoigt is a spring beside a dashpot: T = E·ε + η·ε̇.
//
// Its force jumps to η·ε̇ at first contact, which no rope does; for
// ζ = η/L/(2·√(E/L·m)) of a half or more that jump is the peak. It is here
// because its damping is the one most often quoted, and because its peak has a
// closed form.
type KelvinVoigt struct {
	Modulus   float64 // E, N
	Viscosity float64 // η, N·s
}

// Check refuses parameters that are not above zero.
func (l KelvinVoigt) Check() error {
	return first(above("modulus", l.Modulus, "N"), above("viscosity", l.Viscosity, "N s"))
}

// States is 0: strain and its rate say everything.
func (l KelvinVoigt) States() int { return 0 }

// Tension is E·ε + η·ε̇.
func (l KelvinVoigt) Tension(strain, rate float64, _ []float64) float64 {
	return l.Modulus*strain + l.Viscosity*rate
}

// Rates writes nothing: there is no internal state.
func (l KelvinVoigt) Rates(_, _ float64, _, _ []float64) {}

// Recoil is -E·ε/η, from 0 = E·ε + η·ε̇: the slack rope creeps back.
func (l KelvinVoigt) Recoil(strain float64, _ []float64) float64 {
	return -l.Modulus * strain / l.Viscosity
}

// Stored is E·ε²/2.
func (l KelvinVoigt) Stored(strain float64, _ []float64) float64 {
	return l.Modulus * strain * strain / 2
}

// Lost is η·ε̇².
func (l KelvinVoigt) Lost(_, rate float64, _ []float64) float64 { return l.Viscosity * rate * rate }

// Quickest is η/E, the time constant of the recoil.
func (l KelvinVoigt) Quickest() float64 { return l.Viscosity / l.Modulus }
