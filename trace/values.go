package trace

import (
	"fmt"
	"math"
	"slices"
)

// laterPeak is by how much a bounce must exceed the first contact's peak to be
// the trace's peak: a rope without losses bounces equally high, and where the
// samples fall then decides.
const laterPeak = 0.002

// findContacts fills where the contacts are; readContacts reads them.
func (t *take) findContacts() {
	if t.over.span() > 0 {
		t.r.Contacts = t.find(t.over.high)
	}
}

func (t *take) readContacts() {
	t.dropHold()
	if len(t.r.Contacts) == 0 {
		t.r.Contacts = []Contact{}
		other := ""
		if t.over.low < -enterNoise*t.zero.noise && t.over.low < 0 {
			other = fmt.Sprintf("; the other way it reaches %.4g N: --pull is the wrong way round, or the side-car's pull", -t.over.low)
		}
		t.note(Missing, "the force never rises clear of its noise of %.3g N: there is no contact to read%s", t.zero.noise, other)
		return
	}
	t.best = 0
	for k := range t.r.Contacts {
		c := &t.r.Contacts[k]
		c.blank()
		c.Peak, c.PeakAt = t.peakWithin(*c)
		if c.Peak > (1+laterPeak)*t.r.Contacts[t.best].Peak {
			t.best = k
		}
		if k > 0 {
			t.r.BouncePeaks = append(t.r.BouncePeaks, Value(c.Peak))
			t.r.Contacts[k-1].Flight = Value(c.Start - t.r.Contacts[k-1].End)
		}
		if !c.Begun && !c.Open {
			c.Impulse = Value(c.impulse(t.rec.Time, t.raw))
		}
	}
	first, best := t.r.Contacts[0], t.r.Contacts[t.best]
	t.r.PeakForce = Value(best.Peak)
	if t.cutOff(best) {
		t.lost = true
		t.note(Missing, "the trace begins or ends while the force is at its largest: %.4g N is what was recorded, the peak may be higher", best.Peak)
	}
	t.r.TimeToPeak = Value(best.PeakAt - first.Start)
	if t.best > 0 {
		t.note(Doubtful, "the largest force is in contact %d of %d, not in the first", t.best+1, len(t.r.Contacts))
	}
	switch {
	case first.Begun:
		t.r.TimeToPeak = None()
		t.note(Doubtful, "the first contact had begun before the trace, the trigger came late: its impulse, the time to the peak, impact speed, stretch, energy and rebound speed cannot be had")
	case first.Open && t.staysTaut(first):
		t.note(Said, "the rope stays taut from the first contact on: there is no end of it to take impulse, energy absorbed and rebound from")
	case first.Open:
		t.note(Doubtful, "the force did not come back to zero before the trace ended, or zero has moved: the first contact's impulse cannot be had")
	case !t.bent():
		t.r.FirstImpulse = first.Impulse
	}
	t.readRise()
}

const (
	calmMost      = 0.002 // s, the longest mean that noise is calmed by
	fragmentShort = 0.05  // share of the longest contact below which another may be a fragment
	fragmentSmall = 0.15  // share of the largest peak, likewise
	ringingMost   = 0.02  // share of the longest contact that ringing is calmed over
)

// find looks for contacts in running means of the force: of as many samples as
// bring the noise down to where thresholdsFor is led by the peak. Short and small
// fragments beside the contacts are ringing: then over longer ones, until they
// are gone.
func (t *take) find(peak float64) []Contact {
	want := math.Pow(t.zero.noise/(enterShare*peak/enterNoise), 2)
	half := int(math.Min(want, calmMost/t.pace.usual)) / 2
	contacts := t.findIn(half, peak)
	longest := 0.0
	for _, c := range contacts {
		longest = math.Max(longest, c.End-c.Start)
	}
	for fragments(contacts) {
		half = max(1, 2*half)
		if float64(half) > ringingMost*longest*t.pace.rate {
			break
		}
		contacts = t.findIn(half, peak)
	}
	return withoutCrumbs(contacts)
}

// withoutCrumbs leaves out what is no contact: up to crumb samples that are small
// beside the largest.
func withoutCrumbs(contacts []Contact) []Contact {
	largest := 0.0
	for _, c := range contacts {
		largest = math.Max(largest, c.Peak)
	}
	return slices.DeleteFunc(contacts, func(c Contact) bool {
		return c.To-c.From < crumb && c.Peak < fragmentSmall*largest
	})
}

// crumb is the samples of one.
const crumb = 3

// dropHold leaves out the hold before release that a sensor in the mass shows: it
// reads about 1 g until the mass is let go.
func (t *take) dropHold() {
	c := t.r.Contacts
	if !t.rec.PerMass || len(c) < 2 || !c[0].Begun || c[0].Peak > holdMost*t.set.Mass*t.gravity {
		return
	}
	t.r.Contacts = c[1:]
	t.note(Said, "the sensor in the mass shows it held until %.4g s: that is before the release, not a contact", c[0].End)
}

// holdMost is the largest force of a hold, over m·g.
const holdMost = 2

// staysTaut reports whether a contact that does not end comes to hang with the
// weight of the mass: the rope was not slack again.
func (t *take) staysTaut(c Contact) bool {
	if t.set.Mass == 0 {
		return false
	}
	rest := t.raw[max(c.From, restFrom(len(t.raw))):]
	weight := t.set.Mass * t.gravity
	return len(rest) > 0 && math.Abs(mean(rest)-weight) < 0.1*weight
}

func (t *take) findIn(half int, peak float64) []Contact {
	if half < 1 || len(t.raw) < 4*half {
		t.limit = thresholdsFor(t.zero.noise, peak)
		t.calm = t.raw
		return findContacts(t.rec.Time, t.calm, t.limit)
	}
	t.limit = thresholdsFor(t.zero.noise/math.Sqrt(float64(2*half+1)), peak)
	t.limit.blur = (float64(half) + 0.5) * t.pace.usual
	t.calm = t.room(calmRoom)
	runningMeanInto(t.calm, t.raw, half)
	return findContacts(t.rec.Time, t.calm, t.limit)
}

// fragments reports whether some contact is both short and small beside the
// largest.
func fragments(contacts []Contact) bool {
	longest, largest := 0.0, 0.0
	for _, c := range contacts {
		longest, largest = math.Max(longest, c.End-c.Start), math.Max(largest, c.Peak)
	}
	return slices.ContainsFunc(contacts, func(c Contact) bool {
		return c.End-c.Start < fragmentShort*longest && c.Peak < fragmentSmall*largest
	})
}

// runningMean is the mean of each sample and half samples to either side; at the
// ends, of the first and the last such window.
func runningMean(x []float64, half int) []float64 {
	out := make([]float64, len(x))
	runningMeanInto(out, x, half)
	return out
}

// runningMeanInto is runningMean with room for it given, as long as x.
func runningMeanInto(out, x []float64, half int) {
	n := float64(2*half + 1)
	sum := 0.0
	for _, v := range x[:2*half+1] {
		sum += v
	}
	enters, leaves, middle := x[2*half+1:], x[:len(x)-2*half-1], out[half:len(x)-half]
	for i, v := range enters {
		middle[i] = sum / n
		sum += v - leaves[i]
	}
	middle[len(enters)] = sum / n
	for i := range half {
		out[i], out[len(x)-1-i] = out[half], out[len(x)-1-half]
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

// peakWithin is the largest sample of the signal inside a contact, and when: the
// mean of the times of all that are as large, as the steps of a converter make
// several.
func (t *take) peakWithin(c Contact) (force, when float64) {
	force = math.Inf(-1)
	sum, n := 0.0, 0.0
	time := t.rec.Time[c.From : c.To+1]
	for i, f := range t.sig.Force[c.From : c.To+1] {
		if !(f >= force) {
			continue
		}
		if f > force {
			force, sum, n = f, 0, 0
		}
		sum += time[i]
		n++
	}
	return force, sum / n
}

// sampleAt is the last sample at or before a moment.
func (t *take) sampleAt(when float64) int {
	i, found := slices.BinarySearch(t.rec.Time, when)
	if !found && i > 0 {
		i--
	}
	return i
}

// readRise fills the time from a tenth to nine tenths of the first peak, along
// straight lines between samples, and the largest slope of the force. Where the
// force jumps at first contact, the tenth and the slopes are looked for before the
// filter, which would make a slope of the jump.
func (t *take) readRise() {
	first := t.r.Contacts[0]
	if first.Begun {
		return
	}
	top, foot, slopes := t.steadyTop(first), t.steady(), t.sig.Force
	if _, jump := t.flankSlope(first.From, +1, first.Start); jump {
		foot, slopes = t.calm, t.raw
	}
	low, high := t.crossing(first, foot, 0.1*top), t.crossing(first, t.steady(), 0.9*top)
	rise := high - low
	if !(rise > 0) {
		return
	}
	t.r.RiseTime = Value(rise)
	t.rise = [2]float64{low, high}
	t.r.PeakJerk = t.steepest(first, slopes, rise)
}

// crossing is when a steady force of a contact first reaches a level.
func (t *take) crossing(c Contact, steady []float64, level float64) float64 {
	at, force := c.Start, 0.0
	for i := c.From; i <= c.To; i++ {
		if f := steady[i]; f >= level {
			if f == force {
				return at
			}
			return at + (t.rec.Time[i]-at)*(level-force)/(f-force)
		}
		at, force = t.rec.Time[i], steady[i]
	}
	return math.NaN()
}

// steady is the force on which levels are looked for, since noise would choose
// the sample that reaches one: filtered, or else in running means.
func (t *take) steady() []float64 {
	if t.filter != nil {
		return t.sig.Force
	}
	return t.calm
}

func (t *take) steadyTop(c Contact) float64 { return slices.Max(t.steady()[c.From : c.To+1]) }

// jerkShare is the part of the rise over which a slope is taken.
const jerkShare = 0.2

// steepest is the largest slope on the rise of a contact, each the line of least
// squares through the samples of jerkShare of the rise; missing when that holds
// fewer than five samples.
func (t *take) steepest(c Contact, force []float64, rise float64) Value {
	half := int(jerkShare * rise * t.pace.rate / 2)
	if half < 2 {
		return None()
	}
	t.jerk = jerk{half: half, step: max(1, half/6), slopes: t.jerk.slopes[:0]}
	for i := c.From + half; i <= c.To-half && t.rec.Time[i] <= c.PeakAt; i += t.jerk.step {
		slope, _ := flank(t.rec.Time, force, i-half, i+half, 1)
		t.jerk.slopes = append(t.jerk.slopes, slope)
	}
	if len(t.jerk.slopes) == 0 {
		return None()
	}
	return Value(slices.Max(t.jerk.slopes))
}

// jerk is the slopes of a rise, each over 2·half intervals, so many samples apart.
type jerk struct {
	half, step int
	slopes     []float64
}

// readWork fills the work over a recorded stretch, ∫F dx by the trapezoidal
// rule over the whole trace as recorded, and up to its largest force.
func (t *take) readWork() {
	x := t.rec.Stretch
	if x == nil {
		return
	}
	f := t.zero.sign * t.scale
	work, top, toPeak := 0.0, f*t.rec.Force[0], 0.0
	for i := 1; i < len(x); i++ {
		work += 0.5 * f * (t.rec.Force[i] + t.rec.Force[i-1]) * (x[i] - x[i-1])
		if v := f * t.rec.Force[i]; v > top {
			top, toPeak = v, work
		}
	}
	t.r.RecordedWork, t.r.WorkToPeak = Value(work), Value(toPeak)
}
