package trace

import (
	"math"
	"slices"
)

// The part of the loading flank, as shares of the first peak, through which the
// tangent stiffness near the peak is drawn.
const tangentFrom, tangentTo = 0.8, 0.95

// readLoop fills what the force-stretch loop of the first contact shows beside
// its energies.
//
// Secant stiffness is the force where the stretch is largest over that stretch.
// Tangent stiffness is the line of least squares of force on stretch where the
// loading flank goes from 0.8 to 0.95 of the peak. The loss factor is
//
//	η = ΔW/(π·W),  W = (energy in + energy returned)/2
//
// for one loading and unloading. It is the usual ΔW/(2π·W) of a full cycle, and
// 2ζ of a lightly damped rope, since a contact is half of one.
func (t *take) readLoop() {
	if t.first == nil || !t.r.MaxStretch.Known() {
		return
	}
	first, m := t.r.Contacts[0], t.first
	fit := t.tangent(t.steadyTop(first))
	if k := forceAtTurn(t.rec.Time, t.raw, m.speed, first.From) / m.largest; k > 0 {
		t.r.Secant = Value(k)
	}
	if slope := fit.slope(); fit.n >= 3 && slope > 0 {
		t.r.Tangent, t.tangentDoubt = Value(slope), fit.doubt()
	}
	if in, out := t.r.EnergyIn, t.r.EnergyReturned; out.Known() && in+out > 0 {
		t.r.LossFactor = t.r.EnergyAbsorbed / (math.Pi * (in + out) / 2)
	}
}

// tangent is the line of force on stretch where the loading flank of the first
// contact goes from tangentFrom to tangentTo of a top.
func (t *take) tangent(top float64) (fit line) {
	first, steady := t.r.Contacts[0], t.steady()
	from, to := t.crossing(first, steady, tangentFrom*top), t.crossing(first, steady, tangentTo*top)
	for i := first.From; i <= first.To && t.rec.Time[i] <= to; i++ {
		if t.rec.Time[i] >= from {
			fit.add(t.first.stretch[i-first.From], t.raw[i])
		}
	}
	return fit
}

// turnShare is the part of the contact, to either side of the turn, over which
// the force there is averaged.
const turnShare = 0.01

// forceAtTurn is the force at the largest stretch: on the line of least squares
// through the samples within turnShare of the contact, two of them at least to
// either side. speed belongs to the samples of force from from on.
func forceAtTurn(time, force, speed []float64, from int) float64 {
	k := slices.IndexFunc(speed, func(v float64) bool { return v <= 0 })
	if k < 1 {
		return math.NaN()
	}
	share := speed[k-1] / (speed[k-1] - speed[k])
	i := from + k
	turn := time[i-1] + share*(time[i]-time[i-1])
	half := turnHalf(len(speed))
	fit := line{}
	for j := max(from, i-half); j < min(from+len(speed), i+half); j++ {
		fit.add(time[j], force[j])
	}
	return fit.meanY + fit.slope()*(turn-fit.meanX)
}

// turnHalf is the samples to either side of the turn in a contact of so many.
func turnHalf(samples int) int { return max(2, int(turnShare*float64(samples))) }

// line gathers points for a line of least squares, about their running means.
type line struct{ n, meanX, meanY, xx, xy, yy float64 }

func (l *line) add(x, y float64) {
	l.n++
	dx, dy := x-l.meanX, y-l.meanY
	l.meanX += dx / l.n
	l.meanY += dy / l.n
	l.xx += dx * (x - l.meanX)
	l.xy += dx * (y - l.meanY)
	l.yy += dy * (y - l.meanY)
}

// weigh adds a point with a weight.
func (l *line) weigh(x, y, w float64) {
	l.n += w
	dx, dy := x-l.meanX, y-l.meanY
	l.meanX += dx * w / l.n
	l.meanY += dy * w / l.n
	l.xx += w * dx * (x - l.meanX)
	l.xy += w * dx * (y - l.meanY)
	l.yy += w * dy * (y - l.meanY)
}

// doubtWeighed is doubt for so many points that were weighed.
func (l *line) doubtWeighed(points float64) float64 {
	rest := max(0, l.yy-l.xy*l.xy/l.xx)
	return math.Sqrt(rest / (points - 2) / l.xx)
}

func (l *line) slope() float64 { return l.xy / l.xx }

// doubt is the standard uncertainty of the slope from the scatter about the
// line; infinite below three points.
func (l *line) doubt() float64 {
	if l.n < 3 {
		return math.Inf(1)
	}
	rest := max(0, l.yy-l.xy*l.xy/l.xx)
	return math.Sqrt(rest / (l.n - 2) / l.xx)
}
