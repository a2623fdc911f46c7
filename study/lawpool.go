package study

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/fall/fit"
	"fallwright.example/field"
	"fallwright.example/figure"
	"fallwright.example/num/uncert"
)

// LawState is the rope of one condition as it was in the fall of a number, pooled
// over its specimens.
type LawState struct {
	Condition string
	Place     int // of the condition in the plan
	Fall      int
	Specimens []string
	Freedom   int       // ν, of what differs between specimens; 0 where that is not known
	Known     fit.Known // means with their covariance
}

// Name is what the state is called: "dry, fifth fall".
func (s LawState) Name() string { return s.Condition + ", " + Ordinal(s.Fall) + " fall" }

// Ordinal is a number as "fifth".
func Ordinal(n int) string {
	if words := []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}; n > 0 && n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth", n)
}

// pooled are the states of all conditions in the order of the plan, each with its
// falls in their order.
func (l *Laws) pooled() ([]LawState, error) {
	var out []LawState
	last := 0
	for _, one := range l.Specimens {
		if one.Law != nil {
			last = max(last, one.Law.Falls[len(one.Law.Falls)-1].Number)
		}
	}
	for n := 1; n <= last; n++ {
		var states []LawState
		var groups [][]fit.Known
		for place, c := range l.Study.Plan.Conditions {
			s, group := LawState{Condition: c.Name, Place: place, Fall: n}, []fit.Known(nil)
			for _, one := range l.Specimens {
				if one.Condition != c.Name || one.Law == nil {
					continue
				}
				if k, has := one.Law.Known(n); has {
					s.Specimens, group = append(s.Specimens, one.Specimen.Label), append(group, k)
				}
			}
			if len(group) > 0 {
				states, groups = append(states, s), append(groups, group)
			}
		}
		pooled, freedom, err := PoolLaws(groups)
		if err != nil {
			return nil, err
		}
		for i := range states {
			states[i].Known, states[i].Freedom = pooled[i], freedom
		}
		out = append(out, states...)
	}
	slices.SortStableFunc(out, func(a, b LawState) int { return a.Place - b.Place })
	return out, nil
}

// PoolLaws takes means over the specimens of each condition, one group for each, by
// the logarithms θ of a law's parameters:
//
//	θ̄ = Σθ/n,  S = Σ_c Σ_s (θ_s − θ̄_c)(θ_s − θ̄_c)ᵀ/ν,  ν = Σ(n_c − 1)
//	cov θ̄ = S/n · (t_{0.975,ν}/z_{0.975})²
//
// S is pooled over the conditions, as if specimens of all of them differed by the
// same share. It holds the errors of the fits too: estimates scatter by both. The
// last factor makes ±1.96 standard uncertainties of any value that depends on θ̄ by
// a straight line a 95 % interval by Student's t. Where no condition has two
// specimens ν is 0, and the covariance is that of the fits alone, over n.
func PoolLaws(groups [][]fit.Known) (pooled []fit.Known, freedom int, err error) {
	if len(groups) == 0 {
		return nil, 0, nil
	}
	k := len(groups[0][0].Values)
	between := square(k)
	for _, group := range groups {
		mean := meanLogs(group)
		freedom += len(group) - 1
		for _, one := range group {
			add(between, func(i, j int) float64 {
				return (math.Log(one.Values[i]) - mean[i]) * (math.Log(one.Values[j]) - mean[j])
			})
		}
	}
	wide := 0.0
	if freedom > 0 {
		t, err := uncert.Result{Freedom: float64(freedom)}.Coverage(0.95)
		if err != nil {
			return nil, 0, err
		}
		wide = t / normal95
	}
	for _, group := range groups {
		n, mean, of := float64(len(group)), meanLogs(group), square(k)
		if freedom > 0 {
			add(of, func(i, j int) float64 { return between[i][j] / float64(freedom) / n * wide * wide })
		} else {
			for _, one := range group {
				add(of, func(i, j int) float64 { return one.Covariance[i][j] / one.Values[i] / one.Values[j] / n / n })
			}
		}
		out := group[0]
		out.Values, out.Covariance = make([]float64, k), square(k)
		for i, m := range mean {
			out.Values[i] = math.Exp(m)
		}
		add(out.Covariance, func(i, j int) float64 { return out.Values[i] * of[i][j] * out.Values[j] })
		for _, one := range group { // as far as all of them went
			out.Fitted.Strain = min(out.Fitted.Strain, one.Fitted.Strain)
			out.Fitted.Rate = min(out.Fitted.Rate, one.Fitted.Rate)
			out.Fitted.Force = min(out.Fitted.Force, one.Fitted.Force)
		}
		pooled = append(pooled, out)
	}
	return pooled, freedom, nil
}

// normal95 is the z that 95 % of the normal distribution lie within.
const normal95 = 1.959964

func meanLogs(group []fit.Known) []float64 {
	mean := make([]float64, len(group[0].Values))
	for _, one := range group {
		for i, v := range one.Values {
			mean[i] += math.Log(v) / float64(len(group))
		}
	}
	return mean
}

func square(n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, n)
	}
	return out
}

func add(to [][]float64, of func(i, j int) float64) {
	for i := range to {
		for j := range to {
			to[i][j] += of(i, j)
		}
	}
}

// LawRope is a fitted law as a state of the rope on the wall.
func LawRope(name, from string, condition int, k fit.Known) (WallRope, error) {
	w, err := RopeByLaw(k.Law, k.Values, k.Covariance, field.Fitted{Strain: k.Fitted.Strain, Rate: k.Fitted.Rate, Force: k.Fitted.Force})
	w.Name, w.From, w.Condition = name, from, condition
	return w, err
}

// From says where the law comes from.
func (s LawState) From() string {
	n := len(s.Specimens)
	switch {
	case s.Freedom == 0 && n == 1:
		return fmt.Sprintf("fitted to fall %d of %s alone: what differs between specimens is in no interval", s.Fall, s.Specimens[0])
	case n == 1:
		return fmt.Sprintf("fitted to fall %d of %s alone; how specimens differ is known from the other conditions", s.Fall, s.Specimens[0])
	}
	return fmt.Sprintf("fitted to fall %d of each of %d specimens, and the mean taken", s.Fall, n)
}

// Sentences say how many specimens the laws are from, how well they hold, and which
// have none.
func (l *Laws) Sentences() []string {
	fitted, worst, where := 0, 0.0, ""
	var refused, left []string
	for _, one := range l.Specimens {
		if one.Law == nil {
			refused = append(refused, fmt.Sprintf("%s has no law: %v.", one.Specimen.Label, one.Refused))
			continue
		}
		fitted++
		for _, r := range one.Law.Rows() {
			if q := r.SD / r.Noise; q > worst {
				worst, where = q, fmt.Sprintf("fall %d of %s", r.Number, one.Specimen.Label)
			}
		}
		for _, why := range one.Law.Left {
			left = append(left, fmt.Sprintf("%s, %s.", one.Specimen.Label, why))
		}
	}
	if fitted == 0 {
		return append([]string{"No specimen has a law."}, refused...)
	}
	out := []string{fmt.Sprintf("The %s law was fitted to %s. What it leaves is at most %s times the noise, in %s.",
		l.Name, figure.Counted(fitted, "specimen"), figure.Fixed(worst, 2), where)}
	if worst > lawFails {
		out = append(out, "It fails there: look at that specimen by itself, and at other laws.")
	}
	return append(append(out, refused...), left...)
}

// Method says how laws were pooled.
func (l *Laws) Method() string {
	freedom := 0
	for _, s := range l.States {
		freedom = max(freedom, s.Freedom)
	}
	text := "Each specimen is fitted by itself. A state is the mean over the specimens of its condition, of the logarithms of the parameters at that fall. "
	switch {
	case freedom == 0:
		return text + "No condition has two specimens: ± is by the fits alone, and what differs between specimens is in none of it."
	case freedom < fewFreedom:
		text += "There are few specimens, which makes ± wide. "
	}
	return text + fmt.Sprintf("± is a standard uncertainty by how specimens differ within conditions, the same share in all of them (%d degrees of freedom), widened so that 1.96 times it makes a 95 %% interval by Student's t.", freedom)
}

// fewFreedom is how many degrees of freedom are few: t is a fifth above z there.
const fewFreedom = 10
