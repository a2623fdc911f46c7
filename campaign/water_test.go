package campaign

import (
	"strings"
	"testing"

	"fallwright.example/problem"
)

// weighed is begun with a rope of known mass: a piece of M-01 weighs some 0.21 kg.
func weighed() Study {
	s := begun()
	for i := range s.Plan.Ropes {
		s.Plan.Ropes[i].MassPerLength = 0.062
	}
	for i := range s.Plan.Specimens {
		s.Plan.Specimens[i].To = s.Plan.Specimens[i].From + 3.4
	}
	s.Plan.Water = Water{Resolution: 0.0001, Repeatability: 0.001}
	s.Weighings = append(s.Weighings, Weighing{ID: "w3", Stamp: at(1), Specimen: "M-01", Of: Soaked, Soak: 60, Mass: 0.28})
	return s
}

// What a specimen cannot weigh is refused with the numbers and what to do.
func TestMassRules(t *testing.T) {
	tried := 0
	for what, c := range map[string]struct {
		kind  problem.Kind
		alter func(*Weighing)
		says  string
	}{
		"as it should be":            {0, func(*Weighing) {}, ""},
		"grams as kilograms":         {problem.Invalid, func(w *Weighing) { w.Mass = 290 }, "290 g is likely meant"},
		"kilograms as grams":         {problem.Invalid, func(w *Weighing) { w.Mass = 0.00029 }, "290 g is likely meant"},
		"a slip of the comma":        {problem.Invalid, func(w *Weighing) { w.Mass = 2.9 }, "decimal mark"},
		"below dry":                  {problem.Invalid, func(w *Weighing) { w.Mass = 0.2 }, "the wet mass 200 g is 11 g below the dry mass 211 g"},
		"below dry within the scale": {0, func(w *Weighing) { w.Mass = 0.209 }, ""},
		"dried below dry":            {0, func(w *Weighing) { w.Of, w.Soak, w.Hung, w.Mass = Dried, 0, 3600, 0.2 }, ""},
		"three times dry":            {problem.Invalid, func(w *Weighing) { w.Mass = 0.64 }, "times the dry mass"},
		"the same soak again":        {problem.Conflict, func(w *Weighing) { w.Soak = 60 }, "w3"},
		"that soak corrected":        {0, func(w *Weighing) { w.Soak, w.Replaces = 60, "w3" }, ""},
		"no time under water":        {problem.Invalid, func(w *Weighing) { w.Soak = 0 }, "not said how long"},
		"dry after a soak":           {problem.Invalid, func(w *Weighing) { w.Of, w.Mass = DryMassOf, 0.212 }, "a dry mass after 5 min"},
	} {
		s := weighed()
		w := Weighing{ID: "w4", Stamp: at(5), Specimen: "M-01", Of: Soaked, Soak: 300, Mass: 0.29}
		c.alter(&w)
		err := s.CheckWeighing(w)
		text := ""
		for _, p := range problem.All(err) {
			text += p.Error() + " " + strings.Join(p.Hints, " ")
		}
		if problem.KindOf(err) != c.kind || !strings.Contains(text, c.says) {
			t.Errorf("%s: kind %d, want %d, %q", what, problem.KindOf(err), c.kind, text)
		}
		tried++
	}
	if tried != 12 {
		t.Errorf("%d tried", tried)
	}
}

// A weighing between is dry again: the same time of the next soak is no repetition.
func TestNextSoak(t *testing.T) {
	s := weighed()
	s.Weighings = append(s.Weighings, Weighing{ID: "w4", Stamp: at(9), Specimen: "M-01", Of: Dried, Hung: 7200, Mass: 0.2112})
	if err := s.CheckWeighing(Weighing{ID: "w5", Stamp: at(10), Specimen: "M-01", Of: Soaked, Soak: 60, Mass: 0.281}); err != nil {
		t.Error(err)
	}
	if m, known := s.DryMass("M-01", at(10).At); !known || m != 0.211 {
		t.Errorf("the dry mass is %g, %t: that which was replaced, or none", m, known)
	}
	if n := len(s.Standing()); n != len(s.Weighings)-1 {
		t.Errorf("%d weighings stand of %d, and one was replaced", n, len(s.Weighings))
	}
}

func TestSaid(t *testing.T) {
	for want, w := range map[string]Weighing{
		"soaked 5 min": {Of: Soaked, Soak: 300}, "soaked 45 s, drained 2 min": {Of: Drained, Soak: 45, Hung: 120},
		"dried 18 h": {Of: Dried, Hung: 18 * 3600}, "dry": {Of: DryMassOf}, "my words": {Of: Soaked, Soak: 3, State: "my words"},
	} {
		if got := w.Said(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
