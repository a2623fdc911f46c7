package fall

import "fallwright.example/num/ode"

// summit keeps the highest of the points given to it: the ends of a contact, of
// its steps, and the tops inside them.
type summit struct {
	at, height float64
	last       float64
	begun      bool
	over       bool // a point has been lower than the one before it
}

func (s *summit) add(t, f float64) {
	s.over = s.over || (s.begun && f < s.last)
	if !s.begun || f > s.height {
		s.at, s.height = t, f
	}
	s.begun, s.last = true, f
}

// climb looks for the top of the force in the step up to the present time.
// Slope is that of the force at the end of the step, pull the force now.
func (m *motion) climb(iv *ode.Interval, slope, pull float64) {
	if m.slope > 0 && slope <= 0 && (m.watch.Rate > 0 || m.ledger || m.meet(iv, slope) > m.top.height) {
		if at, ok := iv.Root(m.rising, m.closely()); ok && at < m.time {
			m.sample(iv, at)
			iv.At(at, m.probe)
			m.top.add(at, m.tension(m.probe))
			m.follow(m.reads(m.probe))
		}
	}
	m.sample(iv, m.time)
	m.top.add(m.time, pull)
	if m.watch.Rate > 0 {
		m.follow(m.reads(m.now))
	}
}

// meet is the force where the tangents of its course at both ends of the step
// meet: a top in between is lower than that, a dip higher.
func (m *motion) meet(iv *ode.Interval, slope float64) float64 {
	return crossing(m.tension(iv.Start()), m.tension(iv.End()), m.slope, slope, iv.To-iv.From)
}

// crossing is the height where the tangents of a curve at both ends of a stretch
// cross.
func crossing(from, to, first, last, over float64) float64 {
	return from + first*(to-from-last*over)/(first-last)
}

// rising is how fast the force of the taut rope grows, in N/s.
func (m *motion) rising(y []float64) float64 {
	rate := m.flow[:len(y)]
	m.rates(0, y, rate)
	return m.along(y, rate)
}

// along is rising where the rates are known: by a central difference over two
// microseconds of the flow.
func (m *motion) along(y, rate []float64) float64 {
	if m.turns {
		return m.turning.Rising(y[length]*m.per, rate[length]*m.per, rate[inner])
	}
	const ahead = 1e-6
	moved := m.flow[len(y):]
	for i, v := range y[:m.own] {
		moved[i] = v + ahead*rate[i]
	}
	later := m.tension(moved)
	for i, v := range y[:m.own] {
		moved[i] = v - ahead*rate[i]
	}
	return (later - m.tension(moved)) / (2 * ahead)
}
