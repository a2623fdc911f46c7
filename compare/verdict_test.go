package compare

import (
	"math"
	"testing"

	"fallwright.example/problem"
)

// Every branch of the rule at its edge: the margin itself matters, a p of 0.05
// does not do.
func TestVerdictEdges(t *testing.T) {
	nan := math.NaN()
	low, below5 := math.Nextafter(0.05, 0), math.Nextafter(5, 0)
	for _, c := range []struct {
		n                         int
		estimate, p, equivalenceP float64
		want                      Verdict
	}{
		{3, 6, 0.001, 0.9, Higher},
		{3, 5, low, 0.5, Higher},
		{2, 5, low, 0.5, Higher},
		{3, 5, 0.05, 0.5, NotSettled},
		{3, below5, low, 0.5, NotSettled},
		{3, -6, 0.001, 0.9, Lower},
		{3, -5, low, 0.5, Lower},
		{3, -5, 0.05, 0.5, NotSettled},
		{3, -below5, low, 0.5, NotSettled},
		{3, 0, 1, low, NoDifference},
		{3, 0, 1, 0.05, NotSettled},
		{3, 2, 0.001, 0.01, NoDifference}, // seen, but too small to matter
		{1, 9, 0.001, 0.9, NoClaim},
		{0, 0, 1, 0.01, NoClaim},
		{3, 9, nan, nan, NoClaim},
		{3, nan, 0.01, 0.9, NoClaim},
		{3, 9, 0.01, nan, NoClaim},
	} {
		v := view{n: c.n, estimate: c.estimate, p: c.p, equivalenceP: c.equivalenceP, margin: 5}
		if got := v.verdict(); got != c.want {
			t.Errorf("%+v: %s", c, got)
		}
	}
}

// The margin tells the scale, and without one there is no verdict.
func TestVerdictOfDifference(t *testing.T) {
	d := Difference{N: 3, NBaseline: 4, Amount: 190, Percent: 5.1, PAdjusted: 0.01, P: 0.9, EquivalenceP: 0.01, EquivalencePAdjusted: 0.6}
	for _, c := range []struct {
		m    Margin
		want Verdict
	}{{Margin{Share: 0.05}, Higher}, {Margin{Share: 0.052}, NotSettled}, {Margin{Amount: 190}, Higher}, {Margin{Amount: 200}, NotSettled}, {Margin{}, ""}} {
		if got := d.verdict(c.m); got != c.want {
			t.Errorf("%+v: %q, want %q", c.m, got, c.want)
		}
	}
}

func TestQuestionRefusals(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		spoil func(*Question)
		want  string
	}{
		{func(q *Question) { q.Baseline = q.Condition }, `compares "Marram soaked" with "Marram soaked", two conditions are needed`},
		{func(q *Question) { q.Baseline = "" }, `compares "Marram soaked" with "", two conditions are needed`},
		{func(q *Question) { q.Condition = "" }, `compares "" with "Marram dry", two conditions are needed`},
		{func(q *Question) { q.Falls = []Fall{""} }, `names fall "", each is named once`},
		{func(q *Question) { q.Falls = []Fall{"2", "3", "2"} }, `names fall "2", each is named once`},
		{func(q *Question) { q.Amount = 200 }, "has margins of 5 % and 200 N, exactly one is needed"},
		{func(q *Question) { q.Share = 0 }, "has margins of 0 % and 0 N, exactly one is needed"},
		{func(q *Question) { q.Share = -0.05 }, "has a margin of -0.05, a positive one is needed"},
		{func(q *Question) { q.Share = nan }, "has a margin of NaN, a positive one is needed"},
		{func(q *Question) { q.Share, q.Amount = 0, inf }, "has a margin of +Inf, a positive one is needed"},
		{func(q *Question) { q.Share = 1 }, "has a margin of 100 %, one below 100 % is needed"},
	} {
		q := salt
		c.spoil(&q)
		if err := q.check(); problem.KindOf(err) != problem.Invalid || err.Error() != "question salt: "+c.want {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
	if err := salt.check(); err != nil {
		t.Error(err)
	}
}
