package lmm

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Curves are the chances of the largest |t| of a Joint as curves, for many
// questions to one family: the integral is made at fixed points, when one
// beside them is first asked for, and a cubic goes through four of them.
//
// What is drawn is the number m of statistics without connection that would
// give the same chance, G = 1 − (1 − g)^m with g that of one statistic. It lies
// between 1 and their number and hardly bends. Points lie 0.25 apart in the z
// that one normal statistic exceeds with g; below z = 1 the integral is made
// for each question. Between degrees of freedom the curve goes through several
// in 1/df. What that costs is below 1e-5; without product structure the directions
// are off by some 1e-5 for five statistics, 1e-4 in the middle for 25.
type Curves struct {
	j       *Joint
	inverse []float64 // 1/df of the curves
	points  []map[int]float64
	made    *directions // without product structure
}

const (
	curveStep  = 0.25
	curveStart = 4  // z = 1
	curveEnd   = 28 // z = 7: one statistic in 1e12
)

// Curves prepares the curves for the degrees of freedom of a family.
func (j *Joint) Curves(df []float64) *Curves {
	low, high := math.Inf(1), 0.0
	for _, v := range df {
		low, high = min(low, v), max(high, v)
	}
	high = min(high, 1e7)
	low = min(low, high)
	n := 5
	switch ratio := high / low; {
	case ratio < 1+1e-7:
		n = 1
	case ratio < 1.3:
		n = 2
	case ratio < 3:
		n = 3
	}
	c := &Curves{j: j}
	if j.lambda == nil {
		c.made = enoughDirections(j)
	}
	for i := range n {
		share := float64(i) / float64(max(1, n-1))
		c.inverse = append(c.inverse, 1/high+(1/low-1/high)*share)
		c.points = append(c.points, map[int]float64{})
	}
	return c
}

// Beyond is the chance that the largest |t| is beyond a bound.
func (c *Curves) Beyond(t, df float64) float64 {
	one := studentBeyond(t, df)
	if math.IsNaN(one) {
		return math.NaN()
	}
	most := min(1, float64(c.j.k)*one)
	switch z := -distuv.UnitNormal.Quantile(one / 2); {
	case one < 1e-11:
		return most
	case z < curveStart*curveStep:
		return min(max(c.integral(math.Abs(t), df), one), most)
	default:
		return min(max(c.chance(z, df), one), most)
	}
}

// integral is the chance itself.
func (c *Curves) integral(bound, df float64) float64 {
	switch {
	case !(bound > 0):
		return 1
	case c.made != nil:
		return c.made.beyond(bound, df)
	}
	return 1 - c.j.product(bound, df, TwoSided)
}

// chance is G at z.
func (c *Curves) chance(z, df float64) float64 {
	return -math.Expm1(c.at(z, df) * math.Log1p(-2*phi(-z)))
}

// Quantile is the bound beyond which the largest |t| lies with a chance below
// one half.
func (c *Curves) Quantile(beyond, df float64) float64 {
	// Between one statistic's and Bonferroni's.
	low, high := -distuv.UnitNormal.Quantile(beyond/2), -distuv.UnitNormal.Quantile(beyond/2/float64(c.j.k))
	for range 40 {
		if middle := (low + high) / 2; c.chance(middle, df) > beyond {
			low = middle
		} else {
			high = middle
		}
	}
	return studentQuantile(phi(low), df)
}

// at is m at z: cubic along the curves, and through them in 1/df.
func (c *Curves) at(z, df float64) float64 {
	first := min(max(int(z/curveStep), curveStart)-1, curveEnd-3)
	total := 0.0
	for i := range c.inverse {
		v := 0.0
		for a := range 4 {
			weight := 1.0
			for b := range 4 {
				if a != b {
					weight *= (z/curveStep - float64(first+b)) / float64(a-b)
				}
			}
			v += weight * c.point(i, first+a)
		}
		for k, x := range c.inverse {
			if k != i {
				v *= (1/df - x) / (c.inverse[i] - x)
			}
		}
		total += v
	}
	return total
}

// point is m at point k of curve i. In the far tail the lattice may not hold it
// within its bounds, which do by proof.
func (c *Curves) point(i, k int) float64 {
	if v, known := c.points[i][k]; known {
		return v
	}
	z, df := curveStep*float64(k), 1/c.inverse[i]
	outside := min(c.integral(studentQuantile(phi(z), df), df), 1-1e-16)
	v := math.Log1p(-outside) / math.Log1p(-2*phi(-z))
	v = min(max(v, 1), float64(c.j.k))
	c.points[i][k] = v
	return v
}
