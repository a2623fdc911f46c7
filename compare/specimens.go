package compare

import (
	"slices"
	"strings"
)

// brought is the specimens of one condition, each brought to one value on the
// model's scale: the mean over some falls, each alike. Without specimens each
// row is one.
type brought struct {
	condition string
	falls     []Fall
	specimen  []string // by label
	value     []float64
	rows      [][]int // of the table, behind each
	lacking   []lack
}

// lack is a specimen without a value at some of the falls, or at none of them.
type lack struct {
	specimen string
	falls    []Fall
}

// bring brings the specimens of a condition to their values, each fall by its
// weight; nil weighs them alike. A specimen that lacks one of the falls has none
// and is listed as lacking.
func (t *table) bring(condition string, falls []Fall, weights []float64) brought {
	b := brought{condition: condition, falls: falls}
	series := map[string]map[Fall][]int{}
	var labels []string
	for i := range t.n {
		if t.conditionAt(i) != condition {
			continue
		}
		label := t.specimenAt(i)
		if series[label] == nil {
			series[label] = map[Fall][]int{}
			labels = append(labels, label)
		}
		series[label][t.fallAt(i)] = append(series[label][t.fallAt(i)], i)
	}
	slices.SortFunc(labels, strings.Compare)
	for _, label := range labels {
		value, rows, without := t.mean(series[label], falls, weights)
		if len(without) > 0 {
			b.lacking = append(b.lacking, lack{label, without})
			continue
		}
		b.specimen = append(b.specimen, label)
		b.value = append(b.value, value)
		b.rows = append(b.rows, rows)
	}
	return b
}

// mean is that of a specimen over falls, repeats at one fall counting as one.
func (t *table) mean(series map[Fall][]int, falls []Fall, weights []float64) (value float64, rows []int, without []Fall) {
	for k, f := range falls {
		at, weight := series[f], 1/float64(len(falls))
		if weights != nil {
			weight = weights[k]
		}
		if len(at) == 0 {
			without = append(without, f)
			continue
		}
		for _, i := range at {
			value += t.value[i] * weight / float64(len(at))
		}
		rows = append(rows, at...)
	}
	return value, rows, without
}

// some is the number of specimens with a value at one of the falls or more.
func (b brought) some(falls []Fall) int {
	n := len(b.value)
	for _, l := range b.lacking {
		if len(l.falls) < len(falls) {
			n++
		}
	}
	return n
}

func (t *table) conditionAt(i int) string {
	if len(t.condition.levels) == 0 {
		return ""
	}
	return t.condition.levels[t.condition.code[i]]
}

// specimenAt is the label of row i, its name where there are no specimens.
func (t *table) specimenAt(i int) string {
	if len(t.specimen.levels) == 0 {
		return t.name(t.of[i])
	}
	return t.specimen.levels[t.specimen.code[i]]
}

// fallAt is empty where there are no falls.
func (t *table) fallAt(i int) Fall {
	if len(t.fall.levels) == 0 {
		return ""
	}
	return Fall(t.fall.levels[t.fall.code[i]])
}

// falls names all falls, one empty name where there are none.
func (t *table) falls() []Fall {
	if len(t.fall.levels) == 0 {
		return []Fall{""}
	}
	out := make([]Fall, len(t.fall.levels))
	for i, f := range t.fall.levels {
		out[i] = Fall(f)
	}
	return out
}
