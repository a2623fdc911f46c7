package fall

import (
	"math"

	"fallwright.example/num/ode"
)

// motion is one simulated fall under way. Between events its equation is
// smooth: the rope is taut or slack, and the mass goes down, up or stays.
type motion struct {
	tower   Tower
	watch   Watch
	run     *Run
	method  *ode.Adaptive
	longest float64 // s, of the next step: short after an event, so that its condition has left zero by the end

	time float64
	now  []float64 // state at time
	next int       // sample to be taken next
	taut bool
	way  float64   // of the mass: 1 down, -1 up, 0 held by the guide
	top  summit    // of the force over the contact under way
	flow []float64 // scratch of rising

	energy float64 // J, what the books began with
	open   float64 // J, the most they have been out by
	scale  float64 // J, what that is measured by
	probe  []float64
}

// Components of the state; the law's internal states follow.
const (
	place  = iota // m below where the rope goes tight
	speed         // m/s
	length        // m, stretch of the rope itself: place while taut
	work          // J done on the rope by the mass
	heat          // J lost in the rope
	rubbed        // J lost at the guide
	inner
)

func newMotion(tower Tower, watch Watch, relative float64) *motion {
	n := inner + tower.Rope.Law.States()
	m := &motion{
		tower: tower, watch: watch,
		now: make([]float64, n), probe: make([]float64, n), flow: make([]float64, 2*n), way: 1,
		run: &Run{Watch: watch, Force: make([]float64, watch.samples()), Truth: unknown()},
	}
	m.method = ode.NewAdaptive(m.rates, n, tower.tolerance(n, relative))
	m.now[place] = -tower.Drop
	if watch.FromContact {
		m.now[place], m.now[speed] = 0, tower.ImpactSpeed()
	}
	m.energy = m.held(m.now)
	m.scale = tower.Mass * tower.Gravity * tower.Drop
	if m.now[place] == 0 {
		m.catch()
	}
	m.longest = stepAfterEvent
	m.method.Start(0, m.now)
	return m
}

// unknown is a Truth before anything has happened.
func unknown() Truth {
	nan := math.NaN()
	return Truth{
		ImpactSpeed: nan, Peak: nan, TimeToPeak: nan, MaxStretch: nan,
		EnergyIn: nan, EnergyAbsorbed: nan, ReboundSpeed: nan,
	}
}

// rates is the equation of motion.
func (m *motion) rates(_ float64, y, d []float64) {
	w, own := &m.tower, y[inner:]
	net := w.Mass*w.Gravity - m.way*w.Friction
	growth, power := 0.0, 0.0
	if m.taut {
		tension := w.Rope.Tension(y[length], y[speed], own)
		net -= tension
		growth, power = y[speed], tension*y[speed]
	} else {
		growth = w.Rope.Recoil(y[length], own)
	}
	if m.way == 0 {
		net = 0
	}
	d[place], d[speed], d[length] = y[speed], net/w.Mass, growth
	d[work], d[heat] = power, w.Rope.Lost(y[length], growth, own)
	d[rubbed] = w.Friction * math.Abs(y[speed])
	w.Rope.Rates(y[length], growth, own, d[inner:])
}

// tension is the force of the taut rope; it may be negative inside a step that
// reaches beyond the end of the contact.
func (m *motion) tension(y []float64) float64 {
	return m.tower.Rope.Tension(y[length], y[speed], y[inner:])
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

// goThrough takes steps until the watch ends, each no further than its first
// event.
func (m *motion) goThrough() error {
	m.sample(nil)
	for m.watch.Until-m.time > 1e-12 {
		iv, err := m.method.Step(min(m.time+m.longest, m.watch.Until))
		if err != nil {
			return err
		}
		contact := m.tension
		if !m.taut {
			contact = m.gap
		}
		changeAt, changes := m.contactEnds(iv, contact)
		turnAt, turns := ends(iv, m.onward)
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
		m.sample(iv)
		if m.taut {
			m.climb(iv)
		}
		switch {
		case changes && m.taut:
			m.letGo()
		case changes:
			m.catch()
		case turns:
			m.turn()
		}
		m.longest = longestStep
		if changes || turns {
			m.longest = stepAfterEvent
			m.method.Start(m.time, m.now)
		}
		m.books()
	}
	if m.taut {
		m.endContact(true)
	}
	m.run.Closing = m.open / m.scale
	return nil
}

// climb looks for the top of the force in the step up to the present time.
func (m *motion) climb(iv *ode.Interval) {
	if at, ok := iv.Root(m.rising, eventTolerance); ok && at < m.time {
		iv.At(at, m.probe)
		m.top.add(at, m.tension(m.probe))
	}
	m.top.add(m.time, m.tension(m.now))
}

// rising is how fast the force of the taut rope grows, in N/s: along the
// equation's own flow, by a central difference over two microseconds.
func (m *motion) rising(y []float64) float64 {
	const ahead = 1e-6
	n := len(y)
	rate, moved := m.flow[:n], m.flow[n:]
	m.rates(0, y, rate)
	along(moved, y, ahead, rate)
	later := m.tension(moved)
	along(moved, y, -ahead, rate)
	return (later - m.tension(moved)) / (2 * ahead)
}

// along writes y + h·rate into out.
func along(out, y []float64, h float64, rate []float64) {
	for i := range out {
		out[i] = y[i] + h*rate[i]
	}
}

// eventTolerance is how closely an event is placed, in seconds: the rounding of
// a clock that runs for some seconds.
const (
	eventTolerance = 1e-13
	dipTolerance   = 1e-9
)

// ends tells whether a condition that ought to be positive has stopped being so
// by the end of the step, and when. A condition that begins at zero, having
// just been set by an event, and has not risen by the end of the step, ends
// there, so that time always goes on.
func ends(iv *ode.Interval, condition func([]float64) float64) (float64, bool) {
	if at, ok := iv.Root(condition, eventTolerance); ok {
		return at, true
	}
	return iv.To, !(condition(iv.End()) > 0)
}

// contactEnds is ends for the contact's own condition. A force that dips below
// zero and comes back inside one step is caught at the dip.
func (m *motion) contactEnds(iv *ode.Interval, condition func([]float64) float64) (float64, bool) {
	if m.taut && condition(iv.End()) > 0 {
		sinking := func(y []float64) float64 { return -m.rising(y) }
		if dip, ok := iv.Root(sinking, dipTolerance); ok {
			return iv.RootWithin(iv.From, dip, condition, eventTolerance)
		}
	}
	return ends(iv, condition)
}

// catch is the mass meeting the rope.
func (m *motion) catch() {
	if len(m.run.Contacts) == 0 {
		m.run.ImpactSpeed = m.now[speed]
	}
	m.taut = true
	m.now[length] = m.now[place]
	m.run.Contacts = append(m.run.Contacts, Contact{Start: m.time})
	m.top = summit{}
	m.top.add(m.time, m.tension(m.now))
}

// letGo is the force falling to zero.
func (m *motion) letGo() {
	if len(m.run.Contacts) == 1 {
		m.run.EnergyAbsorbed = m.now[work]
		m.run.ReboundSpeed = -m.now[speed]
	}
	m.endContact(false)
	m.taut = false
}

// endContact writes down the contact under way.
func (m *motion) endContact(open bool) {
	c := &m.run.Contacts[len(m.run.Contacts)-1]
	c.End, c.Open, c.Peak, c.PeakAt = m.time, open, m.top.height, m.top.at
	if len(m.run.Contacts) == 1 && (!open || m.top.over) {
		m.run.Peak, m.run.TimeToPeak = c.Peak, c.PeakAt-c.Start
	}
}

// turn is the mass coming to a stop, or getting away from the guide that held
// it: it takes the way that the forces on it say, or stays.
func (m *motion) turn() {
	if m.way == 1 && len(m.run.Contacts) == 1 && m.taut && math.IsNaN(m.run.MaxStretch) {
		m.run.MaxStretch, m.run.EnergyIn = m.now[place], m.now[work]
	}
	m.now[speed] = 0
	net := m.tower.Mass * m.tower.Gravity
	if m.taut {
		net -= m.tension(m.now)
	}
	switch {
	case m.way != 0 && math.Abs(net) < m.tower.Friction:
		m.way = 0
	case net > 0:
		m.way = 1
	default:
		m.way = -1
	}
}

// sample takes the samples that fall into the step up to the present time; iv
// is nil at the start.
func (m *motion) sample(iv *ode.Interval) {
	for ; m.next < len(m.run.Force); m.next++ {
		at := m.watch.First + float64(m.next)/m.watch.Rate
		if at > m.time+1e-12 {
			return
		}
		y := m.now
		if iv != nil {
			iv.At(at, m.probe)
			y = m.probe
		}
		if m.taut {
			m.run.Force[m.next] = max(0, m.tension(y))
		}
	}
}

// held is the energy in the books, in joules, in state y.
func (m *motion) held(y []float64) float64 {
	w := &m.tower
	return w.Mass*(y[speed]*y[speed]/2-w.Gravity*y[place]) + w.Rope.Stored(y[length], y[inner:]) + y[heat] + y[rubbed]
}

// books keeps the most by which energy has come or gone, and the most that was
// moved.
func (m *motion) books() {
	m.scale = max(m.scale, m.now[work])
	if out := math.Abs(m.held(m.now) - m.energy); !(out <= m.open) { // NaN is kept too
		m.open = out
	}
}
