package campaign

import (
	"slices"
	"strings"

	"fallwright.example/problem"
)

// CheckWeighing refuses a weighing: NotFound when the plan lacks its specimen or
// the study the weighing it replaces, Conflict when that is of another specimen
// or replaced already, or the specimen was weighed after the same soak before,
// Invalid when it has no mass, state or time, or a mass that the specimen cannot
// have.
func (s *Study) CheckWeighing(w Weighing) error {
	where := "weighing of " + w.Specimen
	var list problem.List
	add := func(p *problem.Problem) { list = append(list, p.In("the weighing was not stored")) }
	if _, known := s.Plan.Specimen(w.Specimen); !known {
		where = "weighing"
		add(problem.New(problem.NotFound, where, "the plan has no specimen %q", w.Specimen).
			Hint("%s", s.nearestLabels(w.Specimen)))
	}
	if w.At.IsZero() {
		add(problem.New(problem.Invalid, where, "it has no time").Hint("say when the specimen was on the scale"))
	}
	if strings.TrimSpace(w.Said()) == "" {
		add(problem.New(problem.Invalid, where, "it does not say the state of the rope").
			Hint(`name the step of the protocol, such as "dry" or "soaked and drained 2 min"`))
	}
	if !positive(w.Mass) {
		add(problem.New(problem.Invalid, where, "the mass is %g kg", w.Mass).Hint("give a mass above zero"))
	}
	for _, p := range slices.Concat(w.times(where), s.mass(where, w)) {
		add(p)
	}
	if w.Replaces != "" {
		if p := s.replaces(where, w); p != nil {
			add(p)
		}
	}
	return list.Err()
}

// replaces refuses a weighing that corrects one it cannot correct.
func (s *Study) replaces(where string, w Weighing) *problem.Problem {
	i := slices.IndexFunc(s.Weighings, func(o Weighing) bool { return o.ID == w.Replaces })
	if i < 0 {
		return problem.New(problem.NotFound, where, "there is no weighing %s that it could replace", w.Replaces).
			Hint("leave that out for a new weighing")
	}
	if old := s.Weighings[i]; old.Specimen != w.Specimen {
		return problem.New(problem.Conflict, where, "weighing %s, which it would replace, is of %s", old.ID, old.Specimen).
			Hint("replace a weighing of the same specimen")
	}
	for _, o := range s.Weighings {
		if o.Replaces == w.Replaces {
			return problem.New(problem.Conflict, where, "weighing %s was replaced by %s already", w.Replaces, o.ID).
				Hint("replace %s", o.ID)
		}
	}
	return nil
}
