package fit

import (
	"errors"
	"math"
	"slices"

	"fallwright.example/fall"
	"fallwright.example/num/lsq"
	"fallwright.example/rope"
)

// fitting is one fit under way. The law's parameters are fitted by their
// logarithms, the others as they are.
type fitting struct {
	form      Form
	record    *record
	simulator fall.Simulator
	n         int // blocks looked at
	care      care
	axes      *axes
	at        []float64 // what was simulated last, and what came out
	force     []float64
	slopes    []float64 // the last Jacobian, and where it was taken
	slopesAt  []float64
	ahead     []float64
	behind    []float64
}

// care is how closely a minimum is looked for.
type care struct {
	accuracy float64 // of the simulations
	offset   float64 // standard errors from the minimum that are near enough
	central  bool    // differences to both sides
	most     int     // trials after which a descent ends where it is
}

var (
	barely  = care{1e-5, 1, false, 25}
	roughly = care{1e-6, 0.2, false, 40}
	closely = care{1e-7, 0.01, true, 100}
)

// law is the law of the parameters.
func (f *fitting) law(p []float64) rope.Law {
	own := make([]float64, len(f.form.terms))
	for i := range own {
		own[i] = math.Exp(p[i])
	}
	return f.form.build(own)
}

// model writes the force of parameters into out: not a number where the law or
// the tower has none.
func (f *fitting) model(p, out []float64) {
	rest := p[len(f.form.terms):]
	if err := f.record.model(&f.simulator, f.law(p), rest[friction], rest[beginning], rest[zero], f.care.accuracy, out); err != nil {
		out[0] = math.NaN()
	}
}

// simulated is model, the last one where it is asked for again.
func (f *fitting) simulated(p []float64) []float64 {
	if len(f.force) != f.n || !slices.Equal(p, f.at) {
		f.force = slices.Grow(f.force[:0], f.n)[:f.n]
		f.model(p, f.force)
		f.at = append(f.at[:0], p...)
	}
	return f.force
}

func (f *fitting) residuals(p, r []float64) {
	for i, v := range f.simulated(p) {
		r[i] = f.record.force[i] - v
	}
}

// jacobian is the last one where it is asked for again, or no further off than
// noise would lead.
func (f *fitting) jacobian(p, j []float64) {
	if len(f.slopesAt) == 0 || f.axes.between(p, f.slopesAt) > 1 {
		f.slopes = slices.Grow(f.slopes[:0], len(j))[:len(j)]
		for range 3 {
			if f.differentiate(p, f.slopes) {
				break
			}
		}
		f.slopesAt = append(f.slopesAt[:0], p...)
	}
	copy(j, f.slopes)
}

// differentiate takes differences along the axes, and reports whether these were
// good ones. Where there is no force on one side, friction being none already,
// that of the other has to do.
func (f *fitting) differentiate(p, j []float64) bool {
	at, n, here := make([]float64, len(p)), len(p), f.simulated(p)
	beside := func(step []float64, side float64, out []float64) bool {
		for k := range at {
			at[k] = p[k] + side*step[k]
		}
		f.model(at, out)
		return !math.IsNaN(out[0])
	}
	steps, shorter := f.axes.steps()
	for c, step := range steps {
		width := shorter[c]
		up, down := here, here
		if beside(step, 1, f.ahead) {
			up = f.ahead
		}
		if (f.care.central || &up[0] == &here[0]) && beside(step, -1, f.behind) {
			down = f.behind
		}
		if &up[0] != &here[0] && &down[0] != &here[0] {
			width *= 2
		}
		for i := range f.n {
			j[i*n+c] = (down[i] - up[i]) / width
		}
	}
	return f.axes.jacobian(j, f.n, f.record.sigma(), shorter)
}

// look sets what is looked at, and how closely.
func (f *fitting) look(n int, c care) {
	f.n, f.care, f.at, f.slopesAt = n, c, nil, nil
	f.ahead, f.behind = make([]float64, n), make([]float64, n)
	if f.axes == nil {
		f.axes = f.form.axes(f.record.setting)
	}
}

// solve minimises over the first n blocks. What is used up on the way is a fit
// too: its offset says how good.
func (f *fitting) solve(start []float64, n int, c care) (*lsq.Fit, error) {
	f.look(n, c)
	lower, upper := f.form.bounds(f.record.setting)
	found, err := lsq.Solve(lsq.Problem{
		Residuals: f.residuals, Jacobian: f.jacobian, Observations: n, Lower: lower, Upper: upper,
		Offset: c.offset, MostEvaluations: c.most,
	}, start)
	if errors.Is(err, lsq.ErrNoProgress) {
		err = nil
	}
	return found, err
}

// axes to begin with are those of the parameters.
func (f Form) axes(s Setting) *axes {
	weight := s.Mass * s.Gravity
	var first, most []float64
	for range f.terms {
		first, most = append(first, 1e-3), append(most, 0.1)
	}
	return newAxes(append(first, 1e-4*weight, 1e-5, 1), append(most, 0.02*weight, 1e-3, 100))
}

// bounds are the ranges of the terms, and those of the nuisances in a setting.
func (f Form) bounds(s Setting) (lower, upper []float64) {
	for _, t := range f.terms {
		lower, upper = append(lower, math.Log(t.lower)), append(upper, math.Log(t.most))
	}
	inf := math.Inf(1)
	return append(lower, 0, -inf, -inf), append(upper, 0.5*s.Mass*s.Gravity, inf, inf)
}
