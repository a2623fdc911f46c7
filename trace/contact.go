package trace

import "math"

// thresholds of a contact, in N: it is entered above enter and left at leave,
// so that noise cannot chop it up. The flank between the two gives the edge.
type thresholds struct {
	enter, leave float64
	noise        float64 // N, of the force they are held against
	blur         float64 // s, half the time that the force was averaged over; 0 for none
}

const (
	enterNoise, leaveNoise = 8, 3       // standard deviations of the noise
	enterShare, leaveShare = 0.02, 0.01 // shares of the peak
)

func thresholdsFor(noise, peak float64) thresholds {
	return thresholds{
		noise: noise,
		enter: max(enterNoise*noise, enterShare*peak),
		leave: max(leaveNoise*noise, leaveShare*peak),
	}
}

// flankShare is how far the line through a flank reaches, over enter: far enough
// to average noise, near enough for a flank to be straight.
const flankShare = 1.5

// mergeShare is the share of a contact below which the gap after it is ringing.
const mergeShare = 0.05

// findContacts finds every stretch with the rope taut in a force whose zero
// and sign are right. Start and End lie between samples: see zeroCrossing.
func findContacts(time, force []float64, limit thresholds) []Contact {
	var out []Contact
	for i := 0; i < len(force); i++ {
		if !(force[i] > limit.enter) {
			continue
		}
		first := i
		for first > 0 && force[first-1] > limit.leave {
			first--
		}
		last, top := i, i
		for last+1 < len(force) && force[last+1] > limit.leave {
			last++
			if force[last] > force[top] {
				top = last
			}
		}
		c := Contact{From: first, To: last, Begun: first == 0, Open: last == len(force)-1, Peak: force[top], PeakAt: time[top]}
		if k := len(out) - 1; k >= 0 && time[first]-time[out[k].To] < mergeShare*(time[out[k].To]-time[out[k].From]) {
			c.From, c.Begun = out[k].From, out[k].Begun
			if out[k].Peak >= c.Peak {
				c.Peak, c.PeakAt = out[k].Peak, out[k].PeakAt
			}
			out = out[:k]
		}
		out = append(out, c)
		i = last
	}
	apart := out[:0]
	for _, c := range out {
		c.locate(time, force, limit)
		if k := len(apart) - 1; k >= 0 && (c.Start < apart[k].End || c.From <= apart[k].To) {
			apart[k].join(c)
			continue
		}
		apart = append(apart, c)
	}
	return apart
}

// join takes in a contact whose flank meets this one's: the rope was not seen to
// go slack between them.
func (c *Contact) join(next Contact) {
	if next.To > c.To {
		c.To, c.End, c.Open = next.To, max(c.End, next.End), next.Open
	}
	if next.Peak > c.Peak {
		c.Peak, c.PeakAt = next.Peak, next.PeakAt
	}
}

func (c *Contact) locate(time, force []float64, limit thresholds) {
	c.Start, c.End = time[c.From], time[c.To]
	if !c.Begun {
		c.Start = zeroCrossing(time, force, c.From, +1, limit)
	}
	if !c.Open {
		c.End = zeroCrossing(time, force, c.To, -1, limit)
	}
	// The edge found may lie some samples outside: those belong to the contact. In
	// the ramp that averaging made of a jump it lies inside.
	for c.From+1 < c.To && time[c.From] < c.Start {
		c.From++
	}
	for c.To > c.From+1 && time[c.To] > c.End {
		c.To--
	}
	for c.From > 0 && time[c.From-1] >= c.Start {
		c.From--
	}
	for c.To+1 < len(time) && time[c.To+1] <= c.End {
		c.To++
	}
}

// zeroCrossing continues a flank outward from edge, its last sample above
// leave, to zero force (step +1 looks at a rise, −1 at a fall): along the line
// of least squares through the samples up to flankShare times enter, but no
// further past the sample outside than that line takes to climb to leave, and
// not past the next sample below zero, each but for the noise. Where
// the force jumps from outside to above enter by more than twice what the line
// does in that time, the crossing lies somewhere between the two samples, and
// the middle is taken.
func zeroCrossing(time, force []float64, edge, step int, limit thresholds) float64 {
	out, up := edge-step, footEnd(force, edge, step, limit)
	middle := (time[out] + time[edge]) / 2
	if up < 0 || up >= len(force) {
		return middle
	}
	slope, at := flank(time, force, edge, up, step) // the slope of a fall is negative
	if slope*float64(step) <= 0 || force[edge] > limit.enter && force[edge]-force[out] > 2*slope*(time[edge]-time[out]) {
		return middle
	}
	if limit.blur > 0 && flankShare*limit.enter/math.Abs(slope) < 2*limit.blur {
		if begin, ok := blurredCrossing(time, force, edge, step, limit.blur); ok {
			return begin
		}
		return at + float64(step)*limit.blur
	}
	furthest := time[out] - (limit.leave+2*limit.noise)/slope
	zero := out
	for zero-step >= 0 && zero-step < len(force) && force[zero] > -limit.noise {
		zero -= step
	}
	if step > 0 {
		return math.Min(time[edge], math.Max(at, math.Max(furthest, time[zero])))
	}
	return math.Max(time[edge], math.Min(at, math.Min(furthest, time[zero])))
}

// blurredCrossing is where a force begins that averaging has smeared over blur to
// either side: a jump, a steep flank or both. Past the smear means keep a straight
// line, F at its first sample with slope s, and the area A before that, so that the
// force began τ before, A = F·τ − s·τ²/2.
func blurredCrossing(time, force []float64, edge, step int, blur float64) (at float64, ok bool) {
	area, low, high := 0.0, edge, edge
	for in := true; in; in = math.Abs(time[high]-time[edge]) < 2*blur {
		if high += step; high < 0 || high >= len(force) {
			return 0, false
		}
		area += (force[high] + force[high-step]) / 2 * math.Abs(time[high]-time[high-step])
	}
	for math.Abs(time[low]-time[edge]) < 2*blur {
		if low -= step; low < 0 || low >= len(force) {
			return 0, false
		}
		area += (force[low] + force[low+step]) / 2 * math.Abs(time[low]-time[low+step])
	}
	past := line{} // past the smear, from high on
	for i := high; i >= 0 && i < len(force) && (past.n < 3 || math.Abs(time[i]-time[high]) < 2*blur); i += step {
		past.add(math.Abs(time[i]-time[high]), force[i])
	}
	if past.n < 3 {
		return 0, false
	}
	steep := past.slope()
	top := past.meanY - steep*past.meanX
	area -= max(0, steep) * blur * blur / 6 // what the means of a slope have from beyond
	if !(top > 0) || !(area > 0) {
		return 0, false
	}
	ago := area / top
	if steep > 0 {
		ago = (top - math.Sqrt(max(0, top*top-2*steep*area))) / steep
	}
	return time[high] - float64(step)*ago, true
}

// footEnd is the last sample of a flank's foot, which begins at edge.
func footEnd(force []float64, edge, step int, limit thresholds) int {
	up := edge + step
	for up+step >= 0 && up+step < len(force) && force[up] <= flankShare*limit.enter {
		up += step
	}
	return up
}

// flank is the line of least squares through the samples from edge to up: its
// slope in N/s and the time at which it meets zero.
func flank(time, force []float64, edge, up, step int) (slope, zero float64) {
	var n, meanT, meanF, tt, tf float64
	for i := edge; i != up+step; i += step {
		n++
		dt := time[i] - meanT
		meanT += dt / n
		meanF += (force[i] - meanF) / n
		tt += dt * (time[i] - meanT)
		tf += dt * (force[i] - meanF)
	}
	slope = tf / tt
	return slope, meanT - meanF/slope
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
