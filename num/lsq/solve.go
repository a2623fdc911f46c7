package lsq

import (
	"fmt"
	"math"
)

// solver holds one minimisation; its slices are made once.
type solver struct {
	problem Problem
	m, n    int
	most    int
	lower   []float64
	upper   []float64
	typical []float64

	p, trial, step  []float64
	r, tried        []float64 // residuals at p and at trial
	s               float64   // S at p
	jacobian        []float64 // m by n
	gradient        []float64 // J'r
	scale           []float64 // D: largest column norm of J so far
	free            []int     // parameters that may move
	r1, q1          []float64 // R and Q'r of the free columns of J
	stack, right    []float64 // R over √λ·D, and Q'r over 0
	moving          []int     // free ones that no bound has stopped in this step, as numbers in free
	plus, minus     []float64 // for differences
	evaluations     int
	iterations      int
	damping, growth float64
}

// Solve minimises S from a start within the bounds.
//
// It returns ErrShape for slices of unequal length, ErrRange for bounds that
// leave no room or a start outside of them, ErrTooFew for fewer observations
// than parameters, ErrNotFinite when the residuals at the start are not finite,
// and ErrNoProgress, with the fit as far as it got, when the evaluations are used
// up on the way.
func Solve(problem Problem, start []float64) (*Fit, error) {
	s, err := newSolver(problem, start)
	if err != nil {
		return nil, err
	}
	if err := s.descend(); err != nil {
		return s.fit(), err
	}
	if !s.close() {
		s.polish()
	}
	return s.fit(), nil
}

func newSolver(problem Problem, start []float64) (*solver, error) {
	m, n := problem.Observations, len(start)
	if n == 0 || problem.Residuals == nil {
		return nil, fmt.Errorf("%w: a fit needs residuals and at least one parameter", ErrShape)
	}
	if m < n {
		return nil, fmt.Errorf("%w: %d observations for %d parameters", ErrTooFew, m, n)
	}
	s := &solver{
		problem: problem, m: m, n: n, most: problem.MostEvaluations,
		p: append([]float64(nil), start...), trial: make([]float64, n), step: make([]float64, n),
		r: make([]float64, m), tried: make([]float64, m),
		jacobian: make([]float64, m*n), gradient: make([]float64, n), scale: make([]float64, n),
		r1: make([]float64, m*n), q1: make([]float64, m),
		stack: make([]float64, 2*n*n), right: make([]float64, 2*n),
		plus: make([]float64, m), minus: make([]float64, m),
		damping: 1, growth: 2,
	}
	if s.most == 0 {
		s.most = 2000 * (n + 1)
	}
	var err error
	if s.lower, err = bound("lower", problem.Lower, n, math.Inf(-1)); err != nil {
		return nil, err
	}
	if s.upper, err = bound("upper", problem.Upper, n, math.Inf(1)); err != nil {
		return nil, err
	}
	for k, v := range start {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: parameter %d starts at %g", ErrNotFinite, k, v)
		}
		if !(s.lower[k] < s.upper[k]) || v < s.lower[k] || v > s.upper[k] {
			return nil, fmt.Errorf("%w: parameter %d starts at %g, its bounds are %g and %g", ErrRange, k, v, s.lower[k], s.upper[k])
		}
	}
	if s.typical, err = typical(problem.Typical, start); err != nil {
		return nil, err
	}
	s.s = s.at(s.p, s.r)
	if math.IsInf(s.s, 0) || math.IsNaN(s.s) {
		return nil, fmt.Errorf("%w: the residuals at the start", ErrNotFinite)
	}
	return s, nil
}

func bound(name string, given []float64, n int, none float64) ([]float64, error) {
	if given == nil {
		out := make([]float64, n)
		for k := range out {
			out[k] = none
		}
		return out, nil
	}
	if len(given) != n {
		return nil, fmt.Errorf("%w: %d %s bounds for %d parameters", ErrShape, len(given), name, n)
	}
	return given, nil
}

func typical(given, start []float64) ([]float64, error) {
	if given != nil && len(given) != len(start) {
		return nil, fmt.Errorf("%w: %d typical sizes for %d parameters", ErrShape, len(given), len(start))
	}
	out := make([]float64, len(start))
	for k := range out {
		out[k] = math.Abs(start[k])
		if given != nil {
			out[k] = math.Abs(given[k])
		}
		if out[k] == 0 {
			out[k] = 1
		}
	}
	return out, nil
}

// at fills r and returns S there; +Inf where a residual is not finite.
func (s *solver) at(p, r []float64) float64 {
	s.evaluations++
	s.problem.Residuals(p, r)
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// descend takes damped steps until one can gain no more than rounding.
func (s *solver) descend() error {
	s.linearise(false)
	s.shorten()
	for s.evaluations < s.most {
		if len(s.free) == 0 || s.s == 0 || s.close() {
			return nil
		}
		gain := s.damped()
		if gain <= 1e-15*s.s || s.still(1e-14) {
			return nil
		}
		tried := s.at(s.trial, s.tried)
		if tried < s.s {
			s.accept(tried, (s.s-tried)/gain)
			continue
		}
		s.damping *= s.growth
		s.growth *= 2
		if math.IsInf(s.damping, 1) {
			return nil
		}
	}
	return fmt.Errorf("%w: %d evaluations were used up at a sum of squares of %g", ErrNoProgress, s.evaluations, s.s)
}

// shorten damps the first step until it is no longer than the start is far from
// zero, both in the scale of J: a start says at least how large things are.
func (s *solver) shorten() {
	start, shape := 0.0, s.scale
	for k, v := range s.p {
		start = math.Hypot(start, shape[k]*v)
	}
	for range 60 {
		if start == 0 || len(s.free) == 0 {
			return
		}
		s.damped()
		if s.length() <= start {
			return
		}
		s.damping *= 4
	}
}

// length is that of the step in the scale of J.
func (s *solver) length() float64 {
	size := 0.0
	for _, k := range s.free {
		size = math.Hypot(size, s.step[k]*s.scale[k])
	}
	return size
}

// accept moves to the trial and sets the damping by how well the linear model
// foretold the gain [Nielsen1999].
func (s *solver) accept(tried, ratio float64) {
	s.move(tried)
	s.damping = max(s.damping*max(1.0/3, 1-math.Pow(2*ratio-1, 3)), 1e-20)
	s.growth = 2
	s.linearise(false)
}

func (s *solver) move(tried float64) {
	s.p, s.trial = s.trial, s.p
	s.r, s.tried = s.tried, s.r
	s.s = tried
	s.iterations++
}

// linearise makes J, the gradient, the scale, the free parameters, and R and
// Q'r of their columns at p.
func (s *solver) linearise(fine bool) {
	s.differentiate(fine)
	m, n := s.m, s.n
	s.free = s.free[:0]
	for k := range n {
		norm, g := 0.0, 0.0
		for i := range m {
			v := s.jacobian[i*n+k]
			norm += v * v
			g += v * s.r[i]
		}
		s.gradient[k] = g
		s.scale[k] = max(s.scale[k], math.Sqrt(norm))
		held := s.p[k] <= s.lower[k] && g >= 0 || s.p[k] >= s.upper[k] && g <= 0
		if !held && norm > 0 {
			s.free = append(s.free, k)
		}
	}
	f := len(s.free)
	for i := range m {
		for c, k := range s.free {
			s.r1[i*f+c] = s.jacobian[i*n+k]
		}
	}
	copy(s.q1, s.r)
	triangle(s.r1, s.q1, m, f)
}

// offset is the relative offset of Fit.
func (s *solver) offset() float64 {
	f := len(s.free)
	if f == 0 || s.m == s.n {
		return 0
	}
	along := 0.0
	for _, v := range s.q1[:f] {
		along += v * v
	}
	return math.Sqrt(along / float64(f) / (max(s.s-along, 0) / float64(s.m-s.n)))
}

// close reports whether the minimum is near enough for the problem.
func (s *solver) close() bool { return s.problem.Offset > 0 && s.offset() <= s.problem.Offset }

// still reports whether the step is nothing beside the parameters.
func (s *solver) still(tolerance float64) bool {
	for _, k := range s.free {
		if math.Abs(s.step[k]) > tolerance*max(math.Abs(s.p[k]), 1e-3*s.typical[k]) {
			return false
		}
	}
	return true
}

// polish takes undamped steps while they shrink: near the minimum S no longer
// tells which of two points is lower, but the steps still do.
func (s *solver) polish() {
	last := math.Inf(1)
	s.linearise(true)
	for range 100 {
		if len(s.free) == 0 {
			return
		}
		s.damping = 0
		s.damped()
		size := s.length()
		if size == 0 || size >= last || math.IsNaN(size) {
			return
		}
		tried := s.at(s.trial, s.tried)
		if tried > s.s*(1+1e-10) {
			return
		}
		last = size
		s.move(tried)
		s.linearise(true)
	}
}

func (s *solver) fit() *Fit {
	f := &Fit{
		P: s.p, S: s.s, DF: s.m - s.n, SD: math.NaN(), Fixed: make([]bool, s.n),
		Evaluations: s.evaluations, Iterations: s.iterations, problem: s.problem, r: s.r,
	}
	if f.DF > 0 {
		f.SD = math.Sqrt(f.S / float64(f.DF))
	}
	for k := range f.Fixed {
		f.Fixed[k] = true
	}
	for _, k := range s.free {
		f.Fixed[k] = false
		norm := 0.0
		for i := range s.m {
			norm = math.Hypot(norm, s.jacobian[i*s.n+k])
		}
		if f.S > 0 && norm > 0 {
			f.Angle = max(f.Angle, math.Abs(s.gradient[k])/(norm*math.Sqrt(f.S)))
		}
	}
	f.Offset = s.offset()
	f.inverse, f.singular = s.inverse()
	return f
}
