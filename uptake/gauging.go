package uptake

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
)

// Diameters is a rope's diameter gauged under load: two directions at right angles
// at each of three levels some 100 mm apart, a gauge of 50 mm contact length that
// does not press the rope, the load on for a minute before. That is the method of
// [EN892] 5.3 as an excerpt gives it, with 10 kg for a single rope, 6 kg for a
// half and 5 kg for a twin rope.
type Diameters struct {
	Specimen string
	Load     float64     // kg hung on; 0 when not stated
	Kind     string      // "single", "half" or "twin"; empty when not stated
	Contact  float64     // m, length of the gauge's jaws; 0 when not stated
	Levels   [][]float64 // m; of each level its directions
}

// gaugeLoads are those of [EN892] 5.3, kg, with ±0.1 kg.
var gaugeLoads = map[string]float64{"single": 10, "half": 6, "twin": 5}

// Gauged is a mean diameter.
type Gauged struct {
	Specimen string
	Diameter Estimate // m; interval over levels, Student's t on levels less one
	Oval     float64  // mean of |d₁ − d₂| over levels, m; NaN with one direction
	Notes    []string // how the gauging is not that of the standard
}

// Gauge gives the mean diameter of a specimen over its levels, each the mean of
// its directions. It refuses a reading that is no diameter of a rope, 1 to 60 mm:
// Invalid, with level and direction; and none: TooFew.
func Gauge(d Diameters) (Gauged, error) {
	out := Gauged{Specimen: d.Specimen, Oval: math.NaN()}
	var means, apart []float64
	for i, level := range d.Levels {
		sum := 0.0
		for k, v := range level {
			if !(v >= 1e-3 && v <= 60e-3) {
				return Gauged{}, problem.New(problem.Invalid, d.Specimen, "level %d, direction %d: %.4g mm is no diameter of a rope", i+1, k+1, 1000*v).
					Hint("diameters are in mm at the edges and 1 to 60 mm are taken")
			}
			sum += v
		}
		if len(level) > 0 {
			means = append(means, sum/float64(len(level)))
		}
		if len(level) == 2 {
			apart = append(apart, math.Abs(level[0]-level[1]))
		}
	}
	if len(means) == 0 {
		return Gauged{}, problem.New(problem.TooFew, d.Specimen, "no diameter was gauged")
	}
	out.Diameter = mean(means)
	if len(apart) > 0 {
		out.Oval = mean(apart).Value
	}
	out.Notes = d.remarks()
	return out, nil
}

// remarks say in what the gauging is not that of the standard.
func (d Diameters) remarks() []string {
	var out []string
	note := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if len(d.Levels) != 3 {
		note("%d levels, and the standard has 3", len(d.Levels))
	}
	if slices.ContainsFunc(d.Levels, func(l []float64) bool { return len(l) != 2 }) {
		note("not two directions at right angles at every level: an oval rope is not averaged out")
	}
	switch want, known := gaugeLoads[d.Kind]; {
	case d.Load == 0:
		note("the load is not stated; a slack rope gauges thicker")
	case known && math.Abs(d.Load-want) > 0.1:
		note("gauged under %g kg, and the standard has %g ± 0.1 kg for a %s rope", d.Load, want, d.Kind)
	}
	if d.Contact > 0 && math.Abs(d.Contact-0.05) > 0.001 {
		note("jaws of %g mm, and the standard has 50 ± 1 mm", 1000*d.Contact)
	}
	return out
}

// AgainstNominal is how much thicker specimens are than what is printed on the
// rope, m: the mean over specimens less nominal, with its interval; over the
// levels where there is one specimen only.
func AgainstNominal(gauged []Gauged, nominal float64) (Estimate, error) {
	if len(gauged) == 0 || !(nominal > 0) {
		return Estimate{}, problem.New(problem.TooFew, "", "a gauged specimen and a nominal diameter are needed")
	}
	e := gauged[0].Diameter
	if len(gauged) > 1 {
		var all []float64
		for _, g := range gauged {
			all = append(all, g.Diameter.Value)
		}
		e = mean(all)
	}
	return Estimate{e.Value - nominal, e.SE, e.Lower - nominal, e.Upper - nominal}, nil
}

// Swelling is the change of diameter from dry to wet, each specimen against
// itself, and of cross-section by it, (d_wet/d_dry)² − 1.
type Swelling struct {
	Diameter Change
	Section  Estimate // share
}

// Swelled pairs gaugings dry and wet by specimen. Specimens gauged in one state only
// are left out; TooFew when none is left.
func Swelled(dry, wet []Gauged) (Swelling, error) {
	var pairs []Pair
	var sections []float64
	for _, d := range dry {
		i := slices.IndexFunc(wet, func(w Gauged) bool { return w.Specimen == d.Specimen })
		if i < 0 {
			continue
		}
		a, b := d.Diameter.Value, wet[i].Diameter.Value
		pairs, sections = append(pairs, Pair{d.Specimen, a, b}), append(sections, (b/a)*(b/a)-1)
	}
	c, err := Changed(pairs)
	if err != nil {
		return Swelling{}, err
	}
	return Swelling{c, mean(sections)}, nil
}

// SheathShift is how far the sheath came past the core at an end, and of the length
// between the marks what share, from readings in m of one or more specimens.
func SheathShift(shifts []float64, length float64) (amount, share Estimate, err error) {
	if len(shifts) == 0 || !(length > 0) {
		return amount, share, problem.New(problem.TooFew, "", "a shift and the length that it is over are needed")
	}
	amount = mean(shifts)
	return amount, Estimate{amount.Value / length, amount.SE / length, amount.Lower / length, amount.Upper / length}, nil
}
