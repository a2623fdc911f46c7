package nlmm

import (
	"fmt"
	"math"
	"slices"
)

// New fits a model from a start of β.
//
// It returns ErrShape for lengths that do not fit, ErrTooFew for fewer than two
// groups or no more values than parameters, ErrNotFinite where the function has no
// value at the start, and ErrNoProgress when the alternation does not settle or
// the data do not tell the parameters apart.
func New(m Model, start []float64, method Method) (*Fit, error) {
	return search(m, start, nil, method)
}

// Hold fits f's model again by a method with some of β held at values, from where
// f is.
func (f *Fit) Hold(m Model, at map[int]float64, method Method) (*Fit, error) {
	start := slices.Clone(f.Beta)
	m.Held = make([]bool, m.Parameters)
	for k, v := range at {
		start[k], m.Held[k] = v, true
	}
	return search(m, start, f, method)
}

// mostSteps of the alternation; a curve that its data hold takes five to thirty.
const mostSteps = 200

func search(m Model, start []float64, from *Fit, method Method) (*Fit, error) {
	s, err := newState(m, start, method)
	if err != nil {
		return nil, err
	}
	if from != nil {
		s.carry(from)
	} else if err := s.first(); err != nil {
		return nil, err
	}
	last := math.Inf(1)
	for step := 1; step <= mostSteps; step++ {
		if err := s.penalised(); err != nil {
			return nil, err
		}
		s.linearise()
		s.likely(from != nil || step > 1)
		d := s.deviance(s.theta)
		moved := s.moved()
		if math.IsNaN(d) || math.IsInf(d, 0) {
			return nil, fmt.Errorf("%w: the data do not tell the parameters apart", ErrNoProgress)
		}
		if math.Abs(d-last) < 1e-9*(1+math.Abs(d)) && moved < 1e-7 {
			return s.done(d, step), nil
		}
		last = d
	}
	return nil, fmt.Errorf("%w within %d alternations", ErrNoProgress, mostSteps)
}

// state is a search on its way.
type state struct {
	m      Model
	method Method
	free   []int // columns of X
	n      int   // all values
	beta   []float64
	b      [][]float64 // of each group, in the order of Random
	u      [][]float64 // b = Λ·u
	theta  []float64   // log diagonal of Λ, then its other entries by rows
	groups []products
	before []float64 // β of the step before, for moved
	f, g   [][]float64
}

func newState(m Model, start []float64, method Method) (*state, error) {
	s := &state{m: m, method: method, beta: slices.Clone(start)}
	if len(start) != m.Parameters || len(m.Random) == 0 || slices.Max(m.Random) >= m.Parameters || m.Held != nil && len(m.Held) != m.Parameters {
		return nil, fmt.Errorf("%w: a start of %d for %d parameters", ErrShape, len(start), m.Parameters)
	}
	if len(m.Y) < 2 {
		return nil, fmt.Errorf("%w: %d group, and what varies between them needs two", ErrTooFew, len(m.Y))
	}
	for k := range m.Parameters {
		if m.Held == nil || !m.Held[k] {
			s.free = append(s.free, k)
		}
	}
	q := len(m.Random)
	for _, y := range m.Y {
		s.n += len(y)
		s.b, s.u = append(s.b, make([]float64, q)), append(s.u, make([]float64, q))
		s.f, s.g = append(s.f, make([]float64, len(y))), append(s.g, make([]float64, len(y)*m.Parameters))
	}
	if s.n <= m.Parameters+1 {
		return nil, fmt.Errorf("%w: %d values for %d parameters", ErrTooFew, s.n, m.Parameters)
	}
	s.groups = make([]products, len(m.Y))
	return s, nil
}

// first sets Λ so that a random effect has a standard deviation of 0.2, whatever
// its unit: a parameter on a logarithmic scale is meant.
func (s *state) first() error {
	sum := 0.0
	for i := range s.m.Y {
		if !s.value(i, s.beta, s.b[i], nil) {
			return fmt.Errorf("%w: the function has no value at the start", ErrNotFinite)
		}
		for j, y := range s.m.Y[i] {
			sum += (y - s.f[i][j]) * (y - s.f[i][j])
		}
	}
	q := len(s.m.Random)
	s.theta = make([]float64, q)
	for k := range q {
		s.theta[k] = math.Log(0.2 / max(math.Sqrt(sum/float64(s.n)), 1e-12))
	}
	if !s.m.Diagonal {
		s.theta = append(s.theta, make([]float64, q*(q-1)/2)...)
	}
	return nil
}

// carry begins where another fit ended.
func (s *state) carry(f *Fit) {
	s.theta = slices.Clone(f.theta)
	for i := range s.b {
		for r, k := range s.m.Random {
			s.b[i][r] = f.Phi[i][k] - f.Beta[k]
		}
		s.u[i] = solveLower(lambda(s.theta, len(s.m.Random)), s.b[i])
	}
}

// value fills f and, unless it is nil, g of a group.
func (s *state) value(i int, beta, b, g []float64) bool {
	phi := slices.Clone(beta)
	for r, k := range s.m.Random {
		phi[k] += b[r]
	}
	if !s.m.Value(i, phi, s.f[i], g) {
		return false
	}
	for _, v := range s.f[i] {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// moved is how far β went since it was last asked, in standard errors or in
// parts of itself, whichever is less.
func (s *state) moved() float64 {
	most := math.Inf(1)
	if s.before != nil {
		most = 0
		for k, v := range s.beta {
			most = max(most, math.Abs(v-s.before[k])/(1e-3+math.Abs(v)))
		}
	}
	s.before = slices.Clone(s.beta)
	return most
}

func (s *state) done(d float64, step int) *Fit {
	p, q := s.m.Parameters, len(s.m.Random)
	out := &Fit{Beta: s.beta, Deviance: d, N: s.n, Steps: step, theta: s.theta, covariance: make([]float64, p*p)}
	est := s.estimate(s.theta)
	sigma2 := est.rss / s.freedom()
	out.Sigma = math.Sqrt(sigma2)
	for i, a := range s.free {
		for j, b := range s.free {
			out.covariance[a*p+b] = sigma2 * est.inverse[i*len(s.free)+j]
		}
	}
	l := lambda(s.theta, q)
	for i := range q {
		row := make([]float64, q)
		for j := range q {
			for k := range q {
				row[j] += sigma2 * l[i*q+k] * l[j*q+k]
			}
		}
		out.Omega = append(out.Omega, row)
	}
	for i := range s.b {
		phi := slices.Clone(s.beta)
		for r, k := range s.m.Random {
			phi[k] += s.b[i][r]
		}
		out.Phi = append(out.Phi, phi)
	}
	return out
}

func (s *state) freedom() float64 {
	if s.method == REML {
		return float64(s.n - len(s.free))
	}
	return float64(s.n)
}
