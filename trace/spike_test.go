package trace

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The steep samples of a trace that is shared out to cores are those that one look
// finds, those at the joints too.
func TestSteepSamplesOfALongTrace(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 5))
	checked := 0
	for _, n := range []int{41, 1000, bigTrace, bigTrace + 6, bigTrace + 1001} {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.Float64()
		}
		for k := range bigParts + 1 { // jumps about every joint and both ends
			for at := k*(n-6)/bigParts - 3; at < k*(n-6)/bigParts+9; at += 1 + rng.IntN(3) {
				if at >= 0 && at < n {
					x[at] += 10
				}
			}
		}
		var want []int
		for i := 3; i+3 < n; i++ {
			if math.Abs(x[i]-x[i-1]) >= 2 || math.Abs(x[i]-x[i+1]) >= 2 {
				want = append(want, i)
			}
		}
		if got := steep(x, 2); !slices.Equal(got, want) {
			t.Errorf("%d samples: steep are %v, want %v", n, got, want)
		}
		checked += len(want)
	}
	if checked < 50 {
		t.Fatalf("%d steep samples were looked for", checked)
	}
}
