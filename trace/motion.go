package trace

import "math"

// StandardGravity is 9.80665 m/s², exact by definition (3rd CGPM, 1901).
const StandardGravity = 9.80665

// motion is the mass over the first contact, from the force alone:
//
//	v(t) = v₀ + ∫(g − F/m) dt,  x(t) = ∫v dt,  x(start) = 0
//
// by the trapezoidal rule on the recording's own time stamps.
type motion struct {
	speed   []float64 // m/s downward, at the samples From..To
	stretch []float64 // m
	largest float64   // m, at the turn of the mass
	energy  float64   // J, ∫F dx up to there
	loop    float64   // J, ∮F dx over the contact
	end     float64   // m/s downward, at the end of the contact
	last    float64   // m, the stretch there
	turned  bool      // the mass came to a stop inside the contact
}

func integrate(time, force []float64, c Contact, mass, speed, gravity float64) motion {
	n := c.To - c.From + 1
	return integrateInto(make([]float64, n), make([]float64, n), time, force, c, mass, speed, gravity)
}

// integrateInto is integrate with room for speed and stretch given.
func integrateInto(speeds, stretches, time, force []float64, c Contact, mass, speed, gravity float64) motion {
	n := c.To - c.From + 1
	m := motion{speed: speeds[:n], stretch: stretches[:n]}
	half := 0.5 / mass
	at := begin(c, force, speed)
	at = m.carry(at, time[c.From:c.To+1], force[c.From:c.To+1], m.speed, m.stretch, half, gravity)
	m.finish(at, c, half, gravity)
	return m
}

// begin is the mass where a contact begins.
func begin(c Contact, force []float64, speed float64) place {
	at := place{t: c.Start, v: speed}
	if c.Begun {
		at.f = force[c.From]
	}
	return at
}

// carry takes the mass over some samples, and notes its speed and stretch there
// where there is room for them.
func (m *motion) carry(at place, time, force, speed, stretch []float64, half, gravity float64) place {
	force = force[:len(time)]
	keep := len(speed) >= len(time) && len(stretch) >= len(time)
	// place.after in registers; stretch and work doubled, which rounds alike
	pt, pf, pv, power, twiceX, twiceWork := at.t, at.f, at.v, at.f*at.v, 2*at.x, 2*at.work
	for i, t := range time {
		f := force[i]
		dt := t - pt
		v := pv + dt*(gravity-half*(pf+f))
		x, work := twiceX+(pv+v)*dt, twiceWork+(power+f*v)*dt
		if v <= 0 && pv > 0 && !m.turned {
			m.turn(place{pt, pf, pv, 0.5 * twiceX, 0.5 * twiceWork}, place{t, f, v, 0.5 * x, 0.5 * work})
		}
		if keep {
			speed[i], stretch[i] = v, 0.5*x
		}
		pt, pf, pv, power, twiceX, twiceWork = t, f, v, f*v, x, work
	}
	return place{pt, pf, pv, 0.5 * twiceX, 0.5 * twiceWork}
}

// finish takes the mass from the last sample of a contact to its end.
func (m *motion) finish(at place, c Contact, half, gravity float64) {
	if !c.Open {
		next := at.after(c.End, 0, half, gravity)
		if at.v > 0 && next.v <= 0 && !m.turned {
			m.turn(at, next)
		}
		at = next
	}
	m.loop, m.end, m.last = at.work, at.v, at.x
}

// place is the mass at a moment: time, force, speed, stretch and the work so far.
type place struct{ t, f, v, x, work float64 }

// after is the place one interval on; half is 1/(2·mass).
func (p place) after(t, f, half, gravity float64) place {
	dt := t - p.t
	v := p.v + dt*(gravity-half*(p.f+f))
	return place{t, f, v, p.x + 0.5*(p.v+v)*dt, p.work + 0.5*(p.f*p.v+f*v)*dt}
}

// turn fills what the turn of the mass between two places gives.
func (m *motion) turn(before, after place) {
	dt := (after.t - before.t) * before.v / (before.v - after.v)
	m.turned = true
	m.largest = before.x + 0.5*before.v*dt
	m.energy = before.work + 0.5*before.f*before.v*dt // no power at the turn: v is zero there
}

// speedFromTrace is the impact speed that the trace itself shows. From first
// contact to the next the mass goes down and comes back to where the rope goes
// tight again. Taking that to be the same place, its displacement over the
// time T between the two contacts is zero:
//
//	0 = v₀·T + g·T²/2 − (1/m)·∫F·(t₂ − t) dt   over the first contact
//
// so v₀ follows without knowing the drop. Rope that stays longer after the
// catch (knots that tighten, slow recovery) breaks the assumption: if it is
// longer by d, v₀ comes out low by d/T.
//
// symmetric is the answer under the other assumption in use, that the mass
// leaves the rope and meets it again at one height, so that it rises for half
// of the flight: v₀ = (1/m)·∫F dt − g·T_contact − g·T_flight/2. The truth lies
// between, and the two are equal for a rope without losses.
func speedFromTrace(time, force []float64, first, next Contact, mass, gravity float64) (speed, symmetric float64) {
	whole := next.Start - first.Start
	moment := 0.0
	t, f := first.Start, 0.0
	add := func(t1, f1 float64) {
		moment += (t1 - t) * 0.5 * (f*(next.Start-t) + f1*(next.Start-t1))
		t, f = t1, f1
	}
	for i := first.From; i <= first.To; i++ {
		add(time[i], force[i])
	}
	add(first.End, 0)
	speed = moment/(mass*whole) - gravity*whole/2
	flight := next.Start - first.End
	symmetric = first.impulse(time, force)/mass - gravity*(first.End-first.Start) - gravity*flight/2
	return speed, symmetric
}

// readMotion carries the mass from first contact to the end of the last: by
// integration in each contact, in free fall between them. What a later contact
// starts with is what the one before left it with.
func (t *take) readMotion() {
	v := t.speed.speed
	if math.IsNaN(v) {
		return
	}
	t.sig.First = t.r.Contacts[0].From
	if !t.lean {
		room := t.r.Contacts[len(t.r.Contacts)-1].To + 1 - t.sig.First
		t.sig.Speed, t.sig.Stretch = make([]float64, 0, room), make([]float64, 0, room)
	}
	x, from := 0.0, t.r.Contacts[0].Start
	for k := range t.r.Contacts {
		c := &t.r.Contacts[k]
		t.fly(from, *c, x, v)
		fall := c.Start - from
		x, v = x+v*fall+t.gravity*fall*fall/2, v+t.gravity*fall
		if k == 1 {
			t.r.ClosingStretch = Value(x)
		}
		if !(v > 0) {
			t.note(Said, "contact %d would begin on the way up: the motion is followed no further", k+1)
			break
		}
		m := t.through(k, x, v)
		if k == 0 {
			t.first = &m
		}
		c.fill(m, v)
		if t.bent() {
			c.Impulse, c.EnergyAbsorbed, c.ReboundSpeed, c.Restitution = None(), None(), None(), None()
		}
		x, v, from = x+m.last, m.end, c.End
		if !m.turned || c.Open || t.bent() {
			break
		}
	}
	t.step("motion", "speed and stretch by integration over the contacts, free fall between them",
		Param{"mass", t.set.Mass, "kg"}, Param{"speed at contact", t.speed.speed, "m/s"}, Param{"gravity", t.gravity, "m/s2"})
	t.keepMotion()
}

// through integrates a contact that begins at a stretch x with speed v, and adds
// it to the signal's motion. Lean, the motion of a later contact is not kept, but
// for what the speed at the end is taken from.
func (t *take) through(k int, x, v float64) motion {
	c := t.r.Contacts[k]
	t.rest = rest{}
	if t.lean && k > 0 {
		return t.pass(c, v)
	}
	n := c.To - c.From + 1
	var speed, stretch []float64
	if t.lean {
		speed, stretch = make([]float64, n), make([]float64, n)
	} else {
		had := len(t.sig.Speed)
		t.sig.Speed, t.sig.Stretch = t.sig.Speed[:had+n], t.sig.Stretch[:had+n]
		speed, stretch = t.sig.Speed[had:], t.sig.Stretch[had:]
	}
	m := integrateInto(speed, stretch, t.rec.Time, t.raw, c, t.set.Mass, v, t.gravity)
	if x != 0 {
		for i := range stretch {
			stretch[i] += x
		}
	}
	t.rest.add(speed, c.From, len(t.raw))
	return m
}

// passSamples is how many samples are integrated at a time where their speed is
// wanted.
const passSamples = 512

// pass integrates a contact without keeping its motion.
func (t *take) pass(c Contact, v float64) motion {
	var m motion
	var room [2][passSamples]float64
	half := 0.5 / t.set.Mass
	at := begin(c, t.raw, v)
	from := min(max(c.From, restFrom(len(t.raw))), c.To+1)
	at = m.carry(at, t.rec.Time[c.From:from], t.raw[c.From:from], nil, nil, half, t.gravity)
	for ; from <= c.To; from += passSamples {
		to := min(from+passSamples, c.To+1)
		at = m.carry(at, t.rec.Time[from:to], t.raw[from:to], room[0][:], room[1][:], half, t.gravity)
		t.rest.add(room[0][:to-from], from, len(t.raw))
	}
	t.rest.to = c.To + 1
	m.finish(at, c, half, t.gravity)
	return m
}

// rest is the speed of the contact at hand over the end of the recording, where
// the mass may hang.
type rest struct {
	sum, n float64
	to     int // the sample after the last
}

// restFrom is the first sample of the end of a recording.
func restFrom(samples int) int { return samples - int(restShare*float64(samples)) }

// add takes speeds in, of which the first belongs to sample from.
func (r *rest) add(speed []float64, from, samples int) {
	r.to = from + len(speed)
	for _, v := range speed[min(len(speed), max(0, restFrom(samples)-from)):] {
		r.sum += v
		r.n++
	}
}

// fly adds the samples before a contact, in free fall since from, to the
// signal's motion.
func (t *take) fly(from float64, next Contact, x, v float64) {
	if len(t.sig.Speed) == 0 {
		return
	}
	for i := t.sig.First + len(t.sig.Speed); i < next.From; i++ {
		dt := t.rec.Time[i] - from
		t.sig.Speed = append(t.sig.Speed, v+t.gravity*dt)
		t.sig.Stretch = append(t.sig.Stretch, x+v*dt+t.gravity*dt*dt/2)
	}
}

// lossLeast is by how much of the energy put in a rope may seem to give back
// more than that: cell, mass and drop are not known better.
const lossLeast = 0.05

// fill takes a contact's values from its motion. Energies that cannot be are
// left out.
func (c *Contact) fill(m motion, speed float64) {
	c.ImpactSpeed = Value(speed)
	if !m.turned {
		return
	}
	c.MaxStretch, c.EnergyIn = Value(m.largest), Value(m.energy)
	if c.Open || m.end >= 0 || m.loop < -lossLeast*m.energy {
		return
	}
	c.EnergyAbsorbed, c.ReboundSpeed, c.Restitution = Value(m.loop), Value(-m.end), Value(-m.end/speed)
}

// keepMotion makes the first contact's motion the reading's, or says why not.
func (t *take) keepMotion() {
	first, m, speed := t.r.Contacts[0], t.first, t.speed.speed
	if !m.turned {
		t.note(Doubtful, "with %.4g kg at %.4g m/s the mass does not come to a stop within the first contact: the trace ends too early, or mass, drop, unit or the cell's gain are not right", t.set.Mass, speed)
		return
	}
	t.r.MaxStretch, t.r.EnergyIn = first.MaxStretch, first.EnergyIn
	if t.set.Length > 0 && m.largest > t.set.Length {
		t.note(Doubtful, "a stretch of %.4g m is more than the free length of %.4g m: mass, drop, unit or the cell's gain are not right, or zero has moved", m.largest, t.set.Length)
	}
	if first.Open {
		t.note(Said, "without an end of the first contact, energy absorbed and rebound speed cannot be had")
		return
	}
	if t.bent() {
		return
	}
	if !first.ReboundSpeed.Known() {
		t.note(Doubtful, "the mass would leave the first contact at %.4g m/s upward after %.4g m/s downward: mass, drop, unit or the cell's gain are not right, and energy absorbed and rebound speed cannot be had", -m.end, speed)
		return
	}
	t.r.EnergyAbsorbed, t.r.ReboundSpeed, t.r.Restitution = first.EnergyAbsorbed, first.ReboundSpeed, first.Restitution
	t.r.EnergyReturned = t.r.EnergyIn - t.r.EnergyAbsorbed
	if c := t.r.ClosingStretch; c.Known() && t.speed.from != "trace" {
		t.note(Said, "by the integration the rope goes tight again %.3g m below where it first did: what it stays longer, and the closing error", float64(c))
	}
}
