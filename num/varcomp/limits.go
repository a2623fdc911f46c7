package varcomp

import (
	"math"

	"fallwright.example/num/dist"
)

// Value returns a weighted sum of components, weights in the order of the lines.
func (t *Table) Value(weights []float64) float64 {
	v := 0.0
	for i, w := range weights {
		v += w * t.Estimate[i]
	}
	return v
}

// DF returns the degrees of freedom of a weighted sum of components by
// [Satterthwaite1946].
func (t *Table) DF(weights []float64) float64 {
	parts := t.onSquares(weights)
	for i := range parts {
		parts[i] *= t.Lines[i].MS
	}
	return t.degrees(parts)
}

// degrees is (Σ part)²/Σ(part²/df), by shares, whose squares neither overflow
// nor vanish.
func (t *Table) degrees(parts []float64) float64 {
	sum, inverse := 0.0, 0.0
	for _, p := range parts {
		sum += p
	}
	for i, p := range parts {
		inverse += square(p/sum) / t.Lines[i].DF
	}
	return 1 / inverse
}

// Limits returns the two-sided interval at a level such as 0.95 for a weighted
// sum of components, weights of either sign in the order of the lines. Limits
// below zero are given as they are.
//
// With θ = Σ c·MS over terms of positive and Σ c·MS of negative sign, the
// modified large-sample method takes θ ± √V, where V is built such that the
// interval is exact whenever all but one MS, or all but a pair of opposite sign,
// are known without error: [BurdickGraybill1992] chapter 3, from [Graybill1980]
// for sums and [Ting1990] for differences. A single MS gets the exact χ²
// interval. The MS are taken to be independent and in proportion to χ², which
// holds for normal effects and equal numbers of values (Balanced), and nearly
// so otherwise. NaN when an MS in use is negative, which uneven numbers can make.
func (t *Table) Limits(weights []float64, level float64) (lower, upper float64) {
	return t.spans((1-level)/2).limits(t, t.onSquares(weights))
}

// spans holds what the method needs of the degrees of freedom.
type spans struct {
	tail float64
	// g and h: how far an MS lies above its lower and below its upper limit,
	// as shares of it, were it alone.
	g, h []float64
	high map[[2]int]float64 // quantiles of F of one line over another, as they are asked for
}

func (t *Table) spans(tail float64) *spans {
	n := len(t.Lines)
	s := &spans{tail, make([]float64, n), make([]float64, n), map[[2]int]float64{}}
	for i, l := range t.Lines {
		s.g[i], s.h[i] = 1-l.DF/dist.ChiSquared(tail, l.DF), l.DF/dist.ChiSquared(1-tail, l.DF)-1
	}
	return s
}

// f is the quantile that F of line i over line j exceeds with the tail.
func (s *spans) f(t *Table, i, j int) float64 {
	f, there := s.high[[2]int{i, j}]
	if !there {
		f = dist.F(s.tail, t.Lines[i].DF, t.Lines[j].DF)
		s.high[[2]int{i, j}] = f
	}
	return f
}

// limits is the interval of Σ c·MS.
func (s *spans) limits(t *Table, c []float64) (lower, upper float64) {
	unit := 0.0 // squares of what is measured in it neither overflow nor vanish
	for i, ci := range c {
		unit = max(unit, math.Abs(ci*t.Lines[i].MS))
	}
	if unit == 0 {
		return 0, 0
	}
	value, below, above := 0.0, 0.0, 0.0
	for i, ci := range c {
		mi := ci * t.Lines[i].MS / unit
		value += mi
		if mi == 0 || math.Abs(ci) < 1e-12 {
			continue
		}
		if t.Lines[i].MS < 0 {
			return math.NaN(), math.NaN()
		}
		if mi < 0 {
			below, above = below+square(s.h[i]*mi), above+square(s.g[i]*mi)
			continue
		}
		below, above = below+square(s.g[i]*mi), above+square(s.h[i]*mi)
		for j, cj := range c {
			mj := cj * t.Lines[j].MS / unit
			if mj >= 0 || math.Abs(cj) < 1e-12 {
				continue
			}
			f := s.f(t, i, j)
			below -= mi * mj * (square(f-1) - square(s.g[i]*f) - square(s.h[j])) / f
			f = 1 / s.f(t, j, i)
			above -= mi * mj * (square(1-f) - square(s.h[i]*f) - square(s.g[j])) / f
		}
	}
	return unit * (value - math.Sqrt(max(0, below))), unit * (value + math.Sqrt(max(0, above)))
}

func square(x float64) float64 { return x * x }

// Share returns the interval of part/whole, both weighted sums of components
// with the part within the whole: the ratios ρ for which the interval of
// part − ρ·whole holds zero. Limits lie in [0, 1].
func (t *Table) Share(part, whole []float64, level float64) (lower, upper float64) {
	s, of, all := t.spans((1-level)/2), t.onSquares(part), t.onSquares(whole)
	difference := func(rho float64) (float64, float64) {
		c := make([]float64, len(of))
		for i := range c {
			c[i] = of[i] - rho*all[i]
		}
		return s.limits(t, c)
	}
	// The lower limit of the difference falls through zero at the lower ratio.
	lower = cross(func(rho float64) bool { low, _ := difference(rho); return low > 0 })
	upper = cross(func(rho float64) bool { _, high := difference(rho); return high > 0 })
	return lower, upper
}

// cross finds where above turns false between 0 and 1.
func cross(above func(float64) bool) float64 {
	low, high := 0.0, 1.0
	if !above(low) {
		return 0
	}
	if above(high) {
		return 1
	}
	for range 45 {
		if mid := (low + high) / 2; above(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
