// Package fit finds the parameters of a law of rope from what a cell recorded:
// from one fall, from its first contact alone or all its bounces, and from a
// series of falls.
//
//	rᵢ   N, recorded force less simulated, blocks of samples averaged
//	τ    how many blocks in a row say the same: 1 + 2·Σρₖ, ρ the
//	     autocorrelation of the residuals; n/τ is the effective number
//
// Besides the law's parameters the friction of the guide, the moment of contact
// and the cell's zero are fitted. No start values are asked for.
package fit

import (
	"math"
	"slices"

	"fallwright.example/fall"
	"fallwright.example/num/lsq"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Parameter is one fitted number.
type Parameter struct {
	Name, Unit   string
	Value        float64
	SE           float64 // of Value, autocorrelation allowed for; NaN at a bound
	Lower, Upper float64 // 95 %; of a law's parameter by its logarithm; NaN at a bound
	AtBound      bool    // the data would have it beyond what is allowed
}

// Fit is a law that a trace was fitted by.
type Fit struct {
	Form       Form
	Law        rope.Law
	Parameters []Parameter // of the law, then guide friction, contact and zero

	Rate      float64   // Hz, of what follows
	Measured  []float64 // N, blocks of samples averaged
	Predicted []float64 // N, what the law says to each
	SD        float64   // N, of the residuals
	Noise     float64   // N, of a block of the baseline; SD well above it says that the law fails
	Together  float64   // τ
	Effective float64   // n/τ
	Phases    []Phase   // where the law fails
	AICc      float64   // by the effective number; between laws see Choose
	EnergyIn  float64   // J, on the law's own first contact
	Absorbed  float64   // J
	Peak      float64   // N
	Stretch   float64   // m

	found   *lsq.Fit
	sum     float64 // of squares
	from    *record
	fitting *fitting
}

const (
	accuracy = 1e-7
	level95  = 1.959964
	little   = 1e-7
	patience = 100  // simulations after which a descent ends where it is
	hopeless = 3.0  // SD over noise of a law that no other start will help
	plenty   = 1.15 // SD over noise, and τ, that a law which holds stays below
)

// Nuisance parameters follow the law's.
const (
	friction  = iota // of the guide, by the logarithm of N
	beginning        // s, of the contact
	zero             // N
	nuisances
)

// fitting is one fit under way.
type fitting struct {
	form      Form
	record    *record
	simulator fall.Simulator
	n         int     // blocks looked at
	held      int     // parameter that is left alone; −1 for none
	least     float64 // sum of squares so far
	small     int     // steps in a row that gained next to nothing
	enough    bool    // three did
	tries     int
	slopes    []float64 // the last Jacobian, and where it was taken
	slopesAt  []float64
	plus      []float64
	minus     []float64
}

// Trace fits a law to the trace of one fall: force in newtons at a rate (Hz),
// with at least 20 ms before the contact. Start values come from the trace: of
// a grid of laws, each made as stiff as the peak asks, those whose force is
// closest.
//
// Standard errors are those of least squares times √τ; they hold where the law
// does. Refuses a trace without a fall in it, and passes on what the tower and
// the law refuse.
func Trace(samples []float64, rate float64, setting Setting, form Form) (*Fit, error) {
	r, err := ready(samples, rate, setting)
	if err != nil {
		return nil, err
	}
	f := &fitting{form: form, record: r}
	best := f.best()
	if best == nil {
		return nil, problem.New(problem.Invalid, "law", "no %s law comes near the trace", form.Name).
			Hint("check mass, drop and length of the setting")
	}
	return f.answer(best)
}

// law is the law of the parameters.
func (f *fitting) law(p []float64) rope.Law {
	own := make([]float64, len(f.form.terms))
	for i := range own {
		own[i] = math.Exp(p[i])
	}
	return f.form.build(own)
}

// model is not a number where a parameter leaves the range that its term allows.
func (f *fitting) model(p, out []float64) {
	for k, t := range f.form.terms {
		if !(p[k] >= math.Log(t.lower) && p[k] <= math.Log(t.most)) {
			out[0] = math.NaN()
			return
		}
	}
	rest := p[len(f.form.terms):]
	if err := f.record.model(&f.simulator, f.law(p), math.Exp(rest[friction]), rest[beginning], rest[zero], accuracy, out); err != nil {
		out[0] = math.NaN()
	}
}

// residuals are none any more once three steps have gained a share of the squares
// that is nothing beside noise: the descent ends there.
func (f *fitting) residuals(p, r []float64) {
	if f.tries++; f.enough || f.tries > patience {
		r[0] = math.NaN()
		return
	}
	f.model(p, r)
	sum := 0.0
	for i := range r {
		r[i] = f.record.force[i] - r[i]
		sum += r[i] * r[i]
	}
	if sum < f.least {
		if f.small++; f.least-sum > little*sum {
			f.small = 0
		}
		f.least, f.enough = sum, f.small == 3
	}
}

// jacobian is the last one where it is asked for again.
func (f *fitting) jacobian(p, j []float64) {
	if !slices.Equal(p, f.slopesAt) {
		f.slopes = slices.Grow(f.slopes[:0], len(j))[:len(j)]
		f.differentiate(p, f.slopes)
		f.slopesAt = append(f.slopesAt[:0], p...)
	}
	copy(j, f.slopes)
}

// differentiate takes differences wide beside the simulation's own error.
func (f *fitting) differentiate(p, j []float64) {
	at, n, law := append([]float64(nil), p...), len(p), len(f.form.terms)
	fill := func(k int, v float64) {
		for i := range f.n {
			j[i*n+k] = v
		}
	}
	for k := range n {
		width := 5e-3 // of a logarithm
		switch {
		case k == f.held:
			fill(k, 0)
			continue
		case k == law+zero:
			fill(k, -1)
			continue
		case k == law+friction:
			width = 2e-2
		case k == law+beginning:
			width = 5e-5
		}
		at[k] = p[k] + width
		f.model(at, f.plus)
		at[k] = p[k] - width
		f.model(at, f.minus)
		at[k] = p[k]
		for i := range f.n {
			j[i*n+k] = (f.minus[i] - f.plus[i]) / (2 * width)
		}
	}
}

// answer writes down a minimum.
func (f *fitting) answer(found *lsq.Fit) (*Fit, error) {
	r, law := f.record, len(f.form.terms)
	out := &Fit{
		Form: f.form, Law: f.law(found.P), Rate: r.rate, Measured: r.force[:f.n], Noise: r.noise,
		Predicted: make([]float64, f.n), SD: found.SD, found: found, sum: found.S, from: r, fitting: f,
	}
	f.model(found.P, out.Predicted)
	out.Together = together(found.Residuals())
	out.Effective = float64(f.n) / out.Together
	out.AICc = aicc(found.S, f.n, out.Effective, len(found.P))
	for k, v := range found.P {
		se := found.SE(k) * math.Sqrt(out.Together)
		p := Parameter{Value: v, SE: se, Lower: v - level95*se, Upper: v + level95*se, AtBound: found.Fixed[k]}
		if k < law {
			p.Name, p.Unit = f.form.terms[k].name, f.form.terms[k].unit
		}
		if k <= law+friction { // fitted by its logarithm
			p.Value, p.Lower, p.Upper = math.Exp(v), math.Exp(p.Lower), math.Exp(p.Upper)
			p.SE = p.Value * se
		}
		if k == law+beginning {
			p.Value, p.Lower, p.Upper = p.Value+r.middle, p.Lower+r.middle, p.Upper+r.middle
		}
		out.Parameters = append(out.Parameters, p)
	}
	for k, name := range [nuisances][2]string{{"guide friction", "N"}, {"contact", "s"}, {"zero", "N"}} {
		out.Parameters[law+k].Name, out.Parameters[law+k].Unit = name[0], name[1]
	}
	run, err := f.simulator.Simulate(r.setting.tower(math.Exp(found.P[law+friction]), out.Law), fall.Watch{FromContact: true, Until: 10, Accuracy: accuracy})
	if err != nil {
		return nil, err
	}
	out.Peak, out.Stretch, out.EnergyIn, out.Absorbed = run.Peak, run.MaxStretch, run.EnergyIn, run.EnergyAbsorbed
	out.Phases = phases(out, found.P[law+beginning])
	return out, nil
}

// Parameter returns one by its name, and whether there is one.
func (f *Fit) Parameter(name string) (Parameter, bool) {
	for _, p := range f.Parameters {
		if p.Name == name {
			return p, true
		}
	}
	return Parameter{}, false
}
