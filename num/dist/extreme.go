package dist

import "math"

// grid is how many steps of the angle a table of a distribution has.
const grid = 512

// Extreme is the distribution of T = (largest − mean)/s in normal samples of
// one size, s with n − 1; and of what removing the two largest leaves.
//
// A sample's residuals lie anywhere on a sphere of n − 1 dimensions with equal
// chance. Which value is the largest are n events that exclude each other, and
// given the largest, the residuals of the rest lie anywhere on a sphere of one
// dimension less. So with T = (n−1)/√n·sin θ
//
//	P(T ≤ t) = n ∫ g(θ)·P(T' ≤ tan θ·√((n−2)·n/(n−1)) ) dθ,  g ∝ cosⁿ⁻³ θ
//
// with T' that of n − 1. It is exact; the tables of it hold six digits.
type Extreme struct {
	n      int
	tables []table
}

// table has P(T ≤ t) of samples of one size by the angle, and its slope.
type table struct{ p, slope []float64 }

// NewExtreme prepares the distributions of samples of n values, n ≥ 3.
func NewExtreme(n int) *Extreme {
	e := &Extreme{n: n, tables: make([]table, max(n, 3)+1)}
	for m := 3; m <= max(n, 3); m++ {
		e.tables[m] = e.next(m)
	}
	return e
}

// next makes the table of m from that of m − 1, from the largest angle down: by
// Simpson's rule.
func (e *Extreme) next(m int) table {
	t := table{make([]float64, grid+1), make([]float64, grid+1)}
	k, step := float64(m), math.Pi/2/grid
	scale, rise := k/sine(m-3), math.Sqrt(k*(k-2)/(k-1))
	density := func(angle float64) float64 {
		return scale * math.Pow(math.Cos(angle), k-3) * e.below(m-1, rise*math.Tan(angle))
	}
	if m == 3 { // of three values the residuals are points on a circle
		for i := range t.p {
			t.p[i] = max(0, 3/math.Pi*(step*float64(i)-math.Pi/6))
			if t.p[i] > 0 {
				t.slope[i] = 3 / math.Pi
			}
		}
		return t
	}
	t.p[grid] = 1
	for i := grid - 1; i >= 0; i-- {
		at := step * float64(i)
		t.slope[i] = density(at)
		t.p[i] = max(0, t.p[i+1]-step/6*(t.slope[i]+4*density(at+step/2)+t.slope[i+1]))
	}
	return t
}

// sine is ∫ cosᵏ over (−π/2, π/2).
func sine(k int) float64 {
	a, _ := math.Lgamma(float64(k+1) / 2)
	b, _ := math.Lgamma(float64(k)/2 + 1)
	return math.Sqrt(math.Pi) * math.Exp(a-b)
}

// below is P(T ≤ t) for a sample of m.
func (e *Extreme) below(m int, t float64) float64 {
	if m == 2 {
		if t < math.Sqrt2/2 {
			return 0
		}
		return 1
	}
	s := t * math.Sqrt(float64(m)) / float64(m-1)
	switch {
	case s >= 1:
		return 1
	case s <= 0:
		return 0
	}
	return e.tables[m].at(math.Asin(s) / (math.Pi / 2) * grid)
}

// at interpolates by the cubic that has values and slopes of both neighbours.
func (t table) at(x float64) float64 {
	i := min(int(x), grid-1)
	x -= float64(i)
	y := 1 - x
	const step = math.Pi / 2 / grid
	return y*y*(t.p[i]*(1+2*x)+t.slope[i]*step*x) + x*x*(t.p[i+1]*(1+2*y)-t.slope[i+1]*step*y)
}

// Largest returns P((largest − mean)/s ≤ t).
func (e *Extreme) Largest(t float64) float64 { return e.below(e.n, t) }

// LargestQuantile returns the t that (largest − mean)/s exceeds with
// probability tail.
func (e *Extreme) LargestQuantile(tail float64) float64 {
	t, low, high := e.tables[max(e.n, 3)], 0.0, float64(grid)
	for range 50 {
		if mid := (low + high) / 2; t.at(mid) < 1-tail {
			low = mid
		} else {
			high = mid
		}
	}
	n := float64(e.n)
	return (n - 1) / math.Sqrt(n) * math.Sin(math.Pi/2*low/grid)
}

// PairQuantile returns the value below which the ratio
//
//	G = Σ(xᵢ − x̄)² without the two largest / Σ(xᵢ − x̄)² of all
//
// falls with probability tail, for n ≥ 4. Which two are the largest are
// n(n−1)/2 events that exclude each other; given a pair, 1 − G of it has the
// density of a squared radius in two of n − 1 dimensions, its direction is
// anything, and the rest must lie below the lesser of the two:
//
//	P(G ≤ c) = n(n−1)/2 ∫ P(T' ≤ τ(G, φ)) dφ/2π · (n−3)/2·G^((n−5)/2) dG
func (e *Extreme) PairQuantile(tail float64) float64 {
	n := float64(e.n)
	const steps = 400
	last := 0.0
	for i := range steps {
		// The integral runs over y = G^((n−3)/2), which is uniform; steps are
		// even in √y, fine where the tails are.
		low, high := square(float64(i)/steps), square(float64(i+1)/steps)
		here := n * (n - 1) / 2 * e.pair(math.Pow((low+high)/2, 2/(n-3))) * (high - low)
		if last+here >= tail {
			y := low + (high-low)*(tail-last)/here
			return math.Pow(y, 2/(n-3))
		}
		last += here
	}
	return 1
}

func square(x float64) float64 { return x * x }

// pair is the chance, over directions of the pair's residuals, that the rest
// lie below the lesser of the two when they keep the share x of the squares.
func (e *Extreme) pair(x float64) float64 {
	const steps = 256
	n := float64(e.n)
	m, r := n-2, math.Sqrt(1-x)
	unit := math.Sqrt(x / (m - 1)) // the standard deviation of the rest
	sum := 0.0
	for i := range steps {
		// Half a turn is enough: the other half swaps the two.
		sin, cos := math.Sincos(math.Pi * ((float64(i)+0.5)/steps - 0.5))
		both := r * sin * math.Sqrt(2*m/n) // u + v
		lesser := both/2 - r*cos/math.Sqrt2
		sum += e.below(e.n-2, (lesser+both/m)/unit)
	}
	return sum / steps
}
