package trace

import (
	"math"
	"slices"
)

// laterPeak is by how much a bounce must exceed the first contact's peak to be
// the trace's peak: a rope without losses bounces equally high, and where the
// samples fall then decides.
const laterPeak = 0.002

func (t *take) readContacts() {
	peak, lowest := slices.Max(t.raw), slices.Min(t.raw)
	if peak > lowest {
		t.r.Contacts = findContacts(t.rec.Time, t.raw, t.zero.noise, peak)
	}
	if len(t.r.Contacts) == 0 {
		t.r.Contacts = []Contact{}
		t.note(Missing, "the force never rises clear of its noise of %.3g N: there is no contact to read", t.zero.noise)
		return
	}
	best := 0
	for k := range t.r.Contacts {
		c := &t.r.Contacts[k]
		c.Peak, c.PeakAt = t.peakWithin(*c)
		if c.Peak > (1+laterPeak)*t.r.Contacts[best].Peak {
			best = k
		}
		if k > 0 {
			t.r.BouncePeaks = append(t.r.BouncePeaks, Value(c.Peak))
		}
	}
	first := t.r.Contacts[0]
	t.r.PeakForce = Value(t.r.Contacts[best].Peak)
	if t.cutOff(t.r.Contacts[best]) {
		t.note(Missing, "the trace begins or ends while the force is at its largest: %.4g N is what was recorded, the peak may be higher", t.r.Contacts[best].Peak)
	}
	t.r.TimeToPeak = Value(t.r.Contacts[best].PeakAt - first.Start)
	if best > 0 {
		t.note(Doubtful, "the largest force is in contact %d of %d, not in the first", best+1, len(t.r.Contacts))
	}
	switch {
	case first.Begun:
		t.r.TimeToPeak = None()
		t.note(Doubtful, "the first contact had begun before the trace: its impulse, the time to the peak, impact speed, stretch, energy and rebound speed cannot be had")
	case first.Open:
		t.note(Doubtful, "the force did not come back to zero before the trace ended, or zero has moved: the first contact's impulse cannot be had")
	default:
		t.r.FirstImpulse = Value(first.impulse(t.rec.Time, t.raw))
	}
}

// cutOff reports whether a contact's peak lies at the edge of the trace: the
// force has not come down again, by noise or by a hundredth of the peak, before
// the trace ends, or not gone up since it began.
func (t *take) cutOff(c Contact) bool {
	turned := c.Peak - max(3*t.zero.noise, 0.01*c.Peak)
	before, after := !c.Begun, !c.Open
	for i := c.From; i <= c.To; i++ {
		if t.sig.Force[i] < turned {
			before = before || t.rec.Time[i] < c.PeakAt
			after = after || t.rec.Time[i] > c.PeakAt
		}
	}
	return !before || !after
}

// peakWithin is the largest sample of the signal inside a contact, and when.
func (t *take) peakWithin(c Contact) (force, when float64) {
	force = math.Inf(-1)
	for i := c.From; i <= c.To; i++ {
		if t.sig.Force[i] > force {
			force, when = t.sig.Force[i], t.rec.Time[i]
		}
	}
	return force, when
}

// readMotion fills what needs the mass and the speed at contact.
func (t *take) readMotion() {
	if len(t.r.Contacts) == 0 || t.r.Contacts[0].Begun {
		return
	}
	if t.set.Mass == 0 {
		t.note(Said, "no mass was given: stretch, energy and speeds need it")
		return
	}
	own, other := t.ownSpeed()
	speed := own
	switch {
	case t.set.Drop > 0:
		speed = freeFall(t.set.Drop, t.gravity)
		t.note(Said, "stretch and energy start from %.4g m/s, a free fall of %.4g m", speed, t.set.Drop)
		if speed < (1-speedApart)*min(own, other) || speed > (1+speedApart)*max(own, other) {
			t.note(Doubtful, "the trace itself shows %.4g m/s at contact, a free fall %.4g m/s: look at the guide's friction, mass, drop, unit and the cell's gain", own, speed)
		}
	case !math.IsNaN(own):
		t.note(Said, "stretch and energy start from the trace's own impact speed, %.4g m/s", own)
	default:
		t.note(Said, "neither drop nor impact speed is known: stretch, energy and rebound speed cannot be had")
		return
	}
	t.fillMotion(speed)
}

func (t *take) fillMotion(speed float64) {
	first := t.r.Contacts[0]
	m := integrate(t.rec.Time, t.raw, first, t.set.Mass, speed, t.gravity)
	t.sig.First, t.sig.Speed, t.sig.Stretch = first.From, m.speed, m.stretch
	t.step("motion", "speed and stretch by integration over the first contact",
		Param{"mass", t.set.Mass, "kg"}, Param{"speed at contact", speed, "m/s"}, Param{"gravity", t.gravity, "m/s2"})
	if !m.turned {
		t.note(Doubtful, "with %.4g kg at %.4g m/s the mass does not come to a stop within the first contact: the trace ends too early, or mass, drop, unit or the cell's gain are not right", t.set.Mass, speed)
		return
	}
	t.r.MaxStretch, t.r.EnergyIn = Value(m.largest), Value(m.energy)
	if t.set.Length > 0 && m.largest > t.set.Length {
		t.note(Doubtful, "a stretch of %.4g m is more than the free length of %.4g m: mass, drop, unit or the cell's gain are not right, or zero has moved", m.largest, t.set.Length)
	}
	if first.Open {
		t.note(Said, "without an end of the first contact, energy absorbed and rebound speed cannot be had")
		return
	}
	if m.end > 0 || m.loop < -0.01*m.energy {
		t.note(Doubtful, "the mass would leave the first contact at %.4g m/s upward after %.4g m/s downward: mass, drop, unit or the cell's gain are not right, and energy absorbed and rebound speed cannot be had", -m.end, speed)
		return
	}
	t.r.EnergyAbsorbed, t.r.ReboundSpeed = Value(m.loop), Value(-m.end)
}

// speedApart is how far free fall may lie outside what the trace shows under
// its two assumptions before it is remarked.
const speedApart = 0.02

// ownSpeed is the impact speed from the trace under either assumption, NaN when
// it cannot be had.
func (t *take) ownSpeed() (speed, symmetric float64) {
	c := t.r.Contacts
	if c[0].Open || len(c) < 2 {
		t.note(Said, "the trace shows no second contact: impact speed cannot be had from it")
		return math.NaN(), math.NaN()
	}
	speed, symmetric = speedFromTrace(t.rec.Time, t.raw, c[0], c[1], t.set.Mass, t.gravity)
	if !(speed > 0) {
		t.note(Doubtful, "the trace gives no downward speed at contact (%.3g m/s): mass or unit do not fit it, or the mass did not fly between contacts", speed)
		return math.NaN(), math.NaN()
	}
	t.r.ImpactSpeed = Value(speed)
	if math.Abs(symmetric-speed) > 0.01*speed {
		t.note(Said, "impact speed is %.4g m/s if the rope goes tight again where it first did, %.4g m/s if where it went slack", speed, symmetric)
	}
	return speed, symmetric
}
