package trace

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// A guide that nobody stated, seen by a cell that is known to 0.05 %: what starts
// from the drop is too high, and the intervals hold the truth all the same. They
// are wide, since the friction may have ended with the drop.
func TestGuideThatShows(t *testing.T) {
	const trials = 40
	doubt := Doubt{Cell: 0.0005, Mass: 0.01, Drop: 0.001}
	for _, share := range []float64{0.08, 0.12} {
		f := refine(kelvinVoigt(20e3, 0.05).behind(share, share), 2.4)
		log := logger{rate: 5000, noise: 5, offset: 12, lead: 0.3, seconds: 2.2}
		rng := rand.New(rand.NewPCG(8, uint64(1e3*share)))
		held, outside := 0, 0
		for range trials {
			rec := log.measure(f, doubt.Cell*rng.NormFloat64(), rng)
			r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop + doubt.Drop*rng.NormFloat64(), Doubt: doubt})
			if err != nil {
				t.Fatal(err)
			}
			for _, key := range []string{"max_stretch_m", "energy_in_J", "energy_absorbed_J", "rebound_speed_mps", "secant_stiffness_Npm", "restitution"} {
				if u := r.Uncertainty[key]; u.Lower <= f.truth[key] && f.truth[key] <= u.Upper {
					held++
				}
				if math.Abs(valuesOf(r)[key]-f.truth[key]) > 0.01*f.truth[key] {
					outside++
				}
			}
		}
		if held < trials*6*93/100 {
			t.Errorf("a guide that takes %g: %d of %d intervals hold the truth", share, held, trials*6)
		}
		if outside < trials*4 {
			t.Errorf("a guide that takes %g: only %d values are off by it, there is nothing to see", share, outside)
		}
	}
}

// What is stated of the guide is in speed and budget, and what is not is named.
func TestGuideAsStated(t *testing.T) {
	rec := fallTrace(kelvinVoigt(20e3, 0.1).behind(0.03, 0.03), 5000, 0.3, 2.6)
	truth := refine(kelvinVoigt(20e3, 0.1).behind(0.03, 0.03), 2.4).truth
	r, _, err := Take(rec, Settings{Mass: refMass, Drop: refDrop, Guide: 0.03, Doubt: Doubt{Guide: 0.005}})
	if err != nil {
		t.Fatal(err)
	}
	// The bias is the friction in the contact; the drop and the mass are exact here.
	for _, key := range []string{"max_stretch_m", "energy_in_J", "energy_absorbed_J", "rebound_speed_mps"} {
		u := r.Uncertainty[key]
		within(t, key+" less its bias", Value(valuesOf(r)[key]-u.Bias), truth[key], 0.005*truth[key])
		sources := ""
		for _, s := range u.Budget {
			sources += s.Source + "; "
		}
		if !strings.Contains(sources, "guide's friction; ") || !strings.Contains(sources, "guide's friction after contact") {
			t.Errorf("%s: the budget has %s", key, sources)
		}
	}
	if _, _, err := Take(rec, Settings{Guide: 3}); err == nil || !strings.Contains(err.Error(), "it is a share") && !strings.Contains(err.Error(), "guide's share") {
		t.Errorf("a guide that takes three times the fall: %v", err)
	}
}

// Guide friction that the drop's speed does not know of is in the budgets.
func TestGuideFrictionIsInTheBudget(t *testing.T) {
	rec := spoil(fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6), 3, 20, 1, 2)
	truth := 0.98173
	r, _, err := Take(rec, Settings{Mass: refMass, Drop: 1.05 * refDrop, Doubt: Doubt{Cell: 0.0005, Mass: 0.01, Drop: 0.001}})
	if err != nil {
		t.Fatal(err)
	}
	if u := r.Uncertainty["max_stretch_m"]; u.Budget[0].Source != "guide's friction after contact" || u.Lower > truth || u.Upper < truth {
		t.Errorf("a drop 5 %% too high for the speed: stretch %g, %+v", float64(r.MaxStretch), u)
	}
}
