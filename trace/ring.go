package trace

import "math"

const (
	ringSlowest = 20    // Hz, below which no cell and fixture ring
	ringOver    = 8     // periods that a ringing has in a contact, at least
	ringShare   = 0.005 // share of the peak from which it is remarked
	ringsApart  = 0.15  // share by which the rope's own ripple may move with the force
)

// judgeRinging looks for a fast ripple in the largest contact and tells the
// structure's from the rope's: cell and fixtures ring at their own frequency
// whatever the force, on the rise as on the fall and with the rope slack; a
// ripple that rope and mass make follows the stiffness and so the force.
func (t *take) judgeRinging() {
	c := t.r.Contacts[t.best]
	above := math.Max(ringSlowest, ringOver/(c.End-c.Start))
	least := max(ringShare*c.Peak, t.zero.noise)
	whole, ok := t.lineIn(c.From, c.To, above, least/2)
	if !ok || whole.amplitude < least || math.Abs(whole.frequency-t.mains) < whole.width {
		return
	}
	top := t.sampleAt(c.PeakAt)
	slack := false
	if t.best+1 < len(t.r.Contacts) {
		if l, found := t.lineIn(c.To+1, t.r.Contacts[t.best+1].From, above, 0); found {
			slack = l.like(whole)
		}
	}
	// The quarters about the peak hold the high forces, the outer ones the low.
	high, okHigh := t.lineIn((c.From+top)/2, (top+c.To)/2, whole.frequency/3, 0)
	low, okLow := t.lineIn(c.From, (c.From+top)/2, whole.frequency/3, 0)
	switch {
	case slack:
		t.note(Doubtful, "the force rings at %s, and goes on with the rope slack: that is cell and fixtures, not rope; a filter class well below takes it out", whole)
	case okHigh && okLow && math.Abs(high.frequency-low.frequency) > max(ringsApart*whole.frequency, high.width, low.width):
		t.note(Said, "a ripple of %s moves with the force, from %.3g Hz low down to %.3g Hz at the top: that is rope and mass, not the structure", whole, low.frequency, high.frequency)
	case okHigh && okLow && high.like(low):
		t.note(Doubtful, "the force rings at %s whatever its size: that is cell and fixtures, not rope; a filter class well below takes it out", whole)
	default:
		t.note(Doubtful, "the force carries a ripple of %s: tap the cell with the rope off to see whether it is the structure's", whole)
	}
}
