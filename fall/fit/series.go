package fit

import (
	"math"

	"fallwright.example/num/lsq"
	"fallwright.example/problem"
)

// Fall is one fall of a series on the same specimen.
type Fall struct {
	Samples []float64
	Rate    float64
	Setting Setting
	Rest    float64 // s since the fall before; of the first it says nothing
}

const (
	shortestSeries = 3
	unlikeRests    = 1.5 // longest over shortest, for a recovery to be seen
)

// Series fits a law to a series of falls: all traces at once, by the law's
// parameters at the first fall, their change over the course, its pace, and guide
// friction, contact and zero of each fall. It begins from a fit of each trace by
// itself and the course through those fits, weighted by their covariances. A
// knotted form has its knots fresh in the first fall.
//
// Standard errors grow with SD where falls differ by more than noise. Refuses
// fewer than three falls, and passes on what Trace refuses.
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
		of := form
		if i > 0 {
			of = form.bare()
		}
		one, err := Trace(f.Samples, f.Rate, f.Setting, of)
		if err != nil {
			return nil, problem.New(problem.Invalid, "series", "fall %d: %v", i+1, err)
		}
		c.Fits, c.rests = append(c.Fits, one), append(c.rests, f.Rest)
		c.reached = c.reached.with(one.Reached)
	}
	start, err := c.through(longest > unlikeRests*shortest)
	if err != nil {
		return nil, err
	}
	return c, c.joint(start)
}

// through finds the course through the fits of single falls.
func (c *Course) through(recovers bool) ([]float64, error) {
	var start, lower, upper []float64
	open := func(at, low, high float64) {
		start, lower, upper = append(start, at), append(lower, low), append(upper, high)
	}
	first, last := c.Fits[0].found.P, c.Fits[len(c.Fits)-1].found.P
	for i, t := range c.Form.terms {
		open(first[i], math.Log(t.lower), math.Log(t.most))
	}
	for i, t := range c.Form.terms {
		c.settles = append(c.settles, -1)
		if t.settles {
			c.settles[i] = len(start)
			open(min(max(last[i]-first[i], -mostChange), mostChange), -mostChange, mostChange)
		}
	}
	open(math.Log(1.5), math.Log(0.2), math.Log(20))
	if recovers {
		open(math.Log(3600), math.Log(10), math.Log(1e8))
	}
	c.lower, c.upper = lower, upper
	k, own := len(c.Form.terms), c.Form.own()
	if own*len(c.Fits) <= len(start)-(k-own) {
		return nil, problem.New(problem.Invalid, "series", "%d falls leave nothing to judge %d parameters by", len(c.Fits), len(start))
	}
	knots := append([]float64(nil), start[own:k]...)
	whole := make([]whitening, len(c.Fits))
	for i, f := range c.Fits {
		whole[i] = f.whitening()
	}
	at := make([]float64, k)
	of := lsq.Problem{
		Observations: own*len(c.Fits) + len(knots), Lower: lower, Upper: upper,
		Residuals: func(p, r []float64) {
			for n, w := range c.worn(p, c.rests) {
				c.at(p, w, at)
				for i := range own {
					at[i] = c.Fits[n].found.P[i] - at[i]
				}
				whole[n].apply(at, r[n*own:(n+1)*own])
			}
			for i, v := range knots { // those of the first fall: no other says anything of them
				r[own*len(c.Fits)+i] = p[own+i] - v
			}
		},
	}
	return c.nearest(of, start)
}

// nearest tries several paces and recoveries to begin with: a slow one that goes
// far and a fast one that stays near are two minima for a few falls.
func (c *Course) nearest(of lsq.Problem, start []float64) ([]float64, error) {
	recoveries := []float64{0}
	if c.recovers() {
		recoveries = []float64{300, 3000, 30000}
	}
	var best *lsq.Fit
	var refused error
	for _, pace := range []float64{0.5, 1.5, 5} {
		for _, recovery := range recoveries {
			from := append([]float64(nil), start...)
			from[c.paceAt()] = math.Log(pace)
			if recovery > 0 {
				from[c.paceAt()+1] = math.Log(recovery)
			}
			found, err := lsq.Solve(of, from)
			if err != nil {
				refused = err
			} else if best == nil || found.S < best.S {
				best = found
			}
		}
	}
	if best == nil {
		return nil, noCourse(refused)
	}
	return best.P, nil
}

func noCourse(err error) error {
	return problem.New(problem.Invalid, "series", "no course goes through the falls: %v", err)
}

const mostChange = 3.0 // of a parameter over the course, by its logarithm

// whitening turns errors of a fit's law parameters into independent ones of
// standard deviation 1: the inverse of the Cholesky factor of their covariance.
type whitening struct {
	n    int
	root []float64 // lower triangle by rows
}

func (f *Fit) whitening() whitening {
	n := f.Form.own()
	w := whitening{n, make([]float64, n*n)}
	at := func(i, j int) float64 {
		c := f.covariance[i][j]
		if i == j && !(c > 0) {
			return 1 // at a bound: a logarithm known to a factor of e, next to nothing
		}
		return c
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
