package rope

import "math"

// Turning is a Sliding rope whose friction is no state: between two turns of the
// strain s is a function of it, known from where the rope turned. With
// z = E_s·∫dε/g,
//
//	drawn out      ds/dz = g − s,   s =  S(g) + (s₀ − S(g₀))·e^(z₀ − z)
//	coming back    ds/dz = g + s,   s = −R(g) + (s₀ + R(g₀))·e^(z − z₀)
//
// S and R being any one solution of each: smooth ones, in tables over g, as is z.
// They are good to 1e-5 of g. What an integration would have to follow in steps
// short beside g/E_s, a small strain where the rope is hardly pulled, is then a
// term of the force.
//
// Its only state is q. One serves one motion, from Wind on; Head tells it each turn.
type Turning struct {
	Sliding
	ready   readySliding
	perEase float64 // μ/g₀
	cells   []cell  // of S and z, as far as was asked for
	back    int     // cells of R
	wide    float64 // g over the last cell of S
	next    node    // where the next cell begins

	way       float64 // 1 drawn out, −1 coming back
	start     float64 // z₀
	transient float64 // s₀ − S or s₀ + R
}

// cell is S and R over an eighth of an octave of g as cubics in the share u of it,
// and z as a polynomial in u − ½, with a = E_s·dε/dg at its start, middle and end.
type cell struct {
	z    [6]float64
	s, r [4]float64
	a    [3]float64
	from float64 // g at its start
	wide float64
}

// node is an end of a cell.
type node struct{ strain, g, a, z, s float64 }

const (
	perOctave = 8
	forgotten = 18 // z from the turn after which nothing is left of it
	ahead     = 10 // cells above the turn where R begins, until its start is forgotten
)

// Wind makes t ready for a rope at ease that is drawn out, in the memory that it
// has. It reports false, and does not serve, where friction hardly follows the pull.
func (t *Turning) Wind(law Sliding) bool {
	if !(law.Friction*law.Equilibrium > 1e-3*law.Ease) {
		return false
	}
	*t = Turning{Sliding: law, ready: *law.ready(), perEase: law.Friction / law.Ease, cells: t.cells[:0], wide: law.Ease / perOctave, way: 1}
	a := law.Contact / (law.Friction * law.Equilibrium)
	t.next = node{g: law.Ease, a: a, s: law.Ease / (1 + 1/a)}
	t.transient = -t.next.s
	return true
}

// Head goes on from a strain in a direction, 1 drawn out or −1 coming back.
func (t *Turning) Head(way, strain float64) {
	if way == t.way {
		return
	}
	pull := t.ready.spring(strain)
	s := t.friction(pull)
	t.way = way
	c, u := t.at(pull)
	t.start = c.time(u)
	if way > 0 {
		t.transient = s - cubic(&c.s, u)
		return
	}
	t.comeBack(pull)
	c, u = t.at(pull)
	t.transient = s + cubic(&c.r, u)
}

// friction is s at a pull of the spring.
func (t *Turning) friction(pull float64) float64 {
	c, u := t.at(pull)
	gone := t.way * (c.time(u) - t.start)
	s := cubic(&c.s, u)
	if t.way < 0 {
		s = -cubic(&c.r, u)
	}
	if gone > forgotten {
		return s
	}
	return s + t.transient*decay(max(gone, -0.7))
}

// decay is e^(−x) to 2e-7, x between −0.35 and 700; to 1e-5 down to −0.7.
func decay(x float64) float64 {
	n := int(x*math.Log2E + 0.5)
	r := float64(n)*math.Ln2 - x
	q := r * r
	p := 1 + r + q*((1./2+r*(1./6))+q*((1./24+r*(1./120))+q*(1./720)))
	return p * math.Float64frombits(uint64(1023-n)<<52)
}

// at is the cell of a pull of the spring and the share of it.
func (t *Turning) at(pull float64) (*cell, float64) {
	i, u := place(1 + pull*t.perEase)
	for i >= len(t.cells) {
		t.draw()
	}
	return &t.cells[i], u
}

// place is the number of the cell that holds a multiple of g₀, and the share of it;
// below 1 the first cell is drawn on.
func place(multiple float64) (int, float64) {
	if multiple < 1 {
		return 0, max(multiple-1, -0.25) * perOctave
	}
	bits := math.Float64bits(multiple)
	u := math.Float64frombits(bits<<3&(1<<52-1)|1023<<52) - 1
	return int(bits>>49) - 1023<<3, u
}

func cubic(c *[4]float64, u float64) float64 { return c[0] + u*(c[1]+u*(c[2]+u*c[3])) }

// draw adds a cell: S by the collocation that a cubic gives, which meets the
// equation at both ends and in the middle, and z by Simpson's rule.
func (t *Turning) draw() {
	n := t.next
	if k := len(t.cells); k > 0 && k%perOctave == 0 {
		t.wide *= 2
	}
	wide := t.wide
	middle := t.on(n, wide/2)
	end := t.on(middle, wide/2)
	c := cell{a: [3]float64{n.a, middle.a, end.a}, from: n.g, wide: wide}
	end.z = c.clock(n.z)
	var d0, d1 float64
	end.s, d0, d1 = c.across(n.s, n.g, end.g, c.a[0], c.a[2])
	c.s = hermite(n.s, end.s, d0, d1)
	t.cells, t.next = append(t.cells, c), end
}

// clock works out z from its value at the start of the cell, and returns that at
// the end: dz = a·dg/g with a a parabola and 1/g its series about the middle.
func (c *cell) clock(start float64) float64 {
	p := c.wide / (c.from + c.wide/2)
	d0 := p * c.a[1]
	d1 := p * (c.a[2] - c.a[0] - d0)
	d2 := p * (2*(c.a[0]-2*c.a[1]+c.a[2]) - d1)
	d3 := -p * d2
	c.z = [6]float64{0, d0, d1 / 2, d2 / 3, d3 / 4, -p * d3 / 5}
	c.z[0] = start - c.time(0)
	return c.time(1)
}

// time is z at a share of the cell.
func (c *cell) time(u float64) float64 {
	v := u - 0.5
	q := v * v
	return c.z[0] + v*c.z[1] + q*((c.z[2]+v*c.z[3])+q*(c.z[4]+v*c.z[5]))
}

// on is the node some way on; z and s are not set. The strain there is near its
// parabola over g, and one step of Newton's method from that is as good as many.
func (t *Turning) on(n node, by float64) node {
	g, slope := n.g+by, t.Friction*t.Equilibrium
	per := n.a / t.Contact // dε/dg
	x := n.strain + by*per*(1-by*per*per*slope*3*t.Growth*n.strain)
	q := t.Growth * x * x
	x -= (t.Ease + slope*x*(1+q) - g) / (slope * (1 + 3*q))
	return node{strain: x, g: g, a: t.Contact / (slope * (1 + 3*t.Growth*x*x))}
}

// across is what a solution of ds/dx = a·(1 − s/g) that is s at one end of the
// cell is at the other, and its rises there over the cell.
func (c *cell) across(s, g0, g1, a0, a1 float64) (end, rise0, rise1 float64) {
	w, mid := c.wide, c.a[1]
	b1, bm := a1/g1, mid/(c.from+w/2)
	f0 := a0 * (1 - s/g0)
	share := 4 * w * bm / 6
	end = (s + w/6*(f0+4*mid+a1) - share*(s/2+w/8*(f0-a1))) / (1 + w*b1/6 + share*(0.5+w*b1/8))
	return end, w * f0, w * a1 * (1 - end/g1)
}

// comeBack works out R from above a pull down to nothing, if it is not there.
func (t *Turning) comeBack(pull float64) {
	i, _ := place(1 + pull*t.perEase)
	if i < t.back {
		return
	}
	for len(t.cells) < i+ahead {
		t.draw()
	}
	t.back = i + 1
	g := t.next.g
	r := g
	if a := t.next.a; a > 2 {
		r = g / (1 - 1/a)
	}
	for k := len(t.cells) - 1; k >= 0; k-- {
		c := &t.cells[k]
		end, d1, d0 := c.across(r, g, c.from, c.a[2], c.a[0])
		c.r = hermite(end, r, -d0, -d1)
		g, r = c.from, end
	}
}

// hermite is the cubic with these values and rises over the whole at its ends.
func hermite(y0, y1, d0, d1 float64) [4]float64 {
	rise := y1 - y0
	return [4]float64{y0, d0, 3*rise - 2*d0 - d1, d0 + d1 - 2*rise}
}

// Rising is how fast the tension grows at a strain, its rate and that of q.
func (t *Turning) Rising(strain, rate, branch float64) float64 {
	pull := t.ready.spring(strain)
	g := t.Ease + t.Friction*math.Abs(pull)
	tangent := t.Equilibrium * (1 + 3*t.Growth*strain*strain)
	return rate*(tangent+t.Contact*(1-t.way*t.friction(pull)/g)) + branch
}

// States is 1: q.
func (t *Turning) States() int { return 1 }

// Tension is e + q + s.
func (t *Turning) Tension(strain, _ float64, state []float64) float64 {
	pull := t.ready.spring(strain)
	return pull + state[0] + t.friction(pull)
}

// Rates writes q̇.
func (t *Turning) Rates(_, rate float64, state, out []float64) {
	out[0] = t.Branch*rate - state[0]*t.ready.pace
}

// Answer is Tension and Rates at once.
func (t *Turning) Answer(strain, rate float64, state, out []float64) float64 {
	out[0] = t.Branch*rate - state[0]*t.ready.pace
	pull := t.ready.spring(strain)
	return pull + state[0] + t.friction(pull)
}

// Recoil is that of Sliding.
func (t *Turning) Recoil(strain float64, state []float64) float64 {
	return t.Sliding.Recoil(strain, []float64{state[0], t.friction(t.ready.spring(strain))})
}

// Stored is that of Sliding.
func (t *Turning) Stored(strain float64, state []float64) float64 {
	return t.Sliding.Stored(strain, []float64{state[0], t.friction(t.ready.spring(strain))})
}

// Lost is that of Sliding.
func (t *Turning) Lost(strain, rate float64, state []float64) float64 {
	return t.Sliding.Lost(strain, rate, []float64{state[0], t.friction(t.ready.spring(strain))})
}
