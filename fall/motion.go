package fall

import (
	"math"

	"fallwright.example/num/ode"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// motion is one simulated fall under way. Between events its equation is
// smooth: the rope is taut or slack, and the mass goes down, up or stays.
type motion struct {
	tower             Tower
	law               rope.Law
	answers           rope.Answerer // the law
	weight, lightness float64       // N, 1/kg
	per               float64       // 1/m, of the rope's length
	watch             Watch
	run               *Run
	method            *ode.Adaptive
	components        int       // of the state that method is for
	self              *motion   // that method integrates: a copy needs one of its own
	small             []float64 // what a step may be out by
	eased             bool      // it need not be made coarser any more
	longest           float64   // s, of the next step: short after an event, so that its condition has left zero by the end

	time    float64
	now     []float64 // state at time
	own     int       // where the law's internal states end
	next    int       // sample to be taken next
	taut    bool
	way     float64   // of the mass: 1 down, -1 up, 0 held by the guide
	top     summit    // of the force over the contact under way
	slope   float64   // N/s, of the force of the taut rope, now
	flow    []float64 // scratch of along
	mirror  []float64 // scratch of beyond
	mirrors bool      // beyond serves: the strain rate turns where the mass does
	turning rope.Turning
	turns   bool    // turning is the law
	cell    float64 // N, that the cell reads
	grip    float64 // that the edge holds by: e^(μθ)

	path   float64 // m, gone by the mass up to its last turn
	turned float64 // m, its place there
	ledger bool    // the books are kept
	energy float64 // J, what they began with
	open   float64 // J, the most they have been out by
	scale  float64 // J, what that is measured by
	probe  []float64
}

// Components of the state. The law's internal states follow, and where the
// books are kept three more: work, heat, rubbed, in joules.
const (
	place  = iota // m below where the rope goes tight
	speed         // m/s
	length        // m, stretch of the rope itself: place while taut
	inner
)

const (
	work    = iota // J done on the rope by the mass
	heat           // J lost in the rope
	rubbed         // J lost at the guide
	ledgers        // how many
)

// set prepares m for a fall in the memory that it has.
func (m *motion) set(tower Tower, watch Watch, relative float64) {
	law, end := tower.withMass()
	m.mirrors, m.turns = tower.RopeMass == 0, false
	if l, ok := law.(rope.Sliding); ok && watch.Accuracy >= turningFrom && m.turning.Wind(l) {
		law, m.mirrors, m.turns = &m.turning, false, true
	}
	tower.Mass, tower.RopeMass, tower.Rope.Law = tower.Mass+end, 0, law
	m.tower, m.watch = tower, watch
	m.law, m.per = law, 1/tower.Rope.Length
	m.answers = rope.AsAnswerer(m.law)
	m.weight, m.lightness = tower.Mass*tower.Gravity, 1/tower.Mass
	m.own = inner + tower.Rope.Law.States()
	m.ledger = watch.Accuracy == 0
	n := m.own
	if m.ledger {
		n += ledgers
	}
	m.now, m.probe, m.flow = sized(m.now, n), sized(m.probe, n), sized(m.flow, 2*n)
	m.mirror = sized(m.mirror, m.own-inner)
	m.run.Watch, m.run.Force = watch, sized(m.run.Force, watch.samples())
	m.run.Truth = unknown(m.run.Contacts[:0])
	m.small = sized(m.small, n)
	m.renew(n, tower.tolerance(m.small, m.mirror, m.own, relative))
	m.eased = m.ledger || watch.Rate > 0
	m.time, m.next, m.cell, m.grip = 0, 0, 0, tower.Edge.Ratio()
	m.taut, m.way, m.open = false, 1, 0
	m.path, m.turned = 0, -tower.Drop
	m.now[place] = -tower.Drop
	if watch.FromContact {
		m.now[place], m.now[speed], m.turned = 0, tower.ImpactSpeed(), 0
	}
	m.energy = m.held(m.now)
	m.scale = tower.Mass * tower.Gravity * tower.Drop
}

// renew makes the method ready for n components, in the memory that it has.
func (m *motion) renew(n int, tolerance ode.Tolerance) {
	if m.method == nil || m.components != n || m.self != m {
		m.method, m.components, m.self = ode.NewAdaptive(m.rates, n, tolerance), n, m
		return
	}
	m.method.Renew(tolerance)
}

// sized is a slice of n zeros, in the memory of s where that is enough.
func sized(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// unknown is a Truth before anything has happened.
func unknown(none []Contact) Truth {
	nan := math.NaN()
	return Truth{
		ImpactSpeed: nan, Peak: nan, TimeToPeak: nan, MaxStretch: nan,
		EnergyIn: nan, EnergyAbsorbed: nan, ReboundSpeed: nan, RestAt: nan, Closing: nan, Contacts: none,
	}
}

// rates is the equation of motion.
func (m *motion) rates(_ float64, y, d []float64) {
	own, out := y[inner:m.own], d[inner:m.own]
	v, strain := y[speed], y[length]*m.per
	force, growth := m.weight-m.way*m.tower.Friction, 0.0
	switch {
	case !m.taut:
		rate := m.law.Recoil(strain, own)
		growth = rate / m.per
		m.law.Rates(strain, rate, own, out)
		m.keep(d, 0, strain, rate, y)
	case v*m.way < 0 && m.mirrors:
		growth = v
		force -= m.beyond(strain, y, d)
	default:
		growth = v
		tension := m.answers.Answer(strain, v*m.per, own, out)
		force -= tension
		m.keep(d, tension*v, strain, v*m.per, y)
	}
	if m.way == 0 {
		force = 0
	}
	d[place], d[speed], d[length] = v, force*m.lightness, growth
}

// keep writes the rates of the books, if they are kept; power is the work done on
// the rope.
func (m *motion) keep(d []float64, power, strain, rate float64, y []float64) {
	if m.ledger {
		m.enter(d, power, m.law.Lost(strain, rate, y[inner:m.own]), m.way*y[speed])
	}
}

// enter writes the rates of the books: lost is the power turned to heat in a
// metre of rope, along the speed on the guide.
func (m *motion) enter(d []float64, power, lost, along float64) {
	book := d[m.own:]
	book[work], book[heat], book[rubbed] = power, lost*m.tower.Rope.Length, m.tower.Friction*along
}

// beyond is answer where a step reaches beyond the turn of the mass. Friction
// between yarns has its kink there, and no step across a kink is of full order;
// so the law goes on as it was on this side, f(−r) = 2·f(0) − f(r), and the turn,
// an event, cuts off what lies beyond.
func (m *motion) beyond(strain float64, y, d []float64) float64 {
	own, out, other, rate := y[inner:m.own], d[inner:m.own], m.mirror, y[speed]*m.per
	m.answers.Answer(strain, 0, own, out)
	m.answers.Answer(strain, -rate, own, other)
	for i, r := range other {
		out[i] = 2*out[i] - r
	}
	tension := m.answers.Tension(strain, rate, own)
	if m.ledger {
		lost := 2*m.law.Lost(strain, 0, own) - m.law.Lost(strain, -rate, own)
		m.enter(d, tension*y[speed], lost, m.way*y[speed])
	}
	return tension
}

// tension is the force of the taut rope; it may be negative inside a step that
// reaches beyond the end of the contact.
func (m *motion) tension(y []float64) float64 {
	return m.answers.Tension(y[length]*m.per, y[speed]*m.per, y[inner:m.own])
}

// gap is how far a slack rope is from the mass.
func (m *motion) gap(y []float64) float64 { return y[length] - y[place] }

// onward is positive while the mass keeps its way, or stays held.
func (m *motion) onward(y []float64) float64 {
	if m.way == 0 {
		return m.tower.Friction - math.Abs(m.tower.Mass*m.tower.Gravity-m.tension(y))
	}
	return m.way * y[speed]
}

// fly is the free fall to the rope at ease: no more than the watch lasts.
func (m *motion) fly() {
	pull := m.tower.Gravity - m.tower.Friction/m.tower.Mass
	if flight := math.Sqrt(-2 * m.now[place] / pull); flight < m.watch.Until {
		m.time, m.now[place], m.now[speed] = flight, 0, m.tower.ImpactSpeed()
	} else {
		m.time, m.now[speed] = m.watch.Until, pull*m.watch.Until
		m.now[place] += pull * m.watch.Until * m.watch.Until / 2
	}
	if m.ledger {
		m.now[m.own+rubbed] = m.tower.Friction * (m.now[place] - m.turned)
	}
	if m.now[place] == 0 {
		m.catch()
	}
	m.sample(nil, m.time)
	m.longest = stepAfterEvent
	m.begin()
}

// begin starts the integration anew from the present state.
func (m *motion) begin() {
	if m.turns {
		m.head()
	}
	m.method.Start(m.time, m.now)
	if m.taut {
		m.slope = m.along(m.now, m.method.Rate())
	}
}

// head tells the rope which way its strain goes from here: taut with the mass,
// slack by the sign of what its branch pulls.
func (m *motion) head() {
	way := m.way
	if !m.taut {
		way = math.Copysign(1, m.now[inner])
	}
	if way != 0 {
		m.turning.Head(way, m.now[length]*m.per)
	}
}

// goThrough takes steps until the watch ends, each no further than its first
// event.
func (m *motion) goThrough() error {
	m.fly()
	for m.watch.Until-m.time > 1e-12 && !m.done() {
		iv, err := m.method.Step(min(m.time+m.longest, m.watch.Until))
		if err != nil {
			return err
		}
		m.step(iv)
	}
	if m.taut {
		m.endContact(true)
	}
	if m.ledger {
		m.run.Closing = m.open / m.scale
	}
	return nil
}

// done reports whether a watch without samples has seen all.
func (m *motion) done() bool { return m.watch.Rate == 0 && !math.IsNaN(m.run.RestAt) }

// step goes on to the first event of the interval, or to its end.
func (m *motion) step(iv *ode.Interval) {
	slope, pull := 0.0, 0.0
	if m.taut {
		slope, pull = m.along(iv.End(), iv.EndRate()), m.tension(iv.End())
	}
	changeAt, changes := m.contactEnds(iv, slope, pull)
	turnAt, turns := m.ends(iv, m.onward)
	if changes && turns { // the earlier one; the other comes again
		changes = changeAt <= turnAt
		turns = !changes
	}
	switch {
	case changes:
		m.time = changeAt
		iv.At(changeAt, m.now)
	case turns:
		m.time = turnAt
		iv.At(turnAt, m.now)
	default:
		m.time = iv.To
		copy(m.now, iv.End())
	}
	if m.taut {
		if changes || turns {
			pull = m.tension(m.now)
		}
		m.climb(iv, slope, pull)
	} else {
		m.sample(iv, m.time)
	}
	switch {
	case changes && m.taut:
		m.letGo()
	case changes:
		m.catch()
	case turns:
		m.turn()
	}
	m.longest, m.slope = longestStep, slope
	if !m.ledger {
		m.longest = longStride
	}
	if changes || turns {
		m.begin()
	}
	if changes || turns && m.ledger {
		m.longest = stepAfterEvent
	}
	m.ease()
	m.keepBooks()
}

// ease makes the steps coarser once the values of the first contact are known
// and nothing but rest is waited for.
func (m *motion) ease() {
	if m.eased || math.IsNaN(m.run.MaxStretch) || m.taut && len(m.run.Contacts) == 1 && m.way != 1 {
		return
	}
	m.eased = true
	coarser := max(1, easedStep/m.tower.step(m.watch))
	for i := range m.small {
		m.small[i] *= coarser
	}
	m.method.Tolerate(ode.Tolerance{Absolute: m.small})
}

// sample takes the samples that fall into the step up to a time; iv is nil where
// the state is known only there, at the present.
func (m *motion) sample(iv *ode.Interval, until float64) {
	for ; m.next < len(m.run.Force); m.next++ {
		at := m.watch.First + float64(m.next)/m.watch.Rate
		if at > until+1e-12 {
			return
		}
		y := m.now
		if iv != nil {
			iv.At(at, m.probe)
			y = m.probe
		} else if at < m.time-1e-12 {
			continue // in free fall
		}
		if m.taut {
			m.run.Force[m.next] = m.follow(m.reads(y))
		}
	}
}

// lost turns the integration's refusal into words.
func (m *motion) lost(err error) error {
	return problem.New(problem.Invalid, "rope", "the fall cannot be followed beyond %.6g s: %v", m.time, err).
		Hint("look at the parameters of the law: one of them is out of all proportion")
}
