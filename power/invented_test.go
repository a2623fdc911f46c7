package power_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fallwright.example/compare"
	"fallwright.example/power"
)

// soaking is an invented plan: some conditions against dry over all falls, on
// logarithms, with a margin of 5 % and differences of so many margins.
func soaking(conditions, specimens, falls int, margins float64) power.Plan {
	p := power.Plan{
		Conditions: []power.Condition{{Name: "dry", Specimens: specimens}}, Falls: falls,
		Ask:       compare.Ask{Measure: "peak force", Unit: "N", Scale: compare.Log, Adjust: compare.Holm},
		Variances: power.Defaults(compare.Log, 0),
	}
	for c := 1; c < conditions; c++ {
		name := fmt.Sprint("soaked ", c)
		p.Conditions = append(p.Conditions, power.Condition{Name: name, Specimens: specimens})
		p.Questions = append(p.Questions, power.Question{
			Question: compare.Question{Name: name, Measure: "peak force", Unit: "N", Condition: name, Baseline: "dry", Share: 0.05},
			Truth:    power.Truth{Margins: margins},
		})
	}
	return p
}

// spreads are variances that are known, on logarithms.
func spreads(specimen, residual float64, more ...compare.Variance) power.Variances {
	return power.Variances{
		Source: power.Given, From: "the test", Scale: compare.Log,
		Parts: append([]compare.Variance{
			{Group: "specimen", Term: "intercept", SD: specimen, DF: math.Inf(1)},
			{SD: residual, DF: math.Inf(1)},
		}, more...),
	}
}

// invented is an invented study of conditions, specimens and falls, in N.
func invented(conditions, specimens, falls int) compare.Data {
	random := rand.New(rand.NewPCG(7, 1))
	var d compare.Data
	for c := range conditions {
		for s := range specimens {
			own := 0.04 * random.NormFloat64()
			for f := range falls {
				d.Value = append(d.Value, 3500*math.Exp(0.05*float64(f)+own+0.02*random.NormFloat64()))
				d.Condition = append(d.Condition, fmt.Sprint("c", c))
				d.Specimen = append(d.Specimen, fmt.Sprintf("%d-%d", c, s))
				d.Fall = append(d.Fall, compare.FallNumber(f+1))
			}
		}
	}
	return d
}
