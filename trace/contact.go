package trace

import "math"

// Thresholds of a contact: it is entered above enter and left at leave, so
// noise cannot chop it up.
const (
	enterNoise, enterShare = 8, 0.02
	leaveNoise, leaveShare = 3, 0.005
	mergeShare             = 0.05 // of the contact before: a shorter gap is ringing
)

// findContacts finds every stretch with the rope taut in a force whose zero
// and sign are right. Start and End lie between samples: see zeroCrossing.
func findContacts(time, force []float64, noise, peak float64) []Contact {
	enter := max(enterNoise*noise, enterShare*peak)
	leave := max(leaveNoise*noise, leaveShare*peak)
	var out []Contact
	for i := 0; i < len(force); i++ {
		if !(force[i] > enter) {
			continue
		}
		first := i
		for first > 0 && force[first-1] > leave {
			first--
		}
		last := i
		for last+1 < len(force) && force[last+1] > leave {
			last++
		}
		c := Contact{From: first, To: last, Begun: first == 0, Open: last == len(force)-1}
		if k := len(out) - 1; k >= 0 && time[first]-time[out[k].To] < mergeShare*(time[out[k].To]-time[out[k].From]) {
			c.From, c.Begun = out[k].From, out[k].Begun
			out = out[:k]
		}
		out = append(out, c)
		i = last
	}
	for k := range out {
		out[k].locate(time, force, enter, leave)
	}
	return out
}

func (c *Contact) locate(time, force []float64, enter, leave float64) {
	c.Start, c.End = time[c.From], time[c.To]
	if !c.Begun {
		c.Start = zeroCrossing(time, force, c.From, +1, enter, leave)
	}
	if !c.Open {
		c.End = zeroCrossing(time, force, c.To, -1, enter, leave)
	}
	for i := c.From; i <= c.To; i++ {
		if i == c.From || force[i] > c.Peak {
			c.Peak, c.PeakAt = force[i], time[i]
		}
	}
	// The edge found may lie some samples outside: those belong to the contact.
	for c.From > 0 && time[c.From-1] >= c.Start {
		c.From--
	}
	for c.To+1 < len(time) && time[c.To+1] <= c.End {
		c.To++
	}
}

// zeroCrossing continues a flank outward from edge, its last sample above
// leave, to zero force (step +1 looks at a rise, −1 at a fall): along the line
// to the next sample above enter, but no further past the sample outside than
// the flank takes to climb to leave. Where the force jumps between the sample
// outside and edge by more than twice what the line does in that time, the
// crossing lies somewhere between the two, and the middle is taken.
func zeroCrossing(time, force []float64, edge, step int, enter, leave float64) float64 {
	out, up := edge-step, edge+step
	for up+step >= 0 && up+step < len(force) && force[up] <= enter {
		up += step
	}
	middle := (time[out] + time[edge]) / 2
	if up < 0 || up >= len(force) || !(force[up] > force[edge]) {
		return middle
	}
	slope := (force[up] - force[edge]) / (time[up] - time[edge]) // negative on a fall, as the intervals outward are
	if force[edge] > enter && force[edge]-force[out] > 2*slope*(time[edge]-time[out]) {
		return middle
	}
	at, furthest := time[edge]-force[edge]/slope, time[out]-leave/slope
	if step > 0 {
		return math.Max(at, furthest)
	}
	return math.Min(at, furthest)
}

// impulse is ∫F dt over the contact by the trapezoidal rule, the force taken
// as zero at an edge that was found.
func (c *Contact) impulse(time, force []float64) float64 {
	sum := 0.0
	for i := c.From; i < c.To; i++ {
		sum += 0.5 * (force[i] + force[i+1]) * (time[i+1] - time[i])
	}
	if !c.Begun {
		sum += 0.5 * force[c.From] * (time[c.From] - c.Start)
	}
	if !c.Open {
		sum += 0.5 * force[c.To] * (c.End - time[c.To])
	}
	return sum
}
