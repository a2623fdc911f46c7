package compare

import (
	"cmp"
	"slices"

	"fallwright.example/num/oneway"
)

// Table returns a cell for each of conditions at each fall that it was seen
// at, in the order of conditions and then of falls. Observations of other
// conditions are not shown.
//
// It refuses, naming each, a value that is not finite or beyond 1e100, a
// specimen given twice at one fall, a specimen in two conditions, and a value
// without specimen, condition or fall.
func Table(obs []Observation, conditions []string) ([]Cell, error) {
	if err := check(obs); err != nil {
		return nil, err
	}
	cells := []Cell{}
	for _, condition := range conditions {
		for _, fall := range falls(obs) {
			if seen := at(obs, condition, fall); len(seen) > 0 {
				cells = append(cells, cell(condition, fall, seen))
			}
		}
	}
	return cells, nil
}

func cell(condition string, fall int, seen []Observation) Cell {
	c := Cell{Condition: condition, Fall: fall, N: len(seen), DF: float64(len(seen) - 1)}
	for _, o := range seen {
		c.Specimens = append(c.Specimens, o.Specimen)
		c.Values = append(c.Values, o.Value)
	}
	s, _ := oneway.Summarise(c.Values) // check and the caller see to what it refuses
	c.Mean, c.SD, c.SE = s.Mean, s.SD, s.SE()
	c.Lower, c.Upper = limits(s, 0.95)
	return c
}

// Against returns the difference of each of conditions to the baseline at each
// fall that both were seen at, in the order of conditions and then of falls.
// The baseline itself is passed over. Each fall uses every specimen that has
// it, so the specimens may differ from fall to fall; the falls of one specimen
// are not independent and neither are the differences.
//
// It refuses what Table refuses.
func Against(obs []Observation, baseline string, conditions []string) ([]Difference, error) {
	if err := check(obs); err != nil {
		return nil, err
	}
	out := []Difference{}
	for _, condition := range conditions {
		if condition == baseline {
			continue
		}
		for _, fall := range falls(obs) {
			seen, base := at(obs, condition, fall), at(obs, baseline, fall)
			if len(seen) > 0 && len(base) > 0 {
				out = append(out, difference(condition, baseline, fall, values(seen), values(base)))
			}
		}
	}
	return out, nil
}

// falls returns the falls seen, in order.
func falls(obs []Observation) []int {
	var out []int
	for _, o := range obs {
		if !slices.Contains(out, o.Fall) {
			out = append(out, o.Fall)
		}
	}
	slices.Sort(out)
	return out
}

// at returns the observations of a condition at a fall, by specimen.
func at(obs []Observation, condition string, fall int) []Observation {
	var out []Observation
	for _, o := range obs {
		if o.Condition == condition && o.Fall == fall {
			out = append(out, o)
		}
	}
	slices.SortFunc(out, func(a, b Observation) int { return cmp.Compare(a.Specimen, b.Specimen) })
	return out
}

func values(obs []Observation) []float64 {
	out := make([]float64, len(obs))
	for i, o := range obs {
		out[i] = o.Value
	}
	return out
}
