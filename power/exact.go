package power

import (
	"math"

	"fallwright.example/compare"
	"fallwright.example/num/dist"
)

// Exact gives the chances without simulation, by compare.Exact, for each question
// that has them: its contrast lies in one stratum of a balanced plan, alone (one
// question, or no adjustment), the variances are taken as known, and its margin is
// an amount or is judged on logarithms. nil for the others. It refuses what Simulate
// does.
func (p Plan) Exact() ([]*compare.Chances, error) {
	b, err := lay(p, 0)
	if err != nil {
		return nil, err
	}
	out := make([]*compare.Chances, len(p.Questions))
	for q := range out {
		out[q] = b.exact(q)
	}
	return out, nil
}

// exact is nil where simulation alone answers.
func (b *bench) exact(q int) *compare.Chances {
	alone := len(b.plan.Questions) == 1 || b.layout.Ask.Adjust == compare.None
	question := b.plan.Questions[q]
	if b.balanced == nil || !alone || b.plan.Variances.Uncertain || b.layout.Ask.Scale != compare.Log && question.Share > 0 {
		return nil
	}
	stratum, part := b.balanced.Within(q)
	if stratum < 0 || len(b.balanced.Degrees) != len(b.balanced.Terms) {
		return nil
	}
	d := &drawer{bench: b, sd: make([]float64, len(b.plan.Variances.Parts))}
	d.variances(0)
	xi := d.mean(stratum)
	step, _ := question.step(b.layout.Ask.Scale, b.plan.Level)
	lower, upper := question.bounds(b.layout.Ask.Scale, b.plan.Level)
	different := 0.05
	if question.Claim == compare.ClaimHigher || question.Claim == compare.ClaimLower {
		different = 0.1 // one-sided at 5 %
	}
	c := compare.Exact(step, math.Sqrt(part*xi), b.balanced.Degrees[stratum], lower, upper, different, 0.05)
	switch question.Claim {
	case compare.ClaimHigher:
		c.NotSettled, c.Lower = c.NotSettled+c.Lower, 0
	case compare.ClaimLower:
		c.NotSettled, c.Higher = c.NotSettled+c.Higher, 0
	}
	return &c
}

// TwoGroups is the exact power of a two-sided t test at a level between two
// conditions of n specimens with one value each, a difference so many standard
// deviations wide: the tails of the noncentral t on 2(n − 1) degrees of freedom
// with noncentrality difference·√(n/2). It asks for no margin, so it is an upper
// bound for the finding harder or softer, which does.
func TwoGroups(n int, difference, level float64) float64 {
	df, ncp := 2*float64(n-1), difference*math.Sqrt(float64(n)/2)
	t := dist.T(level/2, df)
	return dist.NoncentralTTail(t, df, ncp) + dist.NoncentralTBelow(-t, df, ncp)
}

// AnyDifference is the exact power of the F test at a level that conditions of n
// specimens with one value each are alike: the tail of the noncentral F on k − 1
// and k(n − 1) degrees of freedom with noncentrality n·Σ(μ − μ̄)²/σ². It is the
// test of the term condition in the table of tests, and no finding.
func AnyDifference(n int, means []float64, sd, level float64) float64 {
	k, mean, sum := float64(len(means)), 0.0, 0.0
	for _, m := range means {
		mean += m / k
	}
	for _, m := range means {
		sum += (m - mean) * (m - mean)
	}
	d1, d2 := k-1, k*float64(n-1)
	return dist.NoncentralFTail(dist.F(level, d1, d2), d1, d2, float64(n)*sum/(sd*sd))
}
