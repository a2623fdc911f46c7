// Package fall computes the arrested fall: closed forms for the linear rope, a
// drop tower simulated on any law of rope, and what a cell and its logger make
// of the force.
//
//	m   mass, kg             g   gravity, m/s²
//	h   height of free fall before the rope goes tight, m
//	L   length, m, of rope   f   fall factor h/L
//	M   modulus, N per unit strain; stiffness k = M/L
//	F   peak force in the rope, N
//	x   stretch, m, downward v   speed, m/s, downward
//
// StandardGravity is offered, never assumed.
package fall

import (
	"math"

	"fallwright.example/problem"
)

// StandardGravity is the conventional value, 9.80665 m/s² (CGPM 1901).
const StandardGravity = 9.80665

// PeakTension is the largest force F, in newtons, in a rope that is a spring
// without mass, friction or damping, when it arrests a mass (kg) that has
// fallen freely through height (m). The rope has length (m) and modulus (N).
//
// At the lowest point the mass is at rest and all the energy it has given up is
// in the spring: m·g·(h + x) = M·x²/(2·L). With F = M·x/L this is a quadratic
// in F whose positive root is
//
//	F = m·g·(1 + √(1 + 2·M·f/(m·g)))
//
// Height and length act only by their ratio, and a mass let go on a rope that
// is just tight (f = 0) pulls twice its weight.
//
// Real ropes lose energy on the way down and stiffen, so one modulus does not
// serve a hard fall, a soft one and a hanging weight; Tower simulates laws that
// can.
//
// Refuses, naming it, an argument that is not a finite number above zero;
// height may be zero.
//
// Source: [Wexler1950], from memory; the derivation above is complete.
func PeakTension(mass, height, length, modulus, gravity float64) (float64, error) {
	if err := refuse(positive("mass", mass, "kg"), zeroOrMore("height", height, "m"),
		positive("length", length, "m"), positive("modulus", modulus, "N"), positive("gravity", gravity, "m/s2")); err != nil {
		return 0, err
	}
	weight := mass * gravity
	return weight * (1 + math.Sqrt(1+2*modulus*height/length/weight)), nil
}

// ModulusFromPeak is the modulus M, in newtons, of the spring rope whose peak
// (N) was measured with a mass (kg) at a fall factor:
//
//	M = F·(F - 2·m·g)/(2·m·g·f)
//
// It is PeakTension solved for M. From a maker's published first-fall force it
// gives a prior for dialling in, no more: the published fall's own factor is
// known to a few per cent and M moves with it.
//
// Refuses arguments that are not finite numbers above zero, and a peak not
// above 2·m·g, which no modulus brings.
func ModulusFromPeak(peak, mass, factor, gravity float64) (float64, error) {
	if err := refuse(positive("peak", peak, "N"), positive("mass", mass, "kg"),
		positive("fall factor", factor, ""), positive("gravity", gravity, "m/s2")); err != nil {
		return 0, err
	}
	twice := 2 * mass * gravity
	if peak <= twice {
		return 0, tooLow(peak, twice)
	}
	return peak * (peak - twice) / (twice * factor), nil
}

// FactorForPeak is the fall factor f at which the spring rope reaches a target
// peak (N):
//
//	f = F·(F - 2·m·g)/(2·m·g·M)
//
// It is PeakTension solved for f; times the length it is the height to set.
//
// Refuses arguments that are not finite numbers above zero, and a peak below
// 2·m·g, which is what no fall at all gives.
func FactorForPeak(peak, mass, modulus, gravity float64) (float64, error) {
	if err := refuse(positive("peak", peak, "N"), positive("mass", mass, "kg"),
		positive("modulus", modulus, "N"), positive("gravity", gravity, "m/s2")); err != nil {
		return 0, err
	}
	twice := 2 * mass * gravity
	if peak < twice {
		return 0, tooLow(peak, twice)
	}
	return peak * (peak - twice) / (twice * modulus), nil
}

// Elasticity says by how many per cent the peak of a spring rope moves when the
// fall factor (or the modulus), or the mass, moves by one per cent. With
// s = F/(m·g) - 1, the square root in PeakTension,
//
//	dlnF/dlnf = dlnF/dlnM = (s - 1)/(2·s)    dlnF/dlnm = (s + 1)/(2·s)
//
// Refuses as FactorForPeak does.
func Elasticity(peak, mass, gravity float64) (toFactor, toMass float64, err error) {
	if err := refuse(positive("peak", peak, "N"), positive("mass", mass, "kg"), positive("gravity", gravity, "m/s2")); err != nil {
		return 0, 0, err
	}
	weight := mass * gravity
	if peak < 2*weight {
		return 0, 0, tooLow(peak, 2*weight)
	}
	s := peak/weight - 1
	return (s - 1) / (2 * s), (s + 1) / (2 * s), nil
}

// Undamped is the first contact of a mass with a spring rope.
type Undamped struct {
	ImpactSpeed float64 // m/s: √(2·g·h)
	Peak        float64 // N
	TimeToPeak  float64 // s from contact
	MaxStretch  float64 // m
	Contact     float64 // s from contact until the force is back at zero
}

// Arrest is the whole of PeakTension's fall. The mass swings about the stretch
// at which it would hang, x_s = m·g/k, with ω = √(k/m) and amplitude
// A = √(x_s² + (v/ω)²), so
//
//	t_peak = (π/2 + asin(x_s/A))/ω   x_max = x_s + A   F = k·x_max
//
// and, the way up being the way down run backwards, contact lasts 2·t_peak and
// the mass leaves as fast as it came. Refuses as PeakTension does.
func Arrest(mass, height, length, modulus, gravity float64) (Undamped, error) {
	if _, err := PeakTension(mass, height, length, modulus, gravity); err != nil {
		return Undamped{}, err
	}
	k := modulus / length
	hang, omega, speed := mass*gravity/k, math.Sqrt(k/mass), math.Sqrt(2*gravity*height)
	amplitude := math.Hypot(hang, speed/omega)
	peakAt := (math.Pi/2 + math.Asin(hang/amplitude)) / omega
	return Undamped{
		ImpactSpeed: speed, Peak: k * (hang + amplitude), TimeToPeak: peakAt,
		MaxStretch: hang + amplitude, Contact: 2 * peakAt,
	}, nil
}

// KelvinVoigtPeak is the largest force on a Kelvin-Voigt rope as a multiple of
// v·√(k·m), gravity neglected, at damping ratio ζ = c/(2·√(k·m)):
//
//	exp(-ζ/√(1-ζ²) · atan2(√(1-ζ²)·(1-4ζ²), ζ·(3-4ζ²)))   for ζ < 1/2
//	2·ζ                                                    for ζ >= 1/2
//
// From x = (v/ω_d)·e^(-ζωt)·sin(ω_d·t) and F = k·x + c·ẋ with Ḟ = 0; from
// ζ = 1/2 on Ḟ is never positive and the step at contact is the peak. It is
// smallest, 0.8101, at ζ = 0.265: more damping than that makes a harder catch.
//
// Refuses a ζ that is not a finite number of zero or more.
func KelvinVoigtPeak(zeta float64) (float64, error) {
	if err := zeroOrMore("damping ratio", zeta, ""); err != nil {
		return 0, err
	}
	if zeta >= 0.5 {
		return 2 * zeta, nil
	}
	root := math.Sqrt(1 - zeta*zeta)
	phase := math.Atan2(root*(1-4*zeta*zeta), zeta*(3-4*zeta*zeta))
	return math.Exp(-zeta / root * phase), nil
}

// tooLow refuses a peak that a rope going from slack to tight cannot have.
func tooLow(peak, twice float64) error {
	return problem.New(problem.Invalid, "peak", "%.6g N is not above %.6g N, twice the weight of the mass, the least a falling mass pulls on a spring", peak, twice).
		Hint("choose a higher peak or a lighter mass")
}
