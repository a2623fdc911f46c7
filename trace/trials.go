package trace

import (
	"math"
	"math/rand/v2"
	"slices"
)

// trialsFewest is the smallest number of trials from which a 95 % interval is
// taken, trialsMost the largest that is run.
const trialsFewest, trialsMost = 1000, 10_000_000

// runTrials replaces the law of propagation by a Monte Carlo propagation of
// distributions [JCGM101] for what the first contact and its motion give: each
// trial draws all sources, the same for all values, and takes the values again.
// Drawn are Student's t for the tare, a rectangle for the converter's step and
// for an end that is a jump, and normal ones else. The intervals are
// probabilistically symmetric. The draws depend on Settings.Seed alone.
func (t *take) runTrials(c course, sources []source, noise [ofAll]float64) {
	n := t.set.Trials
	rng := rand.New(rand.NewPCG(t.set.Seed, 0x74726961))
	values := make([][]float64, ofAll)
	for k := range values {
		values[k] = make([]float64, 0, n)
	}
	base := t.outcome(c, inputs{})
	for range n {
		var in inputs
		var one inputs
		for _, s := range sources {
			if s.u > 0 {
				s.move(&one, s.u*s.draw(rng))
				in.add(one)
				one = inputs{}
			}
		}
		out := t.outcome(c, in)
		for k, v := range out {
			v += noise[k] * rng.NormFloat64()
			if d := v - base[k]; !math.IsNaN(d) && !math.IsInf(d, 0) {
				values[k] = append(values[k], d)
			}
		}
	}
	for k, key := range outcomeKeys {
		if u, ok := t.r.Uncertainty[key]; ok && len(values[k]) >= n*9/10 {
			t.r.Uncertainty[key] = u.fromTrials(float64(t.valueOf(k)), values[k])
		}
	}
	t.step("trials", "Monte Carlo propagation of distributions", Param{"trials", float64(n), ""}, Param{"seed", float64(t.set.Seed), ""})
}

// fromTrials puts what trials gave, as differences from the value, in the place
// of the law's standard uncertainty and interval. The budget stays.
func (u Uncertainty) fromTrials(value float64, differences []float64) Uncertainty {
	slices.Sort(differences)
	n := len(differences)
	center := mean(differences)
	u.Standard, u.Freedom, u.Trials = deviation(differences, center), 0, n
	tail := int((1 - coverage) / 2 * float64(n))
	u.Lower, u.Upper = value-u.Bias+differences[tail], value-u.Bias+differences[n-1-tail]
	return u
}

// add adds up offsets.
func (in *inputs) add(o inputs) {
	in.cell += o.cell
	in.edge += o.edge
	in.tare += o.tare
	in.start += o.start
	in.end += o.end
	in.mass += o.mass
	in.drop += o.drop
	in.gate += o.gate
	in.share += o.share
	in.drag += o.drag
	in.gravity += o.gravity
	in.stay += o.stay
}

// draw is a draw of standard deviation 1 (Student's t: of scale 1, as the
// uncertainty of a mean from few blocks is meant).
func (s source) draw(rng *rand.Rand) float64 {
	switch {
	case s.flat:
		return math.Sqrt(3) * (2*rng.Float64() - 1)
	case s.freedom > 0:
		sum := 0.0
		for range int(s.freedom) {
			z := rng.NormFloat64()
			sum += z * z
		}
		return rng.NormFloat64() / math.Sqrt(sum/math.Floor(s.freedom))
	}
	return rng.NormFloat64()
}
