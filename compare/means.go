package compare

import (
	"cmp"
	"math"
	"slices"
)

// grid is the cells of a table, by condition and fall, with the coefficients of
// their means. Where the data lack conditions or falls there is one, without a
// name.
type grid struct {
	conditions, falls []string
	rows              [][][]int     // of the table, by condition and fall
	mean              [][][]float64 // coefficients, by condition and fall
	over              [][]float64   // coefficients by condition, over falls
}

func orNone(levels []string) []string {
	if len(levels) == 0 {
		return []string{""}
	}
	return levels
}

// cells lays out the grid.
func (m *model) cells(t *table) (*grid, error) {
	g := &grid{conditions: orNone(t.condition.levels), falls: orNone(t.fall.levels)}
	for range g.conditions {
		g.rows = append(g.rows, make([][]int, len(g.falls)))
	}
	for i := range t.n {
		c, f := at(t.condition, i), at(t.fall, i)
		g.rows[c][f] = append(g.rows[c][f], i)
	}
	for _, c := range g.conditions {
		var byFall [][]float64
		for _, f := range g.falls {
			row, err := m.row(c, Fall(f))
			if err != nil {
				return nil, err
			}
			byFall = append(byFall, row)
		}
		over, err := m.row(c, "")
		if err != nil {
			return nil, err
		}
		g.mean, g.over = append(g.mean, byFall), append(g.over, over)
	}
	return g, nil
}

// at is the level of row i; the only one where there are none.
func at(f factor, i int) int {
	if len(f.levels) == 0 {
		return 0
	}
	return f.code[i]
}

// row is the coefficients of the mean of a condition at a fall, empty for over
// all: falls alike as levels, their mean over the rows as a trend.
func (m *model) row(condition string, fall Fall) ([]float64, error) {
	levels, values := map[string]string{}, map[string]float64{}
	if m.condition && condition != "" {
		levels["condition"] = condition
	}
	if m.fall && fall != "" {
		if m.trend {
			values["fall"], _ = fall.Number()
		} else {
			levels["fall"] = string(fall)
		}
	}
	return m.design.Row(levels, values)
}

// means fills the table of means.
func (a *Analysis) means() error {
	g := a.grid
	var rows [][]float64
	for c := range g.conditions {
		rows = append(rows, g.mean[c]...)
	}
	e, err := a.model.estimates(rows, a.Ask.DF)
	if err != nil {
		return err
	}
	a.Means = make([]Mean, 0, len(rows))
	for c, condition := range g.conditions {
		for f, fall := range g.falls {
			at := len(a.Means)
			x := e.each[at]
			half := x.SE * a.limits.critical(0.05, x.DF)
			m := Mean{
				Condition: condition, Fall: Fall(fall),
				Mean: x.Estimate, SE: x.SE, DF: x.DF, Lower: x.Estimate - half, Upper: x.Estimate + half,
			}
			m.values(a.table, g.rows[c][f])
			m.Centre, m.CentreLower, m.CentreUpper = a.back(m.Mean), a.back(m.Lower), a.back(m.Upper)
			p := a.model.newSpecimen(a.table, rows[at], condition, Fall(fall), a.Ask.DF)
			half = p.SE * a.limits.critical(0.05, p.DF)
			m.NewLower, m.NewUpper = a.back(p.Estimate-half), a.back(p.Estimate+half)
			a.Means = append(a.Means, m)
		}
	}
	return nil
}

// back takes a mean from the model's scale to the unit.
func (a *Analysis) back(x float64) float64 {
	if a.Ask.Scale == Log {
		return math.Exp(x)
	}
	return x
}

// values are those behind a mean.
func (m *Mean) values(t *table, rows []int) {
	m.SD, m.Specimens, m.Values = math.NaN(), []string{}, []float64{}
	if len(t.specimen.levels) == 0 {
		m.N = len(rows)
		for _, i := range rows {
			m.Specimens = append(m.Specimens, t.name(t.of[i]))
			m.Values = append(m.Values, t.raw[i])
		}
		m.SD = spreadOf(m.Values)
		return
	}
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(i, j int) int {
		return cmp.Compare(t.specimen.levels[t.specimen.code[i]], t.specimen.levels[t.specimen.code[j]])
	})
	for k := 0; k < len(rows); {
		sum, from := 0.0, k
		for ; k < len(rows) && t.specimen.code[rows[k]] == t.specimen.code[rows[from]]; k++ {
			sum += t.raw[rows[k]]
		}
		m.Specimens = append(m.Specimens, t.specimen.levels[t.specimen.code[rows[from]]])
		m.Values = append(m.Values, sum/float64(k-from))
	}
	m.N, m.SD = len(m.Values), spreadOf(m.Values)
}

// spreadOf is the standard deviation, NaN for fewer than two.
func spreadOf(x []float64) float64 {
	n, mean, ss := float64(len(x)), 0.0, 0.0
	if n < 2 {
		return math.NaN()
	}
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		ss += (v - mean) * (v - mean)
	}
	return math.Sqrt(ss / (n - 1))
}
