package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Where says how a column that the model does not hold goes with those that it
// does.
type Where string

const (
	// WithinCell: it varies among the values of one condition at one fall, so
	// its effect is in the residual.
	WithinCell Where = "within a cell"
	// WithCondition: it is the same inside each cell and differs between
	// conditions, so its effect cannot be told from theirs.
	WithCondition Where = "with the condition"
	// WithFall: likewise between falls.
	WithFall Where = "with the fall"
	// WithBoth: it differs from cell to cell in another way.
	WithBoth Where = "with condition and fall"
	// Constant: it is the same throughout, so the findings hold for that.
	Constant Where = "the same throughout"
)

// Hidden is a column that the model does not hold.
type Hidden struct {
	Name  string `json:"name"`
	Where Where  `json:"where"`
	Said  string `json:"said"` // in words, with counts and what to do
}

// hidden names the columns that the model does not hold, those that vary inside
// cells first, each with what that means.
func hidden(d Data, ask Ask, t *table) []Hidden {
	out := []Hidden{}
	for _, c := range d.Columns {
		if held := slices.ContainsFunc(ask.Blocks, func(b string) bool { return slices.Contains(strings.Split(b, ":"), c.Name) }); held {
			continue
		}
		if h, some := t.hides(c.Name, pick(c.Value, t.of), nil); some {
			out = append(out, h)
		}
	}
	for _, c := range d.Measured {
		if slices.Contains(ask.Covariates, c.Name) {
			continue
		}
		values := pick(c.Value, t.of)
		if h, some := t.hides(c.Name, texts(values), values); some {
			out = append(out, h)
		}
	}
	order := []Where{WithinCell, WithCondition, WithFall, WithBoth, Constant}
	slices.SortStableFunc(out, func(a, b Hidden) int { return slices.Index(order, a.Where) - slices.Index(order, b.Where) })
	return out
}

// texts names numbers; nothing for NaN.
func texts(values []float64) []string {
	out := make([]string, len(values))
	for i, v := range values {
		if !math.IsNaN(v) {
			out[i] = fmt.Sprintf("%.6g", v)
		}
	}
	return out
}

// hides says how a column goes with the cells; numbers are beside its names
// when it is a measured one. Nothing when no row has an entry.
func (t *table) hides(name string, names []string, numbers []float64) (Hidden, bool) {
	levels, missing := recorded(names)
	if len(levels) == 0 {
		return Hidden{}, false
	}
	h := Hidden{Name: name, Where: Constant}
	switch {
	case len(levels) == 1:
		h.Said = fmt.Sprintf("%s: %s throughout, so the findings hold for that", name, levels[0])
	case slices.Contains(varies(names, t.cell()), true):
		h.Where = WithinCell
		h.Said = t.within(name, names, levels, numbers)
	default:
		h.Where, h.Said = t.follows(name, names, levels)
	}
	if missing > 0 {
		h.Said += fmt.Sprintf("; not recorded for %d of %d values", missing, t.n)
	}
	return h, true
}

// recorded lists the levels as they first appear, and counts the gaps.
func recorded(names []string) (levels []string, missing int) {
	levels = factorOf(names, nil).levels
	if at := slices.Index(levels, ""); at >= 0 {
		levels = slices.Delete(levels, at, at+1)
	}
	for _, n := range names {
		if n == "" {
			missing++
		}
	}
	return levels, missing
}

// cell numbers the cells of condition and fall, one in all when there is
// neither.
func (t *table) cell() factor {
	both := crossed(t.condition, t.fall)
	switch {
	case len(both.levels) > 0:
		return both
	case len(t.condition.levels) > 0:
		return t.condition
	case len(t.fall.levels) > 0:
		return t.fall
	}
	return factor{levels: []string{""}, code: make([]int, t.n)}
}

// varies tells for each level of by whether a column has more than one level
// inside it.
func varies(names []string, by factor) []bool {
	first, several := make([]string, len(by.levels)), make([]bool, len(by.levels))
	for i, n := range names {
		c := by.code[i]
		switch {
		case n == "":
		case first[c] == "":
			first[c] = n
		case first[c] != n:
			several[c] = true
		}
	}
	return several
}

// constant reports whether a column is the same inside each of several levels.
func constant(names []string, by factor) bool {
	return len(by.levels) > 1 && !slices.Contains(varies(names, by), true)
}

// within is the sentence for a column that varies inside cells.
func (t *table) within(name string, names, levels []string, numbers []float64) string {
	if numbers != nil {
		low, high, apart := t.ranges(numbers)
		return fmt.Sprintf("%s: %.6g to %.6g, up to %.3g apart among values %s, not in the model; as a covariate its effect would be taken out", name, low, high, apart, t.alike())
	}
	return fmt.Sprintf("%s: %s %s, not in the model; as a block its differences would be taken out of the residual", name, among(levels), t.inside(names))
}

// alike says what values of one cell have in common.
func (t *table) alike() string {
	var out []string
	if len(t.condition.levels) > 0 {
		out = append(out, "of one condition")
	}
	if len(t.fall.levels) > 0 {
		out = append(out, "at one fall")
	}
	if out == nil {
		return "of the table"
	}
	return strings.Join(out, " ")
}

// inside counts the conditions in which a column varies inside a cell.
func (t *table) inside(names []string) string {
	k := len(t.condition.levels)
	if k == 0 {
		return "inside the table"
	}
	cell := t.cell()
	several, in := varies(names, cell), make([]bool, k)
	for i, c := range cell.code {
		in[t.condition.code[i]] = in[t.condition.code[i]] || several[c]
	}
	var which []string
	for c, yes := range in {
		if yes {
			which = append(which, t.condition.levels[c])
		}
	}
	if len(which) == k {
		return "inside every condition"
	}
	return fmt.Sprintf("inside %d of %d conditions (%s)", len(which), k, and(which, 4))
}

// ranges gives the least and largest of numbers, and the largest range inside a
// cell.
func (t *table) ranges(numbers []float64) (low, high, apart float64) {
	by := t.cell()
	least, most := make([]float64, len(by.levels)), make([]float64, len(by.levels))
	for c := range least {
		least[c], most[c] = math.Inf(1), math.Inf(-1)
	}
	low, high = math.Inf(1), math.Inf(-1)
	for i, v := range numbers {
		if math.IsNaN(v) {
			continue
		}
		c := by.code[i]
		least[c], most[c] = min(least[c], v), max(most[c], v)
		low, high = min(low, v), max(high, v)
		apart = max(apart, most[c]-least[c])
	}
	return low, high, apart
}

// follows is for a column that is one inside each cell and not throughout.
func (t *table) follows(name string, names, levels []string) (Where, string) {
	const alone = "nothing here can tell %s from the %s; findings are of the two together"
	if constant(names, t.condition) {
		return WithCondition, fmt.Sprintf("%s: %s: "+alone, name, t.shares(names, levels, t.condition), name, "condition")
	}
	if constant(names, t.fall) {
		return WithFall, fmt.Sprintf("%s: %s: "+alone, name, t.shares(names, levels, t.fall), name, "fall")
	}
	return WithBoth, fmt.Sprintf("%s: %s, the same inside each condition at each fall: "+alone, name, among(levels), name, "condition and its falls")
}

// shares says which levels of by have each level of a column: "1 for dry and
// fresh, 2 for salt".
func (t *table) shares(names, levels []string, by factor) string {
	if len(levels) > 6 {
		return fmt.Sprintf("%d different", len(levels))
	}
	of := make([]string, len(by.levels))
	for i, n := range names {
		if n != "" {
			of[by.code[i]] = n
		}
	}
	var out []string
	for _, l := range levels {
		var with []string
		for c, name := range by.levels {
			if of[c] == l {
				with = append(with, name)
			}
		}
		out = append(out, l+" for "+and(with, 6))
	}
	return strings.Join(out, ", ")
}

// among lists levels, or counts them when there are many.
func among(levels []string) string {
	if len(levels) > 4 {
		return fmt.Sprintf("%d different", len(levels))
	}
	return and(levels, 4)
}

// and joins names: "dry, fresh and salt"; beyond most it counts the rest.
func and(names []string, most int) string {
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
