// Package ropetest is the exam of laws of rope: whatever law passes Exercise
// can be dropped on, by the tower or in the field.
package ropetest

import (
	"fmt"
	"math"

	"fallwright.example/num/ode"
	"fallwright.example/rope"
)

// cases is what the exam of one law has to have looked at, at the least, so
// that a loop that ran over nothing is noticed.
const cases = 500

// T is what the exam needs of a *testing.T. The core does not import testing.
type T interface {
	Helper()
	Error(args ...any)
	Errorf(format string, args ...any)
}

// Exercise runs the exam and reports every complaint.
func Exercise(t T, law rope.Law) {
	t.Helper()
	complaints, checked := Examine(law)
	for _, c := range complaints {
		t.Error(c)
	}
	if checked < cases {
		t.Errorf("the exam looked at %d cases, want %d at least", checked, cases)
	}
}

// Examine runs the exam and returns its complaints, the first of each kind, and
// the number of cases looked at. Exercise is the form for tests of laws;
// Examine lets the exam itself be tested.
func Examine(law rope.Law) (complaints []string, checked int) {
	e := exam{law: law, said: map[string]bool{}}
	if err := law.Check(); err != nil {
		return []string{"parameters: " + err.Error()}, 1
	}
	e.atEase()
	e.slack()
	e.grid()
	e.answers()
	e.length()
	e.contact()
	return e.complaints, e.checked
}

// exam gathers complaints about one law.
type exam struct {
	law        rope.Law
	complaints []string
	said       map[string]bool
	checked    int
}

// hold counts a case and notes a complaint when it does not hold. A complaint
// of one kind is made once: the first case is enough to work from.
func (e *exam) hold(ok bool, kind, format string, args ...any) {
	e.checked++
	if ok || e.said[kind] {
		return
	}
	e.said[kind] = true
	e.complaints = append(e.complaints, kind+": "+fmt.Sprintf(format, args...))
}

// strains and rates span what arrested falls do and rather more: 60 % strain,
// and 10 m/s on a rope of 1.25 m.
func strains() []float64 { return []float64{0, 1e-6, 0.01, 0.05, 0.1, 0.2, 0.3, 0.45, 0.6} }
func rates() []float64   { return []float64{-8, -2, -0.5, -0.01, 0, 0.01, 0.5, 2, 8} }

// atEase: a rope that was never stretched pulls nothing, stores nothing, loses
// nothing, stays as it is.
func (e *exam) atEase() {
	s, out := e.state(0), e.state(0)
	e.hold(e.law.Tension(0, 0, s) == 0, "at ease", "pulls %g N", e.law.Tension(0, 0, s))
	e.hold(e.law.Stored(0, s) == 0, "at ease", "stores %g J/m", e.law.Stored(0, s))
	e.hold(e.law.Lost(0, 0, s) == 0, "at ease", "loses %g W/m", e.law.Lost(0, 0, s))
	e.hold(e.law.Recoil(0, s) == 0, "at ease", "recoils at %g 1/s", e.law.Recoil(0, s))
	e.law.Rates(0, 0, s, out)
	for i, r := range out {
		e.hold(r == 0, "at ease", "state %d moves at %g", i, r)
	}
	e.hold(e.law.Quickest() > 0, "quickest", "%g s, want above 0", e.law.Quickest())
}

// slack: a rope shorter than its length, and not growing, pulls nothing.
func (e *exam) slack() {
	s := e.state(0)
	for _, strain := range strains() {
		for _, rate := range rates() {
			if rate > 0 {
				continue
			}
			f := rope.Force(e.law, -strain, rate, s)
			e.hold(f == 0, "slack", "pulls %g N at strain %g, rate %g", f, -strain, rate)
		}
	}
}

// grid: over strains, rates and states the force is finite and never negative,
// energy stored and power lost likewise; more strain never pulls less.
func (e *exam) grid() {
	for _, level := range []float64{-4000, -500, 0, 500, 4000} {
		s := e.state(level)
		for _, rate := range rates() {
			before := math.Inf(-1)
			for _, strain := range strains() {
				f := rope.Force(e.law, strain, rate, s)
				where := fmt.Sprintf("at strain %g, rate %g, state %g", strain, rate, level)
				e.hold(finite(f) && f >= 0, "force", "%g N %s", f, where)
				e.hold(f >= before, "order", "%g N after %g N %s", f, before, where)
				stored, lost := e.law.Stored(strain, s), e.law.Lost(strain, rate, s)
				e.hold(finite(stored) && stored >= 0, "stored", "%g J/m %s", stored, where)
				e.hold(finite(lost) && lost >= 0, "lost", "%g W/m %s: a rope cannot cool itself", lost, where)
				before = f
			}
		}
	}
}

// answers: a law that gives tension and rates at once gives those that it gives
// apart, to the last digit but for the order of sums.
func (e *exam) answers() {
	law, ok := e.law.(rope.Answerer)
	if !ok {
		return
	}
	for _, level := range []float64{-500, 0, 4000} {
		s, apart, together := e.state(level), e.state(0), e.state(0)
		for _, strain := range append([]float64{-0.2, -0.001}, strains()...) {
			for _, rate := range rates() {
				e.law.Rates(strain, rate, s, apart)
				tension, at := e.law.Tension(strain, rate, s), fmt.Sprintf("at strain %g, rate %g, state %g", strain, rate, level)
				got := law.Answer(strain, rate, s, together)
				e.hold(math.Abs(got-tension) <= 1e-12*math.Abs(tension), "answer", "tension %g N, apart %g N %s", got, tension, at)
				for i, r := range apart {
					e.hold(math.Abs(together[i]-r) <= 1e-12*math.Abs(r), "answer", "state %d moves at %g, apart at %g %s", i, together[i], r, at)
				}
			}
		}
	}
}

// length: pieces of one law at the same strain pull the same and hold energy in
// proportion to their length. This is an exam of Piece as much as of the law.
func (e *exam) length() {
	one := rope.Piece{Law: e.law, Length: 1}
	s := e.state(300)
	for _, metres := range []float64{0.5, 2.6, 10} {
		p := rope.Piece{Law: e.law, Length: metres}
		for _, strain := range strains() {
			for _, rate := range rates() {
				x, v := strain*metres, rate*metres
				for _, c := range []struct {
					what      string
					got, want float64
				}{
					{"tension", p.Tension(x, v, s), one.Tension(strain, rate, s)},
					{"stored", p.Stored(x, s), metres * one.Stored(strain, s)},
					{"lost", p.Lost(x, v, s), metres * one.Lost(strain, rate, s)},
					{"recoil", p.Recoil(x, s), metres * one.Recoil(strain, s)},
				} {
					// Rounding of the strain only; sums of terms of both signs
					// may cancel, hence the part that is not relative.
					close := math.Abs(c.got-c.want) <= 1e-12*math.Abs(c.want)+1e-9
					e.hold(close, "length", "%s of %g m is %g, want %g", c.what, metres, c.got, c.want)
				}
			}
		}
	}
}

// state returns an internal state with every component at level.
func (e *exam) state(level float64) []float64 {
	s := make([]float64, e.law.States())
	for i := range s {
		s[i] = level
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// contact: the rope is pulled to a strain and let back, as a fall would, until
// it goes slack, and then left alone while it recoils. All the way the work
// done on it is what it stores and what it has lost.
func (e *exam) contact() {
	for _, peak := range []float64{0.05, 0.3} {
		for _, lasts := range []float64{0.05, 0.35, 2} {
			e.pull(&pull{law: e.law, peak: peak, lasts: lasts, taut: true})
		}
	}
}

// pull drives a rope through ε = peak·sin²(π·t/lasts), and after it has gone
// slack through its own recoil.
type pull struct {
	law         rope.Law
	peak, lasts float64
	taut        bool
}

// Components of the state that a pull integrates; the law's own follow.
const (
	clock = iota
	strain
	work
	heat
	own
)

// rate is the strain rate in the state y.
func (p *pull) rate(y []float64) float64 {
	if !p.taut {
		return p.law.Recoil(y[strain], y[own:])
	}
	return p.peak * math.Pi / p.lasts * math.Sin(2*math.Pi*y[clock]/p.lasts)
}

func (p *pull) tension(y []float64) float64 { return p.law.Tension(y[strain], p.rate(y), y[own:]) }

func (p *pull) rates(_ float64, y, d []float64) {
	rate := p.rate(y)
	d[clock], d[strain] = 1, rate
	d[work] = 0
	if p.taut {
		d[work] = p.tension(y) * rate
	}
	d[heat] = p.law.Lost(y[strain], rate, y[own:])
	p.law.Rates(y[strain], rate, y[own:], d[own:])
}

// size is what a component of the state amounts to in this pull.
func (p *pull) size(i int) float64 {
	hardest := p.law.Tension(p.peak, 0, make([]float64, p.law.States()))
	switch i {
	case clock:
		return p.lasts
	case strain:
		return p.peak
	case work, heat:
		return hardest * p.peak
	}
	return hardest
}

func (e *exam) pull(p *pull) {
	n := own + p.law.States()
	tolerance := ode.Tolerance{Relative: 1e-10, Absolute: make([]float64, n)}
	for i := range tolerance.Absolute {
		tolerance.Absolute[i] = 1e-10 * p.size(i)
	}
	m := ode.NewAdaptive(p.rates, n, tolerance)
	mark, marks := 1, 200.0 // no step goes beyond a mark, so that no event hides inside one
	y := make([]float64, n)
	m.Start(0, y)
	hardest := p.law.Tension(p.peak, 0, y[own:])
	// A rope without friction comes back to zero only to rounding.
	holds := func(y []float64) float64 { return p.tension(y) - 1e-9*hardest }
	most, gap := 0.0, 0.0
	for y[clock] < 2*p.lasts && (!p.taut || mark <= int(marks)+1) {
		until := p.lasts * float64(mark) / marks
		iv, err := m.Step(until)
		if err != nil {
			e.hold(false, "books", "%v at strain %g", err, y[strain])
			return
		}
		if iv.To == until {
			mark++
		}
		copy(y, iv.End())
		if p.taut && y[clock] > p.lasts/2 {
			if t, ok := iv.Root(holds, 1e-12); ok {
				iv.At(t, y)
				p.taut = false
				m.Start(t, y)
			}
		}
		most = max(most, y[work])
		gap = max(gap, math.Abs(y[work]-y[heat]-p.law.Stored(y[strain], y[own:])))
		if !p.taut {
			e.recoils(p, y, hardest)
		}
	}
	e.hold(!p.taut, "let go", "still taut when brought back to its length, peak %g, %g s", p.peak, p.lasts)
	e.hold(most > 0, "work", "none done by a pull to strain %g", p.peak)
	e.hold(gap <= 1e-6*most, "books", "work of %g J/m, and %g of it neither stored nor lost", most, gap)
}

// recoils: a slack rope shortens, not faster than its quickest time constant
// allows, never below its length, and with no force on it. Tolerances are for
// rounding and the method's error, a millionth of the pull.
func (e *exam) recoils(p *pull, y []float64, hardest float64) {
	f, rate, quickest := p.tension(y), p.rate(y), p.law.Quickest()
	e.hold(math.Abs(f) <= 1e-6*hardest, "recoil", "pulls %g N while slack at strain %g", f, y[strain])
	e.hold(y[strain] >= -1e-6*p.peak, "recoil", "shortens to strain %g, below its length", y[strain])
	if !math.IsInf(quickest, 1) {
		e.hold(math.Abs(rate)*quickest <= math.Abs(y[strain])+1e-6*p.peak, "quickest",
			"recoil at %g 1/s from strain %g is quicker than %g s", rate, y[strain], quickest)
	}
}
