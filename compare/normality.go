package compare

import (
	"math"
	"slices"

	"fallwright.example/num/dist"
)

// Most values that the approximation to the distribution of W is for.
const mostNormality = 5000

// shapiroWilk tests whether values look like a sample from one normal
// distribution: W by the weights of [Royston1995] (algorithm AS R94, no
// censoring), and the chance of a W as small if they are. NaN for fewer than
// three values, more than 5 000, or values that are all the same.
func shapiroWilk(values []float64) (w, p float64) {
	n := len(values)
	if n < 3 || n > mostNormality {
		return math.NaN(), math.NaN()
	}
	x := slices.Clone(values)
	slices.Sort(x)
	if !(x[n-1] > x[0]) {
		return math.NaN(), math.NaN()
	}
	mean := 0.0
	for _, v := range x {
		mean += (v - x[0]) / float64(n)
	}
	a := roystonWeights(n)
	along, square := 0.0, 0.0
	for i, weight := range a {
		along += weight * (x[n-1-i] - x[i])
	}
	for _, v := range x {
		d := v - x[0] - mean
		square += d * d
	}
	w = min(1, along*along/square)
	return w, roystonTail(w, float64(n))
}

// roystonWeights are the weights of the upper half, the largest first.
func roystonWeights(n int) []float64 {
	if n == 3 {
		return []float64{math.Sqrt2 / 2}
	}
	m, square := make([]float64, n/2), 0.0
	for i := range m {
		m[i] = dist.NormalQuantile((float64(i) + 0.625) / (float64(n) + 0.25))
		square += 2 * m[i] * m[i]
	}
	a, u := make([]float64, n/2), 1/math.Sqrt(float64(n))
	a[0] = m[0]/math.Sqrt(square) + polynomial(u, 0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056)
	own, left, done := square-2*m[0]*m[0], 1-2*a[0]*a[0], 1
	if n > 5 {
		a[1] = m[1]/math.Sqrt(square) + polynomial(u, 0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633)
		own, left, done = own-2*m[1]*m[1], left-2*a[1]*a[1], 2
	}
	for i := done; i < len(a); i++ {
		a[i] = m[i] / math.Sqrt(own/left)
	}
	return a
}

// roystonTail is the chance of a W as small among n normal values.
func roystonTail(w, n float64) float64 {
	if n == 3 { // exact
		return max(0, 6/math.Pi*(math.Asin(math.Sqrt(w))-math.Pi/3))
	}
	y, mean, sd := math.Log(1-w), 0.0, 0.0
	if n <= 11 {
		most := polynomial(n, -2.273, 0.459)
		if y >= most {
			return 0
		}
		y = -math.Log(most - y)
		mean = polynomial(n, 0.5440, -0.39978, 0.025054, -6.714e-4)
		sd = math.Exp(polynomial(n, 1.3822, -0.77857, 0.062767, -0.0020322))
	} else {
		l := math.Log(n)
		mean = polynomial(l, -1.5861, -0.31082, -0.083751, 0.0038915)
		sd = math.Exp(polynomial(l, -0.4803, -0.082676, 0.0030302))
	}
	return dist.Normal((mean - y) / sd)
}

// polynomial is Σ c[i]·xⁱ.
func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// shape returns the skewness m₃/m₂^1.5 and the excess kurtosis m₄/m₂² − 3 of
// values about their mean; NaN when they are all the same or none.
func shape(values []float64) (skewness, kurtosis float64) {
	n, mean := float64(len(values)), 0.0
	for _, v := range values {
		mean += v / n
	}
	var m2, m3, m4 float64
	for _, v := range values {
		d := v - mean
		m2 += d * d / n
		m3 += d * d * d / n
		m4 += d * d * d * d / n
	}
	if !(m2 > 0) {
		return math.NaN(), math.NaN()
	}
	return m3 / math.Pow(m2, 1.5), m4/(m2*m2) - 3
}
