package compare

import (
	"math"
	"math/rand/v2"
	"slices"
)

// stratum holds values within which specimens were dealt to two conditions; the
// first count of them are those of the condition. They are measured from the
// mean of the stratum, so that a large constant part costs no digits.
type stratum struct {
	value []float64
	count int
}

// dealing is all strata of a re-randomisation test.
//
// With the sizes of the conditions fixed, the difference of the two means is an
// affine function of the sum S over the condition's specimens, whatever the
// strata, so it is S less its mean over the arrangements that is compared:
// S − Σ count·mean of the stratum.
type dealing struct {
	strata []stratum
	seen   float64 // |S| as it was, less what rounding may have cost
}

// newDealing takes the values of each stratum, those of the condition first.
func newDealing(strata []stratum) dealing {
	d := dealing{}
	sum, size := 0.0, 0.0
	for _, s := range strata {
		mean := 0.0
		for _, v := range s.value {
			mean += v / float64(len(s.value))
		}
		centred := stratum{count: s.count}
		for i, v := range s.value {
			centred.value = append(centred.value, v-mean)
			size = max(size, math.Abs(v-mean))
			if i < s.count {
				sum += v - mean
			}
		}
		d.strata = append(d.strata, centred)
	}
	d.seen = math.Abs(sum) - 1e-9*size
	return d
}

// arrangements is the number of ways of dealing, infinite when it cannot be
// held.
func (d dealing) arrangements() float64 {
	n := 1.0
	for _, s := range d.strata {
		n *= choose(len(s.value), s.count)
	}
	return n
}

// mirrored reports whether each arrangement has one with the same difference
// turned round: as many specimens of either condition in every stratum.
func (d dealing) mirrored() bool {
	return !slices.ContainsFunc(d.strata, func(s stratum) bool { return 2*s.count != len(s.value) })
}

// every counts the arrangements that differ at least as much as what was seen.
func (d dealing) every() int {
	sums := make([][]float64, len(d.strata))
	for i, s := range d.strata {
		s.each(0, s.count, 0, func(sum float64) { sums[i] = append(sums[i], sum) })
	}
	return d.beyond(sums, 0)
}

func (d dealing) beyond(sums [][]float64, sum float64) int {
	if len(sums) == 0 {
		if math.Abs(sum) >= d.seen {
			return 1
		}
		return 0
	}
	n := 0
	for _, s := range sums[0] {
		n += d.beyond(sums[1:], sum+s)
	}
	return n
}

// each calls yield with the sum of every choice of count values from the
// from-th on, added to sum.
func (s stratum) each(from, count int, sum float64, yield func(float64)) {
	if count == 0 {
		yield(sum)
		return
	}
	for i := from; i <= len(s.value)-count; i++ {
		s.each(i+1, count-1, sum+s.value[i], yield)
	}
}

// some deals draws times and counts those that differ at least as much as what
// was seen.
func (d dealing) some(draws int, seed uint64) int {
	random := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	n := 0
	for range draws {
		sum := 0.0
		for _, s := range d.strata {
			for i := range s.count { // the first steps of a Fisher-Yates shuffle
				j := i + random.IntN(len(s.value)-i)
				s.value[i], s.value[j] = s.value[j], s.value[i]
				sum += s.value[i]
			}
		}
		if math.Abs(sum) >= d.seen {
			n++
		}
	}
	return n
}

// choose is the number of ways of choosing k of n.
func choose(n, k int) float64 {
	c := 1.0
	for i := 1; i <= min(k, n-k); i++ {
		c = math.Round(c * float64(n-min(k, n-k)+i) / float64(i))
	}
	return c
}
