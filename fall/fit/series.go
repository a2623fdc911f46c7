package fit

import (
	"math"

	"fallwright.example/fall"
	"fallwright.example/num/lsq"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Fall is one fall of a series on the same specimen.
type Fall struct {
	Samples []float64
	Rate    float64
	Setting Setting
	Rest    float64 // s since the fall before; of the first it says nothing
}

// Course is how a law's parameters go from fall to fall:
//
//	ln pₙ = ln p₁ + wₙ·(ln p∞ − ln p₁)
//	w₁ = 0,  wₙ₊₁ = (1 − (1 − wₙ)·e^(−1/c))·e^(−rest/τ_r)
//
// one pace c and one recovery time τ_r for all of them. Moduli and friction
// settle; growth and times stay. Without recovery it is
// pₙ = p∞ + (p₁ − p∞)·e^(−(n−1)/c), of the logarithms.
type Course struct {
	Form     Form
	Fits     []*Fit
	Terms    []Settling
	Pace     Parameter // c, falls
	Recovery Parameter // τ_r, s; NaN where the rests are too much alike to tell
	SD       float64   // of the fits' parameters about the course, in their own standard errors; 1 where falls differ by noise alone
	found    *lsq.Fit
	settles  []int // of each term its change in the parameters of found, or −1
	rests    []float64
}

// Settling is a parameter at the first fall and where it tends to.
type Settling struct {
	Name, Unit string
	First      Parameter
	Last       Parameter // that of First where the parameter stays
}

const (
	shortestSeries = 3
	unlikeRests    = 1.5 // longest over shortest, for a recovery to be seen
)

// Series fits a law to a series of falls: each trace by Trace, and the course of
// the parameters to those fits together, weighted by their whole covariances.
// That is a fit to all traces at once as long as each is close to linear within
// its errors. Standard errors grow with SD where falls differ by more than noise.
//
// Refuses fewer than three falls, and passes on what Trace refuses.
func Series(falls []Fall, form Form) (*Course, error) {
	if len(falls) < shortestSeries {
		return nil, problem.New(problem.Invalid, "series", "%d falls, a course over falls needs %d", len(falls), shortestSeries)
	}
	c := &Course{Form: form}
	shortest, longest := math.Inf(1), 0.0
	for i, f := range falls {
		if i > 0 {
			if !(f.Rest > 0) {
				return nil, problem.New(problem.Invalid, "rest", "%g s before fall %d, must be above 0 s", f.Rest, i+1)
			}
			shortest, longest = min(shortest, f.Rest), max(longest, f.Rest)
		}
		one, err := Trace(f.Samples, f.Rate, f.Setting, form)
		if err != nil {
			return nil, problem.New(problem.Invalid, "series", "fall %d: %v", i+1, err)
		}
		c.Fits, c.rests = append(c.Fits, one), append(c.rests, f.Rest)
	}
	return c, c.solve(longest > unlikeRests*shortest)
}

// solve finds first values, changes, pace and, where asked, recovery.
func (c *Course) solve(recovers bool) error {
	var start, lower, upper []float64
	open := func(at, low, high float64) {
		start, lower, upper = append(start, at), append(lower, low), append(upper, high)
	}
	first, last := c.Fits[0].found.P, c.Fits[len(c.Fits)-1].found.P
	for i := range c.Form.terms {
		open(first[i], math.Inf(-1), math.Inf(1))
	}
	for i, t := range c.Form.terms {
		c.settles = append(c.settles, -1)
		if t.settles {
			c.settles[i] = len(start)
			open(last[i]-first[i], -3, 3)
		}
	}
	open(math.Log(1.5), math.Log(0.2), math.Log(20))
	if recovers {
		open(math.Log(3600), math.Log(10), math.Log(1e8))
	}
	whole := make([]whitening, len(c.Fits))
	for i, f := range c.Fits {
		whole[i] = f.whitening()
	}
	k := len(c.Form.terms)
	if k*len(c.Fits) <= len(start) {
		return problem.New(problem.Invalid, "series", "%d falls leave nothing to judge %d parameters by", len(c.Fits), len(start))
	}
	found, err := lsq.Solve(lsq.Problem{
		Observations: k * len(c.Fits), Lower: lower, Upper: upper,
		Residuals: func(p, r []float64) {
			at := make([]float64, k)
			for n, w := range c.worn(p, c.rests) {
				c.at(p, w, at)
				for i := range at {
					at[i] = c.Fits[n].found.P[i] - at[i]
				}
				whole[n].apply(at, r[n*k:(n+1)*k])
			}
		},
	}, start)
	if err != nil {
		return problem.New(problem.Invalid, "series", "no course goes through the falls: %v", err)
	}
	c.found, c.SD = found, found.SD
	c.write(recovers)
	return nil
}

// worn is w before each fall.
func (c *Course) worn(p []float64, rests []float64) []float64 {
	from := c.paceAt()
	stay, keep := math.Exp(-math.Exp(-p[from])), func(float64) float64 { return 1 }
	if len(p) > from+1 {
		keep = func(rest float64) float64 { return math.Exp(-rest * math.Exp(-p[from+1])) }
	}
	out := make([]float64, len(rests))
	for n := 1; n < len(rests); n++ {
		out[n] = (1 - (1-out[n-1])*stay) * keep(rests[n])
	}
	return out
}

// paceAt is where the pace stands among the parameters.
func (c *Course) paceAt() int {
	n := len(c.Form.terms)
	for _, t := range c.Form.terms {
		if t.settles {
			n++
		}
	}
	return n
}

// at writes the logarithms of the law's parameters at a wear.
func (c *Course) at(p []float64, worn float64, out []float64) {
	for i := range out {
		out[i] = p[i]
		if s := c.settles[i]; s >= 0 {
			out[i] += worn * p[s]
		}
	}
}

// Next is the law of the fall after the last, after a rest in seconds.
func (c *Course) Next(rest float64) rope.Law {
	rests := append(append([]float64(nil), c.rests...), rest)
	worn := c.worn(c.found.P, rests)
	return c.law(c.found.P, worn[len(worn)-1])
}

func (c *Course) law(p []float64, worn float64) rope.Law {
	own := make([]float64, len(c.Form.terms))
	c.at(p, worn, own)
	for i, v := range own {
		own[i] = math.Exp(v)
	}
	return c.Form.build(own)
}

// Forecast is what the next fall will be.
type Forecast struct {
	Law    rope.Law
	Peak   float64 // N
	SE     float64 // N, of the peak, by the course's own errors
	Energy float64 // J absorbed
	Speed  float64 // m/s, of the rebound
}

// Forecast foretells the next fall in a setting, after a rest in seconds, at the
// guide friction of the last.
func (c *Course) Forecast(setting Setting, rest float64) (*Forecast, error) {
	guide, _ := c.Fits[len(c.Fits)-1].Parameter("guide friction")
	rests := append(append([]float64(nil), c.rests...), rest)
	var s fall.Simulator
	drop := func(p []float64) (*fall.Run, rope.Law, error) {
		worn := c.worn(p, rests)
		law := c.law(p, worn[len(worn)-1])
		run, err := s.Simulate(setting.tower(guide.Value, law), fall.Watch{FromContact: true, Until: 10, Accuracy: accuracy})
		return run, law, err
	}
	gradient, at := make([]float64, len(c.found.P)), append([]float64(nil), c.found.P...)
	for k, v := range at {
		sides := [2]float64{}
		for i, d := range []float64{1e-3, -1e-3} {
			at[k] = v + d
			run, _, err := drop(at)
			if err != nil {
				return nil, err
			}
			sides[i] = run.Peak
		}
		at[k] = v
		gradient[k] = (sides[0] - sides[1]) / 2e-3
	}
	run, law, err := drop(at)
	if err != nil {
		return nil, err
	}
	return &Forecast{Law: law, Peak: run.Peak, SE: c.found.SEOf(gradient), Energy: run.EnergyAbsorbed, Speed: run.ReboundSpeed}, nil
}

// write puts the course into words' form.
func (c *Course) write(recovers bool) {
	one := func(name, unit string, k int) Parameter {
		v, se := c.found.P[k], c.found.SE(k)
		return Parameter{
			Name: name, Unit: unit, Value: math.Exp(v), SE: math.Exp(v) * se,
			Lower: math.Exp(v - level95*se), Upper: math.Exp(v + level95*se), AtBound: c.found.Fixed[k],
		}
	}
	for i, t := range c.Form.terms {
		s := Settling{Name: t.name, Unit: t.unit, First: one(t.name, t.unit, i)}
		s.Last = s.First
		if k := c.settles[i]; k >= 0 {
			gradient := make([]float64, len(c.found.P))
			gradient[i], gradient[k] = 1, 1
			v, se := c.found.P[i]+c.found.P[k], c.found.SEOf(gradient)
			s.Last.Value, s.Last.SE = math.Exp(v), math.Exp(v)*se
			s.Last.Lower, s.Last.Upper = math.Exp(v-level95*se), math.Exp(v+level95*se)
			s.Last.AtBound = c.found.Fixed[k]
		}
		c.Terms = append(c.Terms, s)
	}
	c.Pace = one("pace", "falls", c.paceAt())
	nan := math.NaN()
	c.Recovery = Parameter{Name: "recovery", Unit: "s", Value: nan, SE: nan, Lower: nan, Upper: nan}
	if recovers {
		c.Recovery = one("recovery", "s", c.paceAt()+1)
	}
}

// whitening turns errors of a fit's law parameters into independent ones of
// standard deviation 1: the inverse of the Cholesky factor of their covariance.
type whitening struct {
	n    int
	root []float64 // lower triangle by rows
}

func (f *Fit) whitening() whitening {
	n := len(f.Form.terms)
	w := whitening{n, make([]float64, n*n)}
	covariance, err := f.found.Covariance()
	at := func(i, j int) float64 {
		if err != nil || f.found.Fixed[i] || f.found.Fixed[j] {
			if i == j {
				return 1 // a logarithm known to a factor of e: next to nothing
			}
			return 0
		}
		return covariance.At(i, j) * f.Together
	}
	for i := range n {
		for j := range i + 1 {
			sum := at(i, j)
			for k := range j {
				sum -= w.root[i*n+k] * w.root[j*n+k]
			}
			if i == j {
				w.root[i*n+i] = math.Sqrt(max(sum, 1e-300))
			} else {
				w.root[i*n+j] = sum / w.root[j*n+j]
			}
		}
	}
	return w
}

// apply writes root⁻¹·e into out.
func (w whitening) apply(e, out []float64) {
	for i := range w.n {
		sum := e[i]
		for k := range i {
			sum -= w.root[i*w.n+k] * out[k]
		}
		out[i] = sum / w.root[i*w.n+i]
	}
}
