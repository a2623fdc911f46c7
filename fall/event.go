package fall

import (
	"math"

	"fallwright.example/num/ode"
)

// How closely an event is placed, in seconds: the rounding of a clock that runs
// for some seconds, and what is plenty for a coarser accuracy.
const (
	eventTolerance = 1e-13
	dipTolerance   = 1e-9
	restTolerance  = 1e-6 // once nothing but rest is waited for
)

func (m *motion) closely() float64 {
	if m.ledger {
		return eventTolerance
	}
	if m.eased && m.watch.Rate == 0 {
		return restTolerance
	}
	return min(dipTolerance, m.watch.Accuracy*1e-3)
}

// ends tells whether a condition that ought to be positive has stopped being so
// by the end of the step, and when. A condition that begins at zero, having
// just been set by an event, and has not risen by the end of the step, ends
// there, so that time always goes on.
func (m *motion) ends(iv *ode.Interval, condition func([]float64) float64) (float64, bool) {
	if condition(iv.End()) > 0 {
		return 0, false
	}
	if at, ok := iv.Root(condition, m.closely()); ok {
		return at, true
	}
	return iv.To, true
}

// contactEnds is ends for the contact's own condition. A force that dips below
// zero and comes back inside one step is caught at the dip. Slope and pull are
// those of the force at the end of the step.
func (m *motion) contactEnds(iv *ode.Interval, slope, pull float64) (float64, bool) {
	if !m.taut {
		return m.ends(iv, m.gap)
	}
	if m.slope < 0 && slope >= 0 && pull > 0 && (m.ledger || !(m.meet(iv, slope) > 0)) {
		sinking := func(y []float64) float64 { return -m.rising(y) }
		if dip, ok := iv.Root(sinking, dipTolerance); ok {
			return iv.RootWithin(iv.From, dip, m.tension, m.closely())
		}
	}
	if pull > 0 {
		return 0, false
	}
	return m.ends(iv, m.tension)
}

// catch is the mass meeting the rope.
func (m *motion) catch() {
	if len(m.run.Contacts) == 0 {
		m.run.ImpactSpeed = m.now[speed]
		m.pullAlong()
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
		m.run.EnergyAbsorbed = m.worked()
		m.run.ReboundSpeed = -m.now[speed]
	}
	m.endContact(false)
	m.taut, m.cell = false, 0
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
	m.now[speed] = 0
	if m.way == 1 && len(m.run.Contacts) == 1 && m.taut && math.IsNaN(m.run.MaxStretch) {
		m.run.MaxStretch, m.run.EnergyIn = m.now[place], m.worked()
	}
	m.path += math.Abs(m.now[place] - m.turned)
	m.turned = m.now[place]
	weight := m.tower.Mass * m.tower.Gravity
	net := weight
	if m.taut {
		net -= m.tension(m.now)
	}
	if math.Abs(net) <= max(m.tower.Friction, restShare*weight) && math.IsNaN(m.run.RestAt) {
		m.run.RestAt = m.time
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
