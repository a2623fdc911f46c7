package trace

import (
	"math"
	"slices"
)

const (
	spikeNoise  = 12   // standard deviations of the noise that a spike stands out by
	spikeShare  = 0.03 // share of the peak, likewise
	spikeWithin = 40   // samples in a contact below which a single sample may be the event
)

// judgeSpikes finds single samples, or two together, that stand out from their
// neighbours while those agree. The largest sample being one makes an unfiltered
// peak unusable.
func (t *take) judgeSpikes() {
	best := t.r.Contacts[t.best]
	if best.To-best.From < spikeWithin {
		return
	}
	clear := max(spikeNoise*t.zero.noise, spikeShare*float64(t.r.PeakForce), 3*float64(t.r.Resolution)*t.edgeLift())
	if t.over.jump < clear {
		return // no sample stands out from its neighbour by as much
	}
	found, first, top := 0, 0, false
	peakAt := t.sampleAt(best.PeakAt)
	for _, i := range steep(t.raw, clear) {
		around := []float64{t.raw[i-3], t.raw[i-2], t.raw[i+2], t.raw[i+3]}
		if math.Abs(t.raw[i]-t.raw[i-1]) >= clear {
			around[1] = t.raw[i-1]
		}
		if math.Abs(t.raw[i]-t.raw[i+1]) >= clear {
			around[2] = t.raw[i+1]
		}
		low, high := slices.Min(around), slices.Max(around)
		over := max(t.raw[i]-high, low-t.raw[i])
		if over < clear || over < 3*(high-low) {
			continue
		}
		if found == 0 {
			first = i
		}
		found++
		top = top || i >= peakAt-1 && i <= peakAt+1
	}
	t.saySpikes(found, first, top)
}

// saySpikes remarks on so many spikes, of which the first is at a sample and one may
// be the top.
func (t *take) saySpikes(found, first int, top bool) {
	switch {
	case found == 0:
	case top:
		t.lost = true
		t.note(Missing, "the largest sample, at %.5g s, stands out from its neighbours as a spike: the peak is not the rope's", t.r.Contacts[t.best].PeakAt)
	default:
		t.note(Doubtful, "%d samples stand out from their neighbours as spikes, the first at %.5g s", found, t.rec.Time[first])
	}
}

// steep are the samples, three from either end, whose neighbours are not both nearer
// than clear.
func steep(x []float64, clear float64) []int {
	var of [bigParts][]int
	inParts(max(0, len(x)-6), func(k, from, to int) {
		part := x[from+2 : to+4]
		before := math.Abs(part[1] - part[0])
		for i, v := range part[2:] {
			after := math.Abs(part[i+1] - v)
			if !(before < clear && after < clear) {
				of[k] = append(of[k], from+3+i)
			}
			before = after
		}
	})
	return slices.Concat(of[:]...)
}
