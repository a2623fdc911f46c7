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
	Lower, Upper float64 // 95 %; of a law's parameter by its logarithm; NaN at a bound; 0 and +Inf where there is no end

	// AtBound: the data would have it beyond what is allowed. A guide's friction
	// of nothing keeps its interval.
	AtBound bool

	// Open: the data do not settle it. It is at a bound, or its interval spans
	// more than a factor of ten.
	Open bool
}

// Fit is a law that a trace was fitted by.
type Fit struct {
	Form       Form
	Law        rope.Law
	Parameters []Parameter // of the law in the order of the form, then guide friction, contact and zero

	Rate      float64   // Hz, of what follows: number i is the mean of the samples from i/Rate s on
	Measured  []float64 // N
	Predicted []float64 // N, what the law says to each
	SD        float64   // N, of the residuals
	Noise     float64   // N, of a block of the baseline; SD well above it says that the law fails
	Together  float64   // τ
	Effective float64   // n/τ
	Phases    []Phase   // where the law fails
	AICc      float64   // by the effective number; between laws see Choose
	Offset    float64   // standard errors by which the minimum may be missed; above 0.1 it was not reached
	EnergyIn  float64   // J, on the law's own first contact
	Absorbed  float64   // J
	Peak      float64   // N
	Stretch   float64   // m
	Reached   Range     // by the fall

	found      *lsq.Fit
	covariance [][]float64 // of what is fitted, laws' parameters by their logarithms
	sum        float64     // of squares
	from       *record
	fitting    *fitting
}

const (
	level95  = 1.959964
	hopeless = 3.0  // SD over noise of a law that no other start will help
	short    = 1.5  // SD over noise up to which the fit may be short of a turn of the guide
	plenty   = 1.15 // SD over noise, and τ, that a law which holds stays below
)

// Nuisance parameters follow the law's.
const (
	friction  = iota // N, of the guide
	beginning        // s, of the contact
	zero             // N
	nuisances
)

// Trace fits a law to the trace of one fall: force in newtons at a rate (Hz),
// with at least 20 ms before the contact. Start values come from the trace: of
// a grid of laws, each made as stiff as the peak asks, those whose force is
// closest.
//
// Standard errors are those of least squares times √τ; they hold where the law
// does. A fall of 4 s takes one to three tenths of a second, a law that fails
// somewhat longer. Refuses a trace without a fall in it, and passes on what the tower and
// the law refuse.
func Trace(samples []float64, rate float64, setting Setting, form Form) (*Fit, error) {
	r, err := ready(samples, rate, setting)
	if err != nil {
		return nil, err
	}
	f := &fitting{form: form.tight(setting.Pulled), record: r}
	best := f.best()
	if best == nil {
		return nil, problem.New(problem.Invalid, "law", "no %s law comes near the trace", form.Name).
			Hint("check mass, drop and length of the setting")
	}
	return f.answer(best)
}

// answer writes down a minimum.
func (f *fitting) answer(found *lsq.Fit) (*Fit, error) {
	r, law := f.record, len(f.form.terms)
	out := &Fit{
		Form: f.form, Law: f.law(found.P), Rate: r.rate, Measured: r.force[:f.n], Noise: r.noise,
		SD: found.SD, Offset: found.Offset, found: found, sum: found.S, from: r, fitting: f,
	}
	out.Predicted = append(out.Predicted, f.simulated(found.P)...)
	out.Together = together(found.Residuals())
	out.Effective = float64(f.n) / out.Together
	out.AICc = aicc(found.S, f.n, out.Effective, len(found.P))
	fixed := append([]bool(nil), found.Fixed...)
	fixed[law+friction] = false
	out.covariance = f.axes.covariance(fixed, math.Pow(found.SD/r.sigma(), 2)*out.Together)
	for k, v := range found.P {
		p := Parameter{AtBound: found.Fixed[k]}
		se := math.Sqrt(out.covariance[k][k])
		if k < law {
			p.Name, p.Unit = f.form.terms[k].name, f.form.terms[k].unit
			p.byLogarithm(v, se, f.form.terms[k].lower, f.form.terms[k].most)
		} else {
			p.Value, p.SE, p.Lower, p.Upper = v, se, v-level95*se, v+level95*se
		}
		out.Parameters = append(out.Parameters, p)
	}
	for k, name := range [nuisances][2]string{{"guide friction", "N"}, {"contact", "s"}, {"zero", "N"}} {
		out.Parameters[law+k].Name, out.Parameters[law+k].Unit = name[0], name[1]
	}
	guide := &out.Parameters[law+friction]
	guide.Lower = max(guide.Lower, 0)
	tower := r.setting.tower(guide.Value, out.Law)
	run, err := f.simulator.Simulate(tower, fall.Watch{FromContact: true, Until: 10, Accuracy: closely.accuracy})
	if err != nil {
		return nil, err
	}
	out.Peak, out.Stretch, out.EnergyIn, out.Absorbed = run.Peak, run.MaxStretch, run.EnergyIn, run.EnergyAbsorbed
	out.Reached = Range{Strain: run.MaxStretch / r.setting.Length, Rate: run.ImpactSpeed / r.setting.Length, Force: run.Peak}
	out.Phases = phases(out, found.P[law+beginning])
	return out, nil
}

// byLogarithm sets a parameter from its logarithm and that one's standard error;
// an interval that leaves the range from lower to most has no end there.
func (p *Parameter) byLogarithm(v, se, lower, most float64) {
	p.Value, p.SE = math.Exp(v), math.Exp(v)*se
	if p.AtBound {
		p.SE, p.Lower, p.Upper, p.Open = math.NaN(), math.NaN(), math.NaN(), true
		return
	}
	p.Lower, p.Upper = math.Exp(v-level95*se), math.Exp(v+level95*se)
	p.Open = !(2*level95*se < math.Ln10)
	if p.Lower < lower {
		p.Lower = 0
	}
	if !(p.Upper < most) {
		p.Upper = math.Inf(1)
	}
}

// Parameter returns one by its name, and whether there is one.
func (f *Fit) Parameter(name string) (Parameter, bool) { return named(f.Parameters, name) }

func named(all []Parameter, name string) (Parameter, bool) {
	for _, p := range all {
		if p.Name == name {
			return p, true
		}
	}
	return Parameter{}, false
}
