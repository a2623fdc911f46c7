package dial

import (
	"math"

	"fallwright.example/num/dist"
)

// belief is what is thought of rope and rig: the modulus on a grid of nodes, and
// in each node the traits as normal, in standard deviations of the prior from its
// middle, with one more for each specimen that was dropped under a name. In the
// traits ln of the peak is taken as straight, so that an observation is a step of
// the Kalman filter ([Kalman1960]) in each node, and the nodes are weighed by Bayes' rule.
type belief struct {
	prior     *prior
	weights   []float64
	middle    [][]float64   // of each node
	spread    [][][]float64 // covariance, of each node
	specimens map[string]int
}

// believe is the prior, with room for the named specimens.
func believe(p *prior, trials []Trial) *belief {
	b := &belief{prior: p, weights: append([]float64(nil), p.weights...), specimens: map[string]int{}}
	size := traits
	for _, t := range trials {
		if _, known := b.specimens[t.Specimen]; t.Specimen != "" && !known {
			b.specimens[t.Specimen] = size
			size++
		}
	}
	for range p.weights {
		c := make([][]float64, size)
		for i := range c {
			c[i] = make([]float64, size)
			c[i][i] = 1
		}
		b.middle, b.spread = append(b.middle, make([]float64, size)), append(b.spread, c)
	}
	return b
}

// toFall writes what the traits do to ln of the peak of fall n, in node k, and
// returns what is added in the middle.
func (b *belief) toFall(slopes *[simulated]float64, n int, row []float64) float64 {
	clear(row)
	copy(row, slopes[:])
	t := &b.prior.traits
	row[gain] = t[gain].sd
	if n <= 1 {
		return t[gain].middle
	}
	share := rising(n, t[course].middle)
	row[rise] = share * t[rise].sd
	row[course] = t[rise].middle * (rising(n, t[course].middle+t[course].sd) - rising(n, t[course].middle-t[course].sd)) / 2
	return t[gain].middle + share*t[rise].middle
}

// observe learns from ln of a peak that was read.
func (b *belief) observe(r *response, logPeak float64, n int, specimen string) {
	logs := make([]float64, len(b.weights))
	row := make([]float64, len(b.middle[0]))
	for k := range b.weights {
		expected := r.log[k] + b.toFall(&r.slopes[k], n, row)
		noise := b.prior.repeat * b.prior.repeat
		if i, named := b.specimens[specimen]; named {
			row[i] = b.prior.scatter
		} else {
			noise += b.prior.scatter * b.prior.scatter
		}
		logs[k] = b.step(k, row, logPeak-expected, noise)
	}
	b.weigh(logs)
}

// toPublished writes what the traits do to ln of a maker's force in node k, and
// returns its middle: no guide, another cell.
func (b *belief) toPublished(r *response, k int, row []float64) float64 {
	clear(row)
	copy(row, r.slopes[k][:])
	row[guide] = 0
	if g := b.prior.traits[guide]; g.sd > 0 {
		return r.log[k] - r.slopes[k][guide]*g.middle/g.sd
	}
	return r.log[k]
}

// published learns from ln of a maker's first fall, which has a spread of its own.
func (b *belief) published(r *response, logForce float64) {
	logs := make([]float64, len(b.weights))
	row := make([]float64, len(b.middle[0]))
	for k := range b.weights {
		expected := b.toPublished(r, k, row)
		logs[k] = b.step(k, row, logForce-expected, b.prior.makers*b.prior.makers)
	}
	b.weigh(logs)
}

// foreseePublished is how ln of that force is distributed.
func (b *belief) foreseePublished(r *response) mixture {
	m := make(mixture, len(b.weights))
	row := make([]float64, len(b.middle[0]))
	for k := range m {
		mean := b.toPublished(r, k, row) + dot(row, b.middle[k])
		m[k] = normal{b.weights[k], mean, math.Sqrt(b.across(k, row, row) + b.prior.makers*b.prior.makers)}
	}
	return m
}

// step is one observation in one node; it returns ln of its likelihood.
func (b *belief) step(k int, row []float64, off, noise float64) float64 {
	c, m := b.spread[k], b.middle[k]
	gainOf := make([]float64, len(row))
	variance := noise
	for i := range c {
		for j, x := range row {
			gainOf[i] += c[i][j] * x
		}
		variance += row[i] * gainOf[i]
		off -= row[i] * m[i]
	}
	for i := range c {
		m[i] += gainOf[i] * off / variance
		for j := range c {
			c[i][j] -= gainOf[i] * gainOf[j] / variance
		}
	}
	return -(off*off/variance + math.Log(variance)) / 2
}

// weigh multiplies the weights by likelihoods.
func (b *belief) weigh(logs []float64) {
	top := math.Inf(-1)
	for _, l := range logs {
		top = max(top, l)
	}
	total := 0.0
	for k := range b.weights {
		b.weights[k] *= math.Exp(logs[k] - top)
		total += b.weights[k]
	}
	for k := range b.weights {
		b.weights[k] /= total
	}
}

// tail is the chance of a value as far out as x, or further.
func (m mixture) tail(x float64) float64 {
	below := m.below(x)
	return 2 * min(below, 1-below)
}

// normal is one of the parts of a mixture.
type normal struct{ weight, mean, sd float64 }

// mixture is how a value is distributed.
type mixture []normal

// below is the chance that the value is below x.
func (m mixture) below(x float64) float64 {
	sum := 0.0
	for _, n := range m {
		if n.weight > 1e-9 {
			sum += n.weight * dist.Normal((x-n.mean)/n.sd)
		}
	}
	return sum
}

// quantile is where that chance is p, by bisection.
func (m mixture) quantile(p float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, n := range m {
		if n.weight > 1e-9 {
			low, high = min(low, n.mean-8*n.sd), max(high, n.mean+8*n.sd)
		}
	}
	for range 60 {
		if mid := (low + high) / 2; m.below(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// band is the median with the interval that holds the value with the chance
// level, of something whose ln is distributed so.
func (m mixture) band(level float64) Band {
	return Band{math.Exp(m.quantile((1 - level) / 2)), math.Exp(m.quantile(0.5)), math.Exp(m.quantile((1 + level) / 2))}
}

// foresee is how ln of the peak of fall n of a specimen is distributed: of a
// fresh one, or of one that has been dropped under that name.
func (b *belief) foresee(r *response, n int, specimen string) mixture {
	m := make(mixture, len(b.weights))
	row := make([]float64, len(b.middle[0]))
	for k := range m {
		mean := r.log[k] + b.toFall(&r.slopes[k], n, row)
		variance := b.prior.repeat * b.prior.repeat
		if i, named := b.specimens[specimen]; named {
			row[i] = b.prior.scatter
		} else {
			variance += b.prior.scatter * b.prior.scatter
		}
		mean, variance = mean+dot(row, b.middle[k]), variance+b.across(k, row, row)
		m[k] = normal{b.weights[k], mean, math.Sqrt(variance)}
	}
	return m
}

// across is aᵀ·C·b in node k.
func (b *belief) across(k int, x, y []float64) float64 {
	sum := 0.0
	for i, row := range b.spread[k] {
		if x[i] != 0 {
			sum += x[i] * dot(row, y)
		}
	}
	return sum
}

func dot(x, y []float64) float64 {
	sum := 0.0
	for i := range x {
		sum += x[i] * y[i]
	}
	return sum
}

// riseOf is how ln of the fifth peak over the first is distributed.
func (b *belief) riseOf() mixture {
	t := b.prior.traits[rise]
	m := make(mixture, len(b.weights))
	for k := range m {
		m[k] = normal{b.weights[k], t.middle + t.sd*b.middle[k][rise], max(1e-9, t.sd*math.Sqrt(b.spread[k][rise][rise]))}
	}
	return m
}

// seriesIn is the chance that the peaks of falls 1 to n of a fresh specimen all
// lie in the window: that the first is not below it and the last not above. A
// fall before the last one passes the top only by its own scatter, and is let go.
func (b *belief) seriesIn(r *response, n int, w Window) float64 {
	low, high := math.Log(w.Low), math.Log(w.High)
	if n <= 1 {
		m := b.foresee(r, 1, "")
		return m.below(high) - m.below(low)
	}
	size := len(b.middle[0])
	first, last := make([]float64, size), make([]float64, size)
	own := b.prior.repeat * b.prior.repeat
	common := b.prior.scatter * b.prior.scatter
	sum := 0.0
	for k, weight := range b.weights {
		if weight < 1e-9 {
			continue
		}
		a := r.log[k] + b.toFall(&r.slopes[k], 1, first) + dot(first, b.middle[k])
		z := r.log[k] + b.toFall(&r.slopes[k], n, last) + dot(last, b.middle[k])
		va := b.across(k, first, first) + common + own
		vz := b.across(k, last, last) + common + own
		sum += weight * both(a, z, va, vz, b.across(k, first, last)+common, low, high)
	}
	return sum
}

// both is the chance that x lies between low and high and y below high, for
// normals with means, variances and a covariance: over x by Gauss and Legendre's
// rule, and y given x by its normal.
func both(meanX, meanY, varX, varY, cov, low, high float64) float64 {
	sx := math.Sqrt(varX)
	sy := math.Sqrt(max(varY-cov*cov/varX, 1e-18))
	from, to := max(low, meanX-6*sx), min(high, meanX+6*sx)
	if !(from < to) {
		return 0
	}
	sum, half := 0.0, (to-from)/2
	for _, g := range legendre {
		x := from + half*(1+g[0])
		z := (x - meanX) / sx
		sum += g[1] * math.Exp(-z*z/2) * dist.Normal((high-meanY-cov/varX*(x-meanX))/sy)
	}
	return sum * half / (sx * math.Sqrt(2*math.Pi))
}

// legendre are nodes and weights of Gauss and Legendre's rule of order 16.
var legendre = gaussLegendre(16)

// gaussLegendre finds the roots of the Legendre polynomial by Newton's method.
func gaussLegendre(n int) [][2]float64 {
	out := make([][2]float64, n)
	for i := range out {
		x := math.Cos(math.Pi * (float64(i) + 0.75) / (float64(n) + 0.5))
		slope := 0.0
		for range 20 {
			p, before := 1.0, 0.0
			for j := 1; j <= n; j++ {
				p, before = (float64(2*j-1)*x*p-float64(j-1)*before)/float64(j), p
			}
			slope = float64(n) * (x*p - before) / (x*x - 1)
			x -= p / slope
		}
		out[i] = [2]float64{x, 2 / ((1 - x*x) * slope * slope)}
	}
	return out
}
