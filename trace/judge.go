package trace

import (
	"fmt"
	"math"
)

// judge adds the notes on quality that need the readings first. One file each:
// flat.go (clipped, stuck and doubled samples), spike.go, hum.go, ring.go.
func (t *take) judge() {
	if len(t.r.Contacts) == 0 {
		return
	}
	t.judgeClipping()
	t.judgeFlatTop()
	t.judgeStuck()
	t.judgeDoubled()
	t.judgeSpikes()
	t.judgeGaps()
	t.judgeRate()
	t.judgeNoise()
	t.judgeHum()
	t.judgeZeroAfter()
	t.judgeRinging()
}

// missedMost is the share of a peak that may fall between two samples without
// remark, contactFewest the samples that a contact's integrals want.
const (
	missedMost    = 0.005
	contactFewest = 40
)

// judgeRate remarks on too slow a rate: the largest share of a half-sine's peak
// that can fall between two samples is 1 − cos(π/(2·D·fs)). D is the contact, or
// half as much again as the peak is wide at half its height (a half-sine's width
// there is two thirds of it), whichever is shorter.
func (t *take) judgeRate() {
	best := t.r.Contacts[t.best]
	d := math.Min(best.End-best.Start, 1.5*t.widthAt(best, best.Peak/2))
	if !(d > 0) {
		return
	}
	samples := d * t.pace.rate
	missed := 1 - math.Cos(math.Min(math.Pi/2, math.Pi/(2*samples)))
	switch {
	case missed > missedMost:
		t.note(Doubtful, "%.6g samples a second on a pulse of %.3g s: up to %.2g %% of the peak may have fallen between two samples, record at %.6g Hz or more", t.pace.rate, d, 100*missed, roundUp(100/d))
	case samples < contactFewest:
		t.note(Doubtful, "the contact has only %.0f samples: impulse, stretch and energy are coarse, record at %.6g Hz or more", samples, roundUp(100/d))
	}
}

// widthAt is how long the force about a contact's peak stays above a level, on
// straight lines between samples.
func (t *take) widthAt(c Contact, level float64) float64 {
	top := t.sampleAt(c.PeakAt)
	side := func(step int) float64 {
		i := top
		for i+step >= c.From && i+step <= c.To && t.raw[i] > level {
			i += step
		}
		if t.raw[i] > level {
			return t.rec.Time[i]
		}
		before := i - step
		return t.rec.Time[before] + (t.rec.Time[i]-t.rec.Time[before])*(t.raw[before]-level)/(t.raw[before]-t.raw[i])
	}
	if !(t.raw[top] > level) {
		return c.End - c.Start
	}
	return side(+1) - side(-1)
}

// roundUp rounds up to one digit.
func roundUp(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	return math.Ceil(x/power) * power
}

// stepsFewest is how many of the converter's steps a peak wants.
const stepsFewest = 200

func (t *take) judgeNoise() {
	peak := float64(t.r.PeakForce)
	if t.set.Class == 0 && 3*t.zero.noise > 0.01*peak {
		t.note(Doubtful, "noise of %.3g N lifts an unfiltered peak of %.4g N: read it with a filter class", t.zero.noise, peak)
	}
	if q := float64(t.r.Resolution) * t.edgeLift(); q*stepsFewest > peak {
		t.note(Doubtful, "the force comes in steps of %.3g N, %.0f to the peak: a finer converter or a smaller range shows more", q, peak/q)
	}
}

// gapShare is the share of a contact that may be lost before its values should
// not be used: straight lines stand in for what is missing.
const gapShare = 0.02

func (t *take) judgeGaps() {
	for _, i := range t.pace.gaps {
		lost, from := t.rec.Time[i+1]-t.rec.Time[i], t.rec.Time[i]
		grade, where := Doubtful, ""
		for k, c := range t.r.Contacts {
			if from < c.End && t.rec.Time[i+1] > c.Start {
				where = fmt.Sprintf(", inside contact %d", k+1)
				if k == 0 && lost > gapShare*(c.End-c.Start) {
					grade = Missing
				}
			}
		}
		t.note(grade, "samples are lost: %.4g ms without any at %.4g s%s", 1e3*lost, from, where)
		if len(t.pace.gaps) > 3 {
			t.note(Doubtful, "there are %d such gaps in all", len(t.pace.gaps))
			return
		}
	}
}

// zeroMoved is the share of the peak by which zero may differ in the flights.
const zeroMoved = 0.005

// judgeZeroAfter compares zero between the contacts, where the rope is slack,
// with the zero from before.
func (t *take) judgeZeroAfter() {
	for k := 0; k+1 < len(t.r.Contacts); k++ {
		a, b := t.r.Contacts[k].End, t.r.Contacts[k+1].Start
		from, to := t.sampleAt(a+(b-a)/4)+1, t.sampleAt(b-(b-a)/4)
		if to-from < quietFewest || t.r.Contacts[k].Open {
			continue
		}
		level := mean(t.raw[from:to])
		u, _ := doubtOfMean(t.raw[from:to])
		if math.Abs(level) > max(5*math.Hypot(u, t.zero.doubt), zeroMoved*float64(t.r.PeakForce)) {
			t.note(Doubtful, "between contacts %d and %d the slack rope shows %.3g N: zero has moved, or the rope is not slack", k+1, k+2, level)
			return
		}
	}
}
