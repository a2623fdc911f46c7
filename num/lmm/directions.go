package lmm

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// directions are normals of a Joint as directions, each with the largest |z| on
// the sphere, M. A length r and a direction are independent, and so is s, so that
// given the direction the chance is that of an F,
//
//	P(max|t| ≤ c) = E P(r·M/s ≤ c) = E F_{q,ν}(c²/(q·M²)),  q the rank
//
// [Deak1980]. One set of directions serves every bound and every degrees of
// freedom. They come from a lattice moved by shifts, as in lattice, and are kept
// in bins of M that are narrow beside what F bends.
type directions struct {
	rank int
	m    [shifts]binned
}

// binned is a mean M and a share of the directions, a bin each.
type binned struct{ m, share []float64 }

const binsOfM = 1500

// finest is a lattice beside those of single bounds.
var finest = struct{ n, a int }{262139, 76831}

// enoughDirections goes through the lattices until the chance in the middle,
// where it scatters most, holds to 4e-5, or the finest is used up.
func enoughDirections(j *Joint) *directions {
	var d *directions
	for _, l := range append(lattices[2:], finest) {
		d = newDirections(j, l)
		if _, off := d.beyond(2, 1e8); off < 4e-5 {
			break
		}
	}
	return d
}

// newDirections takes one of the lattices.
func newDirections(j *Joint, l struct{ n, a int }) *directions {
	d := &directions{rank: j.rank}
	random := rand.New(rand.NewPCG(1964, 2009))
	shift, generator, g := make([]float64, j.rank), make([]float64, j.rank), make([]float64, j.rank)
	z := 1
	for i := range generator {
		generator[i] = float64(z) / float64(l.n)
		z = z * l.a % l.n
	}
	for s := range shifts {
		for i := range shift {
			shift[i] = random.Float64()
		}
		var here bins
		for p := range l.n {
			square := 0.0
			for i, v := range generator {
				_, u := math.Modf(float64(p)*v + shift[i])
				g[i] = distuv.UnitNormal.Quantile(min(max(math.Abs(2*u-1), 1e-15), 1-1e-15))
				square += g[i] * g[i]
			}
			here.add(j.largest(g) / math.Sqrt(square))
		}
		d.m[s] = here.binned(l.n)
	}
	return d
}

// bins count M by its size.
type bins struct{ sum, count [binsOfM + 1]float64 }

func (b *bins) add(m float64) {
	at := min(int(m*binsOfM), binsOfM)
	b.sum[at] += m
	b.count[at]++
}

func (b *bins) binned(n int) binned {
	var out binned
	for i, c := range b.count {
		if c > 0 {
			out.m = append(out.m, b.sum[i]/c)
			out.share = append(out.share, c/float64(n))
		}
	}
	return out
}

// largest |z| of the normals g.
func (j *Joint) largest(g []float64) float64 {
	m := 0.0
	for i := range j.k {
		last := j.lastOf[i] + 1
		m = max(m, math.Abs(dot(j.factor[i*j.k:i*j.k+last], g[:last])))
	}
	return m
}

// beyond is the chance that the largest |t| is beyond a bound, with three
// standard errors from the shifts.
func (d *directions) beyond(bound, df float64) (p, uncertainty float64) {
	var each [shifts]float64
	for s := range each {
		each[s] = d.m[s].beyond(bound, df, d.rank)
	}
	p = mean(each[:])
	square := 0.0
	for _, v := range each {
		square += (v - p) * (v - p)
	}
	return p, 3 * math.Sqrt(square/(shifts*(shifts-1)))
}

// beyond is the mean over the directions.
func (b binned) beyond(bound, df float64, rank int) float64 {
	total := 0.0
	for i, m := range b.m {
		x := bound * bound / (m * m)
		if df > 1e7 {
			total += b.share[i] * mathext.GammaIncRegComp(float64(rank)/2, x/2)
			continue
		}
		total += b.share[i] * mathext.RegIncBeta(df/2, float64(rank)/2, df/(df+x))
	}
	return total
}
