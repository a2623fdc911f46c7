package compare

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// Two conditions of three specimens with one geometric mean and spreads of 2 %
// and 6 %, asked with a margin so small that the estimate all but always lies
// beyond it: the verdict is higher or lower as often as the interval excludes
// zero. For logarithms that are normal the exact rate is 5.17 % (spread ×3 at 3
// and 3; derived in num/oneway's tests and tabulated in docs/METHODS.md), near
// the nominal 5 % and not at it, because Welch's method is approximate.
// Tolerance: four standard errors of a share of 10 000, 0.89 points.
//
// With the margin of 5 % that a question would have, most of these are not
// findings: the estimate has to reach the margin as well.
func TestFalseFindings(t *testing.T) {
	const trials, exact = 10_000, 0.0517
	r := rand.New(rand.NewPCG(7, 11))
	draw := func(sd float64) []float64 {
		out := make([]float64, 3)
		for i := range out {
			out[i] = 3500 * math.Exp(sd*r.NormFloat64())
		}
		return out
	}
	tiny := salt
	tiny.Share = 1e-6
	var tinyHigher, tinyLower, real int
	for range trials {
		soaked, dry := draw(0.06), draw(0.02)
		switch put(t, tiny, soaked, dry).Verdict {
		case Higher:
			tinyHigher++
		case Lower:
			tinyLower++
		}
		if v := put(t, salt, soaked, dry).Verdict; v == Higher || v == Lower {
			real++
		}
	}
	share := func(n int) float64 { return float64(n) / trials }
	t.Logf("higher %.2f %%, lower %.2f %%; with a margin of 5 %%: %.2f %%", 100*share(tinyHigher), 100*share(tinyLower), 100*share(real))
	if got := share(tinyHigher + tinyLower); !near.Abs(got, exact, 4*math.Sqrt(exact*(1-exact)/trials)) {
		t.Errorf("higher or lower in %.4f of the trials, exactly %.4f", got, exact)
	}
	// Either way alike, as the logarithms are symmetric.
	if half := exact / 2; !near.Abs(share(tinyHigher), half, 4*math.Sqrt(half/trials)) {
		t.Errorf("higher in %.4f of the trials, want %.4f", share(tinyHigher), half)
	}
	if real == 0 || real >= tinyHigher+tinyLower {
		t.Errorf("%d findings with a margin of 5 %%, %d with next to none", real, tinyHigher+tinyLower)
	}
}

// A true difference of exactly the margin must be called one that does not
// matter in no more than 5 % of trials, as two one-sided tests at 5 % promise.
// At 3 and 3 with equal spread Welch's method keeps well below. Tolerance: the
// limit itself, and more than none, since a rule that never says it is no rule.
func TestFalseNoDifference(t *testing.T) {
	const trials = 5_000
	r := rand.New(rand.NewPCG(13, 17))
	draw := func(mean float64) []float64 {
		out := make([]float64, 3)
		for i := range out {
			out[i] = mean * math.Exp(0.015*r.NormFloat64())
		}
		return out
	}
	wrong, right := 0, 0
	for range trials {
		if put(t, salt, draw(1.05*3500), draw(3500)).Verdict == NoDifference {
			wrong++
		}
		if put(t, salt, draw(3500), draw(3500)).Verdict == NoDifference {
			right++
		}
	}
	t.Logf("called no difference: %.2f %% at the margin, %.1f %% at none", 100*float64(wrong)/trials, 100*float64(right)/trials)
	if wrong == 0 || float64(wrong)/trials > 0.05 {
		t.Errorf("%d of %d called no difference at the margin itself", wrong, trials)
	}
	if float64(right)/trials < 0.5 {
		t.Errorf("only %d of %d called no difference where there is none", right, trials)
	}
}
