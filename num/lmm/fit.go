package lmm

import (
	"fmt"
	"math"
)

// engine evaluates deviances for one frame; one at a time.
type engine interface {
	objective
	// response takes what X leaves over of a new y.
	response(rest []float64)
	// solution gives, at x, the estimates in the coordinates of Q that go with
	// the rest, their covariance over σ², b = Λu, and r².
	solution(x []float64) (beta, cov, b []float64, r2 float64)
	// evaluated counts the deviances so far.
	evaluated() int
}

func (f *frame) newEngine() engine {
	if f.small == nil {
		return newClustered(f)
	}
	s := newSwept(f)
	if o := newSingle(s); o != nil {
		return o
	}
	return s
}

// New fits a model by REML or ML.
//
// The deviance is minimised over θ (and the ratios of residual standard
// deviations), β and σ² being profiled out; see [Bates2015]. Up to some
// dozens of random effects several starts are made; variances that end at zero and correlations that end at ±1 are the
// estimates, and Record.Boundary says so. Columns of X that others make up are
// left out, the later of them first, and named in Dropped.
//
// It returns ErrShape, ErrNotFinite, ErrRange or ErrTooFew for input that
// cannot be a model, ErrNoSpread when the fixed effects, or those and the
// random effects, leave no residual, ErrConfounded when a term cannot be told
// from another, from the fixed effects or from the residual, and
// ErrNotConverged when no minimum is found.
func New(m Model, method Method) (*Fit, error) {
	f, err := newFrame(m, method)
	if err != nil {
		return nil, err
	}
	return f.fit(f.newEngine(), m.Y, nil)
}

// Refit fits the same model to other values, which is much faster than New. The
// search begins at the estimates of f.
func (f *Fit) Refit(y []float64) (*Fit, error) {
	return f.refit(f.frame.newEngine(), y)
}

func (f *Fit) refit(e engine, y []float64) (*Fit, error) {
	if len(y) != f.N {
		return nil, fmt.Errorf("%w: %d values for a model of %d", ErrShape, len(y), f.N)
	}
	for i, v := range y {
		if !finite(v) {
			return nil, fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, v)
		}
	}
	return f.frame.fit(e, y, f.Theta)
}

// fit searches from a start, or from several when start is nil.
func (f *frame) fit(e engine, y, start []float64) (*Fit, error) {
	rest := append([]float64(nil), y...)
	constant := f.basis.shift(rest)
	along := f.basis.project(rest)
	along[0] += constant
	// What rounding leaves of values that X fits exactly.
	if noise := 1e-15 * math.Sqrt(dot(y, y)); dot(rest, rest) <= noise*noise {
		return nil, fmt.Errorf("%w: the fixed effects fit every value exactly", ErrNoSpread)
	}
	e.response(rest)
	s := newSearch(f, e)
	if f.theta+f.groups == 1 {
		start = []float64{} // nothing to search for
	}
	before := e.evaluated()
	thorough := start == nil && f.large == nil // with many levels there is one minimum
	if start == nil {
		start = s.start()
	}
	end, err := s.run(start, thorough)
	if err != nil {
		return nil, err
	}
	fit := &Fit{Method: f.method, N: f.n, Theta: end.x, Deviance: end.value, frame: f, y: append([]float64(nil), y...)}
	fit.Record = Record{Starts: s.tries, Iterations: end.steps, Decrement: end.decrement, Converged: end.decrement < tolerated}
	for i, g := range end.g {
		if !s.min.bounded[i] || end.x[i] > 0 {
			fit.Record.Gradient = max(fit.Record.Gradient, math.Abs(g))
		}
	}
	fit.Record.Evaluations = e.evaluated() - before
	return fit, fit.fill(e, along)
}

// fill turns the end of the search into estimates.
func (f *Fit) fill(e engine, along []float64) error {
	fr := f.frame
	beta, cov, b, r2 := e.solution(f.Theta)
	f.ResidualVariance = r2 / fr.degrees()
	axpy(1, along, beta)
	fr.basis.solve(beta)
	f.Beta, f.random, f.phi = beta, b, cov
	scale(f.ResidualVariance, f.phi)
	kept := 0
	for j, name := range fr.model.Names {
		if kept < len(fr.basis.kept) && fr.basis.kept[kept] == j {
			f.Columns = append(f.Columns, name)
			kept++
			continue
		}
		f.Dropped = append(f.Dropped, name)
	}
	sd := math.Sqrt(f.ResidualVariance)
	f.ResidualSD = []float64{sd}
	for _, logRatio := range f.Theta[fr.theta:] {
		f.ResidualSD = append(f.ResidualSD, sd*math.Exp(logRatio))
	}
	f.components()
	if !finite(f.Deviance) || !finite(f.ResidualVariance) {
		return fmt.Errorf("%w: deviance %g, residual variance %g", ErrNotConverged, f.Deviance, f.ResidualVariance)
	}
	return nil
}

// components brings Λ back to the units of the slopes as given.
func (f *Fit) components() {
	f.Components = make([]Component, len(f.frame.model.Random))
	for i, t := range f.frame.model.Random {
		c := &f.Components[i]
		*c = Component{Term: t.Name, Effects: []string{"intercept"}, Covariance: [][]float64{{0}}, Correlation: math.NaN()}
		if t.Slope != nil {
			c.Effects = append(c.Effects, t.SlopeName)
			c.Covariance = [][]float64{{0, 0}, {0, 0}}
		}
	}
	for _, b := range f.frame.blocks {
		c := &f.Components[b.from]
		c.Levels = b.levels
		for i := range b.k {
			for j := range b.k {
				c.Covariance[b.effect+i][b.effect+j] = f.ResidualVariance * b.relative(f.Theta, i, j)
			}
		}
	}
	for i := range f.Components {
		c := &f.Components[i]
		if v := c.Covariance; len(v) == 2 && v[0][0] > 0 && v[1][1] > 0 {
			c.Correlation = max(-1, min(1, v[0][1]/math.Sqrt(v[0][0]*v[1][1])))
		}
		f.Record.Boundary = append(f.Record.Boundary, c.boundary(f.frame, f.Theta, i)...)
	}
}

// origin is the matrix T that takes effects on the scaled slope to those on the
// slope as given.
func (b *block) origin() [2][2]float64 {
	if b.k == 1 {
		return [2][2]float64{{1 / b.unit}}
	}
	return [2][2]float64{{1, -b.centre / b.unit}, {0, 1 / b.unit}}
}

// relative is the entry of Σ_b/σ² = T·Λ·Λ'·T'.
func (b *block) relative(theta []float64, i, j int) float64 {
	t := b.origin()
	var l [2][2]float64
	for e, rc := range b.entries {
		l[rc[0]][rc[1]] = theta[b.theta+e]
	}
	sum := 0.0
	for c := range b.k {
		ti, tj := 0.0, 0.0
		for r := range b.k {
			ti += t[i][r] * l[r][c]
			tj += t[j][r] * l[r][c]
		}
		sum += ti * tj
	}
	return sum
}

// boundary says in words which parameters of term i lie at their bounds.
func (c *Component) boundary(f *frame, theta []float64, i int) []string {
	var out []string
	for e, name := range c.Effects {
		if c.Covariance[e][e] <= 0 {
			out = append(out, fmt.Sprintf("%s: the variance of the %s is zero", c.Term, name))
		}
	}
	for _, b := range f.blocks {
		if b.from == i && b.k == 2 && len(out) == 0 && (theta[b.theta] == 0 || theta[b.theta+2] == 0) {
			out = append(out, fmt.Sprintf("%s: the correlation of intercept and %s is %+.0f", c.Term, c.Effects[1], c.Correlation))
		}
	}
	return out
}

// solution is that of the engine interface.
func (s *swept) solution(x []float64) (beta, cov, b []float64, r2 float64) {
	f, p, q := s.f, s.f.basis.p, s.f.q
	s.at(x, nil)
	s.factor(s.b)
	b = append([]float64(nil), s.u...)
	f.spread(s.theta, b)
	swept, inv := s.t, make([]float64, p*p)
	if f.groups > 1 {
		swept = s.ff
		inverse(s.lq, p, inv, make([]float64, p*p))
	} else {
		for i := range p {
			inv[i*p+i] = 1
		}
	}
	beta = append([]float64(nil), s.ty...)
	if f.groups > 1 {
		backward(s.lq, p, beta)
	}
	g := make([]float64, q*p) // Λ'F'
	for c := range p {
		beta[c] -= dot(swept[c*q:c*q+q], b)
		for r := range q {
			g[r*p+c] = swept[c*q+r]
		}
	}
	f.lambdaTimes(s.theta, g, p)
	forwardRows(s.a, q, g, p)
	for r := range q {
		gr := g[r*p : r*p+p]
		for c, v := range gr {
			if v != 0 {
				axpy(v, gr, inv[c*p:c*p+p])
			}
		}
	}
	return beta, inv, b, s.r2
}

func (s *swept) evaluated() int { return s.evaluations }
