package trace

import (
	"fmt"
	"math"
)

// bounceKey is the key of a bounce's peak among the uncertainties.
func bounceKey(k int) string { return fmt.Sprintf("bounce_peaks_N[%d]", k) }

// addNoise adds noise's part in each integral. Noise of density S, in N²·s, adds
// to ∫w·F dt a variance of S·∫w² dt. S is taken from how the means of the quiet
// stretch scatter, so that noise slower than a sample is in it.
//
//	w = 1            impulse; 1/m for the rebound speed
//	w = (t₂ − t)/(m·(t₂ − t₁))   impact speed from the trace
//	w = (t − t_turn)/m           largest stretch
//	w = v − (I(end) − I(t))/m    work up to end: the force's own power, and what
//	                             it takes off the speed after; I is the impulse
func (t *take) addNoise(c course, parts [][]part) {
	density := t.zero.noise * t.zero.noise * t.pace.usual
	if t.zero.known {
		density = t.zero.doubt * t.zero.doubt * (t.rec.Time[t.zero.to-1] - t.rec.Time[t.zero.from])
	}
	if !(density > 0) {
		return
	}
	add := func(k int, weight float64) {
		parts[k] = append(parts[k], part{"noise", math.Sqrt(density), "N·√s", 0, weight})
	}
	long := c.end - c.start
	add(ofImpulse, math.Sqrt(long))
	if t.set.Mass == 0 {
		return
	}
	add(ofRebound, math.Sqrt(long)/t.set.Mass)
	if whole := c.next - c.start; whole > 0 {
		own := math.Sqrt((whole*whole*whole-math.Pow(whole-long, 3))/3) / (t.set.Mass * whole)
		add(ofImpact, own)
		if v := float64(t.r.ImpactSpeed); v > 0 && t.r.GeometrySpeed.Known() {
			add(ofFriction, 2*v/math.Pow(float64(t.r.GeometrySpeed), 2)*own)
		}
	}
	if t.first != nil && t.first.turned {
		t.addMotionNoise(c, add)
	}
}

func (t *take) addMotionNoise(c course, add func(k int, weight float64)) {
	mass := t.set.Mass
	m := integrate(c.time, c.force, Contact{To: len(c.time) - 1, Start: c.start, End: c.end, Open: true}, mass, t.speed.speed, t.gravity)
	turn := len(c.time) - 1
	for i, v := range m.speed {
		if v <= 0 {
			turn = i
			break
		}
	}
	lift := c.time[turn] - c.start
	add(ofStretch, math.Sqrt(lift*lift*lift/3)/mass)
	in := t.workWeight(c, m, turn)
	add(ofIn, in)
	if c.open {
		return
	}
	loop := t.workWeight(c, m, len(c.time)-1)
	add(ofAbsorbed, loop)
	add(ofReturned, math.Hypot(in, loop))
	add(ofRestitution, math.Sqrt(c.end-c.start)/(mass*t.speed.speed))
	add(ofLoss, loop/(math.Pi*float64(t.r.EnergyIn+t.r.EnergyReturned)/2))
	add(ofClosing, math.Sqrt(c.end-c.start)/mass*(c.next-c.start))
	// The force at the turn is a mean over samples; its stretch as above.
	over := 2 * float64(turnHalf(t.r.Contacts[0].To-t.r.Contacts[0].From)) * t.pace.usual
	level := float64(t.r.MaxStretch)
	add(ofSecant, math.Hypot(1/math.Sqrt(over)/level, math.Sqrt(lift*lift*lift/3)/mass*float64(t.r.Secant)/level))
}

// workWeight is √∫w² dt of the work up to a sample.
func (t *take) workWeight(c course, m motion, to int) float64 {
	whole := 0.0
	impulse := make([]float64, to+1)
	for i := 1; i <= to; i++ {
		whole += 0.5 * (c.force[i] + c.force[i-1]) * (c.time[i] - c.time[i-1])
		impulse[i] = whole
	}
	sum := 0.0
	for i := 1; i <= to; i++ {
		w := m.speed[i] - (whole-impulse[i])/t.set.Mass
		sum += w * w * (c.time[i] - c.time[i-1])
	}
	return math.Sqrt(sum)
}
