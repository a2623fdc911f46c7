package dial

import (
	"math"
	"math/rand/v2"
	"testing"
)

// twoNodes is a prior of two ropes whose peaks, slopes and spreads are written
// out, so that what is learnt can be worked by hand.
func twoNodes() (*prior, *response) {
	p := &prior{factors: []float64{1, 2}, weights: []float64{0.3, 0.7}, scatter: 0.03, repeat: 0.04}
	p.traits[gain] = trait{0.01, 0.02}
	p.traits[course].middle = 1
	r := &response{log: []float64{8.0, 8.3}, slopes: make([][simulated]float64, 2), stretch: []float64{0.3, 0.2}}
	r.slopes[0][friction], r.slopes[1][friction] = 0.05, 0.12
	return p, r
}

// density is that of a normal.
func density(x, mean, variance float64) float64 {
	return math.Exp(-(x-mean)*(x-mean)/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

// Bayes' rule by hand: each node weighs by the density of what was read, whose
// variance is that of traits, specimen and fall together; in a node the trait
// moves by its share of that variance.
func TestLearningByHand(t *testing.T) {
	p, r := twoNodes()
	b := believe(p, nil)
	const read = 8.12
	b.observe(r, read, 1, "")
	own := p.scatter*p.scatter + p.repeat*p.repeat + 0.02*0.02
	var weights, moved [2]float64
	for k, slope := range []float64{0.05, 0.12} {
		variance := own + slope*slope
		weights[k] = p.weights[k] * density(read, r.log[k]+0.01, variance)
		moved[k] = slope * (read - r.log[k] - 0.01) / variance
		if left := 1 - slope*slope/variance; math.Abs(b.spread[k][friction][friction]-left) > 1e-12 {
			t.Errorf("node %d: variance %.12f, by hand %.12f", k, b.spread[k][friction][friction], left)
		}
		if math.Abs(b.middle[k][friction]-moved[k]) > 1e-12 {
			t.Errorf("node %d: middle %.12f, by hand %.12f", k, b.middle[k][friction], moved[k])
		}
	}
	for k, w := range weights {
		if want := w / (weights[0] + weights[1]); math.Abs(b.weights[k]-want) > 1e-12 {
			t.Errorf("node %d: weight %.12f, by hand %.12f", k, b.weights[k], want)
		}
	}
}

// Two falls of one specimen share what it has of its own: the difference of the
// two peaks foreseen is that of two falls, not of two specimens. By hand, with
// the traits known.
func TestOneSpecimenIsOne(t *testing.T) {
	p, r := twoNodes()
	p.factors, p.weights, r.slopes = p.factors[:1], []float64{1}, make([][simulated]float64, 1)
	p.traits[gain] = trait{}
	b := believe(p, []Trial{{Specimen: "T-1"}})
	b.observe(r, 8.1, 1, "T-1")
	share := 0.03 * 0.03 / (0.03*0.03 + 0.04*0.04)
	again, fresh := b.foresee(r, 1, "T-1")[0], b.foresee(r, 1, "")[0]
	for what, pair := range map[string][2]float64{
		"again, mean":  {again.mean, 8 + 0.1*share},
		"again, sd":    {again.sd, math.Sqrt(0.04*0.04 + 0.03*0.03*(1-share))},
		"fresh, mean":  {fresh.mean, 8},
		"fresh, sd":    {fresh.sd, 0.05},
		"of two falls": {b.middle[0][traits], 0.1 * 0.03 / (0.05 * 0.05)},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-12 {
			t.Errorf("%s: %.12f, by hand %.12f", what, pair[0], pair[1])
		}
	}
}

// The fifth fall has all of the rise, the first none, and the second 63 % of what
// an endless series would have when the course is one fall.
func TestRising(t *testing.T) {
	if rising(1, 1.5) != 0 || rising(5, 1.5) != 1 {
		t.Errorf("first %g, fifth %g", rising(1, 1.5), rising(5, 1.5))
	}
	if got, want := rising(2, 1), (1-math.Exp(-1))/(1-math.Exp(-4)); math.Abs(got-want) > 1e-15 {
		t.Errorf("second %g, want %g", got, want)
	}
}

// The chance of the series beside a count of normals drawn from the same model:
// 400000 draws are good to 0.0025, and without what the first and the last fall
// have in common it is out by 0.02.
func TestSeriesBesideACount(t *testing.T) {
	p, r := twoNodes()
	p.traits[rise], p.traits[course].sd = trait{0.12, 0.03}, 0.4
	b := believe(p, nil)
	draw := rand.New(rand.NewPCG(5, 5))
	const draws = 400000
	low, high := math.Log(2900), math.Log(4400)
	came := 0
	for range draws {
		k := 0
		if draw.Float64() > p.weights[0] {
			k = 1
		}
		common := r.log[k] + r.slopes[k][friction]*draw.NormFloat64() + 0.01 + 0.02*draw.NormFloat64() + p.scatter*draw.NormFloat64()
		first := common + p.repeat*draw.NormFloat64()
		last := common + 0.12 + 0.03*draw.NormFloat64() + p.repeat*draw.NormFloat64()
		if first >= low && first <= high && last <= high {
			came++
		}
	}
	want, got := float64(came)/draws, b.seriesIn(r, 5, Window{2900, 4400})
	if t.Logf("chance %.4f, counted %.4f", got, want); math.Abs(got-want) > 0.0025 {
		t.Errorf("chance %.4f, counted %.4f", got, want)
	}
}

// A maker's fall has no guide of ours and another cell: neither is learnt from
// it, and what the guide's middle takes is given back. By hand.
func TestPublishedByHand(t *testing.T) {
	p, r := twoNodes()
	p.traits[guide], p.makers = trait{0.04, 0.02}, 0.06
	r.slopes[0][guide], r.slopes[1][guide] = -0.01, -0.015
	b := believe(p, nil)
	b.published(r, 8.2)
	var weights [2]float64
	for k, slope := range []float64{0.05, 0.12} {
		without := r.log[k] - 2*r.slopes[k][guide]
		variance := 0.06*0.06 + slope*slope
		weights[k] = p.weights[k] * density(8.2, without, variance)
		if want := slope * (8.2 - without) / variance; math.Abs(b.middle[k][friction]-want) > 1e-12 {
			t.Errorf("node %d: middle %.12f, by hand %.12f", k, b.middle[k][friction], want)
		}
		if b.middle[k][guide] != 0 || b.spread[k][guide][guide] != 1 || b.middle[k][gain] != 0 {
			t.Errorf("node %d: something was learnt of guide or cell", k)
		}
	}
	if want := weights[0] / (weights[0] + weights[1]); math.Abs(b.weights[0]-want) > 1e-12 {
		t.Errorf("weight %.12f, by hand %.12f", b.weights[0], want)
	}
}

// Tails and limits of a normal and of two halves of one, by the usual table.
func TestMixture(t *testing.T) {
	one, halves := mixture{{1, 0, 1}}, mixture{{0.5, 3, 2}, {0.5, 3, 2}}
	for what, pair := range map[string][2]float64{
		"tail above": {one.tail(1.959964), 0.05}, "tail below": {one.tail(-2.575829), 0.01},
		"quantile": {one.quantile(0.95), 1.644854}, "of halves": {halves.quantile(0.95), 3 + 2*1.644854},
		"band": {halves.band(0.9).Middle, math.Exp(3)},
	} {
		if math.Abs(pair[0]-pair[1]) > 2e-6 {
			t.Errorf("%s: %.8f, by the table %.8f", what, pair[0], pair[1])
		}
	}
}
