package field

import (
	"math"

	"fallwright.example/num/ode"
)

// happening is a condition that ends at an event. Conditions are numbered:
// pieces, then edges, then the three below.
type happening int

const (
	belayerMoves = iota // or stops
	wallMet             // or left
	floorMet
	others
)

func (m *motion) conditions() happening {
	return happening(len(m.pieces) + len(m.edges) + others)
}

// holds is above zero as long as a condition holds; look has seen y.
func (m *motion) holds(h happening, y []float64) float64 {
	i := int(h)
	if i < len(m.pieces) {
		return m.pieces[i].keeps(y)
	}
	if i -= len(m.pieces); i < len(m.edges) {
		return m.slides(i, y)
	}
	switch i - len(m.edges) {
	case belayerMoves:
		return m.stays(y)
	case wallMet:
		return m.clear(y)
	}
	return y[place+2] - m.catch.Climber.Reach + m.catch.Floor
}

// keeps is the pull of a taut piece, or how much longer than its path a slack
// one is.
func (p *piece) keeps(y []float64) float64 {
	if p.taut {
		return p.tension + nothing
	}
	return p.length*(1+y[p.at+1]) - p.path + touch
}

// slides is the flow of an edge that slides, or how far the tensions beside one
// that holds are from making it slide.
func (m *motion) slides(i int, y []float64) float64 {
	e, above := &m.edges[i], m.pieces[i].tension
	switch {
	case e.way != 0:
		return float64(e.way) * y[e.at]
	case e.ratio == 0 && m.catch.Belayer.Slip == 0:
		return 1
	case e.ratio == 0:
		return m.catch.Belayer.Slip - above + nothing
	}
	below := m.pieces[i+1].tension
	return min(e.ratio*below-above, e.ratio*above-below) + nothing
}

// stays is what keeps the belayer where, or on the way, they are.
func (m *motion) stays(y []float64) float64 {
	pull := m.pieces[len(m.pieces)-1].tension
	switch {
	case m.catch.Belayer.Fixed:
		return 1
	case m.belayer == stands:
		return m.weight - pull + nothing
	case m.belayer == atRunner:
		return pull - m.weight + nothing
	}
	return min(y[lift]+touch, m.furthst-belayerStops-y[lift])
}

// belayerStops is how far from the lowest runner, in metres of rope, the
// belayer comes to a stop.
const belayerStops = 0.1

// clear is the climber's distance from the wall, or the force that would lift a
// climber off it.
func (m *motion) clear(y []float64) float64 {
	switch {
	case m.catch.Wall.None:
		return 1
	case m.onWall:
		return -m.pull(y).dot(m.normal) + touch
	}
	return m.distance(y) - m.wallAt
}

// distance of the climber from the wall in metres, along its normal.
func (m *motion) distance(y []float64) float64 {
	return m.normal[0]*(y[place]+m.catch.Wall.Behind) + m.normal[1]*y[place+1] + m.normal[2]*y[place+2]
}

// happen changes what the event h says.
func (m *motion) happen(h happening) {
	i := int(h)
	switch {
	case i < len(m.pieces):
		m.tighten(i)
	case i < len(m.pieces)+len(m.edges):
		m.slide(i - len(m.pieces))
	default:
		switch i - len(m.pieces) - len(m.edges) {
		case belayerMoves:
			m.move()
		case wallMet:
			m.meet()
		case floorMet:
			v := vector(m.now[speed : speed+3])
			m.out.Hit = &Hit{Speed: v.size(), At: m.time}
		}
	}
	m.look(m.now)
}

// tighten turns a slack piece taut and a taut one slack.
func (m *motion) tighten(i int) {
	p := &m.pieces[i]
	m.now[p.at+1] = p.path/p.length - 1
	p.taut = !p.taut
	if i == 0 && p.taut && math.IsNaN(m.out.CatchSpeed) {
		v := vector(m.now[speed : speed+3])
		m.out.CatchSpeed, m.out.CatchAt = v.size(), m.time
		m.out.FreeFall = m.catch.Climber.Above - m.now[place+2]
	}
}

// slide starts an edge that held, and stops or turns one that slid.
func (m *motion) slide(i int) {
	e, above := &m.edges[i], m.pieces[i].tension
	m.now[e.at], e.way = 0, 0
	switch {
	case m.slides(i, m.now) > 0:
	case e.ratio == 0 || above > m.pieces[i+1].tension:
		e.way = 1
	default:
		e.way = -1
	}
}

// move is the belayer leaving the ground or the runner, or coming to a stop at
// either; what speed is left then is lost.
func (m *motion) move() {
	if m.belayer != rises {
		m.belayer = rises
		return
	}
	v := m.now[rising]
	m.log.stopped += m.catch.Belayer.Mass * v * v / 2
	m.now[rising] = 0
	if m.now[lift] > m.furthst/2 {
		m.belayer, m.out.AtRunner = atRunner, true
		return
	}
	m.belayer = stands
}

// meet is the climber coming to the wall, where the speed towards it is lost
// and the rest is kept, or leaving it.
func (m *motion) meet() {
	r, v := vector(m.now[place:place+3]), vector(m.now[speed:speed+3])
	if m.onWall {
		m.leave()
		return
	}
	in := v.dot(m.normal)
	m.log.met(m.out, Meeting{Normal: -in, Speed: v.size(), At: m.time, Place: r, Taut: m.pieces[0].taut})
	m.log.wall += m.catch.Climber.Mass * in * in / 2
	v = v.plus(-in, m.normal)
	copy(m.now[speed:], v[:])
	if m.onWall = true; m.pull(m.now).dot(m.normal) >= 0 {
		m.leave()
	}
}

// leave lets the climber come off the wall, which is met again a hair behind
// the present place.
func (m *motion) leave() {
	m.onWall = false
	m.wallAt = min(0, m.distance(m.now)) - 1e-9
}

// goThrough takes steps until the fall is over, each no further than its first
// event.
func (m *motion) goThrough() error {
	for m.time < longestWatch && !m.log.over(m) {
		iv, err := m.method.Step(min(m.time+longestStep, longestWatch))
		if err != nil {
			return err
		}
		h, at := m.first(iv)
		if m.time = at; h < 0 {
			copy(m.now, iv.End())
		} else {
			iv.At(at, m.now)
		}
		m.log.follow(m, iv)
		if h >= 0 {
			m.settle(h)
			m.fresh = true
			m.log.end = m.signals(m.now)
			m.method.Start(m.time, m.now)
		}
		m.log.books(m)
	}
	return nil
}

const (
	longestWatch = 12.0 // s
	longestStep  = 0.05 // s
	justAfter    = 1e-4 // s from an event until its condition has left zero, or has ended again
)

// first is the earliest event in a step, and when; −1 and the end without one.
// The pieces were last looked at at the end of the step, by the method.
func (m *motion) first(iv *ode.Interval) (happening, float64) {
	found, at := happening(-1), iv.To
	m.ended = m.ended[:0]
	for h := range m.conditions() {
		if !(m.holds(h, iv.End()) > 0) {
			m.ended = append(m.ended, h)
		}
	}
	m.fresh = len(m.ended) == 0
	for _, h := range m.ended {
		if t := m.ends(iv, h); found < 0 || t < at {
			found, at = h, t
		}
	}
	return found, at
}

// ends is when a condition that does not hold at the end of the step stopped to.
// One that began at zero, just set by an event, counts from a little later, and
// ends there if it has not risen.
func (m *motion) ends(iv *ode.Interval, h happening) float64 {
	value := func(y []float64) float64 { m.look(y); return m.holds(h, y) }
	if t, ok := iv.Root(value, m.closely); ok {
		return t
	}
	from := min(iv.From+justAfter, iv.To)
	if t, ok := iv.RootWithin(from, iv.To, value, m.closely); ok {
		return t
	}
	return from
}

// settle lets an event happen, and whatever else has come to its end with it.
func (m *motion) settle(h happening) {
	m.look(m.now)
	m.happen(h)
	for other := range m.conditions() {
		if other != h && m.out.Hit == nil && m.holds(other, m.now) < 0 {
			m.happen(other)
		}
	}
}
