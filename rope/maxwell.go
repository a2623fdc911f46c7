package rope

// maxwell is a spring and a dashpot in a row, the delayed friction of a rope:
// q̇ = E·ε̇ - q/τ. Laws that have one lay it beside an elastic branch.
type maxwell struct {
	modulus    float64 // E, N
	relaxation float64 // τ, s
}

// growth is q̇ in N/s.
func (b maxwell) growth(rate, force float64) float64 {
	return b.modulus*rate - force/b.relaxation
}

// stored is the energy of its spring, q²/(2E).
func (b maxwell) stored(force float64) float64 { return force * force / (2 * b.modulus) }

// lost is the power of its dashpot, whose viscosity is E·τ: q²/(E·τ).
func (b maxwell) lost(force float64) float64 { return force * force / (b.modulus * b.relaxation) }

// recoil is the strain rate of a slack rope in which this branch lies beside an
// elastic one of the given tangent modulus: with T = 0 and so Ṫ = 0,
// 0 = E_t·ε̇ + E·ε̇ - q/τ.
func (b maxwell) recoil(tangent, force float64) float64 {
	return force / b.relaxation / (tangent + b.modulus)
}
