package compare

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// of puts the values of the condition first.
func of(condition, baseline []float64) stratum {
	return stratum{value: append(append([]float64{}, condition...), baseline...), count: len(condition)}
}

func pairs(condition, baseline []float64) []stratum {
	var out []stratum
	for i := range condition {
		out = append(out, of(condition[i:i+1], baseline[i:i+1]))
	}
	return out
}

var (
	// Invented peak forces of matched pieces, kN.
	wet = []float64{9.35, 9.41, 9.02, 9.44, 9.30, 9.52}
	dry = []float64{8.91, 9.12, 8.75, 9.03, 8.98, 9.20}
	// Differences in height of 15 pairs of maize, eighths of an inch, with the
	// two-sided count 1726 of 32 768 that [Fisher1935] section 21 has.
	maize = []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}
)

// Counts by writing out every arrangement in rational numbers, another program
// (testdata/deal.py); the first, the pairs and the maize are known in closed
// form or published. An offset of 1e6 must not turn a tie into a difference.
func TestEveryArrangement(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		name          string
		strata        []stratum
		beyond, total int
		mirrored      bool
	}{
		{"apart", []stratum{of([]float64{5, 6, 7}, []float64{1, 2, 3})}, 2, 20, true},
		{"ties", []stratum{of([]float64{1, 2, 2}, []float64{2, 2, 3})}, 12, 20, true},
		{"six and six", []stratum{of(wet, dry)}, 10, 924, true},
		{"pairs", pairs(wet, dry), 2, 64, true},
		{"unequal", []stratum{of([]float64{4.1, 3.9, 4.4}, []float64{3.6, 3.8, 4.0, 3.5, 3.9})}, 6, 56, false},
		{"unequal strata", []stratum{of([]float64{4.1, 3.9}, []float64{3.6, 3.8, 4.0}), of([]float64{4.4, 4.9, 4.3}, []float64{4.2, 4.1}), of([]float64{5.0}, []float64{4.7, 4.8})}, 7, 300, false},
		{"a stratum of one condition", []stratum{of([]float64{4.1, 3.9}, []float64{3.6, 3.8, 4.0}), of([]float64{4.4, 4.9}, nil)}, 4, 10, false},
		{"maize", pairs(maize, make([]float64, 15)), 1726, 32768, true},
		{"no difference at all", []stratum{of([]float64{4, 4, 4}, []float64{4, 4, 4})}, 20, 20, true},
	} {
		for _, offset := range []float64{0, 1e6} {
			moved := []stratum{}
			for _, s := range c.strata {
				m := stratum{count: s.count}
				for _, v := range s.value {
					m.value = append(m.value, v+offset)
				}
				moved = append(moved, m)
			}
			d := newDealing(moved)
			if got := d.every(); got != c.beyond || d.arrangements() != float64(c.total) || d.mirrored() != c.mirrored {
				t.Errorf("%s at %g: %d of %g, mirrored %v; want %d of %d", c.name, offset, got, d.arrangements(), d.mirrored(), c.beyond, c.total)
			}
			checked++
		}
	}
	if checked != 18 {
		t.Fatalf("%d checked", checked)
	}
}

// Dealing at random comes to the same share, and depends on the seed alone.
// Tolerance: four standard errors of a share of 20 000.
func TestSomeArrangements(t *testing.T) {
	for name, strata := range map[string][]stratum{
		"six and six": {of(wet, dry)},
		"maize":       pairs(maize, make([]float64, 15)),
		"strata":      {of([]float64{4.1, 3.9}, []float64{3.6, 3.8, 4.0}), of([]float64{4.4, 4.9, 4.3}, []float64{4.2, 4.1})},
	} {
		exact := float64(newDealing(strata).every()) / newDealing(strata).arrangements()
		got := newDealing(strata).some(20_000, 3)
		if !near.Abs(float64(got)/20_000, exact, 4*math.Sqrt(exact*(1-exact)/20_000)) {
			t.Errorf("%s: %d of 20000, exactly a share of %.5f", name, got, exact)
		}
		if again := newDealing(strata).some(20_000, 3); again != got {
			t.Errorf("%s: %d, then %d from one seed", name, got, again)
		}
		if other := newDealing(strata).some(20_000, 4); other == got {
			t.Errorf("%s: two seeds give %d", name, got)
		}
	}
}

// Where nothing differs, p is at or below a level no more often than the level:
// that is what the test promises, whatever the distribution. Tolerance: four
// standard errors above.
func TestDealingHoldsItsLevel(t *testing.T) {
	const trials = 4000
	r := rand.New(rand.NewPCG(1, 2))
	low := 0
	for range trials {
		draw := func(n int) []float64 {
			out := make([]float64, n)
			for i := range out {
				out[i] = r.ExpFloat64() * r.ExpFloat64() // far from normal
			}
			return out
		}
		d := newDealing([]stratum{of(draw(3), draw(4)), of(draw(2), draw(2))})
		if float64(d.every())/d.arrangements() <= 0.05 {
			low++
		}
	}
	if share := float64(low) / trials; low == 0 || share > 0.05+4*math.Sqrt(0.05*0.95/trials) {
		t.Errorf("p at or below 0.05 in %.4f of the trials", share)
	}
}

func TestChoose(t *testing.T) {
	for _, c := range [][3]int{{6, 3, 20}, {12, 6, 924}, {5, 0, 1}, {5, 5, 1}, {52, 5, 2598960}, {20, 10, 184756}} {
		if got := choose(c[0], c[1]); got != float64(c[2]) {
			t.Errorf("%d of %d: %g, want %d", c[1], c[0], got, c[2])
		}
	}
	if got := choose(2000, 1000); !math.IsInf(got, 1) {
		t.Errorf("1000 of 2000: %g", got)
	}
}
