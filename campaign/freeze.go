package campaign

import (
	"fallwright.example/problem"
)

// freezeCommand is the way out of everything that needs a frozen plan.
const freezeCommand = "freeze it: fallwright plan STUDY.toml --book BOOK --freeze"

// CheckPlan refuses a plan that must not take the place of the study's: Invalid
// with every fault when it breaks a rule of its own, Conflict when the study's
// plan is frozen, or when p could not hold what is recorded already.
func (s *Study) CheckPlan(p Plan) error {
	if s.Frozen != nil {
		return problem.New(problem.Conflict, "study "+s.Plan.Name, "the plan was frozen on %s and can no longer be altered",
			clock(s.Frozen.At)).
			Hint("record what is done otherwise as a deviation").
			Hint("for other questions, begin a study of another name").In("the frozen plan stands")
	}
	if err := p.Validate(); err != nil {
		return err
	}
	var list problem.List
	if s.Plan.Name != "" && p.Name != s.Plan.Name {
		list = append(list, problem.New(problem.Conflict, "study "+s.Plan.Name, "the new plan is named %q", p.Name).
			Hint("keep the name, or add it as a study of its own"))
	}
	list = append(list, s.heldBy(&p)...)
	for _, q := range list {
		q.In("the old plan stands")
	}
	return list.Err()
}

// heldBy returns what is recorded that the plan p has no place for: a specimen
// or setting in use that p lacks, or has under the same name with other values,
// which would alter what was recorded.
func (s *Study) heldBy(p *Plan) problem.List {
	var list problem.List
	seen := map[string]bool{}
	refuse := func(where, format string, args ...any) {
		if !seen[where] {
			seen[where] = true
			list = append(list, problem.New(problem.Conflict, where, format, args...).
				Hint("keep it as it was and add another under a new name"))
		}
	}
	specimen := func(label, recorded string) {
		old, planned := s.Plan.Specimen(label)
		if !planned {
			return
		}
		switch piece, kept := p.Specimen(label); {
		case !kept:
			refuse("specimen "+label, "the new plan lacks it, and %s is recorded for it", recorded)
		case piece.Lot != old.Lot || piece.Rope != old.Rope || piece.From != old.From || piece.To != old.To:
			refuse("specimen "+label, "the new plan cuts it from another piece of rope, and %s is recorded for it", recorded)
		}
	}
	for _, d := range s.Drops {
		specimen(d.Specimen, "a drop")
		old, planned := s.Plan.Setting(d.Setting)
		if !planned {
			continue
		}
		switch now, kept := p.Setting(d.Setting); {
		case !kept:
			refuse("setting "+d.Setting, "the new plan lacks it, and drops are recorded at it")
		case now != old:
			refuse("setting "+d.Setting, "the new plan gives it other values, and drops are recorded at it")
		}
	}
	for _, w := range s.Weighings {
		specimen(w.Specimen, "a weighing")
	}
	for _, g := range s.Gaugings {
		specimen(g.Specimen, "a gauging")
	}
	for _, u := range s.Pulls {
		specimen(u.Specimen, "a pull")
	}
	return list
}

// CheckFreeze refuses a freeze: Conflict when the plan is frozen already or is
// not the one that f names, Invalid when f has no time or the plan breaks a
// rule.
func (s *Study) CheckFreeze(f Freeze) error {
	where := "study " + s.Plan.Name
	switch {
	case s.Frozen != nil:
		return problem.New(problem.Conflict, where, "the plan was frozen on %s already", clock(s.Frozen.At)).
			Hint("record what is done otherwise as a deviation").In("the freeze of then stands")
	case f.At.IsZero():
		return problem.New(problem.Invalid, where, "the freeze has no time").Hint("give the time at which it is frozen").
			In("the plan is not frozen")
	case f.PlanSHA256 != s.File.SHA256:
		return problem.New(problem.Conflict, where, "the plan in the book comes from another file than the one to be frozen").
			Hint("put the file in the book first: fallwright plan STUDY.toml --book BOOK").In("the plan is not frozen")
	}
	return s.Plan.Validate()
}
