package lmm

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// lattices are Korobov's: point i has the coordinates i·aᵈ mod n over n. Each a
// has the least P₂ of some hundreds tried for 12 dimensions with weights that
// fall by 0.8 a dimension; any a would be right, only slower to settle.
var lattices = []struct{ n, a int }{{1021, 469}, {4093, 1396}, {16381, 5051}, {65521, 25303}}

const shifts = 8

// lattice is the integral of [Genz2009] over lattices moved by random shifts
// and folded to be periodic.
func (j *Joint) lattice(bound, df float64, sides Sides) (p, uncertainty float64) {
	random := rand.New(rand.NewPCG(1964, 2009))
	scales := newScales(df)
	w, shift, generator := make([]float64, j.rank), make([]float64, j.rank), make([]float64, j.rank)
	room := make([]float64, 3*j.rank)
	for _, l := range lattices {
		z := 1
		for d := range generator {
			generator[d] = float64(z) / float64(l.n)
			z = z * l.a % l.n
		}
		var sums [shifts]float64
		for s := range sums {
			for d := range shift {
				shift[d] = random.Float64()
			}
			for i := range l.n {
				for d, g := range generator {
					_, u := math.Modf(float64(i)*g + shift[d])
					w[d] = math.Abs(2*u - 1)
				}
				sums[s] += j.point(bound*scales.at(w[0]), w[1:], room, sides) / float64(l.n)
			}
		}
		p = mean(sums[:])
		square := 0.0
		for _, v := range sums {
			square += (v - p) * (v - p)
		}
		uncertainty = 3 * math.Sqrt(square/(shifts*(shifts-1)))
		if uncertainty < 4e-5 {
			break
		}
	}
	return p, uncertainty
}

// scales is a table of s against the normal quantile z of its probability, in
// which it is nearly a straight line (Wilson and Hilferty's observation), so
// that a cubic between neighbours holds nine digits.
type scales struct {
	fixed bool
	s     []float64
}

const (
	scalesReach = 8.0
	scalesStep  = 0.0625
)

func newScales(df float64) scales {
	if df > 1e7 {
		return scales{fixed: true}
	}
	n := int(2*scalesReach/scalesStep) + 1
	t := scales{s: make([]float64, n)}
	for i := range t.s {
		z := -scalesReach + float64(i)*scalesStep
		if z <= 0 {
			t.s[i] = math.Sqrt(mathext.GammaIncRegInv(df/2, phi(z)) * 2 / df)
		} else {
			t.s[i] = math.Sqrt(mathext.GammaIncRegCompInv(df/2, phi(-z)) * 2 / df)
		}
	}
	return t
}

// at is s at the probability u.
func (t scales) at(u float64) float64 {
	if t.fixed {
		return 1
	}
	z := distuv.UnitNormal.Quantile(min(max(u, 1e-14), 1-1e-14))
	x := (z + scalesReach) / scalesStep
	i := min(max(int(x), 1), len(t.s)-3)
	x -= float64(i)
	a, b, c, d := t.s[i-1], t.s[i], t.s[i+1], t.s[i+2]
	// Lagrange's cubic through the four.
	return -x*(x-1)*(x-2)/6*a + (x+1)*(x-1)*(x-2)/2*b - (x+1)*x*(x-2)/2*c + (x+1)*x*(x-1)/6*d
}

// point is the integrand: the normals are drawn one after the other within the
// bounds that those before them leave, and the chances of that multiplied. A
// statistic bounds the last normal that it depends on.
func (j *Joint) point(c float64, w, room []float64, sides Sides) float64 {
	y, low, high := room[:j.rank], room[j.rank:2*j.rank], room[2*j.rank:]
	for d := range j.rank {
		low[d], high[d] = math.Inf(-1), math.Inf(1)
	}
	p := 1.0
	next := 0
	for d := range j.rank {
		for ; next < j.k && j.lastOf[next] == d; next++ {
			row := j.factor[next*j.k : next*j.k+j.rank]
			narrow(row, d, c, y, &low[d], &high[d], sides)
		}
		a, b := phi(low[d]), phi(high[d])
		if !(b > a) {
			return 0
		}
		p *= b - a
		if d < j.rank-1 {
			y[d] = distuv.UnitNormal.Quantile(min(max(a+w[d]*(b-a), 1e-16), 1-1e-16))
		}
	}
	return p
}

// narrow brings in the bounds of normal d by one statistic.
func narrow(row []float64, d int, c float64, y []float64, low, high *float64, sides Sides) {
	before := dot(row[:d], y[:d])
	a, b := math.Inf(-1), (c-before)/row[d]
	if sides == TwoSided {
		a = (-c - before) / row[d]
	}
	if row[d] < 0 {
		a, b = b, a
		if sides == OneSided {
			b = math.Inf(1)
		}
	}
	*low, *high = max(*low, a), min(*high, b)
}

// factorise is a Cholesky factorisation that leaves out estimates that others
// make up, as the six differences of four means.
func (j *Joint) factorise(r mat.Symmetric) error {
	k := j.k
	j.factor = make([]float64, k*k)
	for i := range k {
		row := j.factor[i*k : i*k+k]
		for a, c := 0, 0; a < i && c < j.rank; a++ {
			pivot := j.factor[a*k : a*k+k]
			if last(pivot) != c || pivot[c] == 0 { // a made no column of its own
				continue
			}
			row[c] = (r.At(i, a) - dot(row[:c], pivot[:c])) / pivot[c]
			c++
		}
		d := 1 - dot(row[:j.rank], row[:j.rank])
		switch {
		case d < -1e-7:
			return fmt.Errorf("%w: the correlations contradict each other", ErrRange)
		case d > 1e-9:
			row[j.rank] = math.Sqrt(d)
			j.rank++
		}
	}
	j.sort()
	return nil
}

// sort orders the rows by the last normal that they depend on.
func (j *Joint) sort() {
	k := j.k
	order := make([]int, k)
	for i := range order {
		order[i] = i
	}
	at := func(i int) int { return last(j.factor[i*k : i*k+k]) }
	slices.SortStableFunc(order, func(a, b int) int { return at(a) - at(b) })
	sorted := make([]float64, 0, k*k)
	for _, i := range order {
		sorted = append(sorted, j.factor[i*k:i*k+k]...)
		j.lastOf = append(j.lastOf, at(i))
	}
	j.factor = sorted
}

// last is the index of the last entry that is not zero.
func last(row []float64) int {
	for c := len(row) - 1; c >= 0; c-- {
		if row[c] != 0 {
			return c
		}
	}
	return -1
}
