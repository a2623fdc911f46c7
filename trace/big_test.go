package trace

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
)

// What a big trace is cut into makes no difference: its extent is that of all its
// samples at once, its intervals are the shortest and the longest of all, also where
// they lie on a cut.
func TestPartsOfABigTraceAreTheWhole(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 2))
	n := bigTrace + 5
	cut := n / bigParts
	for k := range 20 {
		x, time := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(rng.IntN(9)) // each end many times
			time[i] = float64(i)
		}
		at := []int{0, cut - 1, cut, cut + 1, 3 * cut, n - 2, n - 1}[k%7]
		x[at] += float64(100 * (1 - 2*(k%2)))
		if at > 0 {
			time[at] -= 0.25
		}
		if got, want := extentOf(x), extentFrom(x, 0, n); got != want {
			t.Fatalf("%+v, at once %+v", got, want)
		}
		shortest, longest := intervals(time)
		least, most := math.Inf(1), 0.0
		for i := 1; i < n; i++ {
			least, most = min(least, time[i]-time[i-1]), max(most, time[i]-time[i-1])
		}
		if shortest != least || longest != most {
			t.Fatalf("intervals from %g to %g, they are %g to %g", shortest, longest, least, most)
		}
	}
}

// A big trace has the same reading on one core and on several, whether it is kept
// or not.
func TestBigTraceReadsTheSameOnAnyCores(t *testing.T) {
	clean := fallTrace(kelvinVoigt(20e3, 0.2), 30e3, 0.3, 9)
	rec := spoil(clean, 8, -35, 1, 3)
	if len(rec.Force) < bigTrace {
		t.Fatalf("%d samples are no big trace", len(rec.Force))
	}
	set := Settings{Class: 60, Mass: refMass, Drop: refDrop}
	first := ""
	for _, cores := range []int{1, 4, 4} {
		before := runtime.GOMAXPROCS(cores)
		kept, _, err := Take(rec, set)
		lean, leanErr := Read(rec, set)
		runtime.GOMAXPROCS(before)
		if err != nil || leanErr != nil {
			t.Fatal(err, leanErr)
		}
		if len(kept.Contacts) < 2 || !kept.EnergyAbsorbed.Known() || !kept.LogDecrement.Known() || !kept.HangWeight.Known() {
			t.Fatalf("%d contacts, %v J absorbed, a decrement of %v, a weight of %v: too little to compare", len(kept.Contacts), kept.EnergyAbsorbed, kept.LogDecrement, kept.HangWeight)
		}
		peak := slices.Max(clean.Force)
		within(t, "peak", kept.PeakForce, peak, 0.02*peak) // noise and filter
		for _, r := range []*Reading{kept, lean} {
			text, err := json.Marshal(r)
			if err != nil {
				t.Fatal(err)
			}
			if first == "" {
				first = string(text)
			}
			if string(text) != first {
				t.Fatalf("%d cores: %s\nbefore %s", cores, text, first)
			}
		}
	}
}

// The smallest step is the one that a look at every pair finds, but for rounding.
func TestResolutionOfAShortTrace(t *testing.T) {
	for _, c := range []struct {
		force []float64
		want  float64
	}{
		{[]float64{0, 1, 3, 3, 2.5, 10}, 0.5},
		{[]float64{4, 4, 4}, math.NaN()},
		{[]float64{0, 1000, 1000 + 1e-8, 999}, 1}, // 1e-8 of 1000 is rounding
	} {
		take := take{rec: &Recording{Force: c.force}, wide: extentOf(c.force)}
		if got := take.resolution(); !(math.Abs(got-c.want) < 1e-6) && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%v: %g, want %g", c.force, got, c.want)
		}
	}
}

func TestMiddleIsThatOfOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for n := range 300 {
		x := make([]float64, n+1)
		for i := range x {
			x[i] = float64(rng.IntN(1 + n/2))
		}
		want := slices.Sorted(slices.Values(x))[len(x)/2]
		if got := middle(x); got != want {
			t.Fatalf("%g of %d, want %g", got, len(x), want)
		}
	}
}
