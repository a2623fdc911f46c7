package uncert

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Distribution is what the trials gave: values of the model, in order.
type Distribution struct {
	Trials   int
	Mean     float64 // estimate of the result
	Standard float64 // standard uncertainty, with M − 1
	sorted   []float64
}

// MonteCarlo draws the inputs trials times from their shapes and returns the
// distribution of the model's values. The same seed gives the same draws.
// Correlated inputs, of which each must be Normal, are drawn jointly normal, by
// the factor of their correlation matrix.
//
// The interval for probability p wants 1e4/(1 − p) trials or so, that is
// 200 000 for 95 % ([JCGM101] 7.2.2). It refuses what Propagate refuses, fewer
// than 2 trials, a correlated input that is not Normal, and a trial without a
// finite value. Source: [JCGM101] 7.3, 7.4 and 7.6, draws by 6.4 and C.
func MonteCarlo(model Model, inputs []Input, corr [][]float64, trials int, seed uint64) (Distribution, error) {
	if trials < 2 {
		return Distribution{}, fmt.Errorf("%w: %d trials, a standard uncertainty needs 2", ErrRange, trials)
	}
	s, err := newSampler(inputs, corr, seed)
	if err != nil {
		return Distribution{}, err
	}
	values, err := s.run(model, make([]float64, 0, trials), trials)
	if err != nil {
		return Distribution{}, err
	}
	return distribution(values), nil
}

// distribution sums values up and sorts them in place.
func distribution(values []float64) Distribution {
	slices.Sort(values)
	m := float64(len(values))
	origin := values[len(values)/2] // sums about a value of the sample cost no digits
	mean := 0.0
	for _, v := range values {
		mean += (v - origin) / m
	}
	squares := 0.0
	for _, v := range values {
		d := v - origin - mean
		squares += d * d
	}
	return Distribution{Trials: len(values), Mean: origin + mean, Standard: math.Sqrt(squares / (m - 1)), sorted: values}
}

// span is the number of steps q between the ends of an interval that holds p of
// M values: p·M, rounded. Source: [JCGM101] 7.7.1.
func (d Distribution) span(p float64) (int, error) {
	if err := checkProbability(p); err != nil {
		return 0, err
	}
	q := int(math.Floor(p*float64(d.Trials) + 0.5))
	if q < 1 || q >= d.Trials {
		return 0, fmt.Errorf("%w: %d trials are too few for an interval of %g", ErrRange, d.Trials, p)
	}
	return q, nil
}

// Symmetric returns the probabilistically symmetric coverage interval: as many
// values lie below it as above. Source: [JCGM101] 7.7.2.
func (d Distribution) Symmetric(p float64) (low, high float64, err error) {
	q, err := d.span(p)
	if err != nil {
		return 0, 0, err
	}
	r := (d.Trials - q + 1) / 2
	return d.sorted[r-1], d.sorted[r+q-1], nil
}

// Shortest returns the shortest interval that holds p of the values, the lowest
// of them where several are. Source: [JCGM101] 7.7.3.
func (d Distribution) Shortest(p float64) (low, high float64, err error) {
	q, err := d.span(p)
	if err != nil {
		return 0, 0, err
	}
	best := 0
	for r := range d.Trials - q {
		if d.sorted[r+q]-d.sorted[r] < d.sorted[best+q]-d.sorted[best] {
			best = r
		}
	}
	return d.sorted[best], d.sorted[best+q], nil
}

// sampler draws vectors of the inputs.
type sampler struct {
	inputs []Input
	l      [][]float64 // nil when no inputs are correlated
	source *rand.Rand
	x, z   []float64
	number int // of trials drawn
}

func newSampler(inputs []Input, corr [][]float64, seed uint64) (*sampler, error) {
	if err := check(inputs); err != nil {
		return nil, err
	}
	l, err := factor(corr, len(inputs))
	if err != nil {
		return nil, err
	}
	for _, group := range groups(corr, len(inputs)) {
		for _, i := range group {
			if len(group) > 1 && inputs[i].Shape != Normal {
				return nil, fmt.Errorf("%w: %s is correlated and not normal, only normal inputs can be drawn together", ErrRange, inputs[i].Name)
			}
		}
	}
	if corr == nil {
		l = nil
	}
	return &sampler{
		inputs: inputs, l: l,
		// The second word is arbitrary; it only must not change.
		source: rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15)),
		x:      make([]float64, len(inputs)), z: make([]float64, len(inputs)),
	}, nil
}

// run appends the model's values of further trials.
func (s *sampler) run(model Model, values []float64, trials int) ([]float64, error) {
	for range trials {
		s.number++
		s.draw()
		y := model(s.x)
		if !finite(y) {
			return nil, fmt.Errorf("%w: the model gives %g in trial %d, where the inputs are %.6g", ErrNotFinite, y, s.number, s.x)
		}
		values = append(values, y)
	}
	return values, nil
}

func (s *sampler) draw() {
	for i, in := range s.inputs {
		s.z[i] = s.unit(in)
	}
	for i, in := range s.inputs {
		z := s.z[i]
		if s.l != nil {
			z = z*s.l[i][i] + dot(s.l[i][:i], s.z[:i])
		}
		s.x[i] = in.Value + in.Standard*z
	}
}

// unit draws an input's shape about 0 for a standard uncertainty of 1.
func (s *sampler) unit(in Input) float64 {
	switch in.Shape {
	case Student:
		if in.Freedom > 0 {
			return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: in.Freedom, Src: s.source}.Rand()
		}
	case Rectangular:
		return math.Sqrt(3) * (2*s.source.Float64() - 1)
	case Triangular:
		return math.Sqrt(6) * (s.source.Float64() + s.source.Float64() - 1)
	case Arcsine:
		return math.Sqrt2 * math.Sin(2*math.Pi*s.source.Float64())
	}
	return s.source.NormFloat64()
}
