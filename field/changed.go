package field

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/rope"
)

// Changed is the same fall with the rope in another state: factors on the
// parameters of its law, by the names of rope.FactorNames, and their standard
// uncertainties. What is doubtful of the law stays so, and the factors are
// doubtful beside it, independent of it and of each other.
//
// It refuses a name that is none, a factor that is no number above 0, a factor on
// what the law does not have, and an uncertainty without its factor.
func (d Doubt) Changed(factors, uncertainty map[string]float64) (Doubt, error) {
	catch, err := d.Make(d.Values)
	if err != nil {
		return d, err
	}
	if err := checkFactors(catch.Rope.Law, factors, uncertainty); err != nil {
		return d, err
	}
	n := len(d.Values)
	out := Doubt{Names: slices.Clone(d.Names), Values: slices.Clone(d.Values)}
	var names []string
	for _, name := range rope.FactorNames() {
		if f, ok := factors[name]; ok {
			names = append(names, name)
			out.Names, out.Values = append(out.Names, "change of "+name), append(out.Values, f)
		}
	}
	out.Covariance = make([][]float64, len(out.Values))
	for i := range out.Covariance {
		out.Covariance[i] = make([]float64, len(out.Values))
		if i < n {
			copy(out.Covariance[i], d.Covariance[i])
		} else {
			u := uncertainty[names[i-n]]
			out.Covariance[i][i] = u * u
		}
	}
	out.Make = func(values []float64) (Catch, error) {
		c, err := d.Make(values[:n])
		if err != nil {
			return c, err
		}
		change := rope.Same()
		for i, name := range names {
			*change.Factor(name) = values[n+i]
		}
		c.Rope.Law, err = change.Apply(c.Rope.Law)
		return c, err
	}
	_, err = out.Make(out.Values)
	return out, err
}

// checkFactors refuses, all at once, factors that say nothing.
func checkFactors(law rope.Law, factors, uncertainty map[string]float64) error {
	var l refusals
	for _, name := range sorted(factors) {
		f, change := factors[name], rope.Same()
		factor := change.Factor(name)
		if factor == nil {
			l.add("change", "there is no factor %q", name).Hint("the factors are %s", strings.Join(rope.FactorNames(), ", "))
			continue
		}
		if !(f > 0) || math.IsInf(f, 1) {
			l.add("change", "%s: a factor of %g, a change needs one above 0", name, f)
			continue
		}
		*factor = 2
		if other, err := change.Apply(law); err == nil && other == law {
			l.add("change", "the law of the rope has no %s: a factor on it would say nothing", name).
				Hint("leave it out, or use a law that has it")
		}
	}
	if len(factors) == 0 {
		l.add("change", "no factor is given").Hint("write what differs, as in change = { friction = 0.5 }")
	}
	for _, name := range sorted(uncertainty) {
		if _, ok := factors[name]; !ok {
			l.add("change", "%s has an uncertainty and no factor", name).Hint("give the factor; 1 changes nothing")
		}
		l.notBelow(fmt.Sprintf("uncertainty of the factor on %s", name), uncertainty[name], "")
	}
	return l.list.Err()
}

func sorted(m map[string]float64) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
