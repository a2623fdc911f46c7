package compare

import "math"

// quantiles are t quantiles read off curves, for those who need one at other
// degrees of freedom each time. ln t is a smooth function of 1/df; between nodes
// it is the cubic through four of them, right to 1e-9 of t from one degree of
// freedom up. Below that the quantile is made.
type quantiles map[float64]*[nodes + 1]float64

const nodes = 1024

// critical is the t that |T| exceeds with a chance.
func (q quantiles) critical(beyond, df float64) float64 {
	if !(df >= 1) || !(beyond > 0 && beyond < 1) {
		return memo{}.critical(beyond, df)
	}
	curve := q[beyond]
	if curve == nil {
		curve = new([nodes + 1]float64)
		q[beyond] = curve
	}
	x := nodes / df
	k := min(max(int(x)-1, 0), nodes-3)
	u := x - float64(k) // from 0 at the first of four nodes
	for i := k; i < k+4; i++ {
		if curve[i] == 0 { // not made yet; a t of 1, whose logarithm this is, costs being made anew
			curve[i] = lnCritical(beyond, i)
		}
	}
	a, b, c, d := curve[k], curve[k+1], curve[k+2], curve[k+3]
	return math.Exp(-(u-1)*(u-2)*(u-3)/6*a + u*(u-2)*(u-3)/2*b - u*(u-1)*(u-3)/2*c + u*(u-1)*(u-2)/6*d)
}

// lnCritical is a node: 1/df is a share of them all, and the first the normal's.
func lnCritical(beyond float64, node int) float64 {
	if node == 0 {
		return math.Log(math.Sqrt2 * math.Erfcinv(beyond))
	}
	return math.Log(memo{}.critical(beyond, nodes/float64(node)))
}
