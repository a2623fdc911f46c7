package oneway

import (
	"fmt"
	"math"
)

// Anova is the table of a one-way analysis of variance.
type Anova struct {
	DFBetween, DFWithin float64
	SSBetween, SSWithin float64 // sums of squares
	MSBetween, MSWithin float64 // mean squares
	F, P                float64
	RSquared            float64 // SSBetween over the total
	ResidualSD          float64 // √MSWithin
}

// Analyse tests whether the groups have one mean, taking them to have one
// spread. All values are first measured from the first one, so a large
// constant part costs only the digits that the values themselves have lost.
//
// Its errors are those of Summarise and AnalyseSamples.
func Analyse(groups [][]float64) (Anova, error) {
	samples, err := centred(groups)
	if err != nil {
		return Anova{}, err
	}
	return AnalyseSamples(samples)
}

// AnalyseSamples is Analyse for groups known by their summaries:
//
//	SSB = Σ nᵢ(x̄ᵢ − x̄)²  on k − 1,   x̄ = Σ nᵢx̄ᵢ/N
//	SSW = Σ (nᵢ − 1)sᵢ²  on N − k,   F = (SSB/(k − 1))/(SSW/(N − k))
//
// A group of one adds to SSB only. It returns ErrTooFew for fewer than two
// groups or no group with two values, ErrNoSpread for none within the groups,
// ErrNotFinite, and ErrRange for a negative SD. Source: [NISTHB151], 7.4.3.
func AnalyseSamples(groups []Sample) (Anova, error) {
	total, within := 0, 0.0
	for _, g := range groups {
		if err := g.present(); err != nil {
			return Anova{}, err
		}
		total += g.N
		if g.N > 1 {
			within += float64(g.N-1) * g.SD * g.SD
		}
	}
	k := len(groups)
	if k < 2 || total == k {
		return Anova{}, fmt.Errorf("%w: %d groups with %d values, the analysis needs 2 groups and 2 values in one of them", ErrTooFew, k, total)
	}
	if within == 0 {
		return Anova{}, noSpread()
	}
	a := Anova{DFBetween: float64(k - 1), DFWithin: float64(total - k), SSWithin: within}
	centre := weightedMean(groups, func(g Sample) float64 { return float64(g.N) })
	for _, g := range groups {
		a.SSBetween += float64(g.N) * (g.Mean - centre) * (g.Mean - centre)
	}
	a.MSBetween, a.MSWithin = a.SSBetween/a.DFBetween, a.SSWithin/a.DFWithin
	a.F = a.MSBetween / a.MSWithin
	a.P = fTail(a.F, a.DFBetween, a.DFWithin)
	a.RSquared = a.SSBetween / (a.SSBetween + a.SSWithin)
	a.ResidualSD = math.Sqrt(a.MSWithin)
	return a, nil
}

// Unequal is Welch's test of one mean for several groups.
type Unequal struct {
	F, P                float64
	DFBetween, DFWithin float64
}

// AnalyseUnequal tests whether the groups have one mean without taking their
// spreads to be equal. Its errors are those of Summarise and
// AnalyseUnequalSamples.
func AnalyseUnequal(groups [][]float64) (Unequal, error) {
	samples, err := centred(groups)
	if err != nil {
		return Unequal{}, err
	}
	return AnalyseUnequalSamples(samples)
}

// AnalyseUnequalSamples is AnalyseUnequal for groups known by their summaries:
//
//	wᵢ = nᵢ/sᵢ²,  W = Σwᵢ,  x̃ = Σwᵢx̄ᵢ/W,  Λ = Σ(1 − wᵢ/W)²/(nᵢ − 1)
//	F = [Σwᵢ(x̄ᵢ − x̃)²/(k − 1)] / [1 + 2(k − 2)Λ/(k² − 1)]
//	on k − 1 and (k² − 1)/(3Λ)
//
// For two groups F = t² of Welch. It returns ErrTooFew for fewer than two groups
// or values in a group, ErrNoSpread for a group without, whose weight would be
// infinite, ErrNotFinite, and ErrRange for a negative SD. Source: [Welch1951].
func AnalyseUnequalSamples(groups []Sample) (Unequal, error) {
	if len(groups) < 2 {
		return Unequal{}, fmt.Errorf("%w: %d groups, the analysis needs 2", ErrTooFew, len(groups))
	}
	weight := func(g Sample) float64 { return float64(g.N) / (g.SD * g.SD) }
	for _, g := range groups {
		if err := g.usable(); err != nil {
			return Unequal{}, err
		}
		if math.IsInf(weight(g), 0) {
			return Unequal{}, fmt.Errorf("%w: all %d values of a group are the same, Welch's test needs some spread in each", ErrNoSpread, g.N)
		}
	}
	centre, sum := weightedMean(groups, weight), 0.0
	for _, g := range groups {
		sum += weight(g)
	}
	k, between, lambda := float64(len(groups)), 0.0, 0.0
	for _, g := range groups {
		off, rest := g.Mean-centre, 1-weight(g)/sum
		between += weight(g) * off * off
		lambda += rest * rest / float64(g.N-1)
	}
	u := Unequal{DFBetween: k - 1, DFWithin: (k*k - 1) / (3 * lambda)}
	u.F = between / (k - 1) / (1 + 2*(k-2)*lambda/(k*k-1))
	u.P = fTail(u.F, u.DFBetween, u.DFWithin)
	return u, nil
}

// centred summarises the groups, measured from the first value of the first.
func centred(groups [][]float64) ([]Sample, error) {
	samples := make([]Sample, len(groups))
	for i, g := range groups {
		shifted := make([]float64, len(g))
		for j, x := range g {
			shifted[j] = x - groups[0][0]
		}
		s, err := Summarise(shifted)
		if err != nil {
			return nil, err
		}
		samples[i] = s
	}
	return samples, nil
}

func weightedMean(groups []Sample, weight func(Sample) float64) float64 {
	sum, weights := 0.0, 0.0
	for _, g := range groups {
		sum += weight(g) * g.Mean
		weights += weight(g)
	}
	return sum / weights
}
