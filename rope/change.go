package rope

import (
	"math"

	"fallwright.example/problem"
)

// Change is what water, wear or rest do to a law: a factor on each of its
// parameters, 1 for none. A law has only some of them; the others say nothing
// of it. Nothing here is known beforehand: a change is learnt from traces.
type Change struct {
	Stiffness  float64 // on E and E₁
	Growth     float64 // on B
	Branch     float64 // on E₂, and on η
	Relaxation float64 // on τ
	Contact    float64 // on E_s
	Ease       float64 // on g₀
	Friction   float64 // on μ
	Slip       float64 // on K, what the knots still pay out; a small one for knots that are tight
}

// State is a change with the name that it goes by, such as "soaked" or "rested".
type State struct {
	Name   string
	Change Change
}

// Same is the change that changes nothing.
func Same() Change { return Change{1, 1, 1, 1, 1, 1, 1, 1} }

// factor is a field of a change: the name that people write, what it is called in
// a refusal, and where it stands.
type factor struct {
	name, full string
	value      *float64
}

func (c *Change) factors() [8]factor {
	return [8]factor{
		{"stiffness", "stiffness", &c.Stiffness},
		{"growth", "growth", &c.Growth},
		{"branch", "branch", &c.Branch},
		{"relaxation", "relaxation", &c.Relaxation},
		{"contact", "contact", &c.Contact},
		{"ease", "friction at ease", &c.Ease},
		{"friction", "friction", &c.Friction},
		{"slip", "slip of the knots", &c.Slip},
	}
}

// FactorNames are the names of the factors of a change.
func FactorNames() []string {
	var c Change
	var names []string
	for _, f := range c.factors() {
		names = append(names, f.name)
	}
	return names
}

// Factor is the factor of a name, to be read or set; nil where there is none.
func (c *Change) Factor(name string) *float64 {
	for _, f := range c.factors() {
		if f.name == name {
			return f.value
		}
	}
	return nil
}

// Check refuses a factor that is not a finite number above zero.
func (c Change) Check() error {
	for _, f := range c.factors() {
		if !(*f.value > 0) || math.IsInf(*f.value, 1) {
			return problem.New(problem.Invalid, f.full, "a factor of %g, a change needs one above 0", *f.value).
				Hint("begin with the change that changes nothing, and set what differs")
		}
	}
	return nil
}

// Then is one change after another: their factors multiplied.
func (c Change) Then(next Change) Change {
	by := next.factors()
	for i, f := range c.factors() {
		*f.value *= *by[i].value
	}
	return c
}

// Part is a share of the change: each factor to that power. A rope that has
// recovered the share r of its wear is in state worn.Part(1 − r); see Recovered.
func (c Change) Part(share float64) Change {
	for _, f := range c.factors() {
		*f.value = math.Pow(*f.value, share)
	}
	return c
}

// Recovered is the share of a change that has gone after a rest, both in
// seconds: 1 − e^(−rest/time).
func Recovered(rest, time float64) float64 { return -math.Expm1(-rest / time) }

// Apply returns the law after the change. It refuses a change or a law that
// does not pass its check, and a law that it does not know.
func (c Change) Apply(law Law) (Law, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	out, err := c.of(law)
	if err != nil {
		return nil, err
	}
	return out, out.Check()
}

func (c Change) of(law Law) (Law, error) {
	switch l := law.(type) {
	case Linear:
		return Linear{l.Modulus * c.Stiffness}, nil
	case KelvinVoigt:
		return KelvinVoigt{l.Modulus * c.Stiffness, l.Viscosity * c.Branch}, nil
	case Zener:
		return Zener{l.Equilibrium * c.Stiffness, l.Branch * c.Branch, l.Relaxation * c.Relaxation}, nil
	case Stiffening:
		return c.stiffening(l), nil
	case Sliding:
		return Sliding{c.stiffening(l.Stiffening), l.Contact * c.Contact, l.Ease * c.Ease, l.Friction * c.Friction}, nil
	case Knotted:
		inner, err := c.of(l.Law)
		l.Law, l.Slip = inner, l.Slip*c.Slip
		return l, err
	}
	return nil, problem.New(problem.Invalid, "law", "is one whose parameters a change does not know")
}

func (c Change) stiffening(l Stiffening) Stiffening {
	return Stiffening{l.Equilibrium * c.Stiffness, l.Growth * c.Growth, l.Branch * c.Branch, l.Relaxation * c.Relaxation}
}
