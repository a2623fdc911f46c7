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
	turned  bool      // the mass came to a stop inside the contact
}

func integrate(time, force []float64, c Contact, mass, speed, gravity float64) motion {
	m := motion{
		speed:   make([]float64, 0, c.To-c.From+1),
		stretch: make([]float64, 0, c.To-c.From+1),
	}
	t, f, v, x, work := c.Start, 0.0, speed, 0.0, 0.0
	if c.Begun {
		f = force[c.From]
	}
	step := func(t1, f1 float64) {
		dt := t1 - t
		v1 := v + dt*(gravity-0.5*(f+f1)/mass)
		dx := 0.5 * (v + v1) * dt
		w := 0.5 * (f*v + f1*v1) * dt
		if !m.turned && v > 0 && v1 <= 0 {
			share := v / (v - v1)
			m.turned = true
			m.largest = x + 0.5*v*share*dt
			m.energy = work + 0.5*f*v*share*dt // no power at the turn: v is zero there
		}
		t, f, v, x, work = t1, f1, v1, x+dx, work+w
	}
	for i := c.From; i <= c.To; i++ {
		step(time[i], force[i])
		m.speed = append(m.speed, v)
		m.stretch = append(m.stretch, x)
	}
	if !c.Open {
		step(c.End, 0)
	}
	m.loop, m.end = work, v
	return m
}

// freeFall is the speed after falling free from rest, √(2·g·h).
func freeFall(drop, gravity float64) float64 { return math.Sqrt(2 * gravity * drop) }

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
