package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/uptake"
)

// take makes points of the table.
func (r *soaked) take() error {
	times, err := r.times()
	if err != nil {
		return err
	}
	specimen, err := r.column(r.ask.specimen)
	if err != nil {
		return err
	}
	condition, err := r.column(r.ask.condition)
	if err != nil {
		return err
	}
	if r.ask.uptake != "" {
		return r.takeUptakes(times, specimen, condition)
	}
	return r.takeMasses(times, specimen, condition)
}

// column is a column of text; all blank without a name.
func (r *soaked) column(name string) ([]string, error) {
	if name == "" {
		return make([]string, r.table.Rows), nil
	}
	return r.table.Text(name)
}

// times are the minutes in seconds.
func (r *soaked) times() ([]float64, error) {
	values, err := r.table.Numbers(r.ask.minutes)
	if err != nil {
		return nil, err
	}
	unit, err := r.table.Unit(r.ask.minutes)
	if err != nil {
		return nil, err
	}
	per := 60.0
	if unit != "" {
		var ok bool
		if per, ok = factor(unit, quantity.Time); !ok {
			return nil, problem.New(problem.Invalid, "column "+r.ask.minutes, "%q is no unit of time", unit).Hint("the title may have [s], [min] or [h], or none for minutes")
		}
		if per != 60 {
			r.notes = append(r.notes, fmt.Sprintf("times are in %s, as the title says", unit))
		}
	}
	return scaled(values, per), nil
}

func scaled(values []float64, by float64) []float64 {
	out := slices.Clone(values)
	for i := range out {
		out[i] *= by
	}
	return out
}

// leave says which rows have no value.
func (r *soaked) leave(rows []string) {
	if len(rows) > 0 {
		r.notes = append(r.notes, "left out, without a value: "+strings.Join(rows, ", "))
	}
}

func (r *soaked) takeUptakes(times []float64, specimen, condition []string) error {
	values, err := r.table.Numbers(r.ask.uptake)
	if err != nil {
		return err
	}
	unit, err := r.table.Unit(r.ask.uptake)
	if err != nil {
		return err
	}
	per, err := r.share(unit, values)
	if err != nil {
		return err
	}
	var left []string
	for i, v := range values {
		if math.IsNaN(v) || math.IsNaN(times[i]) {
			left = append(left, r.table.Row(i))
			continue
		}
		if v < 0 {
			return problem.New(problem.Invalid, r.table.Row(i), "the uptake is %g%s, below zero", v, strings.TrimRight(" "+unit, " ")).
				Hint("wet mass below dry: weigh it dry again")
		}
		r.points = append(r.points, uptake.Point{Row: r.table.Row(i), Specimen: specimen[i], Condition: condition[i], Time: times[i], Uptake: per * v})
	}
	r.leave(left)
	points, notes, err := uptake.Ordered(r.points)
	r.points, r.notes = points, append(r.notes, notes...)
	return err
}

// share is what a column of uptakes has to be multiplied by. Without a unit per
// cent are known by being too large for shares; what may be either is refused.
func (r *soaked) share(unit string, values []float64) (float64, error) {
	switch unit {
	case "%":
		return 0.01, nil
	case "1", "kg/kg", "g/g":
		return 1, nil
	case "":
		for _, v := range values {
			if v > 3 {
				r.notes = append(r.notes, "uptakes are taken as per cent: the title has no unit, and a rope does not take up three times its mass")
				return 0.01, nil
			}
		}
		return 0, problem.New(problem.Invalid, "column "+r.ask.uptake, "the uptakes may be per cent or shares, and the title does not say").
			Hint("write [%%] or [kg/kg] behind its title")
	}
	return 0, problem.New(problem.Invalid, "column "+r.ask.uptake, "%q is no unit of uptake", unit).Hint("the title may have [%%] or [kg/kg]")
}

func (r *soaked) takeMasses(times []float64, specimen, condition []string) error {
	mass, err := r.masses(r.ask.mass)
	if err != nil {
		return err
	}
	dry, err := r.masses(r.ask.dry)
	if err != nil {
		return err
	}
	var left []string
	var weighings []uptake.Weighing
	for i := range mass {
		if math.IsNaN(mass[i]) || math.IsNaN(times[i]) {
			left = append(left, r.table.Row(i))
			continue
		}
		weighings = append(weighings, uptake.Weighing{Row: r.table.Row(i), Specimen: specimen[i], Condition: condition[i], Time: times[i], Mass: mass[i], Dry: dry[i]})
	}
	r.leave(left)
	scale, err := r.scale()
	if err != nil {
		return err
	}
	points, notes, err := uptake.Uptakes(weighings, scale)
	r.points, r.notes = points, append(r.notes, notes...)
	return err
}

// masses is a column in kg; without a unit it is taken as grams, and said.
func (r *soaked) masses(name string) ([]float64, error) {
	values, err := r.table.Numbers(name)
	if err != nil {
		return nil, err
	}
	unit, err := r.table.Unit(name)
	if err != nil {
		return nil, err
	}
	if unit == "" {
		r.notes = append(r.notes, fmt.Sprintf("column %s has no unit and is taken as grams", name))
		unit = "g"
	}
	per, ok := factor(unit, quantity.Mass)
	if !ok {
		return nil, problem.New(problem.Invalid, "column "+name, "%q is no unit of mass", unit).Hint("the title may have [g] or [kg]")
	}
	return scaled(values, per), nil
}

func (r *soaked) scale() (uptake.Scale, error) {
	var out uptake.Scale
	for _, x := range []struct {
		flag, text string
		to         *float64
	}{{"resolution", r.ask.resolution, &out.Resolution}, {"repeatability", r.ask.repeatability, &out.Repeatability}} {
		if x.text == "" {
			continue
		}
		v, err := quantity.Parse(x.text, quantity.Mass)
		if err != nil || !(v > 0) {
			p := problem.New(problem.Invalid, "--"+x.flag, "%q is no mass above zero", x.text)
			return out, p.Hint("write it with its unit: --%s 0.1g", x.flag)
		}
		*x.to = v
	}
	return out, nil
}
