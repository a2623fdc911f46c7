package precision

import (
	"math"

	"fallwright.example/num/dist"
)

// HCritical returns the value that Mandel's h, the deviation of a lab's mean in
// standard deviations of p means, exceeds in size with probability alpha:
//
//	h = (p−1)·t/√(p·(t² + p − 2)),  t of p − 2 degrees of freedom at α/2
//
// NaN for p < 3. Source: [Wilrich2013].
func HCritical(alpha float64, p int) float64 {
	if p < 3 {
		return math.NaN()
	}
	n, t := float64(p), dist.T(alpha/2, float64(p-2))
	return (n - 1) * t / math.Sqrt(n*(t*t+n-2))
}

// KCritical returns the value that Mandel's k, the standard deviation of a cell
// over that of all, exceeds with probability alpha, for p labs of n readings:
//
//	k = √(p/(1 + (p−1)/F)),  F of n − 1 and (n−1)(p−1) degrees of freedom
//
// NaN for p < 2 or n < 2. Source: [Wilrich2013].
func KCritical(alpha float64, p, n int) float64 {
	if p < 2 || n < 2 {
		return math.NaN()
	}
	f := dist.F(alpha, float64(n-1), float64((n-1)*(p-1)))
	return math.Sqrt(float64(p) / (1 + float64(p-1)/f))
}

// CochranCritical returns the share of the largest of p variances of n readings
// in their sum that is exceeded with probability alpha, at most:
//
//	C = 1/(1 + (p−1)/F),  F of n − 1 and (p−1)(n−1) at α/p
//
// The bound is exact above one half and tight below. NaN for p < 2 or n < 2.
// Source: [Wilrich2013]; the test is [Cochran1941].
func CochranCritical(alpha float64, p, n int) float64 {
	if p < 2 || n < 2 {
		return math.NaN()
	}
	f := dist.F(alpha/float64(p), float64(n-1), float64((p-1)*(n-1)))
	return 1 / (1 + float64(p-1)/f)
}

// GrubbsCritical returns the value that the deviation of the largest, or of the
// smallest, of p means in standard deviations of them exceeds with probability
// alpha in either direction, alpha/2 in each:
//
//	G = (p−1)/√p·√(t²/(p − 2 + t²)),  t of p − 2 degrees of freedom at α/(2p)
//
// NaN for p < 3. Source: [Wilrich2013]; the test is [Grubbs1950].
func GrubbsCritical(alpha float64, p int) float64 {
	if p < 3 {
		return math.NaN()
	}
	n, t := float64(p), dist.T(alpha/float64(2*p), float64(p-2))
	return (n - 1) / math.Sqrt(n) * math.Sqrt(t*t/(n-2+t*t))
}

// GrubbsPairCritical returns the value below which the sum of squares without
// the two largest, or without the two smallest, of p means over that of all
// falls with probability alpha in either direction, alpha/2 in each. By the
// integral of dist.PairQuantile; the printed table [ISO57252] agrees to its four
// digits. NaN for p < 4. Source: [Grubbs1972].
func GrubbsPairCritical(alpha float64, p int) float64 {
	if p < 4 {
		return math.NaN()
	}
	return dist.NewExtreme(p).PairQuantile(alpha / 2)
}

// Critical are the limits for one number of labs and readings; null where there
// are too few for the test.
type Critical struct {
	Typical int    `json:"n"` // readings in most cells, which the limits of k and C are for
	H       Limits `json:"h"`
	K       Limits `json:"k"`
	Cochran Limits `json:"cochran"`
	Grubbs  Limits `json:"grubbs"`
	Pair    Limits `json:"grubbs_pair"` // small values stand out
}

// Limits are the values at 5 % (a straggler), 1 % (an outlier) and, as E691
// takes for h and k, 0.5 %.
type Limits struct {
	Straggler *float64 `json:"at_5_percent"`
	Outlier   *float64 `json:"at_1_percent"`
	Half      *float64 `json:"at_half_percent,omitempty"`
}

func critical(p, cells, n int) Critical {
	three := func(f func(alpha float64) float64) Limits {
		return Limits{known(f(0.05)), known(f(0.01)), known(f(0.005))}
	}
	two := func(f func(alpha float64) float64) Limits {
		return Limits{known(f(0.05)), known(f(0.01)), nil}
	}
	return Critical{
		Typical: n,
		H:       three(func(a float64) float64 { return HCritical(a, p) }),
		K:       three(func(a float64) float64 { return KCritical(a, cells, n) }),
		Cochran: two(func(a float64) float64 { return CochranCritical(a, cells, n) }),
		Grubbs:  two(func(a float64) float64 { return GrubbsCritical(a, p) }),
		Pair:    two(func(a float64) float64 { return GrubbsPairCritical(a, p) }),
	}
}
