// Package uptake weighs the water: uptake of rope against soak time, the laws it
// may follow, how much of it is settled by the weighings, and what goes with it:
// comparisons, drying back, diameter, and the pull of a wet rope through a device.
//
// Uptake W is the mass gained over the dry mass, (m − m₀)/m₀, a fraction of one;
// times are in seconds from the moment the specimen went under; SI throughout.
//
// Symbols: W∞ ↔ Saturation, T ↔ the law's own time scale, u = t/T, F(u) ↔ rise, the
// share of W∞ taken up, s ↔ its shapes.
package uptake

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/problem"
)

// Law is how uptake goes with time. Laws with a saturation are W∞·F(t/T; s); the
// others are W₀ + S·√t with or without A·t. Parameters are W∞, T and the shapes in
// the first case, W₀, S and A in the second: kg/kg, s, and kg/kg over √s or s.
type Law struct {
	Name    string // as it is asked for
	Formula string
	Source  string // key in docs/REFERENCES.md

	Shapes []Shape // beside W∞ and T

	// rise gives F and dF/du, and dF/ds into ds; nil for a law without a saturation.
	rise func(u float64, s, ds []float64) (f, slope float64)
	// reach gives the u at which F is a share of one.
	reach func(share float64, s []float64) float64
	// roots is how many terms a law without a saturation has beside W₀.
	roots int
	terms func(p []float64) []Term
}

// Shape is a parameter that bends a law.
type Shape struct {
	Name         string
	Lower, Upper float64
	starts       []float64
}

// Term is a parameter in the form that the trade writes it.
type Term struct {
	Name, Unit string // unit in seconds and kg/kg, "" for a pure number or kg/kg
	Value      float64
	gradient   []float64 // by the law's parameters
}

// Laws lists every law, those with fewer parameters first.
func Laws() []Law {
	return []Law{FirstOrder(), Peleg(), Cylinder(), SquareRoot(), Weibull(), Philip(), TwoPockets()}
}

// LawNamed returns a law by its name; NotFound with the names that there are.
func LawNamed(name string) (Law, error) {
	var names []string
	for _, l := range Laws() {
		if l.Name == name {
			return l, nil
		}
		names = append(names, l.Name)
	}
	p := problem.New(problem.NotFound, "--law", "%q is no law of uptake", name)
	if near, ok := problem.Nearest(name, names); ok {
		return Law{}, p.Hint("write --law %s", near)
	}
	return Law{}, p.Hint("the laws are: %s", strings.Join(names, ", "))
}

// Saturates reports whether the law comes to an end.
func (l Law) Saturates() bool { return l.rise != nil }

// Parameters is how many the law has.
func (l Law) Parameters() int {
	if l.Saturates() {
		return 2 + len(l.Shapes)
	}
	return 1 + l.roots
}

// Check refuses parameters outside the law's domain: Invalid.
func (l Law) Check(p []float64) error {
	if len(p) != l.Parameters() {
		return problem.New(problem.Invalid, l.Name, "%d parameters are given, and the law has %d", len(p), l.Parameters())
	}
	for k, v := range p {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return problem.New(problem.Invalid, l.Name, "parameter %d is %g, no finite number", k+1, v)
		}
		if !l.Saturates() {
			continue
		}
		if k < 2 && v <= 0 {
			return problem.New(problem.Invalid, l.Name, "%s is %g, and has to be above 0", [2]string{"the saturation", "the time scale"}[k], v)
		}
		if k >= 2 {
			if s := l.Shapes[k-2]; v < s.Lower || v > s.Upper {
				return problem.New(problem.Invalid, l.Name, "%s is %g, outside %g to %g", s.Name, v, s.Lower, s.Upper)
			}
		}
	}
	return nil
}

// Value is the uptake at a time t ≥ 0.
func (l Law) Value(t float64, p []float64) float64 {
	if !l.Saturates() {
		w := p[0] + p[1]*math.Sqrt(t)
		if l.roots > 1 {
			w += p[2] * t
		}
		return w
	}
	f, _ := l.rise(t/p[1], p[2:], nil)
	return p[0] * f
}

// Gradient fills g with the derivatives of Value by the parameters.
func (l Law) Gradient(t float64, p, g []float64) {
	if !l.Saturates() {
		g[0], g[1] = 1, math.Sqrt(t)
		if l.roots > 1 {
			g[2] = t
		}
		return
	}
	f, slope := l.rise(t/p[1], p[2:], g[2:])
	g[0], g[1] = f, 0
	if t > 0 {
		g[1] = -p[0] * slope * t / (p[1] * p[1])
	}
	for k := range l.Shapes {
		g[2+k] *= p[0]
	}
}

// Rate is dW/dt at a time, 1/s; +Inf at 0 for laws that begin with a root.
func (l Law) Rate(t float64, p []float64) float64 {
	if !l.Saturates() {
		r := p[1] / (2 * math.Sqrt(t))
		if l.roots > 1 {
			r += p[2]
		}
		return r
	}
	_, slope := l.rise(t/p[1], p[2:], nil)
	return p[0] * slope / p[1]
}

// Saturation is W∞; +Inf for a law without.
func (l Law) Saturation(p []float64) float64 {
	if !l.Saturates() {
		return math.Inf(1)
	}
	return p[0]
}

// TimeTo is the time at which a share of the saturation is reached, 0 ≤ share < 1;
// +Inf for a law without saturation, NaN for another share.
func (l Law) TimeTo(share float64, p []float64) float64 {
	switch {
	case !(share >= 0 && share < 1):
		return math.NaN()
	case !l.Saturates():
		return math.Inf(1)
	}
	return p[1] * l.reach(share, p[2:])
}

// Terms are the parameters as the trade writes them.
func (l Law) Terms(p []float64) []Term { return l.terms(p) }

func (l Law) String() string { return fmt.Sprintf("%s, %s", l.Name, l.Formula) }
