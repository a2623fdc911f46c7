package field

import (
	"math"

	"fallwright.example/num/ode"
	"fallwright.example/rope"
)

// motion is one simulated catch under way. Runners without friction do not part
// the rope, so pieces go from one runner with friction to the next. Between
// events the equations are smooth; what changes at an event stands in the
// fields piece.taut, edge.way, belayer, device and onWall.
type motion struct {
	catch   Catch
	method  *ode.Adaptive
	law     rope.Law
	answers rope.Answerer // the law
	inner   int           // internal states of the law
	books   bool          // they are kept
	closely float64       // s, how an event is placed
	ended   []happening   // scratch of first

	pieces []piece
	edges  []edge // between pieces; the device is the last
	flows  int    // place of the first of their flows in the state
	fresh  bool   // the pieces were last looked at as they are now
	normal vector
	rubs   bool    // the top runner
	bend   float64 // cosine of its turn

	belayer stance
	onWall  bool
	wallAt  float64 // m, distance at which the wall is met next
	weight  float64 // N, share of the belayer's weight against the pull
	furthst float64 // m, how far the belayer can be drawn

	time float64
	now  []float64
	out  *Outcome
	log  log
}

// piece is a piece of rope between two places where it may slide.
type piece struct {
	fixed       float64 // m of path between runners
	first, last bool    // it has the climber's part, the belayer's part
	taut        bool
	at          int // of L in the state; the slack strain and the law's own follow

	// what the last look saw
	length, path, strain, rate, inflow float64
	way                                float64 // m, from climber to top runner
	tension, stored                    float64 // N, J/m
	state                              []float64
}

// edge is where rope slides: at a runner from the piece below it to the one
// above, at the device from the hand into the last piece.
type edge struct {
	ratio float64 // K; 0 at the device
	root  float64 // √K
	less  float64 // 1/√K
	mass  float64 // kg of rope that moves with it
	light float64 // 1/mass
	way   int     // 1 towards the climber, −1 back, 0 held
	at    int     // of u in the state
}

// stance is what the belayer does.
type stance int

const (
	stands stance = iota
	rises         // or comes down
	atRunner
)

// Components of the state; pieces and flows follow.
const (
	place   = 0 // 3
	speed   = 3 // 3
	lift    = 6 // m that the belayer has been drawn
	rising  = 7 // m/s
	heat    = 8 // J lost in the rope
	rubbed  = 9 // J lost at runners
	braked  = 10
	ofRope  = 11
	nothing = 1e-6 // N that counts as none
	touch   = 1e-12
)

func newMotion(c Catch, o Options) *motion {
	m := &motion{
		catch: c, law: c.Rope.Law, answers: rope.AsAnswerer(c.Rope.Law), inner: c.Rope.Law.States(),
		books: !o.bare, closely: max(1e-12, 1e-5*o.Accuracy), normal: c.Wall.normal(), wallAt: -1e-9,
		weight: c.Belayer.Mass * c.Gravity * c.hang(), furthst: c.Runners[len(c.Runners)-1].Below, out: unknown(),
	}
	m.rubs, m.bend = c.Runners[0].ratio() > 1, math.Cos(c.Runners[0].Turn)
	m.part()
	n := m.place()
	method := ode.NewAdaptive
	if o.Accuracy >= coarse {
		method = ode.NewCoarse
	}
	m.method = method(m.rates, n, m.tolerance(n, o.Accuracy))
	r := c.start()
	copy(m.now[place:], r[:])
	v := vector{c.Climber.PushOff}
	copy(m.now[speed:], v[:])
	m.look(m.now)
	m.log.begin(m)
	m.method.Start(0, m.now)
	return m
}

// part cuts the rope at the runners that rub.
func (m *motion) part() {
	p := piece{first: true}
	for _, r := range m.catch.Runners {
		if k := r.ratio(); k > 1 {
			m.pieces = append(m.pieces, p)
			m.edges = append(m.edges, edge{ratio: k, root: math.Sqrt(k), less: 1 / math.Sqrt(k)})
			p = piece{}
		}
		p.fixed += r.Below
	}
	p.last = true
	m.pieces = append(m.pieces, p)
	m.edges = append(m.edges, edge{})
}

// place gives every piece and edge its place in the state, which begins just
// tight everywhere but on the climber's side.
func (m *motion) place() int {
	n := ofRope
	for i := range m.pieces {
		m.pieces[i].at = n
		n += 2 + m.inner
	}
	m.flows = n
	for i := range m.edges {
		m.edges[i].at = n
		n++
	}
	m.now = make([]float64, n)
	for i := range m.pieces {
		p := &m.pieces[i]
		m.now[p.at] = p.fixed
		if p.first {
			m.now[p.at] += m.catch.start().size() + m.catch.Slack()
		}
	}
	for i := range m.edges {
		half := m.now[m.pieces[i].at] / 2
		if i+1 < len(m.pieces) {
			half += m.now[m.pieces[i+1].at] / 2
		}
		m.edges[i].mass = m.catch.Rope.Linear * half
		m.edges[i].light = 1 / m.edges[i].mass
	}
	return n
}

// tolerance is what a step may be out by: a share of each quantity, and of the
// size that it has in this fall where it passes zero.
func (m *motion) tolerance(n int, share float64) ode.Tolerance {
	c := m.catch
	height := 2*c.Climber.Above + c.Slack()
	height = max(math.Abs(height), c.RopeOut/10)
	v := math.Sqrt(2 * c.Gravity * height)
	small := make([]float64, n)
	for i := range 3 {
		small[place+i], small[speed+i] = share*height, share*v
	}
	small[lift], small[rising] = share*height, share*v
	energy := share * c.Climber.Mass * c.Gravity * height
	small[heat], small[rubbed], small[braked] = energy, energy, energy
	for _, p := range m.pieces {
		small[p.at], small[p.at+1] = share*height, share
		rope.StateSizes(m.law, share*c.Climber.Mass*c.Gravity, make([]float64, m.inner), small[p.at+2:p.at+2+m.inner])
	}
	for _, e := range m.edges {
		small[e.at] = share * v
	}
	return ode.Tolerance{Absolute: small}
}

// look works out lengths, strains and tensions of every piece in state y.
func (m *motion) look(y []float64) {
	for i := range m.pieces {
		p := &m.pieces[i]
		m.measure(p, i, y)
		p.tension = 0
		if p.taut {
			p.tension = m.answers.Tension(p.strain, p.rate, p.state)
		}
		if m.books {
			p.stored = m.law.Stored(p.strain, p.state)
		}
	}
}

// measure works out length, strain and strain rate of a piece in state y.
func (m *motion) measure(p *piece, i int, y []float64) {
	path, growth, flows := p.fixed, 0.0, y[m.flows:]
	if p.first {
		x, side, z := y[place], y[place+1], y[place+2]
		way := math.Sqrt(x*x + side*side + z*z)
		p.way, path = way, path+way
		if way > 0 {
			growth = (x*y[speed] + side*y[speed+1] + z*y[speed+2]) / way
		}
	}
	if p.last {
		path -= y[lift]
		growth -= y[rising]
	}
	inflow := flows[i]
	if i > 0 {
		inflow -= flows[i-1]
	}
	length := y[p.at]
	p.path, p.length, p.inflow, p.state = path, length, inflow, y[p.at+2:p.at+2+m.inner]
	if !p.taut {
		p.strain = y[p.at+1]
		p.rate = m.law.Recoil(p.strain, p.state)
		return
	}
	per := 1 / length
	whole := path * per
	p.strain, p.rate = whole-1, (growth-whole*inflow)*per
}

// drive is what a metre of rope gives up when it leaves a piece for one that
// holds none, G = (1 + ε)·T − W: over a runner G on one side less G on the other
// is the work that the flow can do.
func (p *piece) drive() float64 { return (1+p.strain)*p.tension - p.stored }

// rates is the equation of motion:
//
//	m·v̇ = m·g − T·r/|r|      m_b·v̇_b = T − m_b·g·cos(lean)
//	L̇ = u below − u above    λ·(L+L')/2·u̇ = T/√K − T'·√K, or its mirror
//
// A runner's middle is where the mass of the rope beside it is put: the tension
// on either side reaches it through half of the bend. When it slides steadily
// T = K·T'.
func (m *motion) rates(_ float64, y, d []float64) {
	for i := range m.pieces {
		p := &m.pieces[i]
		m.measure(p, i, y)
		out := d[p.at+2 : p.at+2+m.inner]
		d[p.at], d[p.at+1] = p.inflow, p.rate
		if p.taut {
			p.tension = m.answers.Answer(p.strain, p.rate, p.state, out)
		} else {
			p.tension = 0
			m.law.Rates(p.strain, p.rate, p.state, out)
		}
	}
	m.climber(y, d)
	last := &m.pieces[len(m.pieces)-1]
	d[lift], d[rising] = y[rising], 0
	if m.belayer == rises {
		d[rising] = (last.tension - m.weight) / m.catch.Belayer.Mass
	}
	for i := range m.edges {
		e, p := &m.edges[i], &m.pieces[i]
		switch {
		case e.way == 0:
			d[e.at] = 0
		case e.ratio == 0:
			d[e.at] = (p.tension - m.catch.Belayer.Slip) * e.light
		case e.way > 0:
			d[e.at] = (p.tension*e.less - m.pieces[i+1].tension*e.root) * e.light
		default:
			d[e.at] = (p.tension*e.root - m.pieces[i+1].tension*e.less) * e.light
		}
	}
	if m.books {
		m.enter(y, d)
	}
}

// enter writes the rates of the books, the others being there.
func (m *motion) enter(y, d []float64) {
	d[heat], d[rubbed], d[braked] = 0, 0, 0
	for i := range m.pieces {
		p := &m.pieces[i]
		p.stored = m.law.Stored(p.strain, p.state)
		d[heat] += p.length * m.law.Lost(p.strain, p.rate, p.state)
	}
	for i := range m.edges {
		e, p := &m.edges[i], &m.pieces[i]
		switch {
		case e.way == 0:
		case e.ratio == 0:
			d[braked] += y[e.at] * (p.drive() - e.mass*d[e.at])
		default:
			d[rubbed] += y[e.at] * (p.drive() - m.pieces[i+1].drive() - e.mass*d[e.at])
		}
	}
}

// pull is the acceleration of the climber by rope and weight, before the wall
// takes its part.
func (m *motion) pull(y []float64) vector {
	a := vector{0, 0, -m.catch.Gravity}
	if p := &m.pieces[0]; p.taut {
		a = a.plus(-p.tension/m.catch.Climber.Mass/p.way, vector(y[place:place+3]))
	}
	return a
}

func (m *motion) climber(y, d []float64) {
	a := m.pull(y)
	if m.onWall {
		a = a.plus(-a.dot(m.normal), m.normal)
	}
	copy(d[place:place+3], y[speed:speed+3])
	copy(d[speed:speed+3], a[:])
}
