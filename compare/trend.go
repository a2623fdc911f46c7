package compare

import "fallwright.example/problem"

// trends fills the tables of slopes, per fall.
func (a *Analysis) trends() error {
	a.Trends, a.TrendsAgainst = []Slope{}, []Difference{}
	if !a.model.trend {
		return nil
	}
	var rows [][]float64
	for _, condition := range a.grid.conditions {
		levels := map[string]string{}
		if a.model.condition {
			levels["condition"] = condition
		}
		row, err := a.model.design.Slope("fall", levels)
		if err != nil {
			return problem.New(problem.Invalid, "trend", "%v", err)
		}
		rows = append(rows, row)
	}
	e, err := a.model.estimates(rows, a.Ask.DF)
	if err != nil {
		return err
	}
	for i, condition := range a.grid.conditions {
		x := e.each[i]
		half := x.SE * a.limits.critical(0.05, x.DF)
		a.Trends = append(a.Trends, Slope{condition, x.Estimate, x.SE, x.DF, x.Estimate - half, x.Estimate + half})
	}
	if !a.model.condition {
		return nil
	}
	var family []contrast
	base := rows[a.base()]
	for i, condition := range a.grid.conditions {
		if i == a.base() {
			continue
		}
		c, err := a.contrast(condition, a.Ask.Baseline, nil)
		if err != nil {
			return err
		}
		c.seen, c.other, c.slope = rows[i], base, true
		family = append(family, c)
	}
	a.TrendsAgainst, err = a.differences(family, a.Ask.Adjust)
	return err
}
