package trace

import "math"

// guideSure is how many standard uncertainties of the guide's friction, as it was
// measured, make it more than chance.
const guideSure = 3

// guided is what the intervals of the motion take into account of the guide. hold
// is the share of the weight that it holds the mass back with in the contact: what
// it takes of a fall's energy when its friction stays the same. It is as stated,
// or as measured by the light gate where that is more than chance.
//
// Where without either the trace shows more than chance that the mass was slower
// than its free fall, whichever of the trace's two assumptions holds, what starts
// from the drop is off: the intervals are then those of a motion with the share
// that the trace shows, "guide", with anything between none after first contact and
// twice as much.
func (t *take) guided(c course, friction []part) (from string, hold float64) {
	if t.set.Guide > 0 || !t.r.GeometrySpeed.Known() {
		return c.from, t.set.Guide
	}
	u := 0.0
	for _, p := range friction {
		if p.source != tightAgain && !math.IsNaN(p.slope) {
			u = math.Hypot(u, p.slope*p.input)
		}
	}
	fallen := float64(t.r.GeometrySpeed)
	lost := func(speed float64) float64 { return 1 - speed*speed/(fallen*fallen) }
	if t.r.GateSpeed.Known() {
		if share := lost(float64(t.r.GateSpeed)); u > 0 && share > guideSure*u {
			return c.from, share
		}
		return c.from, 0
	}
	if c.from != "drop" || !(u > 0) || !(lost(max(t.speed.own, t.speed.other)) > guideSure*u) {
		return c.from, 0
	}
	share := guideShare(fallen, (t.speed.own+t.speed.other)/2, t.gravity*c.lever)
	if !(share > 0 && share < mostGuide) {
		return c.from, 0
	}
	return "guide", share
}

// guideShare is the share h of the weight that a guide holds a mass back with,
// from the speed of its free fall and the trace's own, which it moves as well:
//
//	fallen·(1 − h/2) = own + h·pull
func guideShare(fallen, own, pull float64) float64 { return (fallen - own) / (fallen/2 + pull) }

// leverOf is how a guide that holds the mass back, upward when it goes down and
// downward when it goes up, moves the trace's own speed, over g times its share:
//
//	(1/T)·∫ s·(t₂ − t) dt,  s = 1 on the way down, −1 on the way up
//
// from contact to contact, T between them; the flight's top is half way.
func (t *take) leverOf(c course) float64 {
	if t.first == nil || !t.first.turned || math.IsNaN(c.next) {
		return 0
	}
	from := t.r.Contacts[0].From
	turn := c.end
	for i, v := range t.first.speed {
		if v <= 0 {
			turn = t.rec.Time[from+i]
			break
		}
	}
	half := func(at float64) float64 { return (c.next - at) * (c.next - at) / 2 }
	top := (c.end + c.next) / 2
	return (half(c.start) - 2*half(turn) + 2*half(top)) / (c.next - c.start)
}
