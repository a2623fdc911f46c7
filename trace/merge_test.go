package trace

import (
	"testing"

	"fallwright.example/num/uncert"
)

// Two humps with a gap too short for the rope to have gone slack are one contact,
// and its peak is the larger hump's, whichever that is.
func TestPeakOfMergedContactsIsTheLarger(t *testing.T) {
	for _, c := range []struct{ first, second, peakAt float64 }{{900, 1000, 156}, {1000, 900, 55}, {1000, 1000, 55}} {
		var time, force []float64
		for i := range 240 {
			time, force = append(time, float64(i)), append(force, 0)
			switch {
			case i >= 5 && i < 105:
				force[i] = c.first * (1 - 0.01*float64(abs(i-55)))
			case i >= 106 && i < 206:
				force[i] = c.second * (1 - 0.01*float64(abs(i-156)))
			}
		}
		got := findContacts(time, force, thresholds{enter: 20, leave: 10})
		if len(got) != 1 || got[0].Peak != max(c.first, c.second) || got[0].PeakAt != c.peakAt {
			t.Errorf("humps of %g and %g N: %+v, want one with its peak at %g s", c.first, c.second, got, c.peakAt)
		}
	}
}

func abs(i int) int { return max(i, -i) }

// Contacts whose flanks meet are joined with the larger peak, and the later end.
func TestJoinedContactKeepsTheLargerPeak(t *testing.T) {
	a := Contact{From: 2, To: 8, Start: 2, End: 8, Peak: 10, PeakAt: 5}
	for _, next := range []Contact{{To: 12, End: 12, Peak: 9, PeakAt: 10}, {To: 12, End: 12, Open: true, Peak: 11, PeakAt: 10}} {
		c := a
		c.join(next)
		want := a
		want.To, want.End, want.Open = 12, 12, next.Open
		if next.Peak > a.Peak {
			want.Peak, want.PeakAt = 11, 10
		}
		if c != want {
			t.Errorf("%+v, want %+v", c, want)
		}
	}
}

// Below one degree of freedom there is no interval, and none that was kept for
// infinitely many, which are written 0, is given for it.
func TestNoIntervalBelowOneDegreeOfFreedom(t *testing.T) {
	many, err := coverageFactor(uncert.Result{Standard: 1})
	if err != nil || many < 1.95 || many > 1.97 {
		t.Fatalf("infinitely many: %g, %v", many, err)
	}
	for _, few := range []float64{0.99, 0.5, 1e-9} {
		if k, err := coverageFactor(uncert.Result{Standard: 1, Freedom: few}); err == nil {
			t.Errorf("%g degrees of freedom have the factor %g", few, k)
		}
	}
	if k, err := coverageFactor(uncert.Result{Standard: 1, Freedom: 1}); err != nil || k < 12.70 || k > 12.72 {
		t.Errorf("one degree: %g, %v", k, err) // [JCGM100] table G.2
	}
}
