package compare

import (
	"math"

	"fallwright.example/num/lmm"
)

// prospect is a question as it would stand with other numbers of specimens:
// estimate ~ N(truth, variance/n), its squared standard error that variance
// times χ²/df on df = perDF·(n − 1) degrees of freedom.
type prospect struct {
	lower, upper float64 // the margin on the model's scale, lower < 0 < upper
	variance     float64 // of the difference with one specimen a condition
	perDF        float64
	different    float64 // two-sided chance of error of the test against zero
	equivalent   float64 // chance of error of each one-sided test
}

// most is the largest number of specimens a condition that is named.
const most = 1000

// smallest returns the smallest n from two at which the finding that a truth
// calls for is had with this power, Unknown when most do not suffice.
//
// The finding is higher or lower for a truth at or beyond the margin, no
// difference that matters for one inside. Where its chance is more than a few
// per cent it only grows with n, since less spread and more degrees of freedom
// bring each bound nearer, so the smallest n is found by halving. (Below that,
// few degrees of freedom now and then give a lucky small standard error.) For a
// truth at the margin it ends at one half.
func (p prospect) smallest(truth, power float64) int {
	if p.power(truth, most) < power {
		return Unknown
	}
	low, high := 1, most // not below, enough
	for high-low > 1 {
		if n := (low + high) / 2; p.power(truth, n) < power {
			low = n
		} else {
			high = n
		}
	}
	return high
}

// power is the chance of the finding that a truth calls for, an integral
// over the logarithm of s/σ. Given s, the estimate is normal; the integral ends
// where the density of log(s/σ) has fallen to 1e-16 of its peak, and is cut
// where a bound changes over.
func (p prospect) power(truth float64, n int) float64 {
	sigma, df := math.Sqrt(p.variance/float64(n)), p.perDF*float64(n-1)
	if !(sigma > 0) || !(df > 0) {
		return math.NaN()
	}
	given, cut := p.claim(truth, sigma, df)
	if df > 1e6 {
		return given(1)
	}
	low, high := edge(df, -1), edge(df, 1)
	cut = min(max(math.Log(cut), low), high)
	gamma, _ := math.Lgamma(df / 2)
	constant := math.Log(2) + df/2*math.Log(df/2) - gamma - df/2
	integrand := func(v float64) float64 {
		return math.Exp(constant+density(df, v)) * given(math.Exp(v))
	}
	return integral(integrand, low, cut) + integral(integrand, cut, high)
}

// claim returns the chance of the finding that a truth calls for, given
// u = s/σ, and the u at which it has a kink.
func (p prospect) claim(truth, sigma, df float64) (given func(u float64) float64, cut float64) {
	if truth >= p.upper || truth <= p.lower {
		bound, beyond := p.upper, truth
		if truth <= p.lower {
			bound, beyond = -p.lower, -truth
		}
		step := sigma * studentQuantile(p.different/2, df)
		return func(u float64) float64 {
			return normal((beyond - max(bound, step*u)) / sigma)
		}, bound / step
	}
	step := sigma * studentQuantile(p.equivalent, df)
	return func(u float64) float64 {
		low, high := p.lower+step*u, p.upper-step*u
		if low >= high {
			return 0
		}
		return normal((high-truth)/sigma) - normal((low-truth)/sigma)
	}, (p.upper - p.lower) / (2 * step)
}

// density of v = log(s/σ), as a logarithm that is 0 at its peak.
func density(df, v float64) float64 { return df * (v - math.Expm1(2*v)/2) }

// edge is where the density has fallen to 1e-16, below or above its peak.
func edge(df, side float64) float64 {
	near, far := 0.0, side*(40/df+10)
	for range 60 {
		if middle := (near + far) / 2; density(df, middle) > -37 {
			near = middle
		} else {
			far = middle
		}
	}
	return far
}

// integral is that of f, smooth but for its ends, by Simpson's rule on 16 parts
// that are halved where two halves still differ from the whole.
func integral(f func(float64) float64, a, b float64) float64 {
	const parts = 16
	sum := 0.0
	for i := range parts {
		low, high := a+(b-a)*float64(i)/parts, a+(b-a)*float64(i+1)/parts
		sum += simpson(f, low, high, [3]float64{f(low), f((low + high) / 2), f(high)}, 12)
	}
	return sum
}

// simpson integrates from a to b, with f known at both and between.
func simpson(f func(float64) float64, a, b float64, at [3]float64, depth int) float64 {
	middle, h := (a+b)/2, b-a
	left := [3]float64{at[0], f((a + middle) / 2), at[1]}
	right := [3]float64{at[1], f((middle + b) / 2), at[2]}
	rule := func(y [3]float64, h float64) float64 { return h / 6 * (y[0] + 4*y[1] + y[2]) }
	whole, halves := rule(at, h), rule(left, h/2)+rule(right, h/2)
	if depth == 0 || math.Abs(halves-whole) < 1e-10 {
		return halves + (halves-whole)/15
	}
	return simpson(f, a, middle, left, depth-1) + simpson(f, middle, b, right, depth-1)
}

// normal is Φ.
func normal(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// studentQuantile is the t that is exceeded with a probability.
func studentQuantile(beyond, df float64) float64 {
	_, t := lmm.Contrast{SE: 1, DF: df}.Interval(1 - 2*beyond)
	return t
}
