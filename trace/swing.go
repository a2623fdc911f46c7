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
	high, low, up, known := from, from, false, false
	for i := from; i <= to; i++ {
		if force[i] > force[high] {
			high = i
		}
		if force[i] < force[low] {
			low = i
		}
		switch {
		case (!known || up) && force[i] < force[high]-clear:
			if known {
				out = append(out, high)
			}
			known, up, low = true, false, i
		case (!known || !up) && force[i] > force[low]+clear:
			if known {
				out = append(out, low)
			}
			known, up, high = true, true, i
		}
	}
	return out
}

const (
	restShare  = 0.2  // of the recording, at its end, in which the mass must hang still
	restWander = 0.01 // share of the level by which it may wander there
	hangApart  = 0.02 // share by which hang weight and m·g may differ without remark
	swingSure  = 3    // standard uncertainties that a decrement stands clear of zero
	swingCalm  = 0.02 // s, of the running mean that swings are looked for in
	swingClear = 0.02 // share of m·g, or of the level, by which a swing stands clear
)

// readSwings looks at the last contact when it does not end: the mass swings on
// the taut rope and comes to hang.
func (t *take) readSwings() {
	n := len(t.r.Contacts)
	if n == 0 || !t.r.Contacts[n-1].Open {
		return
	}
	last := t.r.Contacts[n-1]
	half := int(swingCalm * t.pace.rate / 2)
	if half < 1 || last.To-last.From < 8*half {
		half = 0
	}
	force := runningMean(t.raw[last.From:last.To+1], half)
	noise := t.zero.noise / math.Sqrt(float64(2*half+1))
	t.swing = swingOf(t.rec.Time[last.From:last.To+1], force, 0, len(force)-1, max(6*noise, swingClear*last.Peak/4), noise)
	if !(t.swing.decrement > swingSure*t.swing.doubt) {
		t.swing = swing{}
	}
	if t.swing.halves > 0 {
		t.r.LogDecrement, t.r.DampingRatio = Value(t.swing.decrement), Value(t.swing.damping())
		t.note(Said, "the last %d half swings on the taut rope are at %.4g Hz", t.swing.halves, t.swing.frequency)
	}
	if t.set.Mass > 0 && !t.bent() {
		t.readHang(last)
	}
}

// readHang fills the hang weight: the mean of the last fifth of the recording
// when the mass hangs still there, else the level that the last swings are about.
func (t *take) readHang(last Contact) {
	from := max(last.From, restFrom(len(t.raw)))
	rest := t.raw[from:]
	level := mean(rest)
	still := len(rest) >= quietFewest && deviation(rest, level) < max(1.5*t.zero.noise, restWander*level)
	switch {
	case still:
		t.r.HangWeight = Value(level)
		t.swing.level = level
		t.swing.spread, _ = doubtOfMean(rest)
		if t.rest.to == len(t.raw) {
			t.r.ClosingSpeed = Value(t.rest.sum / t.rest.n)
		}
	case t.swing.halves > 0:
		t.r.HangWeight = Value(t.swing.level)
		t.note(Said, "the mass still swings when the trace ends: its hang weight is the level of the last swings")
	default:
		return
	}
	weight := t.set.Mass * t.gravity
	t.r.GainCheck = t.r.HangWeight / Value(weight)
	if off := float64(t.r.GainCheck) - 1; math.Abs(off) > max(hangApart, 3*t.swing.spread/weight) {
		t.note(Doubtful, "the mass hangs with %.5g N, m·g is %.5g N, %+.1f %%: zero that drifted since the drop, the cell's gain, unit or mass", float64(t.r.HangWeight), weight, 100*off)
	}
}
