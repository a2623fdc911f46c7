package trace

import (
	"math"
	"testing"
)

// A triangle of 1000 N over 0.1 s whose edges lie between samples: straight
// flanks, so that continuing them to zero and the trapezoidal rule are exact
// but for the one interval that holds the tip, where h²·(change of slope)/8 is
// the most that can be lost.
func TestEdgesBetweenSamples(t *testing.T) {
	const top, half, start, dt = 1000.0, 0.05, 0.20013, 0.001
	var time, force []float64
	for i := range 500 {
		s := float64(i) * dt
		time = append(time, s)
		force = append(force, max(0, top*(1-math.Abs(s-start-half)/half)))
	}
	c := findContacts(time, force, thresholdsFor(0, top))
	if len(c) != 1 {
		t.Fatalf("%d contacts, want 1", len(c))
	}
	within(t, "start", Value(c[0].Start), start, 1e-9)
	within(t, "end", Value(c[0].End), start+2*half, 1e-9)
	within(t, "impulse", Value(c[0].impulse(time, force)), top*half, dt*dt*(2*top/half)/8)
}

// The two ways to the impact speed. Without losses they agree; with losses each
// is held against the fall itself: the mass leaves the rope at x_end with v_end
// and meets it again where the simulation says it does, at x = 0.
func TestSpeedFromTrace(t *testing.T) {
	truth := math.Sqrt(2 * StandardGravity * refDrop)
	for _, ref := range references {
		rec := fallTrace(ref.law, 10e3, 0.3, 2.8)
		c := findContacts(rec.Time, rec.Force, thresholdsFor(0, ref.peak))
		speed, symmetric := speedFromTrace(rec.Time, rec.Force, c[0], c[1], refMass, StandardGravity)
		within(t, ref.name, Value(speed), truth, 0.002*truth)

		// Flight from x_end up and down to 0 instead of to x_end: it is shorter
		// by what the last x_end of the way takes, so the symmetric answer is off
		// by v_r − g·T_flight/2.
		m := integrate(rec.Time, rec.Force, c[0], refMass, truth, StandardGravity)
		end := m.stretch[len(m.stretch)-1]
		rise := -m.end
		flight := (rise + math.Sqrt(max(0, rise*rise-2*StandardGravity*end))) / StandardGravity
		within(t, ref.name+", symmetric", Value(symmetric), truth+rise-StandardGravity*flight/2, 0.003*truth)
	}
}

// The power of the last part of a contact counts: a force that ends high, as
// one with a merged edge does, closes the loop at its end.
func TestMotionToTheEdge(t *testing.T) {
	// Constant force of 3·m·g from 0 to the end of the contact, two samples to
	// the interval: v = v₀ − 2·g·t exactly, and x = v₀·t − g·t².
	const mass, speed, g, dt = 50.0, 4.0, 10.0, 0.01
	time, force := []float64{}, []float64{}
	for i := range 41 {
		time, force = append(time, float64(i)*dt), append(force, 3*mass*g)
	}
	c := Contact{From: 0, To: 40, Start: 0, End: 0.4, Begun: true, Open: true}
	m := integrate(time, force, c, mass, speed, g)
	within(t, "largest stretch", Value(m.largest), speed*speed/(4*g), 1e-12)
	within(t, "energy in", Value(m.energy), 3*mass*g*speed*speed/(4*g), 1e-9)
	within(t, "end", Value(m.end), speed-2*g*0.4, 1e-12)
	within(t, "loop", Value(m.loop), 3*mass*g*(speed*0.4-g*0.4*0.4), 1e-9)

	// Closed: the force falls to zero over one more interval at the end.
	c.Open, c.End = false, 0.41
	m = integrate(time, force, c, mass, speed, g)
	within(t, "end, closed", Value(m.end), speed-2*g*0.4+dt*(g-1.5*g), 1e-12)
}

// Uneven stamps: filtered, the trace is what the even one is, at its own times.
func TestUnevenIsFilteredAtItsOwnTimes(t *testing.T) {
	const rate = 4000
	shape := func(s float64) float64 { return 3000 * math.Exp(-math.Pow((s-0.5)/0.08, 2)) }
	even, uneven := &Recording{Unit: "N"}, &Recording{Unit: "N"}
	for i := range 4000 {
		s := float64(i) / rate
		even.Time, even.Force = append(even.Time, s), append(even.Force, shape(s))
		s += 0.3 / rate * math.Sin(float64(i)/7)
		if i >= 2500 {
			s += 11.4 / rate // samples lost
		}
		uneven.Time, uneven.Force = append(uneven.Time, s), append(uneven.Force, shape(s))
	}
	_, a, err := Take(even, Settings{Class: 60})
	if err != nil {
		t.Fatal(err)
	}
	r, b, err := Take(uneven, Settings{Class: 60})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "rate", r.SampleRate, rate, 0.05*rate)
	compared := 0
	for i, s := range uneven.Time {
		k := int(s * rate)
		if k+1 >= len(a.Force) {
			break
		}
		share := s*rate - float64(k)
		want := a.Force[k] + share*(a.Force[k+1]-a.Force[k])
		// Straight lines over an interval h cost h²·F″/8, with F″ at most 2·3000 N
		// over (0.08 s)²: 0.007 N in each of two interpolations, or 1 N around
		// the place where twelve intervals were lost.
		tol := 0.015
		if i > 2400 && i < 2600 {
			tol = 1
		}
		if math.Abs(b.Force[i]-want) > tol {
			t.Fatalf("at %.4f s: %.3f N, even %.3f N", s, b.Force[i], want)
		}
		compared++
	}
	if compared < 3900 {
		t.Fatalf("%d samples compared", compared)
	}
}
