package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	catches "fallwright.example/field"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// wallState is the rope in one state: by a law with its parameters, or as a
// change of another state.
type wallState struct {
	Name        string
	Law         string
	Parameters  map[string]float64 // SI
	Of          string             // the state that this one is a change of
	Change      map[string]float64 // factors
	Uncertainty map[string]float64 // standard; SI, or of the factors
	Covariance  [][]float64        // in the order of the law's parameters
	Fitted      struct {
		Strain, Rate float64
		Force        string
	}
}

// doubt is the fall with the rope in one state, and what is known of it.
func (w *wallFile) doubt(s wallState) (catches.Doubt, error) { return w.doubtOf(s, nil) }

// doubtOf is doubt; below are the names of the states that are changes of this
// one.
func (w *wallFile) doubtOf(s wallState, below []string) (catches.Doubt, error) {
	where := fmt.Sprintf("state %q", s.Name)
	if s.Of == "" {
		if s.Change != nil {
			return catches.Doubt{}, problem.New(problem.Invalid, where, "it has a change and does not say of what").Hint("name the state that it is a change of: of = \"dry\"")
		}
		return w.byLaw(where, s)
	}
	below = append(below, s.Name)
	switch {
	case s.Law != "" || s.Parameters != nil || s.Covariance != nil:
		return catches.Doubt{}, problem.New(problem.Invalid, where, "it is a change of %q, and a law of its own is given too", s.Of).
			Hint("leave out law, parameters and covariance, or leave out of and change")
	case slices.Contains(below, s.Of):
		return catches.Doubt{}, problem.New(problem.Invalid, where, "it is a change of %q, and that comes back to itself", s.Of).
			Hint("let one of them have a law and its parameters")
	}
	at := slices.IndexFunc(w.State, func(other wallState) bool { return other.Name == s.Of })
	if at < 0 {
		return catches.Doubt{}, problem.New(problem.NotFound, where, "it is a change of %q, and there is no such state", s.Of).
			Hint("the file has: %s", w.stateNames())
	}
	base, err := w.doubtOf(w.State[at], below)
	if err != nil {
		return base, err
	}
	if base, err = s.withFitted(where, base); err != nil {
		return base, err
	}
	changed, err := base.Changed(s.Change, s.Uncertainty)
	return changed, inside(where, err)
}

// inside says in which part of a file a refusal belongs.
func inside(where string, err error) error {
	var out problem.List
	for _, p := range problem.All(err) {
		one := *p
		one.Where = where + ", " + p.Where
		out = append(out, &one)
	}
	if len(out) == 0 {
		return err
	}
	return out
}

func (w *wallFile) stateNames() string {
	var names []string
	for _, s := range w.State {
		names = append(names, s.Name)
	}
	return strings.Join(names, "; ")
}

// withFitted puts what the state says of its own drops in the place of what it
// is a change of.
func (s wallState) withFitted(where string, d catches.Doubt) (catches.Doubt, error) {
	fitted, err := s.fitted(where)
	if err != nil || fitted == (catches.Fitted{}) {
		return d, err
	}
	before := d.Make
	d.Make = func(v []float64) (catches.Catch, error) {
		c, err := before(v)
		c.Rope.Fitted = fitted
		return c, err
	}
	return d, nil
}

func (s wallState) fitted(where string) (catches.Fitted, error) {
	var a amounts
	f := catches.Fitted{Strain: s.Fitted.Strain, Rate: s.Fitted.Rate, Force: a.read(where+", fitted force", s.Fitted.Force, quantity.Force, 0)}
	return f, a.list.Err()
}

// byLaw is the fall with a rope of a law.
func (w *wallFile) byLaw(where string, s wallState) (catches.Doubt, error) {
	c, err := w.catch()
	if err != nil {
		return catches.Doubt{}, err
	}
	parameters, err := catches.LawParameters(s.Law)
	if err != nil {
		return catches.Doubt{}, inside(where, err)
	}
	d := catches.Doubt{}
	for _, p := range parameters {
		d.Names, d.Values = append(d.Names, p.Name), append(d.Values, s.Parameters[p.Name])
	}
	if err := s.check(where, parameters); err != nil {
		return d, err
	}
	if d.Covariance, err = s.covariance(where, d.Names); err != nil {
		return d, err
	}
	if c.Rope.Fitted, err = s.fitted(where); err != nil {
		return d, err
	}
	d.Make = func(v []float64) (catches.Catch, error) {
		law, err := catches.NamedLaw(s.Law, v)
		one := c
		one.Rope.Law = law
		return one, err
	}
	_, err = d.Make(d.Values)
	return d, err
}

// check refuses parameters that are missing, and those that the law has not.
func (s wallState) check(where string, parameters []catches.Parameter) error {
	var list problem.List
	known := map[string]bool{}
	for _, p := range parameters {
		known[p.Name] = true
		if _, ok := s.Parameters[p.Name]; !ok && p.Need {
			list = append(list, problem.New(problem.Invalid, where, "the law %s needs %s", s.Law, p.Name).Hint("the law's parameters are %s", parameterNames(parameters)))
		}
	}
	for _, given := range []map[string]float64{s.Parameters, s.Uncertainty} {
		for name := range given {
			if !known[name] {
				list = append(list, problem.New(problem.Invalid, where, "the law %s has no %s", s.Law, name).Hint("the law's parameters are %s", parameterNames(parameters)))
			}
		}
	}
	return list.Err()
}

func parameterNames(all []catches.Parameter) string {
	var names []string
	for _, p := range all {
		name := strings.TrimSpace(p.Name + " " + p.Unit)
		if !p.Need {
			name += " (0 where it is not given)"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// covariance is that given, or that of independent uncertainties.
func (s wallState) covariance(where string, names []string) ([][]float64, error) {
	if s.Covariance != nil {
		if s.Uncertainty != nil {
			return nil, problem.New(problem.Invalid, where, "both covariance and uncertainty are given").Hint("give one of them")
		}
		return s.Covariance, nil
	}
	out := make([][]float64, len(names))
	for i, n := range names {
		out[i] = make([]float64, len(names))
		u := s.Uncertainty[n]
		if !(u >= 0) || math.IsInf(u, 0) {
			return nil, problem.New(problem.Invalid, where, "the uncertainty of %s is %g, must be 0 or more", n, u)
		}
		out[i][i] = u * u
	}
	return out, nil
}
