package uncert

import (
	"fmt"
	"math"
)

// Higher is what the second-order terms of the series make of a result.
type Higher struct {
	Standard float64 // u_c with the terms of [JCGM100] 5.1.2, note
	Shift    float64 // of the expectation from f(x): ½·Σ ∂²f/∂xᵢ²·u²(xᵢ)
}

// SecondOrder adds the next terms of the series for normal inputs,
//
//	Σᵢ Σⱼ [½(∂²f/∂xᵢ∂xⱼ)² + ∂f/∂xᵢ · ∂³f/∂xᵢ∂xⱼ²] u²(xᵢ)·u²(xⱼ)
//
// Correlated inputs are first turned into independent ones, x = x̂ + D·L·z with
// D the standard uncertainties and L·Lᵀ the correlations, which is the same sum
// for jointly normal inputs. Derivatives are differences over StepShare of a
// standard uncertainty, whatever Step says; 2n² + 2n + 1 calls of the model.
//
// It says when the law of propagation is too short a series; where it differs
// from it by much, use MonteCarlo. Source: [JCGM100] 5.1.2, note.
func SecondOrder(model Model, inputs []Input, corr [][]float64) (Higher, error) {
	if err := check(inputs); err != nil {
		return Higher{}, err
	}
	l, err := factor(corr, len(inputs))
	if err != nil {
		return Higher{}, err
	}
	g := grid{model: model, inputs: inputs, l: l, x: make([]float64, len(inputs))}
	centre := g.at(-1, 0, -1, 0)
	variance, shift := 0.0, 0.0
	const h = StepShare
	for i := range inputs {
		up, down := g.at(i, h, -1, 0), g.at(i, -h, -1, 0)
		first := (up - down) / (2 * h)
		second := (up - 2*centre + down) / (h * h)
		third := (g.at(i, 2*h, -1, 0) - 2*up + 2*down - g.at(i, -2*h, -1, 0)) / (2 * h * h * h)
		variance += first*first + second*second/2 + first*third
		shift += second / 2
		for j := range inputs {
			if i == j {
				continue
			}
			pp, pm, mp, mm := g.at(i, h, j, h), g.at(i, h, j, -h), g.at(i, -h, j, h), g.at(i, -h, j, -h)
			mixed := (pp - pm - mp + mm) / (4 * h * h)
			across := (pp + pm - 2*up - mp - mm + 2*down) / (2 * h * h * h)
			variance += mixed*mixed/2 + first*across
		}
	}
	if !finite(variance) || !finite(shift) {
		return Higher{}, fmt.Errorf("%w: the model has no value somewhere within %g standard uncertainties of its estimates", ErrNotFinite, 2*h)
	}
	return Higher{Standard: math.Sqrt(max(0, variance)), Shift: shift}, nil
}

// grid calls the model at points given in independent unit coordinates.
type grid struct {
	model  Model
	inputs []Input
	l      [][]float64
	x      []float64
}

// at is f where coordinate i is a and coordinate j is b, all others 0.
func (g grid) at(i int, a float64, j int, b float64) float64 {
	for k, in := range g.inputs {
		z := 0.0
		if i >= 0 {
			z += g.l[k][i] * a
		}
		if j >= 0 {
			z += g.l[k][j] * b
		}
		g.x[k] = in.Value + in.Standard*z
	}
	return g.model(g.x)
}
