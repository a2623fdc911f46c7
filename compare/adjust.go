package compare

import (
	"math"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// adjusted is a family of comparisons after adjustment. Members that could not
// be had are no part of it.
type adjusted struct {
	way   Adjust
	size  int
	p     []float64
	joint *lmm.Curves
	memo  memo
	quick quantiles // in the place of memo, where not nil
	found memo      // joint quantiles
}

// adjust allows for a family's size. A claim with a direction has its one-sided
// p, but not under Joint, whose distribution is of either side.
func (a *Analysis) adjust(e estimated, family []contrast, way Adjust) (*adjusted, error) {
	out := &adjusted{way: way, size: len(e.had), p: make([]float64, len(e.each)), memo: a.limits}
	for i, c := range e.each {
		out.p[i] = c.P
		if side := family[i].claim.side(); side != 0 {
			c.T *= side
			out.p[i] = c.Greater()
		}
	}
	if e.set == nil || out.size < 2 || way == None {
		out.way = None
		return out, nil
	}
	if way == Holm {
		return out, out.holm(e.had, out.p)
	}
	joint, err := lmm.NewJoint(e.set.Correlation)
	if err != nil {
		return nil, problem.New(problem.Invalid, "joint adjustment", "%v", err).Hint("adjust by holm")
	}
	df := make([]float64, out.size)
	for k, c := range e.set.Each {
		df[k] = c.DF
	}
	out.joint, out.found = joint.Curves(df), memo{}
	for _, i := range e.had {
		out.p[i] = out.joint.Beyond(e.each[i].T, e.each[i].DF)
		if family[i].claim.side()*e.each[i].T < 0 { // found the other way, which is not asked
			out.p[i] = 1
		}
	}
	return out, nil
}

// holm replaces the p values at some places by Holm's.
func (f *adjusted) holm(at []int, p []float64) error {
	var had []float64
	var places []int
	for _, i := range at {
		if !math.IsNaN(p[i]) {
			had, places = append(had, p[i]), append(places, i)
		}
	}
	stepped, err := lmm.Holm(had)
	if err != nil {
		return problem.New(problem.Invalid, "holm's adjustment", "%v", err)
	}
	for k, i := range places {
		p[i] = stepped[k]
	}
	return nil
}

// beyond is how many standard errors a limit lies from its estimate, so that a
// chance is left outside: of any of the family under Joint, shared alike under
// Holm (Bonferroni), of each under None.
func (f *adjusted) beyond(chance, df float64) float64 {
	switch f.way {
	case Holm:
		return f.critical(chance/float64(f.size), df)
	case Joint:
		return f.found.keep(chance, df, f.joint.Quantile)
	}
	return f.critical(chance, df)
}

func (f *adjusted) critical(chance, df float64) float64 {
	if f.quick != nil {
		return f.quick.critical(chance, df)
	}
	return f.memo.critical(chance, df)
}

// equivalence adjusts the tests against the margin. Under Joint it is the
// chance that makes the joint interval of twice that chance reach the margin,
// so that below 0.05 the 90 % limits lie inside.
func (f *adjusted) equivalence(family []Difference) error {
	switch f.way {
	case Holm:
		p, at := make([]float64, len(family)), make([]int, len(family))
		for i, d := range family {
			p[i], at[i] = d.EquivalenceP, i
		}
		if err := f.holm(at, p); err != nil {
			return err
		}
		for i := range family {
			family[i].EquivalencePAdjusted = p[i]
		}
	case Joint:
		for i := range family {
			d := &family[i]
			if math.IsNaN(d.EquivalenceP) {
				continue
			}
			both := f.joint.Beyond(d.nearer.T, d.nearer.DF)
			d.EquivalencePAdjusted = both / 2
			if d.nearer.T < 0 {
				d.EquivalencePAdjusted = 1 - both/2
			}
		}
	}
	return nil
}
