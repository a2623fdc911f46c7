package compare

import (
	"math"

	"fallwright.example/num/lmm"
)

// jointly keeps joint quantiles over many studies. Correlations of the estimates
// hang on the ratios of the variances, which every study has its own of, and a
// quantile takes tenths of a second: where they do, the correlations are those at
// the nearest ratios of a grid in steps of √2, which moves a quantile by less than
// half a per cent. Degrees of freedom are the study's own.
type jointly struct {
	of    *Balanced
	at    *lmm.StrataFit
	cross []float64 // the questions over the sides
	one   bool      // the correlations are the same at all ratios
	key   []int8
	kept  map[string]*adjusted
}

func (b *Balanced) jointly() *jointly {
	k := len(b.questions)
	j := &jointly{of: b, at: b.strata.NewFit(), cross: make([]float64, k*b.Sides), key: make([]int8, len(b.Terms)-1), kept: map[string]*adjusted{}}
	for i, q := range b.questions {
		j.cross[i*b.Sides+q.seen]++
		j.cross[i*b.Sides+q.base]--
	}
	j.one = j.constant()
	return j
}

// constant is whether the correlations at two ratios far apart are the same.
func (j *jointly) constant() bool {
	var first []float64
	for _, ratio := range []float64{0.1, 10} {
		gamma := make([]float64, len(j.key)+1)
		for i := range j.key {
			gamma[i] = ratio * float64(i+1)
		}
		gamma[len(j.key)] = 1
		if j.at.Set(gamma) != nil {
			return false
		}
		c, m := j.at.Correlation(j.of.rows, j.cross), len(j.of.questions)
		var now []float64
		for i := range m {
			for k := range i {
				now = append(now, c.At(i, k))
			}
		}
		for i, v := range first {
			if math.Abs(v-now[i]) > 1e-9 {
				return false
			}
		}
		first = now
	}
	return true
}

// steps of the grid an octave, and where it ends.
const (
	jointSteps = 2
	jointEnd   = 12 * jointSteps
)

// near is the family at the grid's ratios nearest to a fit's.
func (j *jointly) near(fit *lmm.StrataFit) (*adjusted, error) {
	residual := len(j.key)
	gamma := make([]float64, residual+1)
	gamma[residual] = 1
	for i := range j.key {
		step := -jointEnd
		if ratio := fit.Gamma[i] / fit.Gamma[residual]; ratio > 0 {
			step = int(math.Round(max(-jointEnd, min(jointEnd, jointSteps*math.Log2(ratio)))))
		}
		if j.one {
			step = 0
		}
		j.key[i] = int8(step)
		gamma[i] = math.Exp2(float64(step) / jointSteps)
	}
	key := make([]byte, residual)
	for i, v := range j.key {
		key[i] = byte(v)
	}
	if kept := j.kept[string(key)]; kept != nil {
		return kept, nil
	}
	if err := j.at.Set(gamma); err != nil {
		return nil, err
	}
	joint, err := lmm.NewJoint(j.at.Correlation(j.of.rows, j.cross))
	if err != nil {
		return nil, err
	}
	var df []float64
	for _, q := range j.of.questions {
		_, at := j.at.Spread(q.parts)
		if df = append(df, at); !j.one {
			df = append(df, 0.8*at, 1.25*at)
		}
	}
	out := &adjusted{way: Joint, size: len(j.of.questions), joint: joint.Curves(df), found: memo{}}
	j.kept[string(key)] = out
	return out, nil
}

// reachedJointly sets p to 0 where the tests reach 0.05 and to 1 where not: t beside
// the joint quantile.
func (j *BalancedJudge) reachedJointly() error {
	by, err := j.joint.near(j.fit)
	if err != nil {
		return err
	}
	j.by.joint, j.by.found = by.joint, by.found
	for i, x := range j.each {
		d := &j.family[i]
		j.by.p[i], d.EquivalencePAdjusted = 1, 1
		if math.Abs(x.T) > j.by.beyond(alpha, x.DF) {
			j.by.p[i] = 0
		}
		if d.nearer.T > j.by.beyond(2*alpha, tidy(d.nearer.DF)) {
			d.EquivalencePAdjusted = 0
		}
	}
	return nil
}
