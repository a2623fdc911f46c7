package compare

import (
	"math"
	"math/rand/v2"
	"testing"
)

// share of studies drawn from w that come to one of the verdicts with a margin.
func (w truth) share(t *testing.T, trials int, margin float64, verdicts ...Verdict) float64 {
	t.Helper()
	r := rand.New(rand.NewPCG(23, uint64(1e6*margin)))
	q := w.question("1", "2", "3")
	q.Share = margin
	count := 0
	for range trials {
		a := analysed(t, w.draw(r), Ask{Scale: Log})
		c, err := a.contrast(q.Condition, q.Baseline, q.Falls)
		if err != nil {
			t.Fatal(err)
		}
		c.margin = q.margin()
		d, err := a.differences([]contrast{c}, None)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range verdicts {
			if d[0].Verdict == v {
				count++
			}
		}
	}
	return float64(count) / float64(trials)
}

// How often the rule is wrong, in studies of three conditions, three specimens
// and three falls. Without any difference and with next to no margin, higher or
// lower is said in 5 %; with a margin of 5 % in fewer. With a true difference
// at the margin itself, no difference that matters is said in 5 % at the most.
// Tolerance: four standard errors and half a point for Kenward-Roger's t.
func TestFalseFindings(t *testing.T) {
	trials := max(400, *rates)
	band := 4*math.Sqrt(0.05*0.95/float64(trials)) + 0.005
	none := truth{3, 3, 3, 0, 0.02, 0, 0, 0.02, nil}
	small := none.share(t, trials, 1e-6, Higher, Lower)
	with := none.share(t, trials, 0.03, Higher, Lower)
	at := truth{3, 3, 3, math.Log(1.05), 0.015, 0, 0, 0.015, nil}
	alike := at.share(t, trials, 0.05, NoDifference)
	t.Logf("no difference: %.2f %% higher or lower, %.2f %% with a margin of 3 %%; at the margin %.2f %% no difference that matters (standard error %.2f)",
		100*small, 100*with, 100*alike, 100*math.Sqrt(0.05*0.95/float64(trials)))
	if math.Abs(small-0.05) > band {
		t.Errorf("higher or lower in %.4f of the studies", small)
	}
	if with > small {
		t.Errorf("with a margin more often than without: %.4f, %.4f", with, small)
	}
	if alike == 0 || alike > 0.05+band {
		t.Errorf("no difference that matters in %.4f of the studies at the margin", alike)
	}
}
