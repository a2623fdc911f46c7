package fit

import (
	"math"

	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Form is a law of rope with its parameters left open.
type Form struct {
	Name  string
	terms []term
	build func(p []float64) rope.Law
	tries func() [][]float64 // parameters to begin from, moduli as shares
}

// term is one parameter of a law. All are above zero and fitted by their
// logarithm.
type term struct {
	name, unit  string
	lower, most float64
	modulus     bool // scales with the stiffness of the whole
	settles     bool // moves from fall to fall
}

var (
	equilibrium = term{"equilibrium modulus", "N", 100, 1e6, true, true}
	branch      = term{"branch modulus", "N", 10, 1e6, true, true}
	relaxation  = term{"relaxation time", "s", 2e-3, 20, false, false}
	growth      = term{"growth", "", 1e-3, 200, false, false}
	contact     = term{"contact modulus", "N", 1e3, 2e5, true, false}
	ease        = term{"friction at ease", "N", 3, 500, false, false}
	sliding     = term{"friction", "", 1e-3, 0.95, false, true}
)

// The forms, the simplest first.
var (
	Linear = Form{
		"linear",
		[]term{{"modulus", "N", 100, 1e6, true, true}},
		func(p []float64) rope.Law { return rope.Linear{Modulus: p[0]} },
		func() [][]float64 { return [][]float64{{1}} },
	}
	KelvinVoigt = Form{
		"Kelvin-Voigt",
		[]term{{"modulus", "N", 100, 1e6, true, true}, {"viscosity", "N s", 1, 1e5, true, true}},
		func(p []float64) rope.Law { return rope.KelvinVoigt{Modulus: p[0], Viscosity: p[1]} },
		func() [][]float64 { return grid([]float64{1}, []float64{0.01, 0.03}) },
	}
	Zener = Form{
		"Zener",
		[]term{equilibrium, branch, relaxation},
		func(p []float64) rope.Law { return rope.Zener{Equilibrium: p[0], Branch: p[1], Relaxation: p[2]} },
		func() [][]float64 { return grid([]float64{1}, []float64{0.3, 1, 2}, []float64{0.05, 0.15, 0.4}) },
	}
	Stiffening = Form{
		"stiffening",
		[]term{equilibrium, growth, branch, relaxation},
		func(p []float64) rope.Law {
			return rope.Stiffening{Equilibrium: p[0], Growth: p[1], Branch: p[2], Relaxation: p[3]}
		},
		func() [][]float64 {
			return grid([]float64{1}, []float64{1, 5}, []float64{0.3, 1, 2}, []float64{0.05, 0.15, 0.4})
		},
	}
	Sliding = Form{
		"sliding",
		[]term{equilibrium, growth, branch, relaxation, contact, ease, sliding},
		func(p []float64) rope.Law {
			return rope.Sliding{
				Stiffening: rope.Stiffening{Equilibrium: p[0], Growth: p[1], Branch: p[2], Relaxation: p[3]},
				Contact:    p[4], Ease: p[5], Friction: p[6],
			}
		},
		func() [][]float64 {
			return grid([]float64{1}, []float64{2, 6}, []float64{0.3, 1, 2}, []float64{0.06, 0.2}, []float64{5}, []float64{20}, []float64{0.1, 0.3})
		},
	}
)

// Forms are all of them. Knots are not among them: what they pay out is told
// from the rope's own stretch by other pieces of the same rope only.
func Forms() []Form { return []Form{Linear, KelvinVoigt, Zener, Stiffening, Sliding} }

// FormOf returns the form of a name.
func FormOf(name string) (Form, error) {
	for _, f := range Forms() {
		if f.Name == name {
			return f, nil
		}
	}
	return Form{}, problem.New(problem.NotFound, "law", "%q is not among linear, Kelvin-Voigt, Zener, stiffening and sliding", name)
}

// Given is a law with nothing left open: a fit of it finds guide friction,
// contact and zero alone, and says how far the law is from a trace.
func Given(law rope.Law) Form {
	return Form{"given", nil, func([]float64) rope.Law { return law }, func() [][]float64 { return [][]float64{{}} }}
}

// grid is every combination of the values.
func grid(values ...[]float64) [][]float64 {
	out := [][]float64{nil}
	for _, choice := range values {
		var next [][]float64
		for _, head := range out {
			for _, v := range choice {
				next = append(next, append(append([]float64(nil), head...), v))
			}
		}
		out = next
	}
	return out
}

// scaled is the parameters with the moduli times a factor, held to the bounds.
func (f Form) scaled(p []float64, by float64) []float64 {
	out := append([]float64(nil), p...)
	for i, t := range f.terms {
		if t.modulus {
			out[i] *= by
		}
		out[i] = math.Min(math.Max(out[i], t.lower*1.01), t.most*0.99)
	}
	return out
}
