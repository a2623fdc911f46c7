package compare

import (
	"math"
	"testing"

	"fallwright.example/problem"
)

func TestRefusals(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	fine := join(series("Marram soaked", "S", 5, 1, 2), series("Marram dry", "D", 5, 1, 3))
	for _, c := range []struct {
		name string
		obs  []Observation
		want string
	}{
		{"NaN", append(fine[:4:4], Observation{"X", "worn", 1, nan}), "specimen X fall 1: its value is NaN, a number up to 1e+100 is needed"},
		{"infinite", append(fine[:4:4], Observation{"X", "worn", 1, -inf}), "specimen X fall 1: its value is -Inf, a number up to 1e+100 is needed"},
		{"beyond any rope", append(fine[:4:4], Observation{"X", "worn", 1, 1e101}), "specimen X fall 1: its value is 1e+101, a number up to 1e+100 is needed"},
		{"twice", append(fine[:4:4], Observation{"S-1", "Marram soaked", 5, 7}), "specimen S-1 fall 5: given twice, 1 and 7, one value a fall is needed"},
		{"two conditions", append(fine[:4:4], Observation{"S-1", "worn", 6, 7}), "specimen S-1 fall 6: in condition Marram soaked and in worn, a specimen has one"},
		{"no specimen", append(fine[:4:4], Observation{"", "worn", 6, 7}), `specimen  fall 6: condition "worn", a value needs a specimen, a condition and a fall from 1`},
		{"no condition", append(fine[:4:4], Observation{"X", "", 6, 7}), `specimen X fall 6: condition "", a value needs a specimen, a condition and a fall from 1`},
		{"fall 0", append(fine[:4:4], Observation{"X", "worn", 0, 7}), `specimen X fall 0: condition "worn", a value needs a specimen, a condition and a fall from 1`},
		{"two at once", append(fine[:4:4], Observation{"X", "worn", 1, nan}, Observation{"Y", "worn", 1, nan}), "specimen X fall 1: its value is NaN, a number up to 1e+100 is needed\nspecimen Y fall 1: its value is NaN, a number up to 1e+100 is needed"},
	} {
		_, errT := Table(c.obs, []string{"Marram dry"})
		_, errA := Against(c.obs, "Marram dry", []string{"Marram soaked"})
		_, errP := Put(salt, c.obs)
		for _, err := range []error{errT, errA, errP} {
			if problem.KindOf(err) != problem.Invalid || err.Error() != c.want {
				t.Errorf("%s: %v, want %s", c.name, err, c.want)
			}
		}
	}
	for _, c := range []struct {
		spoil func(*Question)
		want  string
	}{
		{func(q *Question) { q.Baseline = q.Condition }, `compares "Marram soaked" with "Marram soaked", two conditions are needed`},
		{func(q *Question) { q.Baseline = "" }, `compares "Marram soaked" with "", two conditions are needed`},
		{func(q *Question) { q.Condition = "" }, `compares "" with "Marram dry", two conditions are needed`},
		{func(q *Question) { q.Falls = nil }, "names no fall, at least one is needed"},
		{func(q *Question) { q.Falls = []int{0} }, "names fall 0, falls count from 1 and each is named once"},
		{func(q *Question) { q.Falls = []int{2, 3, 2} }, "names fall 2, falls count from 1 and each is named once"},
		{func(q *Question) { q.Amount = 200 }, "has margins of 5 % and 200 N, exactly one is needed"},
		{func(q *Question) { q.Share = 0 }, "has margins of 0 % and 0 N, exactly one is needed"},
		{func(q *Question) { q.Share = -0.05 }, "has a margin of -0.05, a positive one is needed"},
		{func(q *Question) { q.Share = nan }, "has a margin of NaN, a positive one is needed"},
		{func(q *Question) { q.Amount = inf }, "has a margin of +Inf, a positive one is needed"},
	} {
		q := salt
		c.spoil(&q)
		if _, err := Put(q, fine); problem.KindOf(err) != problem.Invalid || err.Error() != "question salt: "+c.want {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
	if a, err := Put(salt, nil); err != nil || a.Verdict != NoClaim {
		t.Errorf("no observations at all: %+v, %v, want no claim", a, err)
	}
}
