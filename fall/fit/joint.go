package fit

import (
	"errors"
	"math"

	"fallwright.example/num/lsq"
)

// joint fits all falls at once. The parameters are those of the course and then
// friction, contact and zero of each fall; residuals are over the noise of each
// fall's baseline.
func (c *Course) joint(start []float64) error {
	parts, m := c.parts(), 0
	lower, upper := c.lower, c.upper
	for n, f := range parts {
		own := c.Fits[n].found.P
		start = append(start, own[len(own)-nuisances:]...)
		low, high := f.form.bounds(f.record.setting)
		lower, upper = append(lower, low[len(low)-nuisances:]...), append(upper, high[len(high)-nuisances:]...)
		m += f.n
	}
	found, err := lsq.Solve(lsq.Problem{
		Observations: m, Lower: lower, Upper: upper, Offset: closely.offset, MostEvaluations: closely.most,
		Residuals: func(p, r []float64) {
			for n, f := range parts {
				f.residuals(c.ofFall(p, n), r[:f.n])
				for i := range r[:f.n] {
					r[i] /= f.record.sigma()
				}
				r = r[f.n:]
			}
		},
		Jacobian: func(p, j []float64) {
			for n, f := range parts {
				c.chain(p, n, f, j[:f.n*len(p)])
				j = j[f.n*len(p):]
			}
		},
	}, start)
	if err != nil && !errors.Is(err, lsq.ErrNoProgress) {
		return noCourse(err)
	}
	c.found = found
	c.judge(parts)
	c.write()
	return nil
}

// parts are the falls made ready to be simulated: knots are fresh in the first
// only.
func (c *Course) parts() []*fitting {
	var out []*fitting
	pulled := 0.0
	for n, one := range c.Fits {
		f := &fitting{form: c.Form, record: one.from, axes: one.fitting.axes}
		if n > 0 {
			f.form = c.Form.tight(pulled)
		}
		if f.form.knots && n > 0 {
			f.axes = nil
		}
		pulled = max(pulled, one.from.peak*one.from.setting.Edge.Ratio())
		f.look(one.from.used(), closely)
		out = append(out, f)
	}
	return out
}

// ofFall are the parameters of fall n alone.
func (c *Course) ofFall(p []float64, n int) []float64 {
	k, course := len(c.Form.terms), len(c.lower)
	out := make([]float64, k, k+nuisances)
	c.at(p, c.worn(p, c.rests)[n], out)
	return append(out, p[course+nuisances*n:course+nuisances*(n+1)]...)
}

// chain turns the slopes of fall n by its own parameters into those by the
// parameters of all.
func (c *Course) chain(p []float64, n int, f *fitting, j []float64) {
	k, course := len(c.Form.terms), len(c.lower)
	own := make([]float64, f.n*(k+nuisances))
	f.jacobian(c.ofFall(p, n), own)
	worn := c.worn(p, c.rests)[n]
	clear(j)
	for i := range f.n {
		from, to := own[i*(k+nuisances):(i+1)*(k+nuisances)], j[i*len(p):(i+1)*len(p)]
		for q := range from {
			from[q] /= f.record.sigma()
		}
		along := 0.0 // by the wear
		for q, v := range from[:k] {
			to[q] = v
			if s := c.settles[q]; s >= 0 {
				to[s] = worn * v
				along += p[s] * v
			}
		}
		copy(to[course+nuisances*n:], from[k:])
		for q := c.paceAt(); q < course; q++ {
			to[q] = along
		}
	}
	for q := c.paceAt(); q < course; q++ {
		by := c.wearBy(p, q, n)
		for i := range f.n {
			j[i*len(p)+q] *= by
		}
	}
}

// wearBy is the slope of the wear at fall n by the pace or the recovery.
func (c *Course) wearBy(p []float64, q, n int) float64 {
	const h = 1e-5
	at := append([]float64(nil), p...)
	at[q] += h
	more := c.worn(at, c.rests)[n]
	at[q] -= 2 * h
	return (more - c.worn(at, c.rests)[n]) / (2 * h)
}

// judge sets what falls differ from the course by: the growth of the squares over
// those of the falls' own fits, for each parameter that these have more. It does
// not ask that a fit be close to a straight line, as a distance of parameters
// would.
func (c *Course) judge(parts []*fitting) {
	r, effective, own, separate := c.found.Residuals(), 0.0, 0.0, 0
	for n, f := range parts {
		one, sum := c.Fits[n], 0.0
		for _, v := range r[:f.n] {
			sum += v * v
		}
		r = r[f.n:]
		c.Residual = append(c.Residual, f.record.sigma()*math.Sqrt(sum/float64(f.n)))
		effective += one.Effective
		own += one.sum / math.Pow(f.record.sigma(), 2)
		separate += len(one.found.P)
	}
	m := float64(len(c.found.Residuals()))
	c.effective = effective
	alone := own / (m - float64(separate)) * m / effective
	c.SD = math.Sqrt(max(c.found.S-own, 0) / float64(separate-len(c.found.P)) / alone)
	c.wide = max(c.SD, 1) * math.Sqrt(alone) / c.found.SD
}

// write puts the course into words' form.
func (c *Course) write() {
	one := func(name, unit string, k int) Parameter {
		p := Parameter{Name: name, Unit: unit, AtBound: c.found.Fixed[k]}
		p.byLogarithm(c.found.P[k], c.found.SE(k)*c.wide, math.Exp(c.lower[k]), math.Exp(c.upper[k]))
		return p
	}
	for i, t := range c.Form.terms {
		s := Settling{Name: t.name, Unit: t.unit, First: one(t.name, t.unit, i)}
		s.Last = s.First
		if k := c.settles[i]; k >= 0 {
			gradient := make([]float64, len(c.found.P))
			gradient[i], gradient[k] = 1, 1
			s.Last.AtBound = c.found.Fixed[k]
			s.Last.byLogarithm(c.found.P[i]+c.found.P[k], c.found.SEOf(gradient)*c.wide, t.lower, t.most)
		}
		c.Terms = append(c.Terms, s)
	}
	c.Pace = one("pace", "falls", c.paceAt())
	nan := math.NaN()
	c.Recovery = Parameter{Name: "recovery", Unit: "s", Value: nan, SE: nan, Lower: nan, Upper: nan, Open: true}
	if c.recovers() {
		c.Recovery = one("recovery", "s", c.paceAt()+1)
	}
	for n := range c.Fits {
		k := len(c.lower) + nuisances*n + friction
		v, se := c.found.P[k], c.found.SE(k)
		c.Guide = append(c.Guide, Parameter{
			Name: "guide friction", Unit: "N", Value: v, SE: se, AtBound: c.found.Fixed[k],
			Lower: max(0, v-level95*se), Upper: v + level95*se,
		})
	}
}
