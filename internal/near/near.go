// Package near compares numbers in tests. NaN is near nothing, itself
// included, so that a missing result cannot pass for a right one.
package near

import "math"

// Most is what Digits answers for equal numbers: a float64 holds no more.
const Most = 17

// Abs reports whether got lies within tol of want, |got − want| ≤ tol. An
// infinity is near itself only. It is false when any argument is NaN or tol is
// negative.
func Abs(got, want, tol float64) bool {
	if math.IsInf(got, 0) || math.IsInf(want, 0) {
		return got == want && tol >= 0
	}
	return math.Abs(got-want) <= tol
}

// Rel reports whether got lies within the share tol of want,
// |got − want| ≤ tol·|want|. For want = 0 only 0 is near. It is false when any
// argument is NaN or tol is negative.
func Rel(got, want, tol float64) bool {
	return Abs(got, want, tol*math.Abs(want))
}

// Digits returns how many significant decimal digits got shares with want,
// −log10(|got − want|/|want|), between 0 and Most; for want = 0 it is
// −log10|got|. It is 0 when either is NaN or infinite.
func Digits(got, want float64) float64 {
	off := math.Abs(got - want)
	if math.IsNaN(off) || math.IsInf(off, 0) {
		return 0
	}
	if want != 0 {
		off /= math.Abs(want)
	}
	return min(max(-math.Log10(off), 0), Most)
}
