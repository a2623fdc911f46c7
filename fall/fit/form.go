package fit

import (
	"math"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Form is a law of rope with its parameters left open.
type Form struct {
	Name  string
	key   string
	terms []term
	build func(p []float64) rope.Law
	tries func() [][]float64 // parameters to begin from, moduli as shares
	knots bool               // the last three terms are those of the knots
}

// term is one parameter of a law. All are above zero and fitted by their
// logarithm.
type term struct {
	name, key, unit string
	lower, most     float64
	modulus         bool // scales with the stiffness of the whole
	settles         bool // moves from fall to fall
}

var (
	equilibrium = term{"equilibrium modulus", "equilibrium", "N", 10, 1e6, true, true}
	branch      = term{"branch modulus", "branch", "N", 1, 1e6, true, true}
	relaxation  = term{"relaxation time", "relaxation", "s", 2e-3, 20, false, false}
	growth      = term{"growth", "growth", "", 1e-3, 200, false, false}
	contact     = term{"contact modulus", "contact", "N", 1e3, 2e5, true, false}
	ease        = term{"friction at ease", "ease", "N", 3, 500, false, false}
	sliding     = term{"friction", "friction", "", 1e-3, 0.95, false, true}
	modulus     = term{"modulus", "modulus", "N", 10, 1e6, true, true}
	viscosity   = term{"viscosity", "viscosity", "N s", 0.01, 1e5, true, true}

	slip    = term{"slip of the knots", "slip", "", 1e-4, 0.5, false, false}
	tighten = term{"force that tightens the knots", "force", "N", 100, 2e4, false, false}
	delay   = term{"delay of the knots", "delay", "s", 2e-3, 0.2, false, false}
)

// The forms, the simplest first. Parameters stand in the order in which package
// field names them.
var (
	Linear = Form{
		"linear", "linear",
		[]term{modulus},
		func(p []float64) rope.Law { return rope.Linear{Modulus: p[0]} },
		func() [][]float64 { return [][]float64{{1}} }, false,
	}
	KelvinVoigt = Form{
		"Kelvin-Voigt", "kelvin-voigt",
		[]term{modulus, viscosity},
		func(p []float64) rope.Law { return rope.KelvinVoigt{Modulus: p[0], Viscosity: p[1]} },
		func() [][]float64 { return grid([]float64{1}, []float64{0.01, 0.03}) }, false,
	}
	Zener = Form{
		"Zener", "zener",
		[]term{equilibrium, branch, relaxation},
		func(p []float64) rope.Law { return rope.Zener{Equilibrium: p[0], Branch: p[1], Relaxation: p[2]} },
		func() [][]float64 { return grid([]float64{1}, []float64{0.3, 1, 2}, []float64{0.05, 0.15, 0.4}) }, false,
	}
	Stiffening = Form{
		"stiffening", "stiffening",
		[]term{equilibrium, branch, relaxation, growth},
		func(p []float64) rope.Law { return stiffening(p) },
		func() [][]float64 {
			return grid([]float64{1}, []float64{0.3, 1, 2}, []float64{0.05, 0.15, 0.4}, []float64{1, 5})
		}, false,
	}
	Sliding = Form{
		"sliding", "sliding",
		[]term{equilibrium, branch, relaxation, growth, contact, ease, sliding},
		func(p []float64) rope.Law {
			return rope.Sliding{Stiffening: stiffening(p), Contact: p[4], Ease: p[5], Friction: p[6]}
		},
		func() [][]float64 {
			return grid([]float64{1}, []float64{0.3, 1, 2}, []float64{0.06, 0.2}, []float64{2, 6}, []float64{5}, []float64{20}, []float64{0.1, 0.3})
		}, false,
	}
)

func stiffening(p []float64) rope.Stiffening {
	return rope.Stiffening{Equilibrium: p[0], Branch: p[1], Relaxation: p[2], Growth: p[3]}
}

// Knotted is a form with knots that tighten once (rope.Knotted): three more
// parameters, for a specimen whose knots are fresh in the first fall of its
// series. What they pay out is told from the rope's own stretch by bounces and
// later falls, in which they are tight already; Open of the parameters says
// where it is not told.
//
// Refuses a form whose law the knots do not take.
func Knotted(of Form) (Form, error) {
	if of.knots || of.key == KelvinVoigt.key || len(of.terms) == 0 {
		return Form{}, problem.New(problem.Invalid, "law", "%s takes no knots", of.Name).
			Hint("knots go on linear, Zener, stiffening and sliding")
	}
	k := len(of.terms)
	terms := append(append([]term(nil), of.terms...), slip, tighten, delay)
	return Form{
		Name: "knotted " + of.Name, key: of.key, terms: terms, knots: true,
		build: func(p []float64) rope.Law {
			return rope.Knotted{Law: of.build(p[:k]), Slip: p[k], Force: p[k+1], Delay: p[k+2]}
		},
		tries: func() [][]float64 {
			var out [][]float64
			for _, head := range of.tries() {
				for _, tail := range grid([]float64{0.01, 0.05}, []float64{1500}, []float64{0.01}) {
					out = append(out, append(append([]float64(nil), head...), tail...))
				}
			}
			return out
		},
	}, nil
}

// Key is the name of the law, without its knots, as package field and the file of
// a fall on the wall have it: "zener" of Zener.
func (f Form) Key() string { return f.key }

// Keys are the names of the parameters by the same, in the order of the form:
// "equilibrium", "branch", "relaxation" of Zener. Those of knots come last:
// "slip", "force", "delay".
func (f Form) Keys() []string {
	var out []string
	for _, t := range f.terms {
		out = append(out, t.key)
	}
	return out
}

// own is how many parameters the law has without its knots.
func (f Form) own() int {
	if f.knots {
		return len(f.terms) - 3
	}
	return len(f.terms)
}

// bare is the form without its knots.
func (f Form) bare() Form {
	if !f.knots {
		return f
	}
	bare, _ := FormOf(f.key) // a knotted form has the key of one of them
	return bare
}

// tight is the form in a fall whose knots have held a pull (N) before: they pay
// out only what a harder one asks for.
func (f Form) tight(pulled float64) Form {
	if !f.knots || pulled == 0 {
		return f
	}
	build := f.build
	f.build = func(p []float64) rope.Law {
		law := build(p).(rope.Knotted)
		law.Tight = -law.Slip * math.Expm1(-pulled/law.Force)
		return law
	}
	return f
}

// Forms are all of them without knots.
func Forms() []Form { return []Form{Linear, KelvinVoigt, Zener, Stiffening, Sliding} }

// FormOf returns the form of a name, as Form.Name or Form.Key has it; "knotted"
// and a space before it put knots on it.
func FormOf(name string) (Form, error) {
	bare, knots := strings.CutPrefix(name, "knotted ")
	for _, f := range Forms() {
		if f.Name == bare || f.key == bare {
			if knots {
				return Knotted(f)
			}
			return f, nil
		}
	}
	return Form{}, problem.New(problem.NotFound, "law", "%q is not among linear, Kelvin-Voigt, Zener, stiffening and sliding, nor one of them knotted", name)
}

// Given is a law with nothing left open: a fit of it finds guide friction,
// contact and zero alone, and says how far the law is from a trace.
func Given(law rope.Law) Form {
	return Form{Name: "given", build: func([]float64) rope.Law { return law }, tries: func() [][]float64 { return [][]float64{{}} }}
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
