package trace

import "math"

// course is the first contact and the flight after it, thinned: what the
// sensitivities of the values are taken on. They need two digits, not all the
// samples.
type course struct {
	time, force []float64
	start, end  float64
	next        float64 // s, where the rope goes tight again; NaN when it does not
	open        bool
	from        string       // what the motion starts from, as start.from, or "guide": see guided
	hold        float64      // share of the weight that the guide holds back in the contact
	lever       float64      // s, of a guide that holds back on the trace's own speed: see leverOf
	rise, fall  float64      // N/s, slopes of the flanks at both edges, taken positive
	jumps       [2]bool      // at the edges, from one sample to the next
	room        [5][]float64 // for the values to be worked in
}

// courseMost is the number of samples that a course is thinned to.
const courseMost = 256

// course thins the first contact to the means of every so many samples: single
// ones would leave their noise in the force where the stretch is largest.
func (t *take) course(every int) course {
	first := t.r.Contacts[0]
	c := course{start: first.Start, end: first.End, next: math.NaN(), open: first.Open, from: t.speed.from}
	if len(t.r.Contacts) > 1 {
		c.next = t.r.Contacts[1].Start
	}
	n := (first.To-first.From)/every + 1
	c.time, c.force = make([]float64, 0, n), make([]float64, 0, n)
	for i := first.From; i <= first.To; i += every {
		last := min(i+every-1, first.To)
		c.time = append(c.time, (t.rec.Time[i]+t.rec.Time[last])/2)
		c.force = append(c.force, mean(t.raw[i:last+1]))
	}
	for k := range c.room {
		c.room[k] = make([]float64, 0, len(c.time))
	}
	c.rise, c.jumps[0] = t.flankSlope(first.From, +1, first.Start)
	c.fall, c.jumps[1] = t.flankSlope(first.To, -1, first.End)
	c.lever = t.leverOf(c)
	return c
}

// flankSlope is the mean slope from an edge to the first sample above the limit
// of contacts, and whether the force jumps there: rises more than jumpOver times
// as fast as after it and the noise there could show.
func (t *take) flankSlope(from, step int, edge float64) (slope float64, jump bool) {
	i := from
	for i+2*step >= 0 && i+2*step < len(t.calm) && t.calm[i] < t.limit.enter {
		i += step
	}
	slope = math.Abs(t.calm[i] / (t.rec.Time[i] - edge))
	after := i + step
	for after+step >= 0 && after+step < len(t.calm) && math.Abs(t.rec.Time[after]-t.rec.Time[i]) < 2*t.limit.blur {
		after += step
	}
	if after < 0 || after >= len(t.calm) {
		return slope, false
	}
	next := (t.calm[after] - t.calm[i]) / math.Abs(t.rec.Time[after]-t.rec.Time[i])
	sure := 3 * t.limit.noise / math.Abs(t.rec.Time[after]-t.rec.Time[i])
	return slope, slope > jumpOver*(math.Max(next, 0)+sure)
}

// jumpOver is how many times steeper than after it a rise is a jump.
const jumpOver = 2.5

// The values that a course gives, in this order, and their JSON keys.
const (
	ofImpulse = iota
	ofImpact
	ofGeometry
	ofGate
	ofFriction
	ofStretch
	ofIn
	ofAbsorbed
	ofReturned
	ofRebound
	ofRestitution
	ofSecant
	ofLoss
	ofClosing
	ofAll
)

var outcomeKeys = [ofAll]string{
	"impulse_first_Ns", "impact_speed_mps", "geometry_speed_mps", "gate_speed_mps", "guide_friction",
	"max_stretch_m", "energy_in_J", "energy_absorbed_J", "energy_returned_J", "rebound_speed_mps", "restitution",
	"secant_stiffness_Npm", "loss_factor", "closing_stretch_m",
}

// outcome is the values of a course; NaN where one cannot be had.
type outcome [ofAll]float64

// inputs is what the values depend on, as offsets from what was read.
type inputs struct {
	cell    float64 // relative
	edge    float64 // relative
	tare    float64 // N
	start   float64 // s
	end     float64 // s
	mass    float64 // kg
	drop    float64 // m
	gate    float64 // relative
	share   float64 // of the fall's energy that the guide takes
	drag    float64 // share of the weight that the guide holds back in the contact
	gravity float64 // m/s2
	stay    float64 // m, by which the rope goes tight again lower than it first did
}

// none is an outcome without values.
var none = func() (out outcome) {
	for k := range out {
		out[k] = math.NaN()
	}
	return out
}()

// less is how much the values exceed others; 0 where either cannot be had.
func (out outcome) less(other outcome) (by outcome) {
	for k := range out {
		if d := out[k] - other[k]; !math.IsNaN(d) {
			by[k] = d
		}
	}
	return by
}

// outcome is the values with the inputs moved. A tare that is too low by b
// brings the edges of the contact out by b over the slope of the flank.
func (t *take) outcome(c course, in inputs) outcome {
	gain := (1 + in.cell) * (1 + in.edge)
	if t.rec.PerMass {
		gain *= 1 + in.mass/t.set.Mass
	}
	start := c.start + in.start - in.tare/c.rise
	end := c.end + in.end + in.tare/c.fall
	first := Contact{Start: start, End: end, Open: c.open}
	time, force := c.room[0][:0], c.room[1][:0]
	for i, s := range c.time {
		if s > start && s < end {
			time, force = append(time, s), append(force, gain*(c.force[i]+in.tare))
		}
	}
	if len(time) < 3 {
		return none
	}
	first.To = len(time) - 1
	return t.values(c, time, force, first, Contact{Start: c.next - in.tare/c.rise}, in)
}

func (t *take) values(c course, time, force []float64, first, next Contact, in inputs) outcome {
	out := none
	mass, gravity, drop := t.set.Mass+in.mass, t.gravity+in.gravity, t.set.Drop+in.drop
	if !first.Open {
		out[ofImpulse] = first.impulse(time, force)
	}
	if drop > 0 {
		out[ofGeometry] = freeFall(drop, gravity)
	}
	out[ofGate] = float64(t.r.GateSpeed) * (1 + in.gate)
	if mass == 0 {
		return out
	}
	if !math.IsNaN(t.speed.own) {
		own, _ := speedFromTrace(time, force, first, next, mass, gravity)
		out[ofImpact] = own + in.stay/(next.Start-first.Start)
	}
	v := math.NaN()
	switch c.from {
	case "light gate":
		v = out[ofGate]
	case "drop":
		v = out[ofGeometry] * math.Sqrt(1-t.set.Guide-in.share)
	case "trace":
		v = out[ofImpact]
	case "guide":
		own := out[ofImpact] + (t.speed.other-t.speed.own)/2 - in.stay/(next.Start-first.Start)/2
		in.drag += guideShare(out[ofGeometry], own, gravity*c.lever)
		v = own + in.drag*gravity*c.lever
	}
	measured := out[ofGate]
	if math.IsNaN(measured) {
		measured = out[ofImpact]
	}
	out[ofFriction] = 1 - measured*measured/(out[ofGeometry]*out[ofGeometry])
	if !(v > 0) {
		return out
	}
	m := integrateInto(c.room[2], c.room[3], time, force, first, mass, v, gravity)
	if in.drag != 0 {
		m = held(m, c.room[4], time, force, first, mass, v, gravity, in.drag)
	}
	out.move(m, first, next, v, gravity)
	out[ofSecant] = forceAtTurn(time, force, m.speed, 0) / m.largest
	return out
}

// held is the motion again with a guide that holds the mass back in the contact,
// with a share of its weight: upward before the turn, downward after it. Its work
// is not the rope's.
func held(m motion, room, time, force []float64, first Contact, mass, v, gravity, share float64) motion {
	drag := share * mass * gravity
	with := room[:0]
	for i, f := range force {
		if m.speed[i] > 0 {
			with = append(with, f+drag)
		} else {
			with = append(with, f-drag)
		}
	}
	again := integrateInto(m.speed, m.stretch, time, with, first, mass, v, gravity)
	again.energy -= drag * again.largest
	again.loop -= drag * (2*again.largest - again.last)
	return again
}

// move fills what the motion gives.
func (out *outcome) move(m motion, first, next Contact, v, gravity float64) {
	if !m.turned {
		return
	}
	out[ofStretch], out[ofIn] = m.largest, m.energy
	if first.Open {
		return
	}
	out[ofAbsorbed], out[ofReturned], out[ofRebound] = m.loop, m.energy-m.loop, -m.end
	out[ofRestitution] = -m.end / v
	out[ofLoss] = m.loop / (math.Pi * (m.energy - m.loop/2))
	flight := next.Start - first.End
	out[ofClosing] = m.last + m.end*flight + gravity*flight*flight/2
}
