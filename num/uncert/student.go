package uncert

import "gonum.org/v1/gonum/stat/distuv"

// manyFreedom is the degrees of freedom from which, up to the probability
// mostCertain, the series below is so near the quantile that two steps make it
// exact to rounding.
const manyFreedom, mostCertain = 30, 0.9995

// studentQuantile is the quantile of Student's t for a probability p above 1/2 and
// so many degrees of freedom ν. From manyFreedom on it is found in a few of the
// steps that inverting the distribution takes, by the series
//
//	t = z + (z³ + z)/4ν + (5z⁵ + 16z³ + 3z)/96ν² + (3z⁷ + 19z⁵ + 17z³ − 15z)/384ν³
//	      + (79z⁹ + 776z⁷ + 1482z⁵ − 1920z³ − 945z)/92160ν⁴ + …,  Φ(z) = p
//
// and two of Newton's steps on the distribution. Source: [AbramowitzStegun] 26.7.5.
func studentQuantile(p, freedom float64) float64 {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}
	if freedom < manyFreedom || p > mostCertain {
		return t.Quantile(p)
	}
	z := distuv.UnitNormal.Quantile(p)
	w, n := z*z, 1/freedom
	x := z * (1 + n*((w+1)/4+n*(((5*w+16)*w+3)/96+n*((((3*w+19)*w+17)*w-15)/384+n*((((79*w+776)*w+1482)*w-1920)*w-945)/92160))))
	for range 2 {
		x -= (t.CDF(x) - p) / t.Prob(x)
	}
	return x
}
