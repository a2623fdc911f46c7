package rope_test

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/rope"
)

// Exact algebra: each factor reaches its own parameter of the deepest law, and
// no other.
func TestChangeReachesItsParameter(t *testing.T) {
	law := rope.Knotted{Law: sliding, Slip: 0.06, Force: 1500, Delay: 0.01}
	checked := 0
	for name, c := range map[string]struct {
		set  func(*rope.Change)
		want func(*rope.Sliding, *rope.Knotted)
	}{
		"stiffness":  {func(c *rope.Change) { c.Stiffness = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Equilibrium *= 2 }},
		"growth":     {func(c *rope.Change) { c.Growth = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Growth *= 2 }},
		"branch":     {func(c *rope.Change) { c.Branch = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Branch *= 2 }},
		"relaxation": {func(c *rope.Change) { c.Relaxation = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Relaxation *= 2 }},
		"contact":    {func(c *rope.Change) { c.Contact = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Contact *= 2 }},
		"ease":       {func(c *rope.Change) { c.Ease = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Ease *= 2 }},
		"friction":   {func(c *rope.Change) { c.Friction = 2 }, func(s *rope.Sliding, _ *rope.Knotted) { s.Friction *= 2 }},
		"slip":       {func(c *rope.Change) { c.Slip = 2 }, func(_ *rope.Sliding, k *rope.Knotted) { k.Slip *= 2 }},
		"nothing":    {func(*rope.Change) {}, func(*rope.Sliding, *rope.Knotted) {}},
	} {
		change, inner, want := rope.Same(), sliding, law
		c.set(&change)
		c.want(&inner, &want)
		want.Law = inner
		got, err := change.Apply(law)
		if err != nil {
			t.Fatal(err)
		}
		if got != rope.Law(want) {
			t.Errorf("%s: %+v, want %+v", name, got, want)
		}
		checked++
	}
	if checked != 9 {
		t.Fatalf("checked %d", checked)
	}
}

// Exact algebra: half a change twice is the change, and after a rest of ln 2
// times the recovery time half of it is left.
func TestPartsOfAChange(t *testing.T) {
	worn := rope.Same()
	worn.Stiffness, worn.Friction = 1.21, 0.64
	half := worn.Part(1 - rope.Recovered(600*math.Ln2, 600))
	if !(math.Abs(half.Stiffness-1.1) < 1e-12 && math.Abs(half.Friction-0.8) < 1e-12 && half.Branch == 1) {
		t.Errorf("half of it is %+v", half)
	}
	if twice := half.Then(half); !(math.Abs(twice.Stiffness-1.21) < 1e-12 && math.Abs(twice.Friction-0.64) < 1e-12) {
		t.Errorf("twice half of it is %+v", twice)
	}
	for name, law := range laws {
		got, err := worn.Apply(law)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// A small strain, slowly: the spring alone, and that of Knotted too.
		ratio := got.Tension(1e-9, 0, make([]float64, got.States())) / law.Tension(1e-9, 0, make([]float64, law.States()))
		if !(math.Abs(ratio-1.21) < 1e-9) {
			t.Errorf("%s: %g times as stiff, want 1.21", name, ratio)
		}
	}
}

func TestChangeRefusals(t *testing.T) {
	if err := (rope.Change{}).Check(); err == nil || err.Error() != "stiffness: a factor of 0, a change needs one above 0" {
		t.Errorf("got %v", err)
	}
	much := rope.Same()
	much.Friction = 5
	if _, err := much.Apply(sliding); err == nil || !strings.HasPrefix(err.Error(), "friction: 1.25, the law needs less than 1") {
		t.Errorf("got %v", err)
	}
	if _, err := rope.Same().Apply(spoilt{}); err == nil {
		t.Error("a law from elsewhere is changed")
	}
}

// Every factor has its name, and no two the same.
func TestFactorsByName(t *testing.T) {
	for i, name := range rope.FactorNames() {
		change := rope.Same()
		*change.Factor(name) = 2
		want := [8]rope.Change{
			{2, 1, 1, 1, 1, 1, 1, 1},
			{1, 2, 1, 1, 1, 1, 1, 1},
			{1, 1, 2, 1, 1, 1, 1, 1},
			{1, 1, 1, 2, 1, 1, 1, 1},
			{1, 1, 1, 1, 2, 1, 1, 1},
			{1, 1, 1, 1, 1, 2, 1, 1},
			{1, 1, 1, 1, 1, 1, 2, 1},
			{1, 1, 1, 1, 1, 1, 1, 2},
		}[i]
		if change != want {
			t.Errorf("%s: %+v", name, change)
		}
	}
	named := rope.Change{Stiffness: 1, Growth: 2, Branch: 3, Relaxation: 4, Contact: 5, Ease: 6, Friction: 7, Slip: 8}
	for name, want := range map[string]float64{
		"stiffness": 1, "growth": 2, "branch": 3, "relaxation": 4, "contact": 5, "ease": 6, "friction": 7, "slip": 8,
	} {
		if got := named.Factor(name); got == nil || *got != want {
			t.Errorf("%s: %v, want %g", name, got, want)
		}
	}
	if named.Factor("colour") != nil || len(rope.FactorNames()) != 8 {
		t.Errorf("a factor of another name, or not eight of them: %v", rope.FactorNames())
	}
}
