package rope

import "math"

// Linear is a spring: T = E·ε. It loses nothing, so a mass would bounce on it
// for ever. It is here for checks against closed forms, not as a rope.
type Linear struct {
	Modulus float64 // E, N
}

// Check refuses a modulus that is not above zero.
func (l Linear) Check() error { return above("modulus", l.Modulus, "N") }

// States is 0.
func (l Linear) States() int { return 0 }

// Tension is E·ε.
func (l Linear) Tension(strain, _ float64, _ []float64) float64 { return l.Modulus * strain }

// Rates writes nothing: there is no internal state.
func (l Linear) Rates(_, _ float64, _, _ []float64) {}

// Recoil is 0: a spring is as long as its force says, at once.
func (l Linear) Recoil(float64, []float64) float64 { return 0 }

// Stored is E·ε²/2.
func (l Linear) Stored(strain float64, _ []float64) float64 { return l.Modulus * strain * strain / 2 }

// Lost is 0.
func (l Linear) Lost(_, _ float64, _ []float64) float64 { return 0 }

// Quickest is +Inf.
func (l Linear) Quickest() float64 { return math.Inf(1) }
