package compare

import (
	"reflect"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

func TestNotes(t *testing.T) {
	three := lognormal(3, 3500, 0.015)
	for _, c := range []struct {
		name        string
		q           Question
		soaked, dry []float64
		want        []string
	}{
		{"nothing to say", salt, lognormal(3, 4000, 0.02), three, []string{}},
		{"one", salt, []float64{3500}, three, []string{"Marram soaked has one specimen with a value at fall 5: an interval needs two a condition"}},
		{"none", salt, three, nil, []string{"Marram dry has no specimen with a value at fall 5: an interval needs two a condition"}},
		{"copied", salt, three, []float64{3500, 3500, 3500}, []string{"all values of Marram dry are the same: look whether they were copied or rounded"}},
		{"seen but small", salt, lognormal(3, 1.03*3500, 0.005), lognormal(3, 3500, 0.005), []string{"the 95\u202f% interval excludes zero: a difference was seen, but its estimate is smaller than the margin"}},
		{"unequal", salt, lognormal(3, 4000, 0.02), lognormal(5, 3500, 0.02), []string{"unequal numbers, 3 and 5: where the smaller group varies more, the interval errs more often than it says; add to Marram soaked first"}},
		{"not positive", salt, []float64{3, 0, 4}, three, []string{"Marram soaked has a value that is not positive: the difference cannot be had in per cent, only as an amount, and only a margin in the unit of the measure can be judged"}},
		{"not positive, amount", inN(), []float64{3, 0, 4}, three, []string{}},
	} {
		if a := put(t, c.q, c.soaked, c.dry); !reflect.DeepEqual(a.Notes, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, strings.Join(a.Notes, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// A value that is not positive takes the per cent away and leaves the amounts.
func TestPutNotPositive(t *testing.T) {
	a := put(t, salt, []float64{3, 0, 6}, []float64{1, 1, 4})
	d := a.Difference
	if a.Verdict != NoClaim || d.Amount != 1 || !known(d.Lower) || known(d.Percent) || known(d.PercentLower) {
		t.Errorf("%+v", a)
	}
	if want := "Marram soaked: no claim about its peak force against Marram dry at fall 5, 0.00 kN higher (3 and 3 specimens)."; a.Sentence != want {
		t.Error(a.Sentence)
	}
	// Both conditions without spread: the numbers, no claim.
	a = put(t, salt, []float64{3850, 3850}, []float64{3500, 3500})
	if a.Verdict != NoClaim || !near.Rel(a.Difference.Percent, 10, 1e-12) || known(a.Difference.P) || len(a.Notes) != 2 {
		t.Errorf("%+v", a)
	}
}
