package field

import (
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Parameter is a parameter of a law by the name that people write.
type Parameter struct {
	Name string
	Unit string // "" for a bare number
	Need bool   // it has to be given; others are 0 where nothing is said
}

// lawByName is a law that people can name.
type lawByName struct {
	name       string
	parameters []Parameter
	make       func(v []float64) rope.Law
}

var (
	zenerParameters = []Parameter{{"equilibrium", "N", true}, {"branch", "N", true}, {"relaxation", "s", true}}
	lawsByName      = []lawByName{
		{"linear", []Parameter{{"modulus", "N", true}}, func(v []float64) rope.Law { return rope.Linear{Modulus: v[0]} }},
		{"kelvin-voigt", []Parameter{{"modulus", "N", true}, {"viscosity", "N s", true}}, func(v []float64) rope.Law {
			return rope.KelvinVoigt{Modulus: v[0], Viscosity: v[1]}
		}},
		{"zener", zenerParameters, func(v []float64) rope.Law {
			return rope.Zener{Equilibrium: v[0], Branch: v[1], Relaxation: v[2]}
		}},
		{"stiffening", append(slices.Clone(zenerParameters), Parameter{"growth", "", true}), func(v []float64) rope.Law { return stiffening(v) }},
		{"sliding", append(slices.Clone(zenerParameters), Parameter{"growth", "", true}, Parameter{"contact", "N", true},
			Parameter{"ease", "N", true}, Parameter{"friction", "", true}), func(v []float64) rope.Law {
			return rope.Sliding{Stiffening: stiffening(v), Contact: v[4], Ease: v[5], Friction: v[6]}
		}},
	}
)

func stiffening(v []float64) rope.Stiffening {
	return rope.Stiffening{Equilibrium: v[0], Branch: v[1], Relaxation: v[2], Growth: v[3]}
}

// knots are what tightening knots add to a law.
var knots = []Parameter{{"slip", "", true}, {"force", "N", true}, {"delay", "s", true}, {"tight", "", false}}

// knottedPrefix before the name of a law ties knots into it: "knotted sliding".
const knottedPrefix = "knotted "

// LawNames are the laws that NamedLaw knows.
func LawNames() []string {
	var names, knotted []string
	for _, l := range lawsByName {
		names = append(names, l.name)
		if l.name != "kelvin-voigt" {
			knotted = append(knotted, knottedPrefix+l.name)
		}
	}
	return append(names, knotted...)
}

// LawParameters are those of a law, in the order in which NamedLaw takes them;
// of one with knots those of the law without come first.
func LawParameters(name string) ([]Parameter, error) {
	l, err := findLaw(name)
	return l.parameters, err
}

// NamedLaw is the law of a name with its parameters, in the order of
// LawParameters.
func NamedLaw(name string, values []float64) (rope.Law, error) {
	l, err := findLaw(name)
	if err != nil {
		return nil, err
	}
	if len(values) != len(l.parameters) {
		return nil, problem.New(problem.Invalid, name, "%d parameters, the law has %d", len(values), len(l.parameters))
	}
	law := l.make(values)
	return law, law.Check()
}

func findLaw(name string) (lawByName, error) {
	inner, knotted := strings.CutPrefix(name, knottedPrefix)
	for _, l := range lawsByName {
		switch {
		case l.name != inner:
		case !knotted:
			return l, nil
		case slices.Contains(LawNames(), name):
			return l.knotted(), nil
		}
	}
	refusal := problem.New(problem.Invalid, "law", "there is no law %q", name).Hint("the laws are %s", strings.Join(LawNames(), ", "))
	switch name {
	case strings.TrimSpace(knottedPrefix):
		refusal.Hint("knots are tied in a rope of some law: name it too, as in law = \"knotted sliding\"")
	case knottedPrefix + "kelvin-voigt":
		refusal.Hint("knots need a law whose tension does not depend on the strain rate")
	}
	return lawByName{}, refusal
}

// knotted is the law with knots.
func (l lawByName) knotted() lawByName {
	n := len(l.parameters)
	return lawByName{
		knottedPrefix + l.name, append(slices.Clone(l.parameters), knots...),
		func(v []float64) rope.Law {
			return rope.Knotted{Law: l.make(v[:n]), Slip: v[n], Force: v[n+1], Delay: v[n+2], Tight: v[n+3]}
		},
	}
}
