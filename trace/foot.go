package trace

import "math"

// edgeDoubt is the standard uncertainty of the two ends of the contact in time.
//
// A jump may be anywhere within its interval, dt/√12. A flank's end is where the
// line of least squares through its foot meets zero, and that has what noise and
// the converter's steps do to the line. A foot that is bent leaves 1/40 of its
// climb (found on the reference falls), one of no samples a fortieth of an interval.
func (t *take) edgeDoubt(c course) [2]float64 {
	of := func(at float64, step int, jump bool) float64 {
		dt := t.pace.usual
		foot, ok := t.footOf(at, step)
		switch {
		case jump && t.limit.blur == 0 || !ok:
			return dt / math.Sqrt(12)
		case jump:
			return math.Hypot(dt/math.Sqrt(12), t.footNoise(foot))
		}
		climb := flankShare * t.limit.enter / math.Abs(foot.slope)
		return math.Hypot(math.Hypot(t.footNoise(foot), t.footSteps(foot)), math.Hypot(climb, dt)/40)
	}
	return [2]float64{of(c.start, +1, c.jumps[0]), of(c.end, -1, c.jumps[1])}
}

// foot is the samples of a flank that its line goes through, and that line.
type foot struct {
	low, high   int
	slope, zero float64 // N/s; s, where it meets zero
}

// footOf is the foot of the flank that begins (step +1) or ends (−1) at a moment.
func (t *take) footOf(at float64, step int) (f foot, ok bool) {
	time, force := t.rec.Time, t.calm
	edge := t.sampleAt(at)
	for edge+step >= 0 && edge+step < len(force) && (force[edge] <= t.limit.leave || step > 0 && time[edge] < at) {
		edge += step
	}
	up := footEnd(force, edge, step, t.limit)
	if up < 0 || up >= len(force) {
		return foot{}, false
	}
	f.slope, f.zero = flank(time, force, edge, up, step)
	f.low, f.high = min(edge, up), max(edge, up)
	return f, f.slope*float64(step) > 0
}

// footNoise is what noise does to where a foot's line meets zero, standard
// deviation in s: (σ/slope)·√Σb², b the weights of that moment on the samples,
// spread out where the foot is of running means.
func (t *take) footNoise(f foot) float64 {
	n, half := f.high-f.low+1, 0
	if t.limit.blur > 0 {
		half = int(math.Round(t.limit.blur/t.pace.usual - 0.5))
	}
	time := t.rec.Time[f.low : f.high+1]
	middle, spread := mean(time), 0.0
	for _, s := range time {
		spread += (s - middle) * (s - middle)
	}
	window := float64(2*half + 1)
	sum, b := 0.0, 0.0
	weight := func(i int) float64 {
		if i < 0 || i >= n {
			return 0
		}
		return (1/float64(n) + (f.zero-middle)*(time[i]-middle)/spread) / window
	}
	for i := range n + 2*half { // a running sum of the weights of the means that a sample is in
		b += weight(i) - weight(i-2*half-1)
		sum += b * b
	}
	return t.zero.noise * math.Sqrt(sum) / math.Abs(f.slope)
}

// rampMost is the longest foot, in samples, on which the converter's steps are
// tried out, rampPhases how many places of zero in a step and of contact between
// two samples are tried.
const rampMost, rampPhases = 64, 5

// footSteps is what the converter's steps do to where a foot's line meets zero,
// standard deviation in s: straight ramps of the foot's slope are rounded to steps
// and their ends looked for, with zero anywhere in a step and the contact anywhere
// between two samples. On a longer foot the steps are as noise of q/√12, of
// which there are as many as steps.
func (t *take) footSteps(f foot) float64 {
	if t.converterStep() == 0 {
		return 0
	}
	q, dt, slope := float64(t.r.Resolution)*t.edgeLift(), t.pace.usual, math.Abs(f.slope)
	reach := flankShare * t.limit.enter
	n := int(reach/(slope*dt)) + 6
	if n > rampMost {
		return q / slope * math.Sqrt(1/math.Max(2, reach/q))
	}
	time, force := make([]float64, n), make([]float64, n)
	sum := 0.0
	for k := range rampPhases * rampPhases {
		shift, phase := q*(float64(k%rampPhases)+0.5)/rampPhases, (float64(k/rampPhases)+0.5)/rampPhases
		edge := -1
		for i := range n {
			time[i] = (float64(i) - 2 - phase) * dt
			force[i] = q*math.Round((max(0, slope*time[i])+shift)/q) - shift
			if edge < 0 && force[i] > t.limit.leave {
				edge = i
			}
		}
		if edge > 0 {
			off := zeroCrossing(time, force, edge, +1, t.limit)
			sum += off * off
		}
	}
	return math.Sqrt(sum) / rampPhases
}
