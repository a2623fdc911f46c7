package trace

import (
	"cmp"
	"math"
	"slices"
	"testing"
)

// The two propagations agree where the model is near enough to linear: cell,
// mass and drop of half a percent and less. 20 000 trials know a standard
// deviation to 0.5 % and the ends of a 95 % interval to about 1.5 % of its half
// width; second-order terms and the rectangle at a jump are allowed 4 %.
func TestTrialsAgreeWithTheLaw(t *testing.T) {
	rec := spoil(fallTrace(zener(10e3, 15e3, 0.1), 2000, 0.3, 2.6), 5, 20, 1, 3)
	set := Settings{Mass: refMass, Drop: refDrop, Class: 60, Doubt: doubtStated}
	law, _, err := Take(rec, set)
	if err != nil {
		t.Fatal(err)
	}
	set.Trials, set.Seed = 20000, 7
	chance, _, err := Take(rec, set)
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, key := range outcomeKeys {
		a, ok := law.Uncertainty[key]
		if !ok {
			continue
		}
		b := chance.Uncertainty[key]
		if b.Trials != 20000 {
			t.Errorf("%s: %d trials", key, b.Trials)
		}
		within(t, key+" standard", Value(b.Standard), a.Standard, 0.04*a.Standard)
		within(t, key+" lower", Value(b.Lower), a.Lower, 0.1*(a.Upper-a.Lower)/2)
		within(t, key+" upper", Value(b.Upper), a.Upper, 0.1*(a.Upper-a.Lower)/2)
		checked++
	}
	if checked < 10 {
		t.Fatalf("%d values checked", checked)
	}
	again, _, _ := Take(rec, set)
	if again.Uncertainty["energy_in_J"].Lower != chance.Uncertainty["energy_in_J"].Lower {
		t.Error("the same seed gives another interval")
	}
	set.Trials = 10
	if _, _, err := Take(rec, set); err == nil {
		t.Error("an interval from 10 trials")
	}
}

// A budget adds up: the squares of the parts make the square of the standard
// uncertainty, largest first; and the cell's share of a peak is its gain.
func TestBudgetsAddUp(t *testing.T) {
	rec := spoil(fallTrace(kelvinVoigt(20e3, 0.1), 2000, 0.3, 12), 5, 20, 1, 3)
	r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop, Length: refLength, Class: 60, Doubt: doubtStated})
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for key, u := range r.Uncertainty {
		sum := 0.0
		for _, s := range u.Budget {
			sum += s.Part * s.Part
			if math.Abs(math.Abs(s.Sensitivity)*s.Input-s.Part) > 1e-9*s.Part {
				t.Errorf("%s: %s has part %g of %g times %g", key, s.Source, s.Part, s.Sensitivity, s.Input)
			}
		}
		within(t, key, Value(math.Sqrt(sum)), u.Standard, 1e-9*u.Standard)
		if !slices.IsSortedFunc(u.Budget, func(a, b Share) int { return cmp.Compare(b.Part, a.Part) }) {
			t.Errorf("%s: %v is not largest first", key, u.Budget)
		}
		if u.Lower > u.Upper {
			t.Errorf("%s: interval %g to %g", key, u.Lower, u.Upper)
		}
		checked++
	}
	if checked < 20 {
		t.Fatalf("%d budgets", checked)
	}
	peak := r.Uncertainty["peak_force_N"]
	if s := peak.Budget[0]; s.Source != "cell" || math.Abs(s.Part-0.005*float64(r.PeakForce)) > 1e-6*s.Part {
		t.Errorf("the peak's largest share is %+v", s)
	}
}
