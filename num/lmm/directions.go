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
	all  binned
	each [shifts]binned // by shift: how far they scatter is the error
}

// binned is a mean M and a share of the directions, a bin each.
type binned struct{ m, share []float64 }

const binsOfM = 800

// finest are lattices beside those of single bounds: for few normals, and for
// many, where finer ones gain less than they take.
var finest = []struct{ n, a int }{{131071, 88466}, {262139, 76831}}

const manyNormals = 12

// enoughDirections goes through the lattices until the chance in the middle,
// where it scatters most, holds to 4e-5, or the finest is used up.
func enoughDirections(j *Joint) *directions {
	if j.rank > manyNormals {
		return newDirections(j, finest[0])
	}
	var d *directions
	for _, l := range []struct{ n, a int }{lattices[2], lattices[3], finest[1]} {
		d = newDirections(j, l)
		if d.uncertainty(2, 1e8) < 4e-5 {
			break
		}
	}
	return d
}

// newDirections takes one of the lattices.
func newDirections(j *Joint, l struct{ n, a int }) *directions {
	d := &directions{rank: j.rank}
	random := rand.New(rand.NewPCG(1964, 2009))
	at, generator := make([]float64, j.rank), make([]float64, j.rank)
	z := 1
	for i := range generator {
		generator[i] = float64(z) / float64(l.n)
		z = z * l.a % l.n
	}
	normal := quantileTable()
	g := make([]four, j.rank)
	var all bins
	for s := range shifts {
		for i := range at {
			at[i] = random.Float64()
		}
		var here bins
		for p := 0; p < l.n; p += 4 {
			together := min(4, l.n-p)
			var square four
			for i, v := range generator {
				u := at[i]
				for k := range together {
					x := normal.at(math.Abs(2*u - 1))
					g[i][k] = x
					square[k] += x * x
					if u += v; u >= 1 {
						u--
					}
				}
				at[i] = u
			}
			m := j.largest(g)
			for k := range together {
				here.add(math.Sqrt(m[k] / square[k]))
			}
		}
		d.each[s] = here.binned(float64(l.n))
		all.join(&here)
	}
	d.all = all.binned(float64(shifts * l.n))
	return d
}

// four numbers of four directions, which the processor takes side by side.
type four [4]float64

// largest z² of the normals g.
func (j *Joint) largest(g []four) four {
	var most four
	for i := range j.k {
		row := j.factor[i*j.k : i*j.k+j.lastOf[i]+1]
		var a, b, c, d float64
		for l, f := range row {
			x := &g[l]
			a += f * x[0]
			b += f * x[1]
			c += f * x[2]
			d += f * x[3]
		}
		most = four{max(most[0], a*a), max(most[1], b*b), max(most[2], c*c), max(most[3], d*d)}
	}
	return most
}

// quantiles is the normal quantile at steps of its probability, straight between
// them to 2e-6 and exact in the tails beyond, where it bends.
type quantiles []float64

const quantileSteps = 8192

func quantileTable() quantiles {
	t := make(quantiles, quantileSteps+1)
	for i := range t {
		t[i] = distuv.UnitNormal.Quantile(min(max(float64(i)/quantileSteps, 1e-15), 1-1e-15))
	}
	return t
}

// at is the quantile of u between 0 and 1.
func (t quantiles) at(u float64) float64 {
	if u < 0.02 || u > 0.98 {
		return distuv.UnitNormal.Quantile(min(max(u, 1e-15), 1-1e-15))
	}
	x := u * quantileSteps
	i := int(x)
	return t[i] + (x-float64(i))*(t[i+1]-t[i])
}

// bins count M by its size.
type bins struct{ sum, count [binsOfM + 1]float64 }

func (b *bins) add(m float64) {
	at := min(int(m*binsOfM), binsOfM)
	b.sum[at] += m
	b.count[at]++
}

func (b *bins) join(c *bins) {
	for i := range b.sum {
		b.sum[i] += c.sum[i]
		b.count[i] += c.count[i]
	}
}

func (b *bins) binned(n float64) binned {
	var out binned
	for i, c := range b.count {
		if c > 0 {
			out.m = append(out.m, b.sum[i]/c)
			out.share = append(out.share, c/n)
		}
	}
	return out
}

// beyond is the chance that the largest |t| is beyond a bound.
func (d *directions) beyond(bound, df float64) float64 { return d.all.beyond(bound, df, d.rank) }

// uncertainty is three standard errors of it, from the shifts.
func (d *directions) uncertainty(bound, df float64) float64 {
	var each [shifts]float64
	for s := range each {
		each[s] = d.each[s].beyond(bound, df, d.rank)
	}
	p, square := mean(each[:]), 0.0
	for _, v := range each {
		square += (v - p) * (v - p)
	}
	return 3 * math.Sqrt(square/(shifts*(shifts-1)))
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
