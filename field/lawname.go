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
	Need bool
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

// LawNames are the laws that NamedLaw knows.
func LawNames() []string {
	var names []string
	for _, l := range lawsByName {
		names = append(names, l.name)
	}
	return names
}

// LawParameters are those of a law, in the order in which NamedLaw takes them.
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
	for _, l := range lawsByName {
		if l.name == name {
			return l, nil
		}
	}
	return lawByName{}, problem.New(problem.Invalid, "law", "there is no law %q", name).
		Hint("the laws are %s", strings.Join(LawNames(), ", "))
}
