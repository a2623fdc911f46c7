package uncert

import (
	"fmt"
	"math"
)

// Tolerance is the numerical tolerance δ of a standard uncertainty u given to a
// number of significant digits: with u = c·10^l, c a whole number of that many
// digits, δ = ½·10^l. It is 0 for u = 0. Source: [JCGM101] 7.9.2.
func Tolerance(u float64, digits int) float64 {
	if u == 0 {
		return 0
	}
	l := math.Floor(math.Log10(u)) - float64(digits-1)
	if math.Round(u/math.Pow(10, l)) >= math.Pow(10, float64(digits)) {
		l++ // 0.0996 to two digits is 10e-2, not 99e-3
	}
	return math.Pow(10, l) / 2
}

// Adaptive draws blocks of trials until mean, standard uncertainty and both
// ends of the symmetric interval for p have settled: until twice the standard
// deviation of each, taken over the blocks, is below the Tolerance of the
// standard uncertainty to a number of digits (1 or 2 as a rule). Each block has
// max(100/(1 − p), 10⁴) trials.
//
// It refuses what MonteCarlo refuses, digits below 1, and returns ErrNotSettled
// when that takes more than the most trials allowed. Source: [JCGM101] 7.9.4.
func Adaptive(model Model, inputs []Input, corr [][]float64, p float64, digits, most int, seed uint64) (Distribution, error) {
	if err := checkProbability(p); err != nil {
		return Distribution{}, err
	}
	if digits < 1 {
		return Distribution{}, fmt.Errorf("%w: %d digits wanted, it takes 1 or more", ErrRange, digits)
	}
	s, err := newSampler(inputs, corr, seed)
	if err != nil {
		return Distribution{}, err
	}
	block := max(int(math.Ceil(100/(1-p))), 10_000)
	var values []float64
	var blocks [][4]float64
	for len(values)+block <= most {
		if values, err = s.run(model, values, block); err != nil {
			return Distribution{}, err
		}
		last := distribution(append([]float64(nil), values[len(values)-block:]...))
		low, high, err := last.Symmetric(p)
		if err != nil {
			return Distribution{}, err
		}
		blocks = append(blocks, [4]float64{last.Mean, last.Standard, low, high})
		if len(blocks) < 2 {
			continue
		}
		if settled(blocks, Tolerance(deviation(values), digits)) {
			return distribution(values), nil
		}
	}
	return Distribution{}, fmt.Errorf("%w: %d trials do not give %d digits of the standard uncertainty", ErrNotSettled, most, digits)
}

// settled reports whether 2·s of the mean over blocks is within δ for each of
// the four numbers, s² = Σ(v − v̄)²/(h(h − 1)).
func settled(blocks [][4]float64, tolerance float64) bool {
	h := float64(len(blocks))
	for k := range 4 {
		column := make([]float64, len(blocks))
		for i, b := range blocks {
			column[i] = b[k]
		}
		if s := deviation(column) / math.Sqrt(h); !(2*s <= tolerance) {
			return false
		}
	}
	return true
}

// deviation is the standard deviation with n − 1, about the first value.
func deviation(values []float64) float64 {
	n := float64(len(values))
	mean := 0.0
	for _, v := range values {
		mean += (v - values[0]) / n
	}
	squares := 0.0
	for _, v := range values {
		d := v - values[0] - mean
		squares += d * d
	}
	return math.Sqrt(squares / (n - 1))
}

// Validation is the law of propagation held against the trials.
type Validation struct {
	Tolerance float64 // δ
	Low, High float64 // distances of the two intervals' ends
	Agrees    bool    // both within δ
}

// Validate compares the interval Value ± U of the law of propagation with the
// symmetric interval of the trials, to a number of digits of u_c. Where they
// do not agree, the trials are the answer. Source: [JCGM101] 8.1 and 8.2; the
// trials should have been drawn to δ/5 or better (8.2, note 3 from memory).
func Validate(law Result, trials Distribution, p float64, digits int) (Validation, error) {
	if digits < 1 {
		return Validation{}, fmt.Errorf("%w: %d digits wanted, it takes 1 or more", ErrRange, digits)
	}
	u, err := law.Expanded(p)
	if err != nil {
		return Validation{}, err
	}
	low, high, err := trials.Symmetric(p)
	if err != nil {
		return Validation{}, err
	}
	v := Validation{
		Tolerance: Tolerance(law.Standard, digits),
		Low:       math.Abs(law.Value - u - low), High: math.Abs(law.Value + u - high),
	}
	v.Agrees = v.Low <= v.Tolerance && v.High <= v.Tolerance
	return v, nil
}
