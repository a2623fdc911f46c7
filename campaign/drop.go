package campaign

import (
	"slices"
	"strings"

	"fallwright.example/problem"
)

// Kind is what a drop was for.
type Kind string

const (
	Trial Kind = "trial" // dialling in
	Check Kind = "check" // reference rope
	Fall  Kind = "fall"  // counts
)

// Drop is one release of the mass.
type Drop struct {
	ID string
	Stamp
	Kind     Kind
	Specimen string // label; a fall needs one
	Fall     int    // n of a fall, from 1; 0 for trials and checks
	Setting  string // name in the plan; a fall needs one
	Void     *Void
	Trace    *SourceFile // nil when no trace was recorded
	Part     string      // which drop of the trace's file, by name or number; empty when the file holds one
	GateTime float64     // s, for which the flag broke a light gate's beam; 0 when not recorded
	Note     string
}

// Void says why a drop does not count, and whether the rope was loaded all the
// same. A rope that was loaded has had that fall: its number stays taken and
// the next fall goes on from it. A rope that was not loaded has its number free
// again.
type Void struct {
	Stamp
	Reason string
	Loaded bool
}

// Took reports whether the drop took a fall number of its specimen.
func (d Drop) Took() bool { return d.Kind == Fall && (d.Void == nil || d.Void.Loaded) }

// name is a drop in words: "M-07 fall 3", "trial of M-07", "trial".
func (d Drop) name() string {
	switch {
	case d.Kind == Fall && d.Specimen != "" && d.Fall > 0:
		return d.Specimen + " fall " + itoa(d.Fall)
	case d.Specimen != "":
		return string(d.Kind) + " of " + d.Specimen
	case d.Kind != "":
		return string(d.Kind)
	}
	return "drop"
}

// CheckDrop refuses a drop that must not be added to the study. Conflict when
// the state of the study forbids it: the plan is not frozen, or the number is
// not the specimen's next. Invalid when the drop itself lacks something;
// NotFound when it names what the plan has not.
func (s *Study) CheckDrop(d Drop) error {
	where := d.name()
	var list problem.List
	add := func(p *problem.Problem) { list = append(list, p.In("the drop was not stored")) }

	if d.ID != "" && slices.ContainsFunc(s.Drops, func(o Drop) bool { return o.ID == d.ID }) {
		add(problem.New(problem.Conflict, where, "drop %s is recorded already", d.ID).Hint("record it once"))
	}
	if d.At.IsZero() {
		add(problem.New(problem.Invalid, where, "the drop has no time").Hint("say when the mass was released"))
	}
	if d.Void != nil && strings.TrimSpace(d.Void.Reason) == "" {
		add(problem.New(problem.Invalid, where, "the drop is void and does not say why").Hint("give the reason"))
	}
	if p := s.gateTime(where, d); p != nil {
		add(p)
	}
	if _, known := s.Plan.Setting(d.Setting); d.Setting != "" && !known {
		add(problem.New(problem.NotFound, where, "there is no setting %q", d.Setting).
			Hint("%s", oneOf("setting", s.Plan.settingNames())))
	}
	switch d.Kind {
	case Fall:
		for _, p := range s.fall(where, d) {
			add(p)
		}
		if p := s.sameTrace(where, d); p != nil {
			add(p)
		}
	case Trial, Check:
		if d.Fall != 0 {
			add(problem.New(problem.Invalid, where, "a %s has no fall number, and this one has %d", d.Kind, d.Fall).
				Hint("leave the number out, or record it as a fall"))
		}
	default:
		add(problem.New(problem.Invalid, where, "there is no kind of drop %q", d.Kind).
			Hint("the kinds are: %s", quoteAll([]Kind{Trial, Check, Fall})))
	}
	return list.Err()
}

// fall returns what is wrong with a drop as a fall that counts.
func (s *Study) fall(where string, d Drop) problem.List {
	var list problem.List
	if s.Frozen == nil {
		list = append(list, problem.New(problem.Conflict, where, "the plan is not frozen, and a fall counts only under a frozen plan").
			Hint(freezeCommand).Hint("if it was for dialling in, record it as a trial"))
	}
	if d.Setting == "" {
		list = append(list, problem.New(problem.Invalid, where, "the fall has no setting").
			Hint("%s", oneOf("setting", s.Plan.settingNames())))
	}
	if d.Specimen == "" {
		return append(list, problem.New(problem.Invalid, where, "the fall has no specimen").
			Hint("give the label of the specimen that was dropped"))
	}
	if _, known := s.Plan.Specimen(d.Specimen); !known {
		return append(list, problem.New(problem.NotFound, where, "the plan has no specimen %q", d.Specimen).
			Hint("%s", s.nearestLabels(d.Specimen)))
	}
	taken := s.taken(d.Specimen)
	if p := s.outOfTurn(where, d, taken); p != nil {
		return append(list, p)
	}
	if n := len(taken); n > 0 && !d.At.IsZero() && d.At.Before(taken[n-1].At) {
		list = append(list, problem.New(problem.Conflict, where, "released at %s, before fall %d of %s at %s",
			clock(d.At), taken[n-1].Fall, d.Specimen, clock(taken[n-1].At)).
			Hint("correct the time, or record the falls in the order they were made"))
	}
	return list
}

// outOfTurn refuses a fall whose number is not the specimen's next.
func (s *Study) outOfTurn(where string, d Drop, taken []Drop) *problem.Problem {
	next := len(taken) + 1
	switch {
	case d.Fall < 1:
		return problem.New(problem.Invalid, where, "the fall has no number").
			Hint("the next fall of %s is %d", d.Specimen, next)
	case d.Fall < next:
		old := taken[d.Fall-1]
		return problem.New(problem.Conflict, where, "fall %d of %s was taken at %s; its next is fall %d",
			d.Fall, d.Specimen, clock(old.At), next).
			Hint("record it as fall %d, or void the other first if the rope was not loaded then", next)
	case d.Fall > next:
		return problem.New(problem.Conflict, where, "the next fall of %s is %d", d.Specimen, next).
			Hint("record fall %d first, without a trace if there is none", next)
	}
	return nil
}

// taken returns the falls that a specimen's rope has had, by number.
func (s *Study) taken(specimen string) []Drop {
	var out []Drop
	for _, d := range s.Drops {
		if d.Specimen == specimen && d.Took() {
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b Drop) int { return a.Fall - b.Fall })
	return out
}

// NextFall is the number of a specimen's next fall: one more than its rope took.
func (s *Study) NextFall(specimen string) int { return len(s.taken(specimen)) + 1 }

// nearestLabels is the hint for a label that the plan lacks.
func (s *Study) nearestLabels(label string) string {
	for _, sp := range s.Plan.Specimens {
		if strings.EqualFold(sp.Label, label) {
			return "write " + sp.Label
		}
	}
	var labels []string
	for _, sp := range s.Plan.Specimens {
		labels = append(labels, sp.Label)
	}
	return oneOf("specimen", labels)
}

// CheckVoid refuses to void a drop: NotFound when the study lacks it, Conflict
// when it is void already or when its number would be free below a later fall
// of the same specimen, Invalid when no reason or no time is given.
func (s *Study) CheckVoid(dropID string, v Void) error {
	i := slices.IndexFunc(s.Drops, func(d Drop) bool { return d.ID == dropID })
	if i < 0 {
		return problem.New(problem.NotFound, "drop "+dropID, "study %s has no such drop", s.Plan.Name).
			Hint("take its name from the study's list of drops").In("nothing was voided")
	}
	d := s.Drops[i]
	refuse := func(kind problem.Kind, format string, args ...any) *problem.Problem {
		return problem.New(kind, d.name(), format, args...).In("the drop counts as before")
	}
	switch {
	case d.Void != nil:
		return refuse(problem.Conflict, "it is void already: %s", d.Void.Reason).
			Hint("add what else was wrong as a deviation").In("the first reason stands")
	case strings.TrimSpace(v.Reason) == "":
		return refuse(problem.Invalid, "no reason is given for voiding it").Hint("say why it does not count")
	case v.At.IsZero():
		return refuse(problem.Invalid, "the void has no time").Hint("give the time at which it was voided")
	}
	if taken := s.taken(d.Specimen); d.Kind == Fall && !v.Loaded && len(taken) > d.Fall {
		last := taken[len(taken)-1].Fall
		return refuse(problem.Conflict, "%s has had falls up to %d since, which would be left without a fall %d", d.Specimen, last, d.Fall).
			Hint("if the rope was loaded all the same, void it as loaded: the number stays taken").
			Hint("if it was not, the later falls have the wrong numbers: void them first, from fall %d back", last)
	}
	return nil
}
