package trace

import (
	"math"
	"slices"
)

// swing is an oscillation about a level, with the rope taut throughout.
type swing struct {
	halves    int     // half cycles that it was taken from
	frequency float64 // Hz, damped
	decrement float64 // logarithmic, a whole cycle
	doubt     float64 // its standard uncertainty, from the scatter about the line
	level     float64 // N, about which the last halves swing
	spread    float64 // N, standard uncertainty of that level
}

// Swing is an oscillation of a force.
type Swing struct {
	Frequency    float64 // Hz, damped
	LogDecrement float64 // δ, of a whole cycle
	DampingRatio float64 // ζ = δ/√(4π² + δ²)
	HalfCycles   int     // that it was taken from
}

// SwingBetween finds the oscillation of a recording between two moments of its
// clock: the free vibration of a structure after a knock, or of a mass on its
// rope. Extremes stand clear of their neighbours by 2 % of the largest distance.
// ok is false for fewer than three half cycles.
func SwingBetween(rec *Recording, from, to float64) (s Swing, ok bool) {
	first, _ := slices.BinarySearch(rec.Time, from)
	last, _ := slices.BinarySearch(rec.Time, to)
	if last = min(last, len(rec.Time)-1); last-first < 3 {
		return Swing{}, false
	}
	part := rec.Force[first : last+1]
	clear := swingClear * (slices.Max(part) - slices.Min(part))
	found := swingOf(rec.Time, rec.Force, first, last, clear, differenceNoise(part))
	return Swing{found.frequency, found.decrement, found.damping(), found.halves}, found.halves > 0
}

// damping is the damping ratio ζ = δ/√(4π² + δ²).
func (s swing) damping() float64 {
	return s.decrement / math.Sqrt(4*math.Pi*math.Pi+s.decrement*s.decrement)
}

// swingFewest is how many half cycles make a decrement: their sizes need three
// points for a line and its scatter.
const swingFewest = 3

// swingOf looks for an oscillation in a force between two samples. Extremes
// alternate and stand clear of their neighbours by more than clear. Half the
// distance between an extreme and the next shrinks by e^(−δ/2) from half to
// half, whatever the level it is about: δ is minus twice the slope of its
// logarithm over the number of the half, by least squares with the square of the
// distance as weight, since noise weighs on the small ones. halves is 0 when there
// are too few.
func swingOf(time, force []float64, from, to int, clear, noise float64) swing {
	ends := regular(time, force, extremes(force, from, to, clear), noise)
	if len(ends) < swingFewest+1 {
		return swing{}
	}
	n := len(ends)
	decrement, doubt := shrinking(force, ends, noise, swingLift)
	plain, _ := shrinking(force, ends, noise, 0)
	s := swing{halves: n - 1, decrement: decrement, doubt: math.Hypot(doubt, (decrement-plain)/2)}
	s.frequency = float64(n-1) / 2 / (time[ends[n-1]] - time[ends[0]])
	var levels []float64
	for k := max(2, n-4); k < n; k++ {
		levels = append(levels, (force[ends[k-2]]+2*force[ends[k-1]]+force[ends[k]])/4)
	}
	s.level = mean(levels)
	s.spread = max(deviation(levels, s.level), math.Abs(levels[0]-levels[len(levels)-1])/2)
	return s
}

// shrinking is the decrement from the halves between extremes and its standard
// uncertainty: from the scatter about the line and from the noise on each. Noise
// lifts an extreme by about lift of its standard deviations, which are taken off.
func shrinking(force []float64, ends []int, noise, lift float64) (decrement, doubt float64) {
	size := func(k int) float64 { return math.Abs(force[ends[k]]-force[ends[k-1]])/2 - lift*noise }
	var fit line
	for k := 1; k < len(ends); k++ {
		fit.weigh(float64(k), math.Log(size(k)), size(k)*size(k))
	}
	grain := 0.0
	for k := 1; k < len(ends); k++ {
		grain += math.Pow(size(k)*(float64(k)-fit.meanX)/fit.xx*noise, 2) / 2
	}
	return -2 * fit.slope(), 2 * math.Hypot(fit.doubtWeighed(float64(len(ends)-1)), math.Sqrt(grain))
}

const (
	swingLift  = 1.5  // standard deviations by which the largest of some calmed samples stands out
	swingNoise = 20   // times the noise, below which a half is not used
	swingSmall = 0.02 // share of the first half, likewise
	swingApart = 0.25 // share by which halves may differ in time
)

// regular keeps the extremes up to the first half that is lost in the noise or
// out of time with those before it.
func regular(time, force []float64, ends []int, noise float64) []int {
	if len(ends) < 3 {
		return nil
	}
	least := math.Max(swingNoise*noise, swingSmall*math.Abs(force[ends[1]]-force[ends[0]]))
	for k := 1; k < len(ends); k++ {
		if math.Abs(force[ends[k]]-force[ends[k-1]]) < least {
			return ends[:k]
		}
		if k < 3 {
			continue
		}
		usual := (time[ends[k-1]] - time[ends[0]]) / float64(k-1)
		if d := time[ends[k]] - time[ends[k-1]]; math.Abs(d-usual) > swingApart*usual {
			return ends[:k]
		}
	}
	return ends
}

// extremes are the samples at which a force turns, those at the ends left out:
// each differs from the one before and the one after by more than clear.
func extremes(force []float64, from, to int, clear float64) []int {
	var out []int
	high, low, i := from, from, from
	up, known := false, false
	for ; i <= to && !known; i++ {
		if force[i] > force[high] {
			high = i
		}
		if force[i] < force[low] {
			low = i
		}
		down := force[i] < force[high]-clear
		up = !down && force[i] > force[low]+clear
		known = up || down
	}
	for last := i - 1; known; {
		sign := -1.0
		if up {
			sign = 1
		}
		top, next := turn(force, last, to, sign, clear)
		if next > to {
			return out
		}
		out, up, last = append(out, top), !up, next
	}
	return out
}

// turn is the largest sample from one on, or the least with sign −1, up to where
// the force has turned by more than clear, and that place; past to when it does
// not.
func turn(force []float64, from, to int, sign, clear float64) (top, next int) {
	largest := sign * force[from]
	top = from
	for i := from + 1; i <= to; i++ {
		switch f := sign * force[i]; {
		case f > largest:
			largest, top = f, i
		case f < largest-clear:
			return top, i
		}
	}
	return top, to + 1
}
