package fit

import (
	"math"

	"fallwright.example/fall"
	"fallwright.example/num/lsq"
	"fallwright.example/rope"
)

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
	Fits     []*Fit // of each fall by itself; of a knotted form from the second on without knots
	Terms    []Settling
	Pace     Parameter   // c, falls
	Recovery Parameter   // τ_r, s; NaN where the rests are too much alike to tell
	Guide    []Parameter // N, friction of the guide in each fall
	Residual []float64   // N rms, of each fall about the course; its own fit leaves Fits[i].SD

	// SD is by how much falls differ from the course, in the standard errors of
	// their own fits: 1 where they differ by noise alone. Standard errors are
	// those of noise times this where it is above 1, and times √τ.
	SD float64

	found        *lsq.Fit
	settles      []int // of each term its change in the parameters of found, or −1
	rests        []float64
	lower, upper []float64
	reached      Range
	wide         float64 // what the joint fit's standard errors are multiplied by
	effective    float64
}

// Settling is a parameter at the first fall and where it tends to.
type Settling struct {
	Name, Unit string
	First      Parameter
	Last       Parameter // that of First where the parameter stays
}

// worn is w before each fall.
func (c *Course) worn(p []float64, rests []float64) []float64 {
	from := c.paceAt()
	stay, keep := math.Exp(-math.Exp(-p[from])), func(float64) float64 { return 1 }
	if c.recovers() {
		keep = func(rest float64) float64 { return math.Exp(-rest * math.Exp(-p[from+1])) }
	}
	out := make([]float64, len(rests))
	for n := 1; n < len(rests); n++ {
		out[n] = (1 - (1-out[n-1])*stay) * keep(rests[n])
	}
	return out
}

// paceAt is where the pace stands among the parameters; those of single falls
// follow it, or the recovery.
func (c *Course) paceAt() int {
	n := len(c.Form.terms)
	for _, t := range c.Form.terms {
		if t.settles {
			n++
		}
	}
	return n
}

func (c *Course) recovers() bool { return len(c.lower) > c.paceAt()+1 }

// at writes the logarithms of the law's parameters at a wear.
func (c *Course) at(p []float64, worn float64, out []float64) {
	for i := range out {
		out[i] = p[i]
		if s := c.settles[i]; s >= 0 {
			out[i] += worn * p[s]
		}
	}
}

// Next is the law of the fall after the last, after a rest in seconds; knots are
// tight by then.
func (c *Course) Next(rest float64) rope.Law {
	return c.bare(c.found.P, c.nextWorn(c.found.P, rest))
}

func (c *Course) nextWorn(p []float64, rest float64) float64 {
	worn := c.worn(p, append(append([]float64(nil), c.rests...), rest))
	return worn[len(worn)-1]
}

// bare is the law at a wear, its knots tight.
func (c *Course) bare(p []float64, worn float64) rope.Law {
	own := make([]float64, c.Form.own())
	c.at(p, worn, own)
	for i, v := range own {
		own[i] = math.Exp(v)
	}
	return c.Form.bare().build(own)
}

// Known is the rope as it was in fall n, from 1 on, its knots tight.
func (c *Course) Known(n int) Known {
	return c.known(func(p []float64) float64 { return c.worn(p, c.rests)[n-1] })
}

// KnownNext is the rope as it will be in the fall after the last, after a rest in
// seconds.
func (c *Course) KnownNext(rest float64) Known {
	return c.known(func(p []float64) float64 { return c.nextWorn(p, rest) })
}

// known carries the covariance of the course over to the law at a wear.
func (c *Course) known(worn func(p []float64) float64) Known {
	n := len(c.Form.terms)
	at, values := make([]float64, n), make([]float64, n)
	gradients := make([][]float64, n)
	for i := range gradients {
		gradients[i] = make([]float64, len(c.found.P))
	}
	p := append([]float64(nil), c.found.P...)
	for k := range c.lower {
		const h = 1e-5
		p[k] += h
		c.at(p, worn(p), at)
		for i, v := range at {
			gradients[i][k] = v / (2 * h)
		}
		p[k] -= 2 * h
		c.at(p, worn(p), at)
		for i, v := range at {
			gradients[i][k] -= v / (2 * h)
		}
		p[k] = c.found.P[k]
	}
	c.at(p, worn(p), at)
	covariance := make([][]float64, n)
	for i, v := range at {
		values[i] = math.Exp(v)
		covariance[i] = make([]float64, n)
		for j := range n {
			covariance[i][j] = c.found.CovarianceOf(gradients[i], gradients[j]) * c.wide * c.wide
		}
	}
	return c.Form.known(values, natural(covariance, values), c.reached)
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
	guide := c.Guide[len(c.Guide)-1].Value
	var s fall.Simulator
	drop := func(p []float64) (*fall.Run, rope.Law, error) {
		law := c.bare(p, c.nextWorn(p, rest))
		run, err := s.Simulate(setting.tower(guide, law), fall.Watch{FromContact: true, Until: 10, Accuracy: closely.accuracy})
		return run, law, err
	}
	gradient, at := make([]float64, len(c.found.P)), append([]float64(nil), c.found.P...)
	for k := range c.lower {
		sides := [2]float64{}
		for i, d := range []float64{1e-3, -1e-3} {
			at[k] = c.found.P[k] + d
			run, _, err := drop(at)
			if err != nil {
				return nil, err
			}
			sides[i] = run.Peak
		}
		at[k] = c.found.P[k]
		gradient[k] = (sides[0] - sides[1]) / 2e-3
	}
	run, law, err := drop(at)
	if err != nil {
		return nil, err
	}
	return &Forecast{
		Law: law, Peak: run.Peak, SE: c.found.SEOf(gradient) * c.wide, Energy: run.EnergyAbsorbed, Speed: run.ReboundSpeed,
	}, nil
}
