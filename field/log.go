package field

import (
	"math"

	"fallwright.example/num/ode"
)

// log keeps what has been seen of a catch under way.
type log struct {
	every   float64 // s between frames; 0 for none
	next    int
	energy  float64 // J, what the books began with
	scale   float64 // J, what they are measured by
	open    float64 // J, most that they were out by
	wall    float64
	stopped float64
	probe   []float64
	inward  bool             // the climber has come nearer to the wall since the rope held
	up      bool             // the lowest point is past
	apex    bool             // and the top of the rebound
	end     [signals]float64 // at the end of the step before
	seen    [signals]float64
	seenAt  [signals]float64
}

func (g *log) begin(m *motion) {
	g.probe = make([]float64, len(m.now))
	g.energy = m.energy(m.now)
	g.frame(m, nil)
}

// What a largest value is kept of.
const (
	onClimber = iota
	onBelayer
	onRunner
	stretched
	upward // speed of the climber after the lowest point
	drawn  // the belayer
	signals
)

// signals are these values in state y; look has seen it.
func (m *motion) signals(y []float64) [signals]float64 {
	top, below := max(0, m.pieces[0].tension), max(0, m.pieces[0].tension)
	if m.rubs {
		below = max(0, m.pieces[1].tension)
	}
	stretch := 0.0
	for i := range m.pieces {
		if p := &m.pieces[i]; p.taut {
			stretch += p.path - p.length
		}
	}
	both := math.Sqrt(max(0, top*top+below*below-2*top*below*m.bend))
	up := 0.0
	if m.log.up {
		up = y[speed+2]
	}
	return [signals]float64{top, max(0, m.pieces[len(m.pieces)-1].tension), both, stretch, up, y[lift]}
}

// follow looks at the step up to the present time.
func (g *log) follow(m *motion, iv *ode.Interval) {
	g.turns(m, iv)
	if !m.fresh {
		m.look(m.now)
		m.fresh = true
	}
	g.see(m)
	g.frame(m, iv)
	g.crests(m, iv)
}

// see keeps the largest strain, rate and force.
func (g *log) see(m *motion) {
	o := m.out
	for i := range m.pieces {
		if p := &m.pieces[i]; p.taut {
			o.Seen.Strain = max(o.Seen.Strain, p.strain)
			o.Seen.Force = max(o.Seen.Force, p.tension)
			if p.tension > nothing {
				o.Seen.Rate = max(o.Seen.Rate, p.rate)
			}
		}
	}
}

// crests raises the largest values: at the end of the step, and at the top of
// the parabola through its start, middle and end where that lies inside.
func (g *log) crests(m *motion, iv *ode.Interval) {
	first := g.end
	end := m.signals(m.now)
	g.end = end
	whole := m.time == iv.To
	rises := [signals]bool{drawn: m.now[rising] > 0, upward: whole && iv.EndRate()[speed+2] > 0} // to the end: no top inside
	high := false
	for i := range end {
		high = high || !rises[i] && max(first[i], end[i]) > nearTop*g.seen[i]
		g.raise(i, end[i], m.time)
	}
	if !high {
		return
	}
	iv.At((iv.From+m.time)/2, g.probe)
	m.look(g.probe)
	half := m.signals(g.probe)
	for i := range end {
		if half[i] < first[i] && half[i] < end[i] {
			continue
		}
		bend := first[i] - 2*half[i] + end[i]
		u := 0.5 - (end[i]-first[i])/4/bend
		if !(bend < 0 && u > 0 && u < 1) {
			continue
		}
		t := iv.From + u*(m.time-iv.From)
		iv.At(t, g.probe)
		m.look(g.probe)
		g.raise(i, m.signals(g.probe)[i], t)
	}
	m.fresh = false
}

// nearTop is the share of the largest value so far from which on the inside of a
// step is looked at: ripple may be higher there by less than the rest.
const nearTop = 0.85

func (g *log) raise(i int, v, t float64) {
	if v > g.seen[i] {
		g.seen[i], g.seenAt[i] = v, t
	}
}

// turns finds the lowest point, and the top of the way back. Either may be where
// the wall turned the climber.
func (g *log) turns(m *motion, iv *ode.Interval) {
	if math.IsNaN(m.out.CatchSpeed) || g.apex {
		return
	}
	if !g.up {
		if at, ok := g.stops(m, iv, iv.From, -1); ok {
			g.lowest(m, at)
		}
	}
	if !g.up {
		return
	}
	if at, ok := g.stops(m, iv, max(iv.From, m.out.Lowest.At), 1); ok && at > m.out.Lowest.At {
		m.out.Rebound.Height = g.probe[place+2] + m.out.Lowest.Below
		g.apex = true
	}
}

// stops finds when the climber no longer goes up (way 1) or down (−1), and
// leaves the state then in the probe.
func (g *log) stops(m *motion, iv *ode.Interval, from, way float64) (float64, bool) {
	if from == iv.From && way*iv.Start()[speed+2] >= 0 && way*m.now[speed+2] > 0 {
		return 0, false
	}
	iv.At(from, g.probe)
	if way*g.probe[speed+2] < 0 {
		return from, true
	}
	at, ok := iv.RootWithin(from, m.time, func(y []float64) float64 { return way * y[speed+2] }, m.closely)
	if ok {
		iv.At(at, g.probe)
	}
	return at, ok
}

// lowest writes down the lowest point, whose state is in the probe.
func (g *log) lowest(m *motion, at float64) {
	o, y := m.out, g.probe
	o.Lowest = Low{Below: -y[place+2], Fall: m.catch.Climber.Above - y[place+2], At: at, Place: [3]float64(y[place : place+3])}
	o.Clearance = m.catch.Floor - o.Lowest.Below - m.catch.Climber.Reach
	m.look(y)
	o.Books = g.account(m, y)
	m.look(m.now)
	g.up = true
}

// met notes a meeting with the wall.
func (g *log) met(o *Outcome, met Meeting) {
	o.Meetings++
	if o.Wall == nil || met.Normal > o.Wall.Normal {
		o.Wall = &met
	}
}

// over is true on the floor, or once the top of the rebound is past, the belayer
// rises no more, and the swing has met the wall, has turned before it, or is none.
func (g *log) over(m *motion) bool {
	if m.out.Hit != nil {
		return true
	}
	if math.IsNaN(m.out.CatchSpeed) {
		return false
	}
	in := vector(m.now[speed : speed+3]).dot(m.normal)
	g.inward = g.inward || in < -1e-6
	if !g.apex || m.now[rising] > 0 {
		return false
	}
	w := m.catch.Wall
	swung := w.None || m.out.Meetings > 0 && m.out.Wall.At >= m.out.CatchAt || m.onWall ||
		g.inward && in >= 0 || m.distance(m.now) < 1e-6
	return swung
}

// frame takes the pictures that fall into the step.
func (g *log) frame(m *motion, iv *ode.Interval) {
	for ; g.every > 0 && float64(g.next)*g.every <= m.time; g.next++ {
		t, y := float64(g.next)*g.every, m.now
		if iv != nil {
			iv.At(t, g.probe)
			y = g.probe
		}
		m.look(y)
		m.out.Frames = append(m.out.Frames, Frame{
			At: t, Climber: [3]float64(y[place : place+3]), Lift: y[lift],
			Force: max(0, m.pieces[0].tension), Taut: m.pieces[0].taut,
		})
		m.look(m.now)
	}
}

// account says where the energy is in state y; look has seen it.
func (g *log) account(m *motion, y []float64) Books {
	c := m.catch
	v := vector(y[speed : speed+3])
	b := Books{
		Given:  c.Climber.Mass * (c.Gravity*(c.Climber.Above-y[place+2]) + c.Climber.PushOff*c.Climber.PushOff/2),
		Moving: c.Climber.Mass * v.dot(v) / 2, Rope: y[heat], Runners: y[rubbed], Device: y[braked],
		Wall: g.wall, Stopped: g.stopped,
	}
	if !c.Belayer.Fixed {
		b.Moving += c.Belayer.Mass * y[rising] * y[rising] / 2
		b.Lifted = m.weight * y[lift]
	}
	for i := range m.pieces {
		b.Stored += m.pieces[i].length * m.pieces[i].stored
	}
	for _, e := range m.edges {
		b.Moving += e.mass * y[e.at] * y[e.at] / 2
	}
	return b
}

// energy is the sum of the books less what was given: zero but for the
// integration.
func (m *motion) energy(y []float64) float64 {
	b := m.log.account(m, y)
	m.log.scale = max(m.log.scale, b.Given)
	return b.Moving + b.Stored + b.Rope + b.Runners + b.Device + b.Lifted + b.Wall + b.Stopped - b.Given
}

func (g *log) books(m *motion) {
	if !m.books {
		return
	}
	if !m.fresh {
		m.look(m.now)
	}
	if out := math.Abs(m.energy(m.now) - g.energy); !(out <= g.open) { // NaN is kept too
		g.open = out
	}
}

// finish writes down what was kept.
func (g *log) finish(m *motion) *Outcome {
	o := m.out
	o.Climber = Peak{g.seen[onClimber], g.seenAt[onClimber]}
	o.Belayer = Peak{g.seen[onBelayer], g.seenAt[onBelayer]}
	o.Top = Peak{g.seen[onRunner], g.seenAt[onRunner]}
	o.Stretch, o.Lift = g.seen[stretched], g.seen[drawn]
	if g.up {
		o.Rebound.Speed = g.seen[upward]
	}
	o.Ended, o.Closing = m.time, g.open/g.scale
	o.Slipped = -m.catch.RopeOut
	for i := range m.pieces {
		o.Slipped += m.now[m.pieces[i].at]
	}
	if m.catch.Belayer.Slip == 0 {
		o.Slipped = 0
	}
	return o
}
